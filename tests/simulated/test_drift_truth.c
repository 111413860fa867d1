/* Drift against rides whose truth is known: how often the likely range holds it.
 *
 * The simulator shares no code with the estimator: its hearts have their own gain, up and down
 * time constants and dead time (fitted: one of each for everybody), its noise is of eight kinds
 * (fitted: a mixture of autoregressions), and its drift has three shapes. */
#include "check.h"

#include "limits/limits.h"
#include "physiology/drift.h"
#include "physiology/steady.h"
#include "simulated/random.h"
#include "simulated/ride.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum {
    RIDES_A_KIND = 90,
    WARM_S = 600,
    HOUR_S = 3600,
    COOL_S = 300,
    STREAM = 0x4454,
};

static const double LINE_BPM = 10.0;

struct scenario {
    bool outdoors;
    bool eases_off;
    bool missing; /* minutes without heart rate */
    int shape;
    double drift_bpm;
};

struct tally {
    double rides;
    double known;
    double held;    /* truth inside the 90 % interval */
    double width;   /* sum, bpm */
    double error;   /* sum of estimate - truth */
    double decided; /* interval wholly on one side of the line */
    double wrong;   /* and the truth on the other */
};

static void add(struct tally *to, const struct tally *from)
{
    to->rides += from->rides;
    to->known += from->known;
    to->held += from->held;
    to->width += from->width;
    to->error += from->error;
    to->decided += from->decided;
    to->wrong += from->wrong;
}

static void note(const char *name, const struct tally *t)
{
    printf("# note: %-12s %4.0f rides, held %.1f %%, width %.1f bpm, bias %+.2f, wrong side "
           "%.1f %%, on the line %.0f %%, no drift %.1f %%\n",
           name, t->rides, 100.0 * t->held / t->known, t->width / t->known, t->error / t->known,
           100.0 * t->wrong / t->known, 100.0 * (1.0 - t->decided / t->known),
           100.0 * (1.0 - t->known / t->rides));
}

static struct scenario draw_scenario(uint64_t seed, int index)
{
    struct simulated_random r = simulated_random_begin(seed, STREAM);
    struct scenario s = {
        .outdoors = index % 2 == 1,
        .shape = index % 3,
        .eases_off = index % 4 >= 2,
        .missing = index % 5 == 0,
    };
    s.drift_bpm = simulated_random_between(&r, -1.0, 18.0);
    return s;
}

/* Blanks some minutes of heart rate in the middle of the hour, as a strap that falls silent. */
static void lose_heart(struct simulated_ride *ride, uint64_t seed)
{
    struct simulated_random r = simulated_random_begin(seed, STREAM + 1);
    for (int gap = 0; gap < 2; gap++) {
        const int32_t from = (int32_t)simulated_random_between(&r, WARM_S + 420, WARM_S + 3400);
        const int32_t to = from + (int32_t)simulated_random_between(&r, 20.0, 75.0);
        for (size_t i = 0; i < ride->samples.count; i++) {
            if (ride->samples.time_s[i] >= from && ride->samples.time_s[i] < to) {
                ride->samples.value[CHANNEL_HEART_RATE][i] = RECORDING_MISSING;
            }
        }
    }
}

static struct tally judge(uint64_t seed, enum simulated_noise noise, const struct scenario *s,
                          const struct limits *limits)
{
    struct arena *arena = arena_open();
    struct simulated_random r = simulated_random_begin(seed, STREAM + 2);
    const struct simulated_rider rider = simulated_rider_draw(seed);
    const double warm_w = rider.threshold_w * simulated_random_between(&r, 0.40, 0.60);
    const double base_w = rider.threshold_w * simulated_random_between(&r, 0.66, 0.74);
    const double end_w = s->eases_off ? base_w * simulated_random_between(&r, 0.86, 0.95) : base_w;
    const double cool_w = 0.45 * rider.threshold_w;
    const double none = (double)NAN;
    const struct simulated_block blocks[] = {
        { .duration_s = WARM_S, .power_w = warm_w, .end_power_w = none, .cadence_rpm = none },
        { .duration_s = HOUR_S, .power_w = base_w, .end_power_w = end_w, .cadence_rpm = none },
        { .duration_s = COOL_S, .power_w = cool_w, .end_power_w = none, .cadence_rpm = none },
    };
    const struct simulated_plan plan = {
        .blocks = blocks,
        .n_blocks = COUNT(blocks),
        .outdoors = s->outdoors,
        .hilliness = simulated_random_between(&r, 0.0, 0.25),
        .coasting_ratio = simulated_random_between(&r, 0.01, 0.06),
        .junctions_per_h = 1.0,
        .drift_bpm = s->drift_bpm,
        .drift_from_s = WARM_S,
        .drift_to_s = WARM_S + HOUR_S,
        .drift_shape = s->shape,
        .noise = noise,
        .noise_bpm = simulated_random_between(&r, 0.8, 2.2),
        .temperature_c = 20.0,
        .seed = seed,
        .device = simulated_device_draw(seed),
    };
    struct simulated_ride ride = simulated_ride_make(arena, &rider, &plan);
    if (s->missing) {
        lose_heart(&ride, seed);
    }
    const struct recording *recording = simulated_recording(arena, &ride, &plan, limits);
    const struct steady steady = steady_find(arena, recording, limits);
    const struct drift drift = drift_fit(arena, recording, &steady, rider.threshold_w, limits);
    struct tally tally = { .rides = 1.0, .known = drift.known };
    if (drift.known) {
        const double truth =
            simulated_heart_drift((enum simulated_drift_shape)s->shape, s->drift_bpm, HOUR_S,
                                  drift.fitted.to_s - WARM_S) -
            simulated_heart_drift((enum simulated_drift_shape)s->shape, s->drift_bpm, HOUR_S,
                                  drift.fitted.from_s - WARM_S);
        tally.held = drift.low_bpm <= truth && truth <= drift.high_bpm;
        tally.width = drift.high_bpm - drift.low_bpm;
        tally.error = drift.drift_bpm - truth;
        tally.decided = drift.high_bpm < LINE_BPM || drift.low_bpm > LINE_BPM;
        tally.wrong = (drift.high_bpm < LINE_BPM && truth > LINE_BPM) ||
                      (drift.low_bpm > LINE_BPM && truth < LINE_BPM);
    }
    arena_close(arena);
    return tally;
}

static void test_drift__likely_range_holds_the_truth_nine_times_in_ten(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    struct tally all = { 0 };
    struct tally by_place[2] = { 0 };
    struct tally by_shape[3] = { 0 };
    struct tally eased = { 0 };
    struct tally gaps = { 0 };
    double lowest = 1.0;
    for (int kind = 0; kind < SIMULATED_NOISE_COUNT; kind++) {
        struct tally tally = { 0 };
        for (int i = 0; i < RIDES_A_KIND; i++) {
            const uint64_t seed = (uint64_t)(kind * 100000 + i + 1);
            const struct scenario s = draw_scenario(seed, i);
            const struct tally one = judge(seed, (enum simulated_noise)kind, &s, &limits);
            add(&tally, &one);
            add(&by_place[s.outdoors], &one);
            add(&by_shape[s.shape], &one);
            if (s.eases_off) {
                add(&eased, &one);
            }
            if (s.missing) {
                add(&gaps, &one);
            }
        }
        note(simulated_noise_name((enum simulated_noise)kind), &tally);
        lowest = fmin(lowest, tally.held / tally.known);
        add(&all, &tally);
    }
    note("indoors", &by_place[0]);
    note("outdoors", &by_place[1]);
    note("straight", &by_shape[0]);
    note("early", &by_shape[1]);
    note("late", &by_shape[2]);
    note("eases off", &eased);
    note("gaps", &gaps);
    note("all", &all);
    check(all.rides >= 500.0);
    /* Outdoors a road with hills and junctions isn't steady, and that is said instead. */
    check(by_place[0].known >= 0.99 * by_place[0].rides);
    check(by_place[1].known >= 0.5 * by_place[1].rides);
    check(lowest >= 0.85);
    check(all.held >= 0.88 * all.known && all.held <= 0.95 * all.known);
    check(all.wrong <= 0.05 * all.known);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_drift__likely_range_holds_the_truth_nine_times_in_ten),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
