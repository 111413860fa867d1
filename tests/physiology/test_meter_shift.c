/* tests/physiology/test_meter_shift.c: a step of power at a change of meter.  Days are drawn as
 * published (sd 4.5 beats, F-30) with numbers that the estimator doesn't share. */
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
                                 100.0 * 4.5 / (GAIN * MEAN_W) };
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
        rides[i] =
            (struct shift_ride){ 100 + (int64_t)i, i < 12 ? 7 : 8, i < 12 ? 0.0 : 30.0, 8.5 };
    }
    const struct meter_shift shift = meter_shift_find(rides, 24, &limits);
    check_integer("day", shift.day, 112);
    check_integer("before", shift.before, 7);
    check_integer("after", shift.after, 8);
    check_near("step", shift.pct, 30.0, 1e-9);
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
    };
    return cmocka_run_group_tests_name("meter shift", tests, NULL, NULL);
}
