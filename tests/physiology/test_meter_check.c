/* tests/physiology/test_meter_check.c: two meters on one ride whose difference is known, because it
 * was put there. */
#include "check.h"

#include "maths/random.h"
#include "physiology/meter_check.h"

#include <math.h>
#include <stdio.h>

enum { SECONDS = 3600, RIDES = 300 };

/* A ride of pieces of 1 to 4 min between 110 and 310 W, with the legs' own scatter. */
static void ride(struct random *random, double watts[SECONDS])
{
    size_t t = 0;
    while (t < SECONDS) {
        const double level = 110.0 + 200.0 * random_uniform(random);
        const size_t length = 60 + (size_t)(180.0 * random_uniform(random));
        for (size_t i = 0; i < length && t < SECONDS; i++, t++) {
            watts[t] = level + 25.0 * random_normal(random);
        }
    }
}

/* The same legs by another meter: a ratio, a zero offset, scatter of its own, some drop-outs. */
static void meter(struct random *random, const double legs[SECONDS], double ratio, double offset_w,
                  double out[SECONDS])
{
    for (size_t t = 0; t < SECONDS; t++) {
        const bool lost = random_uniform(random) < 0.001;
        out[t] =
            lost ? (double)NAN : round(legs[t] * ratio + offset_w + 6.0 * random_normal(random));
    }
}

static void test_meter_check__finds_the_offset_that_was_put_in(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    struct random random = random_begin(7);
    static double legs[SECONDS];
    static double a[SECONDS];
    static double b[SECONDS];
    size_t held = 0;
    for (int i = 0; i < RIDES; i++) {
        struct arena *arena = arena_open();
        const double pct = -6.0 + 12.0 * random_uniform(&random);
        const int32_t lag = (int32_t)(random_uniform(&random) * 50.0) - 25;
        ride(&random, legs);
        meter(&random, legs, 1.0, 0.0, a);
        meter(&random, legs, 1.0 + pct / 100.0, 0.0, b);
        /* b began `lag` seconds later: its second 0 is second lag of a. */
        const size_t late = lag > 0 ? (size_t)lag : 0;
        const size_t early = lag < 0 ? (size_t)-lag : 0;
        const struct meter_check check =
            meter_check(arena, a + early, SECONDS - early, b + late, SECONDS - late, 0, &limits);
        check_integer("state", check.state, METER_CHECK_KNOWN);
        check_integer("lag", check.lag_s, -lag);
        check(check.correlation > 0.95);
        check(fabs(check.all.pct - pct) < 1.0);
        held += check.all.low <= pct && check.all.high >= pct ? 1 : 0;
        check(check.all.any_day_low < check.all.low && check.all.any_day_high > check.all.high);
        arena_close(arena);
    }
    printf("# note: the likely range held the offset in %zu of %d rides\n", held, RIDES);
    /* 90 %, less three standard errors. */
    check(held >= (size_t)(0.85 * RIDES));
}

/* A meter that wanders by a per cent over minutes: sixty minutes are worth far fewer, and the range
 * must say so.  Without that it would hold the offset in half of the rides. */
static void test_meter_check__a_wandering_meter_makes_the_range_wider(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    struct random random = random_begin(10);
    static double legs[SECONDS];
    static double a[SECONDS];
    static double b[SECONDS];
    size_t held = 0;
    for (int i = 0; i < RIDES; i++) {
        struct arena *arena = arena_open();
        double wander = 0.01 * random_normal(&random);
        ride(&random, legs);
        meter(&random, legs, 1.0, 0.0, a);
        for (size_t t = 0; t < SECONDS; t++) {
            /* First order, sd 1 %, five minutes of memory. */
            const double keeps = exp(-1.0 / 300.0);
            wander = keeps * wander + 0.01 * sqrt(1.0 - keeps * keeps) * random_normal(&random);
            b[t] = round(legs[t] * (1.02 + wander));
        }
        const struct meter_check check = meter_check(arena, a, SECONDS, b, SECONDS, 0, &limits);
        held += check.all.low <= 2.0 && check.all.high >= 2.0 ? 1 : 0;
        arena_close(arena);
    }
    printf("# note: wandering, the likely range held the offset in %zu of %d rides\n", held, RIDES);
    check(held >= (size_t)(0.78 * RIDES));
}

/* A zero offset of 8 W is much at 130 W and little at 270. */
static void test_meter_check__a_zero_offset_shows_at_low_power(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    struct arena *arena = arena_open();
    struct random random = random_begin(8);
    static double legs[SECONDS];
    static double a[SECONDS];
    static double b[SECONDS];
    ride(&random, legs);
    meter(&random, legs, 1.0, 0.0, a);
    meter(&random, legs, 1.0, 8.0, b);
    const struct meter_check check = meter_check(arena, a, SECONDS, b, SECONDS, 3, &limits);
    check_integer("lag", check.lag_s, 0);
    check(check.gentle.mean_w < check.hard.mean_w);
    check(check.gentle.low > check.hard.high);
    check_near("gentle", check.gentle.pct, 100.0 * 8.0 / check.gentle.mean_w, 1.0);
    check_near("hard", check.hard.pct, 100.0 * 8.0 / check.hard.mean_w, 1.0);
    arena_close(arena);
}

static void test_meter_check__another_ride_is_no_check(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    struct arena *arena = arena_open();
    struct random random = random_begin(9);
    static double a[SECONDS];
    static double b[SECONDS];
    for (int i = 0; i < 20; i++) {
        ride(&random, a);
        ride(&random, b);
        const struct meter_check check = meter_check(arena, a, SECONDS, b, SECONDS, 0, &limits);
        check_integer("state", check.state, METER_CHECK_NO_MATCH);
        check(isnan(check.all.pct));
    }
    /* Hours apart. */
    check_integer("apart", meter_check(arena, a, SECONDS, a, SECONDS, 90000, &limits).state,
                  METER_CHECK_APART);
    check_integer("short", meter_check(arena, a, 300, a, 300, 0, &limits).state, METER_CHECK_APART);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_meter_check__finds_the_offset_that_was_put_in),
        cmocka_unit_test(test_meter_check__a_wandering_meter_makes_the_range_wider),
        cmocka_unit_test(test_meter_check__a_zero_offset_shows_at_low_power),
        cmocka_unit_test(test_meter_check__another_ride_is_no_check),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
