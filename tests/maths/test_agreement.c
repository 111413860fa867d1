/* tests/maths/test_agreement.c: agreement worked by hand, against a full analysis of variance, and
 * with nothing to compare. */
#include "check.h"

#include "maths/agreement.h"
#include "maths/maths.h"
#include "maths/random.h"

#include <math.h>

#define GAP ((double)NAN)

/* By hand: differences 1, 2, 3: mean 2, sd 1; t(0.975, 2) = 4.302653 in any table. */
static void test_agreement__limits_worked_by_hand(void **state)
{
    (void)state;
    const double a[] = { 11, GAP, 22, 33, 5 };
    const double b[] = { 10, 7, 20, 30, GAP };
    const struct agreement_limits limits = agreement_find_limits(a, b, 5, 2.0, 0.95);
    check_integer("n", (int64_t)limits.n, 3);
    check_near("bias", limits.bias, 2.0, 1e-15);
    check_near("sd", limits.sd, 1.0, 1e-15);
    check_near("lower", limits.lower, 0.0, 1e-15);
    check_near("upper", limits.upper, 4.0, 1e-15);
    check_near("bias low", limits.bias_low, 2.0 - 4.302653 / sqrt(3.0), 1e-6);
    check_near("upper high", limits.upper_high, 4.0 + 4.302653, 1e-6);
    check_near("lower low", limits.lower_low, -4.302653, 1e-6);
}

/* Shrout and Fleiss 1979: the two-way table written out, subjects x 2. */
static void test_agreement__icc_agrees_with_the_analysis_of_variance(void **state)
{
    (void)state;
    struct random random = random_begin(41);
    for (int round = 0; round < 100; round++) {
        double m[15][2];
        double first[15];
        double second[15];
        double grand = 0.0;
        double column[2] = { 0.0, 0.0 };
        for (size_t i = 0; i < 15; i++) {
            const double subject = 3.0 * random_normal(&random);
            for (size_t j = 0; j < 2; j++) {
                m[i][j] = 200.0 + subject + (double)j + random_normal(&random);
                grand += m[i][j] / 30.0;
                column[j] += m[i][j] / 15.0;
            }
            first[i] = m[i][0];
            second[i] = m[i][1];
        }
        double subjects = 0.0;
        double rest = 0.0;
        double change_sd = 0.0;
        for (size_t i = 0; i < 15; i++) {
            const double row = (m[i][0] + m[i][1]) / 2.0;
            subjects += 2.0 * (row - grand) * (row - grand) / 14.0;
            for (size_t j = 0; j < 2; j++) {
                const double e = m[i][j] - row - column[j] + grand;
                rest += e * e / 14.0;
            }
            const double e = second[i] - first[i] - (column[1] - column[0]);
            change_sd += e * e / 14.0;
        }
        const struct agreement_repeat repeat = agreement_find_repeat(first, second, 15);
        check_near("icc", repeat.icc, (subjects - rest) / (subjects + rest), 1e-11);
        check_near("mean change", repeat.mean_change, column[1] - column[0], 1e-11);
        check_close("typical error", repeat.typical_error, sqrt(change_sd / 2.0), 1e-11);
    }
}

/* By hand: every second value 10 % above the first leaves no scatter of the logarithms. */
static void test_agreement__a_steady_percentage_has_no_typical_percentage(void **state)
{
    (void)state;
    const double first[] = { 100, 200, 400 };
    const double second[] = { 110, 220, 440 };
    const struct agreement_repeat repeat = agreement_find_repeat(first, second, 3);
    check_near("cv", repeat.cv_pct, 0.0, 1e-12);
    check_near("mean change", repeat.mean_change, 70.0 / 3.0, 1e-12);
    check_near("repeatability", repeat.repeatability, 2.0 * sqrt((100.0 + 400.0 + 1600.0) / 3.0),
               1e-12);
    check(isnan(agreement_find_repeat((double[]){ 0, 1, 2 }, second, 3).cv_pct));
    check(isnan(agreement_find_repeat(first, (double[]){ 1, -1, 2 }, 3).cv_pct));
}

static void test_agreement__nothing_to_compare_is_unknown(void **state)
{
    (void)state;
    const double a[] = { 5, GAP, 5 };
    const double b[] = { GAP, 5, 5 };
    for (size_t n = 0; n <= 3; n++) {
        const struct agreement_limits limits = agreement_find_limits(a, b, n, 1.96, 0.95);
        const struct agreement_repeat repeat = agreement_find_repeat(a, b, n);
        check(isnan(limits.sd) && isnan(limits.lower) && isnan(limits.upper_high));
        check(isnan(limits.bias) == (n < 3));
        check(isnan(repeat.typical_error) && isnan(repeat.icc) && isnan(repeat.cv_pct));
        check(isnan(repeat.repeatability));
    }
    const double same[] = { 3, 3, 3 };
    check_near("no change", agreement_find_repeat(same, same, 3).typical_error, 0.0, 0.0);
    check(isnan(agreement_find_repeat(same, same, 3).icc));
    check(isnan(agreement_find_limits(same, same, 3, 2.0, 1.5).bias_low));
}

int main(void)
{
    maths_begin();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_agreement__limits_worked_by_hand),
        cmocka_unit_test(test_agreement__icc_agrees_with_the_analysis_of_variance),
        cmocka_unit_test(test_agreement__a_steady_percentage_has_no_typical_percentage),
        cmocka_unit_test(test_agreement__nothing_to_compare_is_unknown),
    };
    return cmocka_run_group_tests_name("agreement", tests, NULL, NULL);
}
