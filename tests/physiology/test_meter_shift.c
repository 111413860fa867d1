/* tests/physiology/test_meter_shift.c: a step of power at a change of meter or of its zero offset.
 * Days are drawn as published (sd 4.5 beats, F-30) with numbers that the estimator doesn't share.
 */
#include "check.h"

#include "maths/maths.h"
#include "maths/random.h"
#include "physiology/meter_shift.h"

#include <math.h>
#include <stdio.h>

enum { MOST = 60, TRIALS = 2000 };

static const double GAIN = 0.33; /* bpm per W: 82 at a threshold of 248 W */
static const double MEAN_W = 160.0;

/* Rides every other day, on meter 1 and then on 2, which shows `pct` more; heart rate falls by
 * `trend` beats in four weeks. */
static size_t rides_of(struct random *random, size_t before, size_t after, double pct, double trend,
                       struct shift_ride out[MOST])
{
    const size_t n = before + after;
    for (size_t i = 0; i < n; i++) {
        const int64_t day = 1000 + 2 * (int64_t)i;
        const double more_w = i < before ? 0.0 : MEAN_W * pct / 100.0;
        const double bpm =
            4.5 * random_normal(random) - trend * (double)i * 2.0 / 28.0 - GAIN * more_w;
        out[i] =
            (struct shift_ride){ day, i < before ? 1 : 2, meter_shift_above_pct(bpm, GAIN, MEAN_W),
                                 100.0 * 4.5 / (GAIN * MEAN_W), (double)NAN };
    }
    return n;
}

struct tally {
    int found;
    int may;
    double se;
    int held;
};

static struct tally try_it(size_t before, size_t after, double pct, double trend)
{
    struct random random = random_begin(before * 1000 + after * 10 + (uint64_t)pct);
    const struct limits limits = limits_default();
    struct shift_ride rides[MOST];
    struct tally tally = { 0 };
    for (int i = 0; i < TRIALS; i++) {
        const size_t n = rides_of(&random, before, after, pct, trend, rides);
        const struct meter_shift shift = meter_shift_find(rides, n, &limits);
        tally.found += shift.state == SHIFT_FOUND ? 1 : 0;
        tally.may += shift.state == SHIFT_MAY ? 1 : 0;
        tally.se += shift.se_pct / TRIALS;
        tally.held += shift.low_pct <= pct && pct <= shift.high_pct ? 1 : 0;
    }
    printf("# note: %zu + %zu rides, %+.0f %%, trend %.0f: found %.1f %%, may %.1f %%, se %.1f %%, "
           "held %.0f %%\n",
           before, after, pct, trend, 100.0 * tally.found / TRIALS, 100.0 * tally.may / TRIALS,
           tally.se, 100.0 * tally.held / TRIALS);
    return tally;
}

static void test_meter_shift__no_step_is_hardly_ever_claimed(void **state)
{
    (void)state;
    check(try_it(6, 6, 0.0, 0.0).found * 100 <= TRIALS);
    check(try_it(20, 20, 0.0, 2.0).found * 100 <= TRIALS);
    check(try_it(4, 4, 0.0, 0.0).may * 20 <= TRIALS);
}

static void test_meter_shift__a_large_step_is_found(void **state)
{
    (void)state;
    check(try_it(12, 12, 25.0, 0.0).found * 10 >= TRIALS * 8);
    check(try_it(20, 20, 20.0, 2.0).held * 10 >= TRIALS * 8);
    check(try_it(4, 4, 30.0, 0.0).may * 2 >= TRIALS);
}

static void test_meter_shift__too_few_rides_or_no_change_say_nothing(void **state)
{
    (void)state;
    struct random random = random_begin(1);
    const struct limits limits = limits_default();
    struct shift_ride rides[MOST];
    size_t n = rides_of(&random, 10, 2, 60.0, 0.0, rides);
    check(meter_shift_find(rides, n, &limits).state == SHIFT_NONE);
    n = rides_of(&random, 20, 0, 0.0, 0.0, rides);
    check(meter_shift_find(rides, n, &limits).state == SHIFT_NONE);
    check(meter_shift_find(rides, 0, &limits).state == SHIFT_NONE);
    n = rides_of(&random, 10, 10, 60.0, 0.0, rides);
    for (size_t i = 0; i < n; i++) {
        rides[i].meter = 0; /* not known */
    }
    check(meter_shift_find(rides, n, &limits).state == SHIFT_NONE);
}

/* A step alone, without scatter: its size is the number wanted but for the hold on the trend. */
static void test_meter_shift__size_by_hand(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    struct shift_ride rides[24];
    for (size_t i = 0; i < 24; i++) {
        rides[i] = (struct shift_ride){ 100 + (int64_t)i, i < 12 ? 7 : 8, i < 12 ? 0.0 : 30.0, 8.5,
                                        (double)NAN };
    }
    const struct meter_shift shift = meter_shift_find(rides, 24, &limits);
    check_integer("day", shift.day, 112);
    check_integer("before", shift.before, 7);
    check_integer("after", shift.after, 8);
    check_near("step", shift.pct, 30.0, 1e-9);
    check(shift.state == SHIFT_FOUND);
}

/* ---- zero offsets ---- */

/* All rides on one meter, whose offset strays by `stray` counts from ride to ride and is `more`
 * higher from the change on. */
static void on_one_meter(struct random *random, size_t before, double stray, double more,
                         struct shift_ride rides[], size_t n)
{
    for (size_t i = 0; i < n; i++) {
        rides[i].meter = 1;
        rides[i].offset_counts =
            round(812.0 + stray * random_normal(random) + (i < before ? 0.0 : more));
    }
}

struct offset_row {
    const char *name;
    double stray;
    double more;
    double pct;
    int found[2]; /* of 100, at least and at most */
    int tried[2]; /* there was a change to look at */
};

static void try_offsets(const struct offset_row *row)
{
    enum { BEFORE = 15, AFTER = 15 };
    struct random random = random_begin(77);
    const struct limits limits = limits_default();
    struct shift_ride rides[MOST];
    int found = 0;
    int tried = 0;
    int at_change = 0;
    for (int i = 0; i < TRIALS; i++) {
        const size_t n = rides_of(&random, BEFORE, AFTER, row->pct, 0.0, rides);
        on_one_meter(&random, BEFORE, row->stray, row->more, rides, n);
        const struct meter_shift shift = meter_shift_find(rides, n, &limits);
        found += shift.state == SHIFT_FOUND ? 1 : 0;
        tried += !isnan(shift.pct) ? 1 : 0;
        at_change += shift.state == SHIFT_FOUND && shift.day == rides[BEFORE].day ? 1 : 0;
        check(isnan(shift.pct) || shift.before == shift.after);
        check(isnan(shift.pct) == isnan(shift.offset_after));
    }
    printf("# note: %s: looked at %.1f %%, found %.1f %%, on its day %.1f %%\n", row->name,
           100.0 * tried / TRIALS, 100.0 * found / TRIALS, 100.0 * at_change / TRIALS);
    check(found * 100 >= row->found[0] * TRIALS && found * 100 <= row->found[1] * TRIALS);
    check(tried * 100 >= row->tried[0] * TRIALS && tried * 100 <= row->tried[1] * TRIALS);
    check(row->pct < 1.0 || at_change >= found - found / 50);
}

static void test_meter_shift__zero_offsets_date_a_step_and_make_none(void **state)
{
    (void)state;
    static const struct offset_row rows[] = {
        { "offset and power step", 8.0, 400.0, 25.0, { 90, 100 }, { 99, 100 } },
        { "offset down, power steps", 8.0, -400.0, 25.0, { 90, 100 }, { 99, 100 } },
        { "offset changes, power stays", 8.0, 400.0, 0.0, { 0, 1 }, { 99, 100 } },
        { "power steps, offset strays", 8.0, 0.0, 25.0, { 0, 0 }, { 0, 0 } },
        { "offset strays widely, power stays", 300.0, 0.0, 0.0, { 0, 1 }, { 50, 100 } },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        try_offsets(&rows[i]);
    }
}

/* Without scatter: what is a change and what isn't. */
static void test_meter_shift__an_offset_must_move_far_and_last(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    const double line = limits.value[LIMIT_SHIFT_OFFSET_COUNTS];
    const double unknown = (double)NAN;
    const struct {
        const char *name;
        double offset[12]; /* of 12 rides; power is 30 % higher from the seventh on */
        bool is_change;
    } rows[] = {
        { "far", { 0, 0, 0, 0, 0, 0, 900, 900, 900, 900, 900, 900 }, true },
        { "at the line", { 0, 0, 0, 0, 0, 0, line, line, line, line, line, line }, false },
        { "past it",
          { 0, 0, 0, 0, 0, 0, line + 1, line + 1, line + 1, line + 1, line + 1, line + 1 },
          true },
        { "one odd one", { 0, 0, 0, 0, 0, 0, 900, 0, 0, 0, 0, 0 }, false },
        { "bit by bit", { 0, 40, 80, 120, 160, 200, 240, 280, 320, 360, 400, 440 }, false },
        { "known late",
          { unknown, unknown, unknown, unknown, 0, 0, 900, 900, 900, 900, 900, 900 },
          false },
        { "never known",
          { unknown, unknown, unknown, unknown, unknown, unknown, unknown, unknown, unknown,
            unknown, unknown, unknown },
          false },
    };
    for (size_t r = 0; r < COUNT(rows); r++) {
        struct shift_ride rides[12];
        for (size_t i = 0; i < 12; i++) {
            rides[i] = (struct shift_ride){ 100 + (int64_t)i, 7, i < 6 ? 0.0 : 30.0, 8.5,
                                            rows[r].offset[i] };
        }
        const struct meter_shift shift = meter_shift_find(rides, 12, &limits);
        check_text(rows[r].name, isnan(shift.pct) ? "none" : "change",
                   rows[r].is_change ? "change" : "none");
        if (rows[r].is_change) {
            check_integer(rows[r].name, shift.day, 106);
            check_near(rows[r].name, shift.pct, 30.0, 1e-9);
            check_near(rows[r].name, shift.offset_before, rows[r].offset[5], 0.0);
            check_near(rows[r].name, shift.offset_after, rows[r].offset[6], 0.0);
            check(shift.state == SHIFT_FOUND);
        }
    }
}

/* A new offset on the new meter later on, without a step, doesn't hide the step at the meter. */
static void test_meter_shift__a_later_offset_doesnt_hide_a_meter(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    struct shift_ride rides[24];
    for (size_t i = 0; i < 24; i++) {
        rides[i] = (struct shift_ride){ 100 + (int64_t)i, i < 10 ? 7 : 8, i < 10 ? 0.0 : 30.0, 8.5,
                                        i < 18 ? 500.0 : 1500.0 };
    }
    const struct meter_shift shift = meter_shift_find(rides, 24, &limits);
    check_integer("day", shift.day, 110);
    check_integer("before", shift.before, 7);
    check_integer("after", shift.after, 8);
    check_integer("rides before", (int64_t)shift.n_before, 10);
    check_integer("rides after, over the change of offset", (int64_t)shift.n_after, 14);
    check(isnan(shift.offset_before) && isnan(shift.offset_after));
    check(shift.state == SHIFT_FOUND);
}

int main(void)
{
    maths_begin();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_meter_shift__no_step_is_hardly_ever_claimed),
        cmocka_unit_test(test_meter_shift__a_large_step_is_found),
        cmocka_unit_test(test_meter_shift__too_few_rides_or_no_change_say_nothing),
        cmocka_unit_test(test_meter_shift__size_by_hand),
        cmocka_unit_test(test_meter_shift__zero_offsets_date_a_step_and_make_none),
        cmocka_unit_test(test_meter_shift__an_offset_must_move_far_and_last),
        cmocka_unit_test(test_meter_shift__a_later_offset_doesnt_hide_a_meter),
    };
    return cmocka_run_group_tests_name("meter shift", tests, NULL, NULL);
}
