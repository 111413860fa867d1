/* tests/physiology/test_w_balance.c: the range of W' left. */
#include "check.h"

#include "maths/random.h"
#include "physiology/w_balance.h"

#include <math.h>

enum { N = 3600 };

static const struct w_rider RIDER = { 250, 244, 256, 20000, 16000, 24000 };

static void fill(double power[], size_t from, size_t to, double watts)
{
    for (size_t i = from; i < to; i++) {
        power[i] = watts;
    }
}

/* The definition of the differential form, by steps of a hundredth of a second. */
static double by_small_steps(double cp, double w_prime, const double power[], size_t n)
{
    double left = w_prime;
    for (size_t i = 0; i < n; i++) {
        for (int step = 0; step < 100; step++) {
            const double above = power[i] - cp;
            left -= above >= 0.0 ? above / 100.0 : above / 100.0 * (w_prime - left) / w_prime;
        }
    }
    return left;
}

static void test_w_balance__seconds_are_solved_not_stepped(void **state)
{
    (void)state;
    double power[N];
    double left[N];
    struct random random = random_begin(5);
    for (size_t i = 0; i < N; i++) {
        power[i] = 100.0 + 260.0 * random_uniform(&random);
    }
    w_balance_trace(W_DIFFERENTIAL, 250, 20000, power, N, left);
    check_near("after an hour", left[N - 1], by_small_steps(250, 20000, power, N), 2.0);
}

static void test_w_balance__range_holds_both_forms_and_both_ends(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    double power[N];
    double trace[N];
    fill(power, 0, N, 150);
    fill(power, 600, 840, 300);
    fill(power, 1080, 1320, 300);
    const struct w_balance out = w_balance_read(arena, &RIDER, power, N, &limits);
    check(out.is_known && !out.is_wrong);
    for (int form = 0; form < W_FORMS; form++) {
        w_balance_trace((enum w_form)form, 250, 20000, power, N, trace);
        for (size_t i = 0; i < N; i++) {
            check(out.low_j[i] <= trace[i] && trace[i] <= out.high_j[i]);
        }
    }
    check_integer("least at the end of the second", out.least_at_s, 1319);
    check(out.least_low_j < out.least_j && out.least_j < out.least_high_j);
    check_near("full before anything hard", out.middle_j[599], 20000, 1e-9);
    arena_close(arena);
}

static void test_w_balance__below_nought_blames_the_numbers(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    double power[N];
    fill(power, 0, N, 150);
    fill(power, 600, 1200, 330);
    const struct w_balance out = w_balance_read(arena, &RIDER, power, N, &limits);
    check(out.is_known && out.is_wrong);
    arena_close(arena);
}

static void test_w_balance__refuses_without_numbers_or_seconds(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    double power[100];
    fill(power, 0, 100, 200);
    struct w_rider rider = RIDER;
    rider.cp_w = (double)NAN;
    check(!w_balance_read(arena, &rider, power, 100, &limits).is_known);
    rider = RIDER;
    rider.w_prime_j = 0;
    check(!w_balance_read(arena, &rider, power, 100, &limits).is_known);
    check(!w_balance_read(arena, &RIDER, power, 0, &limits).is_known);
    fill(power, 0, 6, (double)NAN);
    const struct w_balance out = w_balance_read(arena, &RIDER, power, 100, &limits);
    check(!out.is_known && isnan(out.least_j));
    check_near("unknown", out.unknown_ratio, 0.06, 1e-12);
    arena_close(arena);
}

static void test_w_balance__unknown_seconds_change_nothing(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    double power[200];
    fill(power, 0, 200, 350);
    fill(power, 100, 105, (double)NAN);
    const struct w_rider alone = { 250, (double)NAN, (double)NAN, 20000, (double)NAN, (double)NAN };
    const struct w_balance out = w_balance_read(arena, &alone, power, 200, &limits);
    check(out.is_known);
    check_near("held", out.middle_j[104], out.middle_j[99], 1e-9);
    check_near("spent", w_balance_cost_j(250, power, 0, 200), 19500, 1e-9);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_w_balance__seconds_are_solved_not_stepped),
        cmocka_unit_test(test_w_balance__range_holds_both_forms_and_both_ends),
        cmocka_unit_test(test_w_balance__below_nought_blames_the_numbers),
        cmocka_unit_test(test_w_balance__refuses_without_numbers_or_seconds),
        cmocka_unit_test(test_w_balance__unknown_seconds_change_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
