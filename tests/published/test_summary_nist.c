/* tests/published/test_summary_nist.c: ST-01 to ST-04 of the shared checks: mean, standard
 * deviation and lag-1 autocorrelation of four NIST data sets. */
#include "check.h"

#include "maths/summary.h"

#include <math.h>
#include <stdio.h>

/* NIST/ITL Statistical Reference Datasets, univariate: certified values; the tolerances are those
 * of the shared checks.  NumAcc1's mean is asked exactly. */
static const struct {
    const char *id;
    const char *path;
    size_t n;
    double mean;
    double sd;
    double autocorrelation;
    double tolerance[3]; /* relative, in the same order */
} rows[] = {
    { "ST-01 NumAcc1", "checks/nist/numacc1.csv", 3, 10000002, 1, -0.5, { 0, 1e-13, 1e-13 } },
    { "ST-02 NumAcc3",
      "checks/nist/numacc3.csv",
      1001,
      1000000.2,
      0.1,
      -0.999,
      { 1e-14, 1e-9, 1e-9 } },
    { "ST-03 Lottery",
      "checks/nist/lottery.csv",
      218,
      518.958715596330,
      291.699727470969,
      -0.120948622967393,
      { 1e-13, 1e-13, 1e-13 } },
    { "ST-04 Michelso",
      "checks/nist/michelso.csv",
      100,
      299.852400000000,
      0.0790105478190518,
      0.535199668621283,
      { 1e-13, 1e-11, 1e-11 } },
};

static void test_summary__st_01_to_04_agree_with_nist(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct table table = check_table(arena, rows[i].path);
        const double *y = check_column(arena, &table, "y");
        check_integer(rows[i].id, (int64_t)table.rows, (int64_t)rows[i].n);
        const double got[] = { summary_mean(y, table.rows), summary_sd(y, table.rows),
                               summary_autocorrelation(y, table.rows) };
        const double want[] = { rows[i].mean, rows[i].sd, rows[i].autocorrelation };
        double off[3];
        for (size_t k = 0; k < 3; k++) {
            off[k] = fabs(got[k] / want[k] - 1.0);
        }
        printf("# note: %s: relative error of mean %.1e, sd %.1e, autocorrelation %.1e\n",
               rows[i].id, off[0], off[1], off[2]);
        for (size_t k = 0; k < 3; k++) {
            check_close(rows[i].id, got[k], want[k], rows[i].tolerance[k]);
        }
    }
    arena_close(arena);
}

int main(void)
{
    if (!check_need_shared()) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_summary__st_01_to_04_agree_with_nist),
    };
    return cmocka_run_group_tests_name("summary_nist", tests, NULL, NULL);
}
