/* tests/recording/test_grid.c: what one place a second holds.  Expected values by hand, from the
 * rules in recording/grid.h. */
#include "check.h"

#include "recording/grid.h"

#include <math.h>

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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_grid__each_second_holds_value_and_reason),
        cmocka_unit_test(test_grid__pauses_keep_values_and_are_not_bridged),
        cmocka_unit_test(test_grid__a_channel_without_a_value_never_came),
        cmocka_unit_test(test_grid__no_samples_give_no_seconds),
        cmocka_unit_test(test_grid__overlapping_pauses_count_once),
    };
    return cmocka_run_group_tests_name("grid", tests, NULL, NULL);
}
