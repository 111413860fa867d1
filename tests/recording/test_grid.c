/* tests/recording/test_grid.c: what one place a second holds.  Expected values by hand, from the
 * rules in recording/grid.h. */
#include "check.h"

#include "recording/grid.h"

#include <math.h>
#include <string.h>

enum { MOST = 24 };

#define NONE RECORDING_MISSING

/* A recording of n samples with one channel, filled. */
static struct recording fill(struct arena *arena, enum channel channel, const int32_t time_s[],
                             const int32_t value[], size_t n)
{
    struct recording recording = { 0 };
    recording.samples.count = n;
    recording.samples.time_s = arena_copy(arena, time_s, n * sizeof time_s[0]);
    recording.samples.value[channel] = arena_copy(arena, value, n * sizeof value[0]);
    recording.samples.dropped = ARENA_ARRAY(arena, uint8_t, n);
    const struct limits limits = limits_default();
    grid_fill(arena, &recording, &limits);
    return recording;
}

static void test_grid__each_second_holds_value_and_reason(void **state)
{
    (void)state;
    enum { A = MASK_ABSENT, B = MASK_BRIDGED };
    static const struct {
        const char *name;
        enum channel channel;
        size_t n;
        int32_t time_s[MOST];
        int32_t value[MOST];
        size_t n_seconds;
        int32_t want[MOST];
        uint8_t mask[MOST];
    } rows[] = {
        { "one sample", CHANNEL_POWER, 1, { 0 }, { 150 }, 1, { 150 }, { 0 } },
        { "plain", CHANNEL_POWER, 3, { 0, 1, 2 }, { 1, 0, 3 }, 3, { 1, 0, 3 }, { 0 } },
        { "the later record of a second wins",
          CHANNEL_POWER,
          4,
          { 0, 1, 1, 2 },
          { 1, 2, 9, 3 },
          3,
          { 1, 9, 3 },
          { 0 } },
        { "a later record without the channel erases nothing",
          CHANNEL_POWER,
          4,
          { 0, 1, 1, 2 },
          { 1, 2, NONE, 3 },
          3,
          { 1, 2, 3 },
          { 0 } },
        { "three seconds are bridged",
          CHANNEL_POWER,
          2,
          { 0, 4 },
          { 100, 201 },
          5,
          { 100, 125, 151, 176, 201 },
          { 0, B, B, B, 0 } },
        { "falling values round the same way",
          CHANNEL_POWER,
          2,
          { 0, 4 },
          { 201, 100 },
          5,
          { 201, 176, 150, 125, 100 },
          { 0, B, B, B, 0 } },
        { "four seconds are not",
          CHANNEL_POWER,
          2,
          { 0, 5 },
          { 100, 200 },
          6,
          { 100, NONE, NONE, NONE, NONE, 200 },
          { 0, A, A, A, A, 0 } },
        { "ten seconds of heart rate are bridged",
          CHANNEL_HEART_RATE,
          2,
          { 0, 11 },
          { 100, 122 },
          12,
          { 100, 102, 104, 106, 108, 110, 112, 114, 116, 118, 120, 122 },
          { 0, B, B, B, B, B, B, B, B, B, B, 0 } },
        { "eleven are not",
          CHANNEL_HEART_RATE,
          2,
          { 0, 12 },
          { 100, 124 },
          13,
          { 100, NONE, NONE, NONE, NONE, NONE, NONE, NONE, NONE, NONE, NONE, NONE, 124 },
          { 0, A, A, A, A, A, A, A, A, A, A, A, 0 } },
        { "heart rate 0 is absent, at the end for good",
          CHANNEL_HEART_RATE,
          5,
          { 0, 1, 2, 3, 4 },
          { 90, 0, 92, 0, 0 },
          5,
          { 90, 91, 92, NONE, NONE },
          { 0, B, 0, A, A } },
        { "missing before the first value stays missing",
          CHANNEL_CADENCE,
          3,
          { 0, 1, 2 },
          { NONE, 80, 81 },
          3,
          { NONE, 80, 81 },
          { A, 0, 0 } },
        { "0 W and 0 rpm are values",
          CHANNEL_CADENCE,
          3,
          { 0, 1, 2 },
          { 0, 0, 60 },
          3,
          { 0, 0, 60 },
          { 0 } },
        { "places are never bridged",
          CHANNEL_LATITUDE,
          2,
          { 0, 2 },
          { 1000, 2000 },
          3,
          { 1000, NONE, 2000 },
          { 0, A, 0 } },
        { "irregular recording, steps of 1 to 7 s",
          CHANNEL_POWER,
          5,
          { 0, 1, 4, 11, 13 },
          { 200, 210, 240, 100, 120 },
          14,
          { 200, 210, 220, 230, 240, NONE, NONE, NONE, NONE, NONE, NONE, 100, 110, 120 },
          { 0, 0, B, B, 0, A, A, A, A, A, A, 0, B, 0 } },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        const struct recording got =
            fill(arena, rows[i].channel, rows[i].time_s, rows[i].value, rows[i].n);
        check_integer(rows[i].name, (int64_t)got.n_seconds, (int64_t)rows[i].n_seconds);
        for (size_t t = 0; t < rows[i].n_seconds; t++) {
            check_integer(rows[i].name, got.value[rows[i].channel][t], rows[i].want[t]);
            check_integer(rows[i].name, got.mask[rows[i].channel][t], rows[i].mask[t]);
        }
        check_integer(rows[i].name, got.timer_s, (int64_t)rows[i].n_seconds);
        arena_close(arena);
    }
}

/* Two channels with gaps of their own, a record out of order, and a pause. */
static void test_grid__pauses_keep_values_and_are_not_bridged(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    int32_t time_s[] = { 0, 1, 4, 5, 2, 6, 10, 12 };
    uint8_t dropped[] = { 0, 0, 0, 0, 1, 0, 0, 0 };
    int32_t power[] = { 100, 101, 7, 8, 999, 102, 103, 104 };
    int32_t heart[] = { 90, 91, 80, NONE, 250, 96, NONE, 102 };
    struct span pauses[] = { { 4, 6 } };
    struct recording recording = { 0 };
    recording.samples = (struct samples){ .count = 8, .time_s = time_s, .dropped = dropped };
    recording.samples.value[CHANNEL_POWER] = power;
    recording.samples.value[CHANNEL_HEART_RATE] = heart;
    recording.pauses = pauses;
    recording.n_pauses = 1;
    const struct limits limits = limits_default();
    grid_fill(arena, &recording, &limits);

    enum { A = MASK_ABSENT, B = MASK_BRIDGED, P = MASK_PAUSED };
    static const int32_t want_power[] = { 100, 101, NONE, NONE, 7,   8,  102,
                                          102, 103, 103,  103,  104, 104 };
    static const uint8_t want_power_mask[] = { 0, 0, A, A, P, P, 0, B, B, B, 0, B, 0 };
    static const int32_t want_heart[] = { 90, 91, NONE, NONE, 80,  NONE, 96,
                                          97, 98, 99,   100,  101, 102 };
    static const uint8_t want_heart_mask[] = { 0, 0, A, A, P, P, 0, B, B, B, B, B, 0 };
    check_integer("seconds", (int64_t)recording.n_seconds, 13);
    check_integer("timer", recording.timer_s, 11);
    for (size_t t = 0; t < 13; t++) {
        check_integer("power", recording.value[CHANNEL_POWER][t], want_power[t]);
        check_integer("power mask", recording.mask[CHANNEL_POWER][t], want_power_mask[t]);
        check_integer("heart", recording.value[CHANNEL_HEART_RATE][t], want_heart[t]);
        check_integer("heart mask", recording.mask[CHANNEL_HEART_RATE][t], want_heart_mask[t]);
        check_integer("paused", recording.paused[t], t == 4 || t == 5);
    }
    check(recording.value[CHANNEL_CADENCE] == NULL);
    check_near("coverage", recording_coverage(&recording, CHANNEL_POWER), 9.0 / 11.0, 1e-12);
    const double *series = recording_series(arena, &recording, CHANNEL_POWER);
    check(isnan(series[4]) && isnan(series[2]) && series[8] == 103.0);
    arena_close(arena);
}

static void test_grid__a_channel_without_a_value_never_came(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    static const int32_t time_s[] = { 0, 1, 2 };
    static const int32_t zeros[] = { 0, 0, 0 };
    static const int32_t none[] = { NONE, NONE, NONE };
    const struct recording heart = fill(arena, CHANNEL_HEART_RATE, time_s, zeros, 3);
    check(heart.value[CHANNEL_HEART_RATE] == NULL);
    const struct recording power = fill(arena, CHANNEL_POWER, time_s, zeros, 3);
    check(power.value[CHANNEL_POWER] != NULL);
    const struct recording speed = fill(arena, CHANNEL_SPEED, time_s, none, 3);
    check(speed.value[CHANNEL_SPEED] == NULL);
    arena_close(arena);
}

static void test_grid__no_samples_give_no_seconds(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct recording empty =
        fill(arena, CHANNEL_POWER, (int32_t[]){ 0 }, (int32_t[]){ 0 }, 0);
    check_integer("seconds", (int64_t)empty.n_seconds, 0);
    check_integer("timer", empty.timer_s, 0);
    check(isnan(recording_coverage(&empty, CHANNEL_POWER)));
    arena_close(arena);
}

/* Pauses as devices write them may reach past the last record, overlap or begin before the first:
 * each second counts once. */
static void test_grid__overlapping_pauses_count_once(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    int32_t time_s[] = { 0, 9 };
    int32_t power[] = { 100, 200 };
    struct span pauses[] = { { -3, 2 }, { 1, 4 }, { 8, 50 } };
    struct recording recording = { 0 };
    recording.samples = (struct samples){ .count = 2, .time_s = time_s };
    recording.samples.value[CHANNEL_POWER] = power;
    recording.pauses = pauses;
    recording.n_pauses = COUNT(pauses);
    const struct limits limits = limits_default();
    grid_fill(arena, &recording, &limits);
    check_integer("timer", recording.timer_s, 4);
    arena_close(arena);
}

/* ---- the twin: sample by sample and second by second ---- */

/* A value that says nothing: the device's missing mark, or a heart that doesn't beat. */
static bool is_nothing(enum channel channel, int32_t value)
{
    return value == RECORDING_MISSING || (channel == CHANNEL_HEART_RATE && value == 0);
}

/* Whether the sample goes onto the grid; time before second 0 ran back, whoever forgot to say. */
static bool is_kept(const struct samples *samples, size_t i)
{
    return (samples->dropped == NULL || samples->dropped[i] == 0) && samples->time_s[i] >= 0;
}

static size_t count_seconds(const struct samples *samples)
{
    int32_t last_s = -1;
    for (size_t i = 0; i < samples->count; i++) {
        if (is_kept(samples, i) && samples->time_s[i] > last_s) {
            last_s = samples->time_s[i];
        }
    }
    return (size_t)((int64_t)last_s + 1);
}

static int32_t mark_span(struct recording *recording, struct span span)
{
    const int64_t n = (int64_t)recording->n_seconds;
    const int64_t from = span.from_s < 0 ? 0 : span.from_s;
    const int64_t to = span.to_s > n ? n : span.to_s;
    int32_t paused_s = 0;
    for (int64_t t = from; t < to; t++) {
        paused_s += recording->paused[t] == 0;
        recording->paused[t] = 1;
    }
    return paused_s;
}

static void mark_pauses(struct recording *recording)
{
    int32_t paused_s = mark_span(recording, recording->after_timer);
    for (size_t i = 0; i < recording->n_pauses; i++) {
        paused_s += mark_span(recording, recording->pauses[i]);
    }
    recording->timer_s = (int32_t)recording->n_seconds - paused_s;
}

/* Puts a channel's samples at their seconds; false if none of them says anything.  A later record
 * of the same second wins channel by channel: one that lacks the channel doesn't erase it. */
static bool place_samples(const struct samples *samples, enum channel channel, int32_t value[],
                          size_t n)
{
    for (size_t t = 0; t < n; t++) {
        value[t] = RECORDING_MISSING;
    }
    bool came = false;
    for (size_t i = 0; i < samples->count; i++) {
        const int32_t sample = samples->value[channel][i];
        if (is_kept(samples, i) && !is_nothing(channel, sample)) {
            value[samples->time_s[i]] = sample;
            came = true;
        }
    }
    return came;
}

/* The value a share k / n of the way from a to b, rounded to the nearest step, halves away from
 * zero: whole numbers only, so that every machine gives the same. */
static int32_t between(int32_t a, int32_t b, size_t k, size_t n)
{
    const int64_t steps = (int64_t)n;
    const int64_t scaled = ((int64_t)b - a) * (int64_t)k;
    const int64_t half = scaled < 0 ? -(steps / 2) : steps / 2;
    return (int32_t)(a + (scaled + half) / steps);
}

/* Fills runs of at most `longest` missing seconds between two values.  A run that touches a pause
 * stays missing: nobody knows what the seconds around a standstill held. */
static void bridge(const struct recording *recording, int32_t value[], uint8_t mask[],
                   size_t longest)
{
    const size_t n = recording->n_seconds;
    size_t before = n; /* the last second with a value that isn't paused; n = none */
    for (size_t t = 0; t < n; t++) {
        if (recording->paused[t]) {
            before = n;
            continue;
        }
        if (mask[t] == MASK_ABSENT) {
            continue;
        }
        if (before < n && t - before > 1 && t - before - 1 <= longest) {
            for (size_t s = before + 1; s < t; s++) {
                value[s] = between(value[before], value[t], s - before, t - before);
                mask[s] = MASK_BRIDGED;
            }
        }
        before = t;
    }
}

static void fill_channel(struct arena *arena, struct recording *recording, enum channel channel,
                         const struct limits *limits)
{
    recording->value[channel] = NULL;
    recording->mask[channel] = NULL;
    if (recording->samples.value[channel] == NULL || recording->n_seconds == 0) {
        return;
    }
    const size_t n = recording->n_seconds;
    int32_t *value = ARENA_ARRAY(arena, int32_t, n);
    if (!place_samples(&recording->samples, channel, value, n)) {
        return;
    }
    uint8_t *mask = ARENA_ARRAY(arena, uint8_t, n);
    for (size_t t = 0; t < n; t++) {
        if (recording->paused[t]) {
            mask[t] = MASK_PAUSED;
        } else if (value[t] == RECORDING_MISSING) {
            mask[t] = MASK_ABSENT;
        }
    }
    if (channel != CHANNEL_LATITUDE && channel != CHANNEL_LONGITUDE) {
        const double longest_s =
            limits->value[channel == CHANNEL_HEART_RATE ? LIMIT_BRIDGE_HEART_RATE_S
                                                        : LIMIT_BRIDGE_OTHER_S];
        bridge(recording, value, mask, (size_t)longest_s);
    }
    recording->value[channel] = value;
    recording->mask[channel] = mask;
}

static void fill_slowly(struct arena *arena, struct recording *recording,
                        const struct limits *limits)
{
    recording->n_seconds = count_seconds(&recording->samples);
    recording->paused = ARENA_ARRAY(arena, uint8_t, recording->n_seconds);
    mark_pauses(recording);
    for (int c = 0; c < CHANNEL_COUNT; c++) {
        fill_channel(arena, recording, (enum channel)c, limits);
    }
}

/* A small generator of the test's own (Numerical Recipes' quick and dirty one; from memory). */
static uint32_t next(uint32_t *state, uint32_t below)
{
    *state = *state * 1664525u + 1013904223u;
    return (uint32_t)(((uint64_t)(*state >> 4) * below) >> 28);
}

/* Samples whose time mostly goes on by a second, and stands, jumps or runs back as often as
 * `trouble` in a hundred; values that are missing as often. */
static struct recording make_random(struct arena *arena, uint32_t *r)
{
    const uint32_t trouble = next(r, 3) == 0 ? 0 : 1 + next(r, 60);
    const uint32_t missing = next(r, 3) == 0 ? 0 : 1 + next(r, 80);
    const size_t n = next(r, 200);
    struct recording recording = { 0 };
    struct samples *samples = &recording.samples;
    samples->count = n;
    samples->time_s = ARENA_ARRAY(arena, int32_t, n);
    samples->dropped = next(r, 3) == 0 ? NULL : ARENA_ARRAY(arena, uint8_t, n);
    int32_t time_s = next(r, 10) == 0 ? -2 : 0;
    for (size_t i = 0; i < n; i++) {
        samples->time_s[i] = time_s;
        time_s += next(r, 100) >= trouble ? 1 : (int32_t)next(r, 16) - 3;
        if (samples->dropped != NULL) {
            samples->dropped[i] = next(r, 200) < trouble;
        }
    }
    for (int c = 0; c < CHANNEL_COUNT; c++) {
        if (next(r, 4) == 0) {
            continue;
        }
        samples->value[c] = ARENA_ARRAY(arena, int32_t, n);
        const bool silent = next(r, 8) == 0;
        for (size_t i = 0; i < n; i++) {
            const int32_t value = next(r, 9) == 0 ? 0 : (int32_t)next(r, 2000) - 1000;
            samples->value[c][i] = silent || next(r, 100) < missing ? NONE : value;
        }
    }
    recording.n_pauses = next(r, 4);
    recording.pauses = ARENA_ARRAY(arena, struct span, recording.n_pauses);
    for (size_t i = 0; i < recording.n_pauses; i++) {
        const int32_t from_s = (int32_t)next(r, 250) - 5;
        recording.pauses[i] = (struct span){ from_s, from_s + (int32_t)next(r, 20) };
    }
    if (next(r, 4) == 0) {
        recording.after_timer = (struct span){ (int32_t)next(r, 200), 1000 };
    }
    return recording;
}

static void test_grid__equals_its_twin_on_random_samples(void **state)
{
    (void)state;
    uint32_t r = 4711;
    size_t bridged = 0;
    for (int trial = 0; trial < 600; trial++) {
        struct arena *arena = arena_open();
        struct limits limits = limits_default();
        limits.value[LIMIT_BRIDGE_OTHER_S] = next(&r, 11);
        struct recording fast = make_random(arena, &r);
        struct recording slow = fast;
        grid_fill(arena, &fast, &limits);
        fill_slowly(arena, &slow, &limits);
        check_integer("seconds", (int64_t)fast.n_seconds, (int64_t)slow.n_seconds);
        check_integer("timer", fast.timer_s, slow.timer_s);
        const size_t n = slow.n_seconds;
        check(n == 0 || memcmp(fast.paused, slow.paused, n) == 0);
        for (int c = 0; c < CHANNEL_COUNT; c++) {
            check_integer("came", fast.value[c] != NULL, slow.value[c] != NULL);
            check_integer("mask", fast.mask[c] != NULL, slow.mask[c] != NULL);
            for (size_t t = 0; slow.value[c] != NULL && t < n; t++) {
                check_integer("value", fast.value[c][t], slow.value[c][t]);
                check_integer("reason", fast.mask[c][t], slow.mask[c][t]);
                bridged += slow.mask[c][t] == MASK_BRIDGED;
            }
        }
        arena_close(arena);
    }
    check(bridged > 1000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_grid__each_second_holds_value_and_reason),
        cmocka_unit_test(test_grid__pauses_keep_values_and_are_not_bridged),
        cmocka_unit_test(test_grid__a_channel_without_a_value_never_came),
        cmocka_unit_test(test_grid__no_samples_give_no_seconds),
        cmocka_unit_test(test_grid__overlapping_pauses_count_once),
        cmocka_unit_test(test_grid__equals_its_twin_on_random_samples),
    };
    return cmocka_run_group_tests_name("grid", tests, NULL, NULL);
}
