/* tests/maths/test_summary.c: summaries against their definitions, sorted and summed plainly. */
#include "check.h"

#include "maths/random.h"
#include "maths/summary.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define GAP      ((double)NAN)
#define INFINITE ((double)INFINITY)

/* Published: R manual, stats::mad, Examples: 2 for the first two rows (constant = 1).
 * The other rows are worked by hand from the definition. */
static const struct {
    const char *name;
    double x[9];
    size_t n;
    double mad;
} mad_rows[] = {
    { "one to nine", { 1, 2, 3, 4, 5, 6, 7, 8, 9 }, 9, 2.0 },
    { "one wild sample", { 1, 2, 3, 4, 5, 6, 7, 8, 100 }, 9, 2.0 },
    { "even count", { 1, 2, 3, 5, 7, 8 }, 6, 2.5 },
    { "a gap left out", { 0, GAP, 1, 10 }, 4, 1.0 },
    { "most are equal", { 4, 4, 4, 4, 9 }, 5, 0.0 },
    { "one sample", { 7 }, 1, 0.0 },
};

static void test_summary__robust_sd_follows_published_values(void **state)
{
    (void)state;
    double work[9];
    for (size_t i = 0; i < COUNT(mad_rows); i++) {
        check_near(mad_rows[i].name, summary_robust_sd(mad_rows[i].x, mad_rows[i].n, work),
                   1.4826 * mad_rows[i].mad, 1e-4);
    }
}

static void test_summary__gaps_alone_are_unknown_not_zero(void **state)
{
    (void)state;
    const double gaps[] = { GAP, GAP, GAP };
    double work[3];
    for (size_t n = 0; n <= 3; n += 3) {
        check_integer("count", (int64_t)summary_count(gaps, n), 0);
        check(isnan(summary_mean(gaps, n)));
        check(isnan(summary_sd(gaps, n)));
        check(isnan(summary_autocorrelation(gaps, n)));
        check(isnan(summary_correlation(gaps, gaps, n)));
        check(isnan(summary_median(gaps, n, work)));
        check(isnan(summary_quantile(gaps, n, 0.25, work)));
        check(isnan(summary_robust_sd(gaps, n, work)));
        check(isnan(summary_noise_sd(gaps, n, work)));
    }
}

static void test_summary__too_few_samples_say_no_more_than_they_know(void **state)
{
    (void)state;
    const double one[] = { GAP, 5, GAP };
    const double apart[] = { 5, GAP, 6 };
    double work[3];
    check_near("mean", summary_mean(one, 3), 5.0, 0.0);
    check_near("median", summary_median(one, 3, work), 5.0, 0.0);
    check_near("quantile", summary_quantile(one, 3, 0.9, work), 5.0, 0.0);
    check(isnan(summary_sd(one, 3)));
    check(isnan(summary_autocorrelation(one, 3)));
    check_near("sd of two", summary_sd(apart, 3), sqrt(0.5), 1e-15);
    check(isnan(summary_autocorrelation(apart, 3)));
    check(isnan(summary_noise_sd(apart, 3, work)));
    check(isnan(summary_correlation(one, apart, 3)));
}

static void test_summary__a_constant_has_no_spread_and_no_memory(void **state)
{
    (void)state;
    const double x[] = { 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1 };
    const double y[] = { 1, 2, 3, 4, 5, 6, 7 };
    double work[7];
    check_near("mean", summary_mean(x, 7), 0.1, 0.0);
    check_near("sd", summary_sd(x, 7), 0.0, 0.0);
    check_near("median", summary_median(x, 7, work), 0.1, 0.0);
    check_near("robust sd", summary_robust_sd(x, 7, work), 0.0, 0.0);
    check_near("noise sd", summary_noise_sd(x, 7, work), 0.0, 0.0);
    check(isnan(summary_autocorrelation(x, 7)));
    check(isnan(summary_correlation(x, y, 7)));
    check_near("a line", summary_correlation(y, y, 7), 1.0, 1e-15);
}

static void test_summary__infinite_samples_never_crash(void **state)
{
    (void)state;
    const double x[] = { INFINITE, 1, -INFINITE, INFINITE, 2, INFINITE, GAP, INFINITE };
    double work[8];
    for (size_t n = 1; n <= 8; n++) {
        (void)summary_mean(x, n);
        (void)summary_sd(x, n);
        (void)summary_autocorrelation(x, n);
        (void)summary_correlation(x, x, n);
        (void)summary_noise_sd(x, n, work);
        check(summary_robust_sd(x, n, work) >= 0.0 || isnan(summary_robust_sd(x, n, work)));
    }
    check(summary_median(x, 8, work) > 1e308);
}

/* R manual, stats::quantile, type 7, worked by hand from its formula. */
static const struct {
    const char *name;
    double x[6];
    size_t n;
    double p;
    double want;
} quantile_rows[] = {
    { "least", { 5, 1, 4, 2, 3 }, 5, 0.0, 1.0 },
    { "greatest", { 5, 1, 4, 2, 3 }, 5, 1.0, 5.0 },
    { "a sample", { 5, 1, 4, 2, 3 }, 5, 0.25, 2.0 },
    { "between", { 5, 1, 4, 2, 3 }, 5, 0.9, 4.6 },
    { "even median", { 10, 40, 20, 30 }, 4, 0.5, 25.0 },
    { "gaps left out", { GAP, 40, 10, GAP, 30, 20 }, 6, 0.5, 25.0 },
    { "p below", { 1, 2, 3 }, 3, -0.1, GAP },
    { "p above", { 1, 2, 3 }, 3, 1.1, GAP },
    { "p unknown", { 1, 2, 3 }, 3, GAP, GAP },
};

static void test_summary__quantiles_are_drawn_between_neighbours(void **state)
{
    (void)state;
    double work[6];
    for (size_t i = 0; i < COUNT(quantile_rows); i++) {
        check_near(
            quantile_rows[i].name,
            summary_quantile(quantile_rows[i].x, quantile_rows[i].n, quantile_rows[i].p, work),
            quantile_rows[i].want, 1e-13);
    }
}

static int ascending(const void *a, const void *b)
{
    const double x = *(const double *)a;
    const double y = *(const double *)b;
    return (x > y) - (x < y);
}

enum { LONGEST = 3000 };

enum shape { NOISE, FEW_VALUES, RISING, FALLING, EQUAL, PIPES, KILLER, SHAPES };

static void fill(enum shape shape, double x[], size_t n, struct random *random)
{
    for (size_t i = 0; i < n; i++) {
        const double at = (double)i;
        x[i] = shape == NOISE        ? random_normal(random)
               : shape == FEW_VALUES ? (double)random_below(random, 3)
               : shape == RISING     ? at
               : shape == FALLING    ? -at
               : shape == EQUAL      ? 250.0
                                     : fabs(at - (double)n / 2.0);
    }
    if (shape == KILLER) {
        /* Against a middle of three (Musser 1997, Softw Pract Exper 27:983, fig. 1; from memory):
         * the first half interleaves, the second ascends. */
        const size_t half = n / 2;
        for (size_t i = 0; i < half; i++) {
            x[i] = i % 2 == 0 ? (double)(i + 1) : (double)(half + i - 1 + half % 2);
            x[half + i] = (double)(2 * (i + 1));
        }
    }
}

static void test_summary__selecting_agrees_with_sorting(void **state)
{
    (void)state;
    static const double shares[] = { 0.0, 0.05, 0.25, 0.5, 0.75, 0.95, 1.0 };
    struct random random = random_begin(7);
    double *x = malloc(LONGEST * sizeof *x);
    double *sorted = malloc(LONGEST * sizeof *x);
    double *work = malloc(LONGEST * sizeof *x);
    for (int shape = 0; shape < SHAPES; shape++) {
        for (size_t n = 1; n <= LONGEST; n += n < 40 ? 1 : n / 3) {
            fill((enum shape)shape, x, n, &random);
            memcpy(sorted, x, n * sizeof *x);
            qsort(sorted, n, sizeof *x, ascending);
            for (size_t i = 0; i < COUNT(shares); i++) {
                const double place = shares[i] * (double)(n - 1);
                const size_t below = (size_t)place;
                const double step = below + 1 < n ? sorted[below + 1] - sorted[below] : 0.0;
                check_near("quantile", summary_quantile(x, n, shares[i], work),
                           sorted[below] + (place - (double)below) * step, 0.0);
            }
        }
    }
    free(x);
    free(sorted);
    free(work);
}

/* Plain sums: good enough where the mean is small. */
static void test_summary__sums_agree_with_plain_sums(void **state)
{
    (void)state;
    struct random random = random_begin(11);
    double x[500];
    double y[500];
    for (int round = 0; round < 50; round++) {
        double sum = 0;
        double n = 0;
        for (size_t i = 0; i < 500; i++) {
            x[i] = random_below(&random, 5) == 0 ? GAP : random_normal(&random);
            y[i] = random_below(&random, 5) == 0 ? GAP : random_normal(&random);
            sum += isnan(x[i]) ? 0 : x[i];
            n += isnan(x[i]) ? 0 : 1;
        }
        const double mean = sum / n;
        double squares = 0;
        double products = 0;
        double pairs = 0;
        for (size_t i = 0; i < 500; i++) {
            squares += isnan(x[i]) ? 0 : (x[i] - mean) * (x[i] - mean);
            if (i > 0 && !isnan(x[i]) && !isnan(x[i - 1])) {
                products += (x[i] - mean) * (x[i - 1] - mean);
                pairs += 1;
            }
        }
        check_near("mean", summary_mean(x, 500), mean, 1e-13);
        check_close("sd", summary_sd(x, 500), sqrt(squares / (n - 1)), 1e-13);
        check_near("autocorrelation", summary_autocorrelation(x, 500),
                   (products / pairs * (n - 1) / squares), 1e-13);
        double s[6] = { 0 };
        for (size_t i = 0; i < 500; i++) {
            if (!isnan(x[i]) && !isnan(y[i])) {
                const double add[] = { 1, x[i], y[i], x[i] * x[i], y[i] * y[i], x[i] * y[i] };
                for (size_t k = 0; k < 6; k++) {
                    s[k] += add[k];
                }
            }
        }
        check_near("correlation", summary_correlation(x, y, 500),
                   ((s[5] - s[1] * s[2] / s[0]) /
                    sqrt((s[3] - s[1] * s[1] / s[0]) * (s[4] - s[2] * s[2] / s[0]))),
                   1e-13);
    }
}

/* The noise of a series that also climbs and jumps: within 5 % of the truth at 2000 samples. */
static void test_summary__noise_is_seen_through_steps_and_slopes(void **state)
{
    (void)state;
    struct random random = random_begin(3);
    double x[2000];
    double work[2000];
    for (size_t i = 0; i < 2000; i++) {
        x[i] = 4.0 * random_normal(&random) + (double)i * 0.02 + (i / 100 % 2 == 0 ? 100.0 : 250.0);
    }
    check_close("noise", summary_noise_sd(x, 2000, work), 4.0, 0.05);
    check(summary_sd(x, 2000) > 60.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_summary__robust_sd_follows_published_values),
        cmocka_unit_test(test_summary__gaps_alone_are_unknown_not_zero),
        cmocka_unit_test(test_summary__too_few_samples_say_no_more_than_they_know),
        cmocka_unit_test(test_summary__a_constant_has_no_spread_and_no_memory),
        cmocka_unit_test(test_summary__infinite_samples_never_crash),
        cmocka_unit_test(test_summary__quantiles_are_drawn_between_neighbours),
        cmocka_unit_test(test_summary__selecting_agrees_with_sorting),
        cmocka_unit_test(test_summary__sums_agree_with_plain_sums),
        cmocka_unit_test(test_summary__noise_is_seen_through_steps_and_slopes),
    };
    return cmocka_run_group_tests_name("summary", tests, NULL, NULL);
}
