/* tests/maths/test_distributions.c: against closed forms, and mixtures against their own cdf. */
#include "check.h"

#include "maths/distributions.h"
#include "maths/maths.h"
#include "maths/random.h"

#include <math.h>

#define GAP      ((double)NAN)
#define INFINITE ((double)INFINITY)

static const double PI = 3.14159265358979323846;

/* Student's t in closed form for 1, 2 and 4 degrees of freedom (Shaw 2006, J Comput Finance
 * 9:37-73, section 4). */
static double t_quantile_closed(double p, int freedom)
{
    if (freedom == 1) {
        return tan(PI * (p - 0.5));
    }
    const double a = 4.0 * p * (1.0 - p);
    if (freedom == 2) {
        return (2.0 * p - 1.0) * sqrt(2.0 / a);
    }
    const double q = cos(acos(sqrt(a)) / 3.0) / sqrt(a);
    return (p < 0.5 ? -2.0 : 2.0) * sqrt(fmax(q - 1.0, 0.0));
}

static void test_distributions__t_follows_its_closed_forms(void **state)
{
    (void)state;
    static const double shares[] = {
        1e-6, 0.001, 0.025, 0.05, 0.3, 0.49, 0.6, 0.95, 0.975, 0.9999
    };
    static const int freedoms[] = { 1, 2, 4 };
    for (size_t f = 0; f < COUNT(freedoms); f++) {
        for (size_t i = 0; i < COUNT(shares); i++) {
            const double want = t_quantile_closed(shares[i], freedoms[f]);
            check_close("quantile", distributions_t_quantile(shares[i], freedoms[f]), want, 1e-9);
            check_close("cdf", distributions_t_cdf(want, freedoms[f]), shares[i], 1e-9);
        }
    }
}

/* Percentage points printed in every statistics text: 1.96 and 1.645 to sixteen digits (Wichura
 * 1988, Appl Stat 37:477-484, algorithm 241, checks its program at the first two). */
static void test_distributions__normal_follows_published_points(void **state)
{
    (void)state;
    check_close("0.25", distributions_normal_quantile(0.25), -0.6744897501960817, 1e-14);
    check_close("0.001", distributions_normal_quantile(0.001), -3.090232306167814, 1e-14);
    check_close("0.975", distributions_normal_quantile(0.975), 1.959963984540054, 1e-14);
    check_close("0.95", distributions_normal_quantile(0.95), 1.6448536269514722, 1e-14);
    check_close("cdf", distributions_normal_cdf(1.959963984540054), 0.975, 1e-15);
    check_close("many degrees", distributions_t_quantile(0.975, INFINITE), 1.959963984540054,
                1e-14);
}

static void test_distributions__outside_their_range_they_are_unknown(void **state)
{
    (void)state;
    check(isnan(distributions_normal_quantile(-0.1)));
    check(isnan(distributions_normal_quantile(GAP)));
    check(isnan(distributions_normal_cdf(GAP)));
    check(isnan(distributions_t_quantile(1.1, 5)));
    check(isnan(distributions_t_quantile(GAP, 5)));
    check(isnan(distributions_t_quantile(0.5, 0)));
    check(isnan(distributions_t_quantile(0.5, GAP)));
    check(isnan(distributions_t_cdf(0.5, -1)));
    check(isnan(distributions_t_cdf(GAP, 5)));
    check(isinf(distributions_t_quantile(0.0, 5)) && distributions_t_quantile(0.0, 5) < 0);
    check(isinf(distributions_normal_quantile(1.0)) && distributions_normal_quantile(1.0) > 0);
    check_near("far below", distributions_t_cdf(-INFINITE, 5), 0.0, 0.0);
    check_near("far above", distributions_t_cdf(INFINITE, 5), 1.0, 0.0);
}

static void test_distributions__one_part_is_the_t_itself(void **state)
{
    (void)state;
    const double weight = 0.3;
    const double centre = 5.0;
    const double scale = 2.0;
    const struct distributions_t_mixture mixture = { 1, &weight, &centre, &scale, 4.0 };
    for (int i = 1; i < 20; i++) {
        const double p = i / 20.0;
        const double want = 5.0 + 2.0 * t_quantile_closed(p, 4);
        check_near("quantile", distributions_t_mixture_quantile(&mixture, p), want, 1e-9);
        check_near("cdf", distributions_t_mixture_cdf(&mixture, want), p, 1e-9);
    }
}

/* Two Cauchy parts, the equation (atan(x + d) + atan(x - d)) / 2 pi = p - 1/2 solved for x by
 * the addition of tangents: x^2 - 2 x / tan(2 pi p - pi) - 1 - d^2 = 0. */
static void test_distributions__two_parts_follow_a_closed_form(void **state)
{
    (void)state;
    const double weight[] = { 2.0, 2.0 };
    const double centre[] = { -3.0, 3.0 };
    const double scale[] = { 1.0, 1.0 };
    const struct distributions_t_mixture mixture = { 2, weight, centre, scale, 1.0 };
    for (int i = 11; i < 20; i++) {
        const double p = i / 20.0;
        const double c = 1.0 / tan(PI * (2.0 * p - 1.0));
        const double want = -c + sqrt(c * c + 1.0 + 9.0);
        check_near("above", distributions_t_mixture_quantile(&mixture, p), want, 1e-8);
        check_near("below", distributions_t_mixture_quantile(&mixture, 1.0 - p), -want, 1e-8);
    }
    check_near("middle", distributions_t_mixture_quantile(&mixture, 0.5), 0.0, 1e-8);
}

enum { PARTS = 286 };

static void test_distributions__a_quantile_has_its_share_below(void **state)
{
    (void)state;
    struct random random = random_begin(5);
    double weight[PARTS];
    double centre[PARTS];
    double scale[PARTS];
    for (int round = 0; round < 40; round++) {
        for (size_t i = 0; i < PARTS; i++) {
            weight[i] = exp(3.0 * random_normal(&random));
            centre[i] = 10.0 * random_normal(&random);
            scale[i] = exp(random_normal(&random));
        }
        const double freedom = 1.0 + (double)random_below(&random, 60);
        const struct distributions_t_mixture mixture = { PARTS, weight, centre, scale, freedom };
        double before = -INFINITE;
        for (int i = 1; i < 10; i++) {
            const double x = distributions_t_mixture_quantile(&mixture, i / 10.0);
            check(x > before);
            check_near("share", distributions_t_mixture_cdf(&mixture, x), i / 10.0, 1e-8);
            before = x;
        }
        double plain = 0.0;
        double total = 0.0;
        for (size_t i = 0; i < PARTS; i++) {
            plain += weight[i] * distributions_t_cdf((before - centre[i]) / scale[i], freedom);
            total += weight[i];
        }
        check_near("plain cdf", distributions_t_mixture_cdf(&mixture, before), plain / total,
                   1e-12);
    }
}

static void test_distributions__strange_mixtures_are_answered(void **state)
{
    (void)state;
    const double weight[] = { 1.0, 1.0, 0.0 };
    const double centre[] = { 1.0, 2.0, GAP };
    const double point[] = { 0.0, 0.0, GAP };
    const struct distributions_t_mixture points = { 3, weight, centre, point, 9.0 };
    check_near("point below", distributions_t_mixture_quantile(&points, 0.3), 1.0, 1e-15);
    check_near("point edge", distributions_t_mixture_quantile(&points, 0.5), 1.0, 1e-15);
    check_near("point above", distributions_t_mixture_quantile(&points, 0.7), 2.0, 1e-15);

    const double scale[] = { 1.0, 1.0, 1.0 };
    const double far_apart[] = { -1e300, 1e300, 0.0 };
    const struct distributions_t_mixture far = { 2, weight, far_apart, scale, 9.0 };
    check_close("far apart", distributions_t_mixture_quantile(&far, 0.25), -1e300, 1e-12);

    const double edge[] = { -1.7e308, 1.7e308, 0.0 };
    const struct distributions_t_mixture edges = { 2, weight, edge, scale, 9.0 };
    (void)distributions_t_mixture_quantile(&edges, 0.25);

    const double bad_weight[] = { 1.0, -1.0, 0.0 };
    const double no_weight[] = { 0.0, 0.0, 0.0 };
    const double bad_scale[] = { 1.0, -1.0, 1.0 };
    const struct distributions_t_mixture refused[] = {
        { 0, weight, centre, scale, 9.0 },    { 2, bad_weight, centre, scale, 9.0 },
        { 2, no_weight, centre, scale, 9.0 }, { 2, weight, centre, bad_scale, 9.0 },
        { 2, weight, centre, scale, 0.0 },    { 2, weight, centre, scale, GAP },
        { 3, scale, centre, scale, 9.0 },
    };
    for (size_t i = 0; i < COUNT(refused); i++) {
        check(isnan(distributions_t_mixture_quantile(&refused[i], 0.5)));
        check(isnan(distributions_t_mixture_cdf(&refused[i], 0.5)));
    }
    const struct distributions_t_mixture plain = { 2, weight, centre, scale, 9.0 };
    check(isnan(distributions_t_mixture_quantile(&plain, 0.0)));
    check(isnan(distributions_t_mixture_quantile(&plain, 1.0)));
    check(isnan(distributions_t_mixture_quantile(&plain, GAP)));
}

/* Of 2 and 3 in closed form: e = 1/sqrt(pi), 3/(2 sqrt(pi)); of more: Harter 1961, Biometrika
 * 48:151-165, table 1 (five decimals, from memory).  Variances of 4 and 6: Teichroew 1956, Ann Math
 * Stat 27:410-426 (from memory). */
static void test_distributions__the_largest_of_several_is_the_published_one(void **state)
{
    (void)state;
    static const struct {
        size_t k;
        double mean;
        double variance;
        double within;
    } rows[] = {
        { 1, 0, 1, 1e-9 },
        { 2, 0.56418958354775628, 0.68169011381620933, 1e-9 },
        { 3, 0.84628437532163443, 0.55946720, 1e-7 },
        { 4, 1.02938, 0.49172, 6e-6 },
        { 5, 1.16296, 0.44753, 6e-6 },
        { 6, 1.26721, 0.41593, 6e-6 },
        { 10, 1.53875, 0.34434, 6e-6 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        double mean = 0;
        double variance = 0;
        distributions_normal_largest(rows[i].k, &mean, &variance);
        check_near("mean", mean, rows[i].mean, rows[i].within);
        check_near("variance", variance, rows[i].variance, rows[i].within);
    }
    double mean = 0;
    double variance = 0;
    distributions_normal_largest(0, &mean, &variance);
    check(isnan(mean) && isnan(variance));
    /* Harter 1961, from memory: 3.24144 of 1000. */
    distributions_normal_largest(1000, &mean, &variance);
    check_near("of a thousand", mean, 3.24144, 6e-6);
}

int main(void)
{
    maths_begin();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_distributions__the_largest_of_several_is_the_published_one),
        cmocka_unit_test(test_distributions__t_follows_its_closed_forms),
        cmocka_unit_test(test_distributions__normal_follows_published_points),
        cmocka_unit_test(test_distributions__outside_their_range_they_are_unknown),
        cmocka_unit_test(test_distributions__one_part_is_the_t_itself),
        cmocka_unit_test(test_distributions__two_parts_follow_a_closed_form),
        cmocka_unit_test(test_distributions__a_quantile_has_its_share_below),
        cmocka_unit_test(test_distributions__strange_mixtures_are_answered),
    };
    return cmocka_run_group_tests_name("distributions", tests, NULL, NULL);
}
