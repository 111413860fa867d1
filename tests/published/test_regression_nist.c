/* tests/published/test_regression_nist.c: ST-05 and ST-06 of the shared checks: a straight line and
 * six nearly dependent predictors.  NIST/ITL Statistical Reference Datasets, linear, Norris and
 * Longley: certified values and standard deviations. */
#include "check.h"

#include "maths/regression.h"

#include <math.h>
#include <stdio.h>

static void check_and_note(const char *name, double got, double want, double relative,
                           double *worst)
{
    *worst = fmax(*worst, fabs(got / want - 1.0));
    check_close(name, got, want, relative);
}

static void test_regression__st_05_norris_straight_line(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct table table = check_table(arena, "checks/nist/norris.csv");
    const double *x = check_column(arena, &table, "x");
    const double *y = check_column(arena, &table, "y");
    const struct regression_line line = regression_fit_line(x, y, table.rows);
    double *both = ARENA_ARRAY(arena, double, 2 * table.rows);
    for (size_t i = 0; i < table.rows; i++) {
        both[2 * i] = 1.0;
        both[2 * i + 1] = x[i];
    }
    struct regression fit;
    check(regression_fit(both, y, table.rows, 2, ARENA_ARRAY(arena, double, 3 * table.rows), &fit));
    const struct {
        const char *name;
        double line;
        double columns;
        double want;
    } rows[] = {
        { "intercept", line.intercept, fit.coefficient[0], -0.262323073774029 },
        { "its SD", line.intercept_se, fit.se[0], 0.232818234301152 },
        { "slope", line.slope, fit.coefficient[1], 1.00211681802045 },
        { "its SD", line.slope_se, fit.se[1], 0.000429796848199937 },
        { "R2", line.r_squared, fit.r_squared, 0.999993745883712 },
        { "residual SD", line.residual_sd, fit.residual_sd, 0.884796396144373 },
        { "residual squares", line.residual_squares, fit.residual_squares, 26.6173985294224 },
    };
    check_integer("points", (int64_t)line.n, 36);
    double worst_line = 0.0;
    double worst_columns = 0.0;
    for (size_t i = 0; i < COUNT(rows); i++) {
        check_and_note(rows[i].name, rows[i].line, rows[i].want, 1e-9, &worst_line);
        check_and_note(rows[i].name, rows[i].columns, rows[i].want, 1e-9, &worst_columns);
    }
    printf("# note: ST-05 Norris: largest relative error, line %.1e, columns %.1e\n", worst_line,
           worst_columns);
    arena_close(arena);
}

static void test_regression__st_06_longley_six_predictors(void **state)
{
    (void)state;
    static const double want[7][2] = {
        { -3482258.63459582, 890420.383607373 },     { 15.0618722713733, 84.9149257747669 },
        { -0.0358191792925910, 0.0334910077722432 }, { -2.02022980381683, 0.488399681651699 },
        { -1.03322686717359, 0.214274163161675 },    { -0.0511041056535807, 0.226073200069370 },
        { 1829.15146461355, 455.478499142212 },
    };
    static const char *const names[] = { "x1", "x2", "x3", "x4", "x5", "x6" };
    struct arena *arena = arena_open();
    const struct table table = check_table(arena, "checks/nist/longley.csv");
    const double *y = check_column(arena, &table, "y");
    double *x = ARENA_ARRAY(arena, double, 7 * table.rows);
    for (size_t j = 0; j < 7; j++) {
        const double *column = j > 0 ? check_column(arena, &table, names[j - 1]) : NULL;
        for (size_t i = 0; i < table.rows; i++) {
            x[7 * i + j] = column != NULL ? column[i] : 1.0;
        }
    }
    struct regression fit;
    check(regression_fit(x, y, table.rows, 7, ARENA_ARRAY(arena, double, 8 * table.rows), &fit));
    check_integer("rows", (int64_t)fit.n, 16);
    double worst = 0.0;
    for (size_t j = 0; j < 7; j++) {
        const char *name = j > 0 ? names[j - 1] : "constant";
        check_and_note(name, fit.coefficient[j], want[j][0], 1e-7, &worst);
        check_and_note(name, fit.se[j], want[j][1], 1e-7, &worst);
    }
    check_and_note("residual squares", fit.residual_squares, 836424.055505915, 1e-7, &worst);
    printf("# note: ST-06 Longley: largest relative error %.1e\n", worst);
    arena_close(arena);
}

int main(void)
{
    if (!check_need_shared()) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_regression__st_05_norris_straight_line),
        cmocka_unit_test(test_regression__st_06_longley_six_predictors),
    };
    return cmocka_run_group_tests_name("regression_nist", tests, NULL, NULL);
}
