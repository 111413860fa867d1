/* tests/published/test_agreement_flow_meters.c: AG-01 and AG-02 of the shared checks: 17 people,
 * two flow meters, two readings each (Bland and Altman 1986, Lancet i:307-310); typical error after
 * Hopkins 2000, Sports Med 30:1-15.  All digits computed with R 4.2.2. */
#include "check.h"

#include "maths/agreement.h"
#include "maths/maths.h"
#include "maths/summary.h"

#include <math.h>
#include <stdio.h>

static const char *const PATH = "checks/agreement/pefr_bland_altman_1986.csv";

static void test_agreement__ag_01_limits_of_two_meters(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct table table = check_table(arena, PATH);
    const double *wright = check_column(arena, &table, "wright1");
    const double *mini = check_column(arena, &table, "mini1");
    const struct agreement_limits paper =
        agreement_find_limits(wright, mini, table.rows, 2.0, 0.95);
    const struct agreement_limits usual =
        agreement_find_limits(wright, mini, table.rows, 1.96, 0.95);
    const struct {
        const char *name;
        double got;
        double want;
    } rows[] = {
        { "pairs", (double)paper.n, 17 },
        { "bias", paper.bias, -2.117647 },
        { "SD", paper.sd, 38.765130 },
        { "lower limit", paper.lower, -79.647907 },
        { "upper limit", paper.upper, 75.412613 },
        { "lower limit, 1.96", usual.lower, -78.097302 },
        { "upper limit, 1.96", usual.upper, 73.862007 },
        { "SE of the bias", paper.bias_se, 9.401925 },
        { "bias, low", paper.bias_low, -22.048838 },
        { "bias, high", paper.bias_high, 17.813544 },
        { "SE of a limit", paper.limit_se, 16.284612 },
        { "lower limit, low", paper.lower_low, -114.169742 },
        { "lower limit, high", paper.lower_high, -45.126072 },
        { "upper limit, low", paper.upper_low, 40.890778 },
        { "upper limit, high", paper.upper_high, 109.934448 },
        { "r", summary_correlation(wright, mini, table.rows), 0.943279 },
    };
    double worst = 0.0;
    for (size_t i = 0; i < COUNT(rows); i++) {
        check_near(rows[i].name, rows[i].got, rows[i].want, 1e-5);
        worst = fmax(worst, fabs(rows[i].got - rows[i].want));
    }
    printf("# note: AG-01: largest error %.1e (values given to 1e-6)\n", worst);
    arena_close(arena);
}

static void test_agreement__ag_02_repeatability_of_each_meter(void **state)
{
    (void)state;
    static const struct {
        const char *first;
        const char *second;
        double typical_error;
        double cv_pct;
        double icc;
        double repeatability;
    } rows[] = {
        { "wright1", "wright2", 15.361215, 3.511767, 0.983046, 43.293798 },
        { "mini1", "mini2", 20.415806, 5.358457, 0.966905, 56.316333 },
    };
    struct arena *arena = arena_open();
    const struct table table = check_table(arena, PATH);
    double worst = 0.0;
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct agreement_repeat repeat =
            agreement_find_repeat(check_column(arena, &table, rows[i].first),
                                  check_column(arena, &table, rows[i].second), table.rows);
        const double got[] = { repeat.typical_error, repeat.cv_pct, repeat.icc,
                               repeat.repeatability };
        const double want[] = { rows[i].typical_error, rows[i].cv_pct, rows[i].icc,
                                rows[i].repeatability };
        check_integer(rows[i].first, (int64_t)repeat.n, 17);
        for (size_t k = 0; k < 4; k++) {
            check_near(rows[i].first, got[k], want[k], 1e-5);
            worst = fmax(worst, fabs(got[k] - want[k]));
        }
    }
    printf("# note: AG-02: largest error %.1e (values given to 1e-6)\n", worst);
    arena_close(arena);
}

/* PH-19: a typical error of 4.6 W at 343 W (MacInnis et al. 2019; Hopkins 2000), as a percentage,
 * and the smallest change that shows: 1.96 sd of a difference. */
static void test_agreement__ph_19_typical_error_and_the_smallest_change_that_shows(void **state)
{
    (void)state;
    static const double first[] = { 343.0 - 2.3, 343.0 + 2.3 };
    static const double second[] = { 343.0 + 2.3, 343.0 - 2.3 };
    const struct agreement_repeat repeat = agreement_find_repeat(first, second, 2);
    check_near("typical error", repeat.typical_error, 4.6, 1e-12);
    check_near("of the mean", 100.0 * repeat.typical_error / 343.0, 1.341108, 1e-6);
    const struct agreement_limits limits = agreement_find_limits(second, first, 2, 1.96, 0.95);
    check_near("shows", limits.upper, 12.750549, 1e-6);
}

int main(void)
{
    if (!check_need_shared()) {
        return 0;
    }
    maths_begin();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_agreement__ag_01_limits_of_two_meters),
        cmocka_unit_test(test_agreement__ag_02_repeatability_of_each_meter),
        cmocka_unit_test(test_agreement__ph_19_typical_error_and_the_smallest_change_that_shows),
    };
    return cmocka_run_group_tests_name("agreement_flow_meters", tests, NULL, NULL);
}
