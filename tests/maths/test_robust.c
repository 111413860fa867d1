/* tests/maths/test_robust.c: ranks against every order counted, lines against their definition. */
#include "check.h"

#include "maths/maths.h"
#include "maths/random.h"
#include "maths/robust.h"
#include "maths/summary.h"

#include <math.h>
#include <stdio.h>

#define GAP      ((double)NAN)
#define INFINITE ((double)INFINITY)

/* Kendall's sum of y against 0, 1, 2, ... */
static int sum_of(const double y[], size_t n)
{
    int s = 0;
    for (size_t i = 0; i < n; i++) {
        for (size_t j = i + 1; j < n; j++) {
            s += (y[j] > y[i]) - (y[j] < y[i]);
        }
    }
    return s;
}

/* All orders of y[from..n-1]: how many have a sum at least as far from 0. */
static void count_orders(double y[], size_t n, size_t from, int at_least, double *far, double *all)
{
    if (from == n) {
        const int s = sum_of(y, n);
        *all += 1.0;
        *far += s >= at_least || s <= -at_least ? 1.0 : 0.0;
        return;
    }
    for (size_t i = from; i < n; i++) {
        const double held = y[from];
        y[from] = y[i];
        y[i] = held;
        count_orders(y, n, from + 1, at_least, far, all);
        y[i] = y[from];
        y[from] = held;
    }
}

static void test_robust__exact_p_counts_every_order(void **state)
{
    (void)state;
    struct random random = random_begin(31);
    for (size_t n = 2; n <= 7; n++) {
        for (int round = 0; round < 6; round++) {
            double x[7];
            double y[7];
            for (size_t i = 0; i < n; i++) {
                x[i] = (double)i;
                y[i] = random_normal(&random);
            }
            double far = 0.0;
            double all = 0.0;
            const int s = sum_of(y, n);
            count_orders(y, n, 0, s > 0 ? s : -s, &far, &all);
            const struct robust_kendall kendall = robust_find_kendall(x, y, n);
            check(kendall.p_is_exact);
            check_near("s", kendall.s, s, 0.0);
            check_near("p", kendall.p, far / all, 1e-14);
        }
    }
}

/* Where exact counting ends the normal must take over without a jump: half a step of s makes the
 * difference, so a few percent of p at 50 points. */
static void test_robust__exact_and_normal_p_meet(void **state)
{
    (void)state;
    struct random random = random_begin(32);
    double x[51];
    double y[51];
    for (int round = 0; round < 20; round++) {
        for (size_t i = 0; i < 51; i++) {
            x[i] = (double)i;
            y[i] = random_normal(&random) + 0.01 * (double)i;
        }
        const struct robust_kendall exact = robust_find_kendall(x, y, 50);
        check(exact.p_is_exact);
        const double sd = sqrt(50.0 * 49.0 * 105.0 / 18.0);
        check_near("p", exact.p, erfc((fabs(exact.s) - 1.0) / sd / sqrt(2.0)), 0.002);
        check(!robust_find_kendall(x, y, 51).p_is_exact);
    }
}

/* Kendall 1970, Rank Correlation Methods, chapter 2 (from memory): tau-b is the correlation of the
 * signs of all pairs. */
static void test_robust__tau_b_is_the_correlation_of_signs(void **state)
{
    (void)state;
    struct random random = random_begin(33);
    for (int round = 0; round < 50; round++) {
        double x[20];
        double y[20];
        double xy = 0.0;
        double xx = 0.0;
        double yy = 0.0;
        for (size_t i = 0; i < 20; i++) {
            x[i] = (double)random_below(&random, 6);
            y[i] = x[i] + (double)random_below(&random, 4);
        }
        for (size_t i = 0; i < 20; i++) {
            for (size_t j = 0; j < 20; j++) {
                const int a = (x[i] > x[j]) - (x[i] < x[j]);
                const int b = (y[i] > y[j]) - (y[i] < y[j]);
                xy += a * b;
                xx += a * a;
                yy += b * b;
            }
        }
        const struct robust_kendall kendall = robust_find_kendall(x, y, 20);
        check(!kendall.p_is_exact);
        check_near("tau-b", kendall.tau, xy / sqrt(xx * yy), 1e-14);
        check(kendall.p >= 0.0 && kendall.p <= 1.0);
    }
}

/* The variance of s under ties, against shuffling: 20,000 orders give it to 5 %. */
static void test_robust__variance_under_ties_agrees_with_shuffling(void **state)
{
    (void)state;
    struct random random = random_begin(34);
    double x[12] = { 1, 1, 1, 2, 2, 3, 4, 4, 4, 4, 5, 6 };
    double y[12] = { 1, 2, 2, 2, 3, 3, 3, 3, 4, 5, 5, 6 };
    double squares = 0.0;
    for (int round = 0; round < 20000; round++) {
        for (size_t i = 11; i > 0; i--) {
            const size_t j = (size_t)random_below(&random, i + 1);
            const double held = y[i];
            y[i] = y[j];
            y[j] = held;
        }
        const double s = robust_find_kendall(x, y, 12).s;
        squares += s * s;
    }
    const struct robust_kendall kendall = robust_find_kendall(x, y, 12);
    /* p = erfc(|s| / sd / root 2) gives the sd that was used, unless s happens to be 0. */
    check(fabs(kendall.s) > 0.0);
    double low = 1.0;
    double high = 100.0;
    for (int i = 0; i < 60; i++) {
        const double sd = 0.5 * (low + high);
        if (erfc(fabs(kendall.s) / sd / sqrt(2.0)) < kendall.p) {
            low = sd;
        } else {
            high = sd;
        }
    }
    check_close("variance", low * low, squares / 20000.0, 0.05);
}

static void test_robust__spearman_is_the_correlation_of_ranks(void **state)
{
    (void)state;
    const double x[] = { 10, 20, 20, 40, GAP, 50 };
    const double y[] = { 3, 1, 2, 5, 9, 5 };
    const double ranks_x[] = { 1, 2.5, 2.5, 4, 5 };
    const double ranks_y[] = { 3, 1, 2, 4.5, 4.5 };
    check_near("by hand", robust_find_spearman(x, y, 6), summary_correlation(ranks_x, ranks_y, 5),
               1e-14);
    check_near("falling", robust_find_spearman(x, (double[]){ 4, 3, 3, 1, 9, 0 }, 6), -1.0, 1e-14);
}

static void test_robust__a_line_is_the_median_of_slopes(void **state)
{
    (void)state;
    struct random random = random_begin(35);
    for (size_t n = 2; n <= 40; n++) {
        struct arena *arena = arena_open();
        double x[40];
        double y[40];
        double slopes[780];
        double work[780];
        size_t count = 0;
        for (size_t i = 0; i < n; i++) {
            x[i] = (double)random_below(&random, 12);
            y[i] = random_below(&random, 9) == 0 ? GAP : 2.0 * x[i] + random_normal(&random);
        }
        for (size_t i = 0; i < n; i++) {
            for (size_t j = 0; j < i; j++) {
                if (x[i] < x[j] || x[j] < x[i]) {
                    slopes[count++] = (y[i] - y[j]) / (x[i] - x[j]);
                }
            }
        }
        const struct robust_line line = robust_fit_line(arena, x, y, n, 0.9);
        check_near("slope", line.slope, summary_median(slopes, count, work), 1e-13);
        check(isnan(line.slope) || (line.low <= line.slope && line.slope <= line.high));
        arena_close(arena);
    }
}

/* How often the 95 % interval holds the true slope, over 1000 lines of 12 points with wild noise:
 * no less than promised, but for chance (0.93 is 3 sd below). */
static void test_robust__the_interval_keeps_its_promise(void **state)
{
    (void)state;
    struct random random = random_begin(36);
    int held = 0;
    for (int round = 0; round < 1000; round++) {
        struct arena *arena = arena_open();
        double x[12];
        double y[12];
        for (size_t i = 0; i < 12; i++) {
            x[i] = (double)i;
            y[i] = 3.0 * x[i] + random_normal(&random) / (0.05 + random_uniform(&random));
        }
        const struct robust_line line = robust_fit_line(arena, x, y, 12, 0.95);
        held += line.low <= 3.0 && 3.0 <= line.high;
        arena_close(arena);
    }
    printf("# note: 95 %% interval of the slope held the truth in %d of 1000\n", held);
    check(held >= 930);
}

static void test_robust__one_wild_point_hardly_moves_it(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    double x[20];
    double y[20];
    for (size_t i = 0; i < 20; i++) {
        x[i] = (double)i;
        y[i] = 5.0 + 0.5 * (double)i;
    }
    y[19] = 1e6;
    const struct robust_line line = robust_fit_line(arena, x, y, 20, 0.95);
    check_near("slope", line.slope, 0.5, 1e-12);
    check_near("intercept", line.intercept, 5.0, 1e-12);
    arena_close(arena);
}

static void test_robust__nothing_to_go_by_is_unknown(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const double same[] = { 2, 2, 2, 2 };
    const double other[] = { 1, 2, 3, 4 };
    const double wild[] = { INFINITE, GAP, -INFINITE, GAP };
    for (size_t n = 0; n <= 4; n += 2) {
        check(isnan(robust_fit_line(arena, same, other, n, 0.95).slope));
        check(isnan(robust_fit_line(arena, wild, other, n, 0.95).low));
        check(isnan(robust_fit_line(arena, other, wild, n, 0.95).intercept));
        check(isnan(robust_find_kendall(same, other, n).tau));
        check(isnan(robust_find_kendall(other, same, n).p));
        check(isnan(robust_find_kendall(wild, wild, n).tau));
        check(isnan(robust_find_spearman(same, other, n)));
        check(isnan(robust_find_spearman(wild, other, n)));
    }
    check(isnan(robust_fit_line(arena, other, other, 1, 0.95).slope));
    check(isnan(robust_fit_line(arena, other, other, 4, 1.0).low));
    check_near("level", robust_fit_line(arena, other, same, 4, 0.95).slope, 0.0, 0.0);
    check_near("two points", robust_fit_line(arena, other, other, 2, 0.95).low, 1.0, 0.0);
    arena_close(arena);
}

int main(void)
{
    maths_begin();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_robust__exact_p_counts_every_order),
        cmocka_unit_test(test_robust__exact_and_normal_p_meet),
        cmocka_unit_test(test_robust__tau_b_is_the_correlation_of_signs),
        cmocka_unit_test(test_robust__variance_under_ties_agrees_with_shuffling),
        cmocka_unit_test(test_robust__spearman_is_the_correlation_of_ranks),
        cmocka_unit_test(test_robust__a_line_is_the_median_of_slopes),
        cmocka_unit_test(test_robust__the_interval_keeps_its_promise),
        cmocka_unit_test(test_robust__one_wild_point_hardly_moves_it),
        cmocka_unit_test(test_robust__nothing_to_go_by_is_unknown),
    };
    return cmocka_run_group_tests_name("robust", tests, NULL, NULL);
}
