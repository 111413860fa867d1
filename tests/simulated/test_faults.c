/* What the simulator's faults promise: the size that science asks to be found, and nothing else
 * touched.  The bounds are the lines of docs/measures.md, "Can this recording be trusted?". */
#include "check.h"

#include "simulated/faults.h"
#include "simulated/ride.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { SEEDS = 40 };

static const struct simulated_block BLOCKS[] = {
    { .duration_s = 900, .power_w = 120, .end_power_w = 170, .cadence_rpm = (double)NAN },
    { .duration_s = 240,
      .power_w = 280,
      .end_power_w = (double)NAN,
      .cadence_rpm = 95,
      .is_rep = true },
    { .duration_s = 240, .power_w = 115, .end_power_w = (double)NAN, .cadence_rpm = (double)NAN },
    { .duration_s = 240,
      .power_w = 280,
      .end_power_w = (double)NAN,
      .cadence_rpm = 95,
      .is_rep = true },
    { .duration_s = 240, .power_w = 115, .end_power_w = (double)NAN, .cadence_rpm = (double)NAN },
    { .duration_s = 2700, .power_w = 170, .end_power_w = (double)NAN, .cadence_rpm = (double)NAN },
};

static struct simulated_ride make_ride(struct arena *arena, uint64_t seed)
{
    const struct simulated_rider rider = simulated_rider_default();
    const struct simulated_plan plan = {
        .blocks = BLOCKS,
        .n_blocks = COUNT(BLOCKS),
        .outdoors = seed % 2 == 1,
        .hilliness = 0.4,
        .coasting_ratio = 0.05,
        .junctions_per_h = 3.0,
        .temperature_c = 20.0,
        .noise = SIMULATED_NOISE_AR1_SHORT,
        .seed = seed,
    };
    return simulated_ride_make(arena, &rider, &plan);
}

static struct samples copy_samples(struct arena *arena, const struct samples *samples)
{
    struct samples copy = *samples;
    for (int c = 0; c < CHANNEL_COUNT; c++) {
        if (samples->value[c] != NULL) {
            copy.value[c] = arena_copy(arena, samples->value[c], samples->count * sizeof(int32_t));
        }
    }
    return copy;
}

struct touched {
    const int32_t *power;
    const int32_t *heart;
    const int32_t *cadence;
    const int32_t *balance;
    const int32_t *temperature;
    size_t from; /* rows; these rides have one a second */
    size_t to;
};

typedef void claim(const struct touched *now, const struct touched *before,
                   const struct simulated_ride *ride);

static void check_spike(const struct touched *now, const struct touched *before,
                        const struct simulated_ride *ride)
{
    (void)ride;
    check(now->to - now->from <= 2);
    const int32_t peak = now->power[now->from];
    int32_t around = 0;
    for (size_t i = now->from - 7; i < now->to + 7; i++) {
        around = before->power[i] > around ? before->power[i] : around;
    }
    check(peak > 2000 || (peak > around + 600 && around * 100 < peak * 35));
}

static void check_missing(const struct touched *now, const struct touched *before,
                          const struct simulated_ride *ride)
{
    (void)before;
    (void)ride;
    check(now->to - now->from >= 5);
    for (size_t i = now->from; i < now->to; i++) {
        check(now->power[i] == RECORDING_MISSING);
    }
}

static void check_zero(const struct touched *now, const struct touched *before,
                       const struct simulated_ride *ride)
{
    (void)before;
    (void)ride;
    check(now->to - now->from >= 5);
    for (size_t i = now->from; i < now->to; i++) {
        check(now->power[i] == 0 && now->cadence[i] >= 60);
    }
    for (size_t i = 1; i <= 5; i++) {
        check(now->power[now->from - i] > 80 && now->power[now->to + i - 1] > 80);
    }
}

static void check_stuck(const struct touched *now, const struct touched *before,
                        const struct simulated_ride *ride)
{
    (void)before;
    (void)ride;
    int32_t lowest = INT32_MAX;
    int32_t highest = 0;
    for (size_t i = now->from; i < now->to; i++) {
        check(now->power[i] == now->power[now->from] && now->power[i] > 0);
        check(now->balance == NULL || now->balance[i] == now->balance[now->from]);
        lowest = now->cadence[i] < lowest ? now->cadence[i] : lowest;
        highest = now->cadence[i] > highest ? now->cadence[i] : highest;
    }
    check(now->to - now->from >= 15 && highest > lowest);
}

static void check_held(const struct touched *now, const struct touched *before,
                       const struct simulated_ride *ride)
{
    (void)before;
    for (size_t r = 0; r < ride->n_reps; r++) {
        double squares = 0.0;
        const double mean = ride->reps[r].mean_power_w;
        for (int32_t t = ride->reps[r].start_s; t < ride->reps[r].end_s; t++) {
            squares += (now->power[t] - mean) * (now->power[t] - mean);
        }
        check(sqrt(squares / 240.0) < 0.015 * mean);
    }
}

static void check_heart_gone(const struct touched *now, const struct touched *before,
                             const struct simulated_ride *ride)
{
    (void)before;
    (void)ride;
    check(now->to - now->from > 10);
    for (size_t i = now->from; i < now->to; i++) {
        check(now->heart[i] == RECORDING_MISSING || now->heart[i] == 0);
    }
}

static void check_flat(const struct touched *now, const struct touched *before,
                       const struct simulated_ride *ride)
{
    (void)ride;
    double lowest = 1e9;
    double highest = 0.0;
    for (size_t i = now->from; i + 30 <= now->to; i++) {
        double sum = 0.0;
        for (size_t j = i; j < i + 30; j++) {
            sum += before->power[j];
        }
        lowest = fmin(lowest, sum);
        highest = fmax(highest, sum);
        check(now->heart[i] == now->heart[now->from]);
    }
    check(now->to - now->from >= 60 && highest > 1.2 * lowest);
}

static void check_jump(const struct touched *now, const struct touched *before,
                       const struct simulated_ride *ride)
{
    (void)before;
    (void)ride;
    const size_t middle = (now->from + now->to) / 2;
    check(now->to - now->from < 60);
    check(abs(now->heart[now->from + 2] - now->heart[now->from - 1]) > 20);
    check(abs(now->heart[middle] - now->heart[now->from - 1]) > 15);
    check(abs(now->heart[now->to] - now->heart[now->to - 1]) > 15);
}

static void check_lock(const struct touched *now, const struct touched *before,
                       const struct simulated_ride *ride)
{
    (void)before;
    (void)ride;
    size_t near = 0;
    for (size_t i = now->from; i < now->to; i++) {
        near += abs(now->heart[i] - now->cadence[i]) <= 3;
    }
    check(now->to - now->from >= 90 && near * 100 >= (now->to - now->from) * 95);
}

static void check_above(const struct touched *now, const struct touched *before,
                        const struct simulated_ride *ride)
{
    (void)before;
    size_t above = 0;
    for (size_t i = now->from; i < now->to; i++) {
        above += now->heart[i] > (int32_t)ride->max_heart_rate_bpm + 3;
        check(abs(now->heart[i] - now->heart[i - 1]) <= 9);
    }
    check(above >= 5);
}

static void check_balance(const struct touched *now, const struct touched *before,
                          const struct simulated_ride *ride)
{
    (void)before;
    double early = 0.0;
    double late = 0.0;
    size_t n_early = 0;
    size_t n_late = 0;
    for (size_t i = 0; i < 300; i++) {
        const size_t first = 1860 + i;
        const size_t last = ride->samples.count - 1 - i;
        if (now->balance[first] != RECORDING_MISSING) {
            early += now->balance[first];
            n_early++;
        }
        if (now->balance[last] != RECORDING_MISSING) {
            late += now->balance[last];
            n_late++;
        }
    }
    /* The steady part is 45 of 76 min: more than half of the drift falls into it. */
    check(fabs(late / (double)n_late - early / (double)n_early) > 25.0);
}

static void check_hot(const struct touched *now, const struct touched *before,
                      const struct simulated_ride *ride)
{
    (void)before;
    double sum = 0.0;
    for (size_t i = 900; i < ride->samples.count; i++) {
        sum += now->temperature[i];
    }
    const double mean = sum / (double)(ride->samples.count - 900);
    const int32_t end = now->temperature[ride->samples.count - 1];
    check(mean >= 270.0 || (end - now->temperature[900] >= 40 && end >= 240));
}

static const struct {
    enum simulated_fault fault;
    const char *code;
    int channel; /* the one that may change; -1 = power and others with it */
    claim *holds;
} ROWS[] = {
    { SIMULATED_FAULT_POWER_SPIKE, "power-spike", -1, check_spike },
    { SIMULATED_FAULT_POWER_DROPOUT_MISSING, "power-dropout", -1, check_missing },
    { SIMULATED_FAULT_POWER_DROPOUT_ZERO, "power-dropout", CHANNEL_POWER, check_zero },
    { SIMULATED_FAULT_POWER_STUCK, "power-stuck", CHANNEL_POWER, check_stuck },
    { SIMULATED_FAULT_TRAINER_HELD, "trainer-held", CHANNEL_POWER, check_held },
    { SIMULATED_FAULT_HEART_DROPOUT, "heart-dropout", CHANNEL_HEART_RATE, check_heart_gone },
    { SIMULATED_FAULT_HEART_FLAT, "heart-flat", CHANNEL_HEART_RATE, check_flat },
    { SIMULATED_FAULT_HEART_JUMP, "heart-jump", CHANNEL_HEART_RATE, check_jump },
    { SIMULATED_FAULT_CADENCE_LOCK, "cadence-lock", CHANNEL_HEART_RATE, check_lock },
    { SIMULATED_FAULT_HEART_ABOVE_MAX, "heart-above-max", CHANNEL_HEART_RATE, check_above },
    { SIMULATED_FAULT_BALANCE_DRIFT, "balance-drift", CHANNEL_BALANCE, check_balance },
    { SIMULATED_FAULT_HOT, "hot", CHANNEL_TEMPERATURE, check_hot },
};

static struct touched look(const struct samples *samples, struct span span)
{
    return (struct touched){
        .power = samples->value[CHANNEL_POWER],
        .heart = samples->value[CHANNEL_HEART_RATE],
        .cadence = samples->value[CHANNEL_CADENCE],
        .balance = samples->value[CHANNEL_BALANCE],
        .temperature = samples->value[CHANNEL_TEMPERATURE],
        .from = (size_t)span.from_s,
        .to = (size_t)span.to_s,
    };
}

static void test_faults__each_is_of_the_size_that_must_be_found(void **state)
{
    (void)state;
    check_integer("every fault has a row", COUNT(ROWS), SIMULATED_FAULT_COUNT);
    for (size_t row = 0; row < COUNT(ROWS); row++) {
        check_text("code", simulated_fault_name(ROWS[row].fault), ROWS[row].code);
        for (uint64_t seed = 0; seed < SEEDS; seed++) {
            struct arena *arena = arena_open();
            struct simulated_ride ride = make_ride(arena, seed);
            const struct samples old = copy_samples(arena, &ride.samples);
            const struct span span = simulated_fault_add(arena, &ride, ROWS[row].fault, seed);
            check(span.to_s > span.from_s);
            const struct touched before = look(&old, span);
            const struct touched now = look(&ride.samples, span);
            ROWS[row].holds(&now, &before, &ride);
            arena_close(arena);
        }
    }
}

/* Whether the row's fault may change the channel. */
static bool may_change(size_t row, int channel)
{
    /* A meter that repeats its message repeats left and right too. */
    if (ROWS[row].fault == SIMULATED_FAULT_POWER_STUCK && channel == CHANNEL_BALANCE) {
        return true;
    }
    return ROWS[row].channel == -1 ? channel != CHANNEL_HEART_RATE : channel == ROWS[row].channel;
}

static void test_faults__touch_nothing_else(void **state)
{
    (void)state;
    for (size_t row = 0; row < COUNT(ROWS); row++) {
        for (uint64_t seed = 0; seed < SEEDS; seed += 4) {
            struct arena *arena = arena_open();
            struct simulated_ride ride = make_ride(arena, seed);
            const struct samples old = copy_samples(arena, &ride.samples);
            const struct span span = simulated_fault_add(arena, &ride, ROWS[row].fault, seed);
            size_t changed = 0;
            for (int c = 0; c < CHANNEL_COUNT; c++) {
                for (size_t i = 0; old.value[c] != NULL && i < old.count; i++) {
                    const bool same = old.value[c][i] == ride.samples.value[c][i];
                    const bool inside = old.time_s[i] >= span.from_s && old.time_s[i] < span.to_s;
                    check(same || (inside && may_change(row, c)));
                    changed += !same;
                }
            }
            check(changed > 0);
            arena_close(arena);
        }
    }
}

static void test_faults__without_a_place_change_nothing(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct simulated_rider rider = simulated_rider_default();
    const struct simulated_block steady = {
        .duration_s = 1200, .power_w = 150, .end_power_w = (double)NAN, .cadence_rpm = (double)NAN
    };
    const struct simulated_plan plan = { .blocks = &steady,
                                         .n_blocks = 1,
                                         .temperature_c = 20.0,
                                         .device = { .without_cadence = true } };
    static const enum simulated_fault faults[] = {
        SIMULATED_FAULT_TRAINER_HELD, SIMULATED_FAULT_HEART_FLAT,
        SIMULATED_FAULT_CADENCE_LOCK, SIMULATED_FAULT_POWER_DROPOUT_ZERO,
        SIMULATED_FAULT_HOT,
    };
    for (size_t i = 0; i < COUNT(faults); i++) {
        struct simulated_ride ride = simulated_ride_make(arena, &rider, &plan);
        const struct samples old = copy_samples(arena, &ride.samples);
        const struct span span = simulated_fault_add(arena, &ride, faults[i], 3);
        check_integer(simulated_fault_name(faults[i]), span.to_s, 0);
        for (int c = 0; c < CHANNEL_COUNT; c++) {
            check(old.value[c] == NULL ||
                  memcmp(old.value[c], ride.samples.value[c], old.count * sizeof(int32_t)) == 0);
        }
    }
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_faults__each_is_of_the_size_that_must_be_found),
        cmocka_unit_test(test_faults__touch_nothing_else),
        cmocka_unit_test(test_faults__without_a_place_change_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
