/* simulated/faults.c: what sensors get wrong, put into an honest ride on purpose. */
#include "simulated/faults.h"

#include "simulated/random.h"

#include <math.h>

enum { STREAM_FAULT = 0x4641 };

/* One fault at work. */
struct job {
    struct arena *arena;
    struct simulated_ride *ride;
    struct simulated_random random;
    double size; /* NAN = by seed */
};

static bool is_sized(const struct job *job)
{
    return !isnan(job->size);
}

/* What was drawn, unless the caller set the size. */
static double sized(const struct job *job, double drawn)
{
    return is_sized(job) ? job->size : drawn;
}

static size_t sized_rows(const struct job *job, size_t drawn)
{
    return is_sized(job) ? (size_t)(job->size + 0.5) : drawn;
}

static const struct span NOWHERE = { 0, 0 };

static int32_t *values(const struct job *job, enum channel channel)
{
    return job->ride->samples.value[channel];
}

static int32_t *values_made(struct job *job, enum channel channel)
{
    struct samples *samples = &job->ride->samples;
    if (samples->value[channel] == NULL) {
        samples->value[channel] = ARENA_ARRAY(job->arena, int32_t, samples->count);
    }
    return samples->value[channel];
}

static size_t whole_between(struct job *job, int low, int high)
{
    return (size_t)simulated_random_whole(&job->random, low, high);
}

static struct span span_of_rows(const struct job *job, size_t from, size_t length)
{
    const int32_t *time_s = job->ride->samples.time_s;
    return (struct span){ time_s[from], time_s[from + length - 1] + 1 };
}

/* Whether rows from .. from + length - 1 are one second apart each. */
static bool is_unbroken(const struct job *job, size_t from, size_t length)
{
    const int32_t *time_s = job->ride->samples.time_s;
    for (size_t i = from + 1; i < from + length; i++) {
        if (time_s[i] != time_s[i - 1] + 1) {
            return false; /* a row that a later one of its second hides holds no fault */
        }
    }
    return true;
}

typedef bool place_test(const struct job *job, size_t from, size_t length);

/* A place of `length` rows with `margin` rows of the ride on both sides that the test likes, at
 * random; the first from the start when chance finds none.  False if there is none. */
static bool find_place(struct job *job, size_t length, size_t margin, place_test *fits,
                       size_t *from)
{
    const size_t n = job->ride->samples.count;
    if (n < length + 2 * margin + 1) {
        return false;
    }
    const size_t places = n - length - 2 * margin;
    for (size_t tries = 0; tries < 300 + places; tries++) {
        const double unit = simulated_random_unit(&job->random);
        const size_t place = margin + (tries < 300 ? (size_t)(unit * (double)places) : tries - 300);
        if (is_unbroken(job, place - margin, length + 2 * margin) && fits(job, place, length)) {
            *from = place;
            return true;
        }
    }
    return false;
}

static bool fits_anywhere(const struct job *job, size_t from, size_t length)
{
    (void)job;
    (void)from;
    (void)length;
    return true;
}

/* Ridden in earnest, with the legs turning, some rows before and after too. */
static bool fits_pedalling(const struct job *job, size_t from, size_t length)
{
    const int32_t *power = values(job, CHANNEL_POWER);
    const int32_t *cadence = values(job, CHANNEL_CADENCE);
    for (size_t i = from - 8; i < from + length + 8; i++) {
        if (power[i] <= 85 || (cadence != NULL && cadence[i] < 62)) {
            return false;
        }
    }
    return true;
}

static struct span add_spike(struct job *job)
{
    int32_t *power = values(job, CHANNEL_POWER);
    int32_t *cadence = values(job, CHANNEL_CADENCE);
    const size_t length = whole_between(job, 1, 2);
    size_t from = 0;
    if (!find_place(job, length, 20, fits_anywhere, &from)) {
        return NOWHERE;
    }
    int32_t around = 0;
    for (size_t i = from - 8; i < from + length + 8; i++) {
        around = power[i] > around ? power[i] : around;
    }
    /* Half beyond what any rider makes, half beyond what this one was making. */
    const bool wild = simulated_random_chance(&job->random, 0.5);
    const double low = 700.0 + 3.3 * (double)around;
    const double drawn = wild ? 2100.0 * exp(simulated_random_between(&job->random, 0.0, 3.1))
                              : low * simulated_random_between(&job->random, 1.0, 1.2);
    const double peak = is_sized(job) ? (double)around + job->size : drawn;
    const bool cranks = simulated_random_chance(&job->random, 0.5) && cadence != NULL;
    for (size_t i = from; i < from + length; i++) {
        power[i] = (int32_t)(peak * (i == from ? 1.0 : 0.9));
        if (cranks) {
            cadence[i] = (int32_t)whole_between(job, 150, 254);
        }
    }
    return span_of_rows(job, from, length);
}

static struct span add_missing_power(struct job *job)
{
    int32_t *power = values(job, CHANNEL_POWER);
    int32_t *cadence = values(job, CHANNEL_CADENCE);
    int32_t *balance = values(job, CHANNEL_BALANCE);
    const size_t length = sized_rows(job, whole_between(job, 8, 90));
    size_t from = 0;
    if (!find_place(job, length, 20, fits_anywhere, &from)) {
        return NOWHERE;
    }
    /* Meters that measure cadence themselves take it along. */
    const bool both = simulated_random_chance(&job->random, 0.5) && cadence != NULL;
    for (size_t i = from; i < from + length; i++) {
        power[i] = RECORDING_MISSING;
        if (balance != NULL) {
            balance[i] = RECORDING_MISSING;
        }
        if (both) {
            cadence[i] = RECORDING_MISSING;
        }
    }
    return span_of_rows(job, from, length);
}

static struct span add_zero_power(struct job *job)
{
    int32_t *power = values(job, CHANNEL_POWER);
    size_t from = 0;
    size_t length = sized_rows(job, whole_between(job, 7, 60));
    if (values(job, CHANNEL_CADENCE) == NULL) {
        return NOWHERE;
    }
    while (!find_place(job, length, 20, fits_pedalling, &from)) {
        if (length <= 7 || is_sized(job)) {
            return NOWHERE;
        }
        length = length > 14 ? length / 2 : 7;
    }
    for (size_t i = from; i < from + length; i++) {
        power[i] = 0;
    }
    return span_of_rows(job, from, length);
}

static bool fits_stuck(const struct job *job, size_t from, size_t length)
{
    const int32_t *power = values(job, CHANNEL_POWER);
    const int32_t *moving = values(job, CHANNEL_CADENCE) != NULL ? values(job, CHANNEL_CADENCE)
                                                                 : values(job, CHANNEL_HEART_RATE);
    int32_t lowest = moving[from];
    int32_t highest = moving[from];
    for (size_t i = from; i < from + length; i++) {
        lowest = moving[i] < lowest ? moving[i] : lowest;
        highest = moving[i] > highest ? moving[i] : highest;
    }
    return power[from] > 50 && highest - lowest >= 4;
}

static struct span add_stuck_power(struct job *job)
{
    int32_t *power = values(job, CHANNEL_POWER);
    const size_t length = sized_rows(job, whole_between(job, 20, 180));
    size_t from = 0;
    if (!find_place(job, length, 20, fits_stuck, &from)) {
        return NOWHERE;
    }
    /* What a meter repeats is its last message, and left and right stand in it too. */
    int32_t *balance = values(job, CHANNEL_BALANCE);
    for (size_t i = from; i < from + length; i++) {
        power[i] = power[from];
        if (balance != NULL) {
            balance[i] = balance[from];
        }
    }
    return span_of_rows(job, from, length);
}

static struct span add_trainer_held(struct job *job)
{
    const struct simulated_ride *ride = job->ride;
    int32_t *power = values(job, CHANNEL_POWER);
    if (ride->n_reps == 0) {
        return NOWHERE;
    }
    const double sd =
        sized(job, 100.0 * simulated_random_between(&job->random, 0.004, 0.010)) / 100.0;
    size_t rep = 0;
    for (size_t i = 0; i < ride->samples.count; i++) {
        while (rep < ride->n_reps && ride->samples.time_s[i] >= ride->reps[rep].end_s) {
            rep++;
        }
        if (rep == ride->n_reps) {
            break;
        }
        if (ride->samples.time_s[i] >= ride->reps[rep].start_s) {
            const double off = 1.0 + sd * simulated_random_normal(&job->random);
            power[i] = (int32_t)lround(ride->reps[rep].mean_power_w * off);
        }
    }
    return (struct span){ ride->reps[0].start_s, ride->reps[ride->n_reps - 1].end_s };
}

static struct span add_heart_dropout(struct job *job)
{
    int32_t *heart = values(job, CHANNEL_HEART_RATE);
    const size_t length = sized_rows(job, whole_between(job, 15, 300));
    size_t from = 0;
    if (!find_place(job, length, 20, fits_anywhere, &from)) {
        return NOWHERE;
    }
    const bool zeros = simulated_random_chance(&job->random, 0.4);
    for (size_t i = from; i < from + length; i++) {
        heart[i] = zeros ? 0 : RECORDING_MISSING;
    }
    return span_of_rows(job, from, length);
}

/* The 30-s means of power in the place differ by more than 30 %, early enough for a heart that
 * beats to have answered before its end. */
static bool fits_flat(const struct job *job, size_t from, size_t length)
{
    const int32_t *power = values(job, CHANNEL_POWER);
    if (values(job, CHANNEL_HEART_RATE)[from] <= 0) {
        return false;
    }
    double lowest = (double)INFINITY;
    double highest = 0.0;
    for (size_t i = from; i + 55 <= from + length; i += 5) {
        double sum = 0.0;
        for (size_t j = i; j < i + 30; j++) {
            sum += power[j] == RECORDING_MISSING ? 0.0 : (double)power[j];
        }
        lowest = sum < lowest ? sum : lowest;
        highest = sum > highest ? sum : highest;
    }
    return highest > 1.3 * lowest && highest > 30.0 * 60.0;
}

static struct span add_flat_heart(struct job *job)
{
    int32_t *heart = values(job, CHANNEL_HEART_RATE);
    const size_t length = sized_rows(job, whole_between(job, 75, 240));
    size_t from = 0;
    if (!find_place(job, length, 20, fits_flat, &from)) {
        return NOWHERE;
    }
    for (size_t i = from; i < from + length; i++) {
        heart[i] = heart[from];
    }
    return span_of_rows(job, from, length);
}

static bool fits_beating(const struct job *job, size_t from, size_t length)
{
    const int32_t *heart = values(job, CHANNEL_HEART_RATE);
    for (size_t i = from - 5; i < from + length + 5; i++) {
        if (heart[i] <= 0) {
            return false;
        }
    }
    return true;
}

static struct span add_heart_jump(struct job *job)
{
    int32_t *heart = values(job, CHANNEL_HEART_RATE);
    const size_t length = whole_between(job, 8, 48);
    size_t from = 0;
    if (!find_place(job, length, 70, fits_beating, &from)) {
        return NOWHERE;
    }
    const bool up = simulated_random_chance(&job->random, 0.85);
    const double drawn = up ? simulated_random_between(&job->random, 25.0, 70.0)
                            : simulated_random_between(&job->random, -50.0, -30.0);
    const double size = sized(job, drawn);
    const size_t rise = whole_between(job, 1, 2);
    for (size_t i = 0; i < length; i++) {
        const double share = i + 1 < rise ? 0.5 : 1.0;
        const double off = simulated_random_between(&job->random, -1.5, 1.5);
        const double bpm = (double)heart[from + i] + share * size + off;
        heart[from + i] = (int32_t)lround(bpm > 238.0 ? 238.0 : (bpm < 32.0 ? 32.0 : bpm));
    }
    return span_of_rows(job, from, length);
}

static bool fits_lock(const struct job *job, size_t from, size_t length)
{
    const int32_t *cadence = values(job, CHANNEL_CADENCE);
    size_t still = 0;
    for (size_t i = from; i < from + length; i++) {
        still += cadence[i] < 55;
    }
    return still * 50 <= length;
}

/* Whether cadence a second ago is nearly cadence now, all along. */
static bool changes_slowly(const int32_t cadence[], size_t from, size_t length)
{
    size_t far = 0;
    for (size_t i = from; i < from + length; i++) {
        const int32_t step = cadence[i] - cadence[i - 1];
        far += step > 2 || step < -2;
    }
    return far * 50 <= length;
}

static struct span add_cadence_lock(struct job *job)
{
    int32_t *heart = values(job, CHANNEL_HEART_RATE);
    const int32_t *cadence = values(job, CHANNEL_CADENCE);
    size_t length = sized_rows(job, whole_between(job, 120, 900));
    size_t from = 0;
    if (cadence == NULL) {
        return NOWHERE;
    }
    while (!find_place(job, length, 5, fits_lock, &from)) {
        if (length <= 120 || is_sized(job)) {
            return NOWHERE;
        }
        length = length > 240 ? length / 2 : 120;
    }
    /* Straps that lock on strides lag a little, where that can't be told from not lagging. */
    const size_t late = changes_slowly(cadence, from, length) ? whole_between(job, 0, 1) : 0;
    int32_t felt = cadence[from];
    for (size_t i = from; i < from + length; i++) {
        felt = cadence[i - late] >= 55 ? cadence[i - late] : felt;
        const bool off = simulated_random_chance(&job->random, 0.25);
        heart[i] = felt + (off ? (int32_t)simulated_random_whole(&job->random, -1, 1) : 0);
    }
    return span_of_rows(job, from, length);
}

/* A swelling of heart rate whose middle is too high; where it is highest anyhow. */
static struct span add_heart_above_max(struct job *job)
{
    int32_t *heart = values(job, CHANNEL_HEART_RATE);
    const size_t n = job->ride->samples.count;
    const size_t ramp = whole_between(job, 20, 40);
    const size_t hold = whole_between(job, 8, 60);
    const size_t length = 2 * ramp + hold;
    if (n < length + 20) {
        return NOWHERE;
    }
    size_t peak = 0;
    for (size_t i = 1; i < n; i++) {
        peak = heart[i] > heart[peak] ? i : peak;
    }
    size_t from = peak > length / 2 + 5 ? peak - length / 2 : 5;
    from = from + length + 5 > n ? n - length - 5 : from;
    const double top = job->ride->max_heart_rate_bpm +
                       sized(job, simulated_random_between(&job->random, 5.0, 14.0));
    for (size_t i = 0; i < length; i++) {
        const size_t edge = i < length - 1 - i ? i + 1 : length - i;
        const double share = edge < ramp ? (double)edge / (double)ramp : 1.0;
        const double bpm = (double)(heart[from + i] > 0 ? heart[from + i] : heart[peak]);
        heart[from + i] = (int32_t)lround(bpm + (top - bpm) * share);
    }
    return span_of_rows(job, from, length);
}

static struct span add_balance_drift(struct job *job)
{
    const struct samples *samples = &job->ride->samples;
    const bool had = values(job, CHANNEL_BALANCE) != NULL;
    int32_t *balance = values_made(job, CHANNEL_BALANCE);
    const int32_t *power = values(job, CHANNEL_POWER);
    const double from_s = simulated_random_between(&job->random, 0.0, 300.0);
    const double to_s = (double)samples->time_s[samples->count - 1];
    const double side = simulated_random_chance(&job->random, 0.5) ? 1.0 : -1.0;
    const double points = side * sized(job, simulated_random_between(&job->random, 9.0, 15.0));
    for (size_t i = 0; i < samples->count; i++) {
        const double share = ((double)samples->time_s[i] - from_s) / (to_s - from_s);
        const double off = points * (share < 0.0 ? 0.0 : share);
        if (!had) {
            balance[i] = power[i] > 0 ? 500 : RECORDING_MISSING;
        }
        if (balance[i] != RECORDING_MISSING) {
            /* Devices write whole per cent. */
            balance[i] = 10 * (int32_t)lround((double)balance[i] / 10.0 + off);
        }
    }
    return span_of_rows(job, 0, samples->count);
}

static struct span add_heat(struct job *job)
{
    const struct samples *samples = &job->ride->samples;
    const double minute_15 = 900.0;
    const double end_s = (double)samples->time_s[samples->count - 1];
    if (end_s < 2.0 * minute_15) {
        return NOWHERE;
    }
    int32_t *temperature = values_made(job, CHANNEL_TEMPERATURE);
    const bool rises = simulated_random_chance(&job->random, 0.5) && !is_sized(job);
    const double first = rises ? simulated_random_between(&job->random, 19.0, 23.0)
                               : sized(job, simulated_random_between(&job->random, 28.0, 37.0));
    const double rise = rises ? simulated_random_between(&job->random, 6.0, 10.0) : 0.0;
    for (size_t i = 0; i < samples->count; i++) {
        const double since = (double)samples->time_s[i] - minute_15;
        const double share = since > 0.0 ? since / (end_s - minute_15) : 0.0;
        const double settled = share * 1.25 < 1.0 ? share * 1.25 : 1.0;
        temperature[i] = 10 * (int32_t)lround(first + rise * settled);
    }
    return span_of_rows(job, 0, samples->count);
}

static const struct {
    const char *code;
    struct span (*add)(struct job *job);
} FAULTS[SIMULATED_FAULT_COUNT] = {
    [SIMULATED_FAULT_POWER_SPIKE] = { "power-spike", add_spike },
    [SIMULATED_FAULT_POWER_DROPOUT_MISSING] = { "power-dropout", add_missing_power },
    [SIMULATED_FAULT_POWER_DROPOUT_ZERO] = { "power-dropout", add_zero_power },
    [SIMULATED_FAULT_POWER_STUCK] = { "power-stuck", add_stuck_power },
    [SIMULATED_FAULT_TRAINER_HELD] = { "trainer-held", add_trainer_held },
    [SIMULATED_FAULT_HEART_DROPOUT] = { "heart-dropout", add_heart_dropout },
    [SIMULATED_FAULT_HEART_FLAT] = { "heart-flat", add_flat_heart },
    [SIMULATED_FAULT_HEART_JUMP] = { "heart-jump", add_heart_jump },
    [SIMULATED_FAULT_CADENCE_LOCK] = { "cadence-lock", add_cadence_lock },
    [SIMULATED_FAULT_HEART_ABOVE_MAX] = { "heart-above-max", add_heart_above_max },
    [SIMULATED_FAULT_BALANCE_DRIFT] = { "balance-drift", add_balance_drift },
    [SIMULATED_FAULT_HOT] = { "hot", add_heat },
};

const char *simulated_fault_name(enum simulated_fault fault)
{
    return FAULTS[fault].code;
}

struct span simulated_fault_add_sized(struct arena *arena, struct simulated_ride *ride,
                                      enum simulated_fault fault, double size, uint64_t seed)
{
    struct job job = {
        .size = size,
        .arena = arena,
        .ride = ride,
        .random = simulated_random_begin(seed, STREAM_FAULT + (uint64_t)fault),
    };
    return ride->samples.count > 0 ? FAULTS[fault].add(&job) : NOWHERE;
}

struct span simulated_fault_add(struct arena *arena, struct simulated_ride *ride,
                                enum simulated_fault fault, uint64_t seed)
{
    return simulated_fault_add_sized(arena, ride, fault, (double)NAN, seed);
}
