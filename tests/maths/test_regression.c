/* tests/maths/test_regression.c: least squares against normal equations written out, and what must
 * be refused. */
#include "check.h"

#include "maths/random.h"
#include "maths/regression.h"

#include <math.h>
#include <string.h>

#define GAP      ((double)NAN)
#define INFINITE ((double)INFINITY)

/* By hand: points (1, 1), (2, 3), (3, 2) about the means (2, 2): slope 1/2, intercept 1, residuals
 * -1/2, 1, -1/2. */
static void test_regression__a_line_worked_by_hand(void **state)
{
    (void)state;
    const double x[] = { 1, GAP, 2, 3, 7 };
    const double y[] = { 1, 5, 3, 2, GAP };
    const struct regression_line line = regression_fit_line(x, y, 5);
    check_integer("n", (int64_t)line.n, 3);
    check_near("slope", line.slope, 0.5, 1e-15);
    check_near("intercept", line.intercept, 1.0, 1e-15);
    check_near("squares", line.residual_squares, 1.5, 1e-15);
    check_near("sd", line.residual_sd, sqrt(1.5), 1e-15);
    check_near("slope se", line.slope_se, sqrt(1.5 / 2.0), 1e-15);
    check_near("intercept se", line.intercept_se, sqrt(1.5 * (1.0 / 3.0 + 4.0 / 2.0)), 1e-14);
    check_near("share", line.r_squared, 1.0 - 1.5 / 2.0, 1e-15);
}

static void test_regression__a_line_that_is_not_there_is_unknown(void **state)
{
    (void)state;
    const double same[] = { 0.1, 0.1, 0.1, 0.1 };
    const double y[] = { 1, 2, 4, 3 };
    const double gaps[] = { GAP, GAP, GAP, GAP };
    check(isnan(regression_fit_line(same, y, 4).slope));
    check(isnan(regression_fit_line(same, y, 4).residual_sd));
    check(isnan(regression_fit_line(gaps, y, 4).slope));
    check(isnan(regression_fit_line(y, gaps, 4).intercept));
    check(isnan(regression_fit_line(y, y, 0).slope));
    check(isnan(regression_fit_line(y, y, 1).slope));
    const struct regression_line two = regression_fit_line(y, y, 2);
    check_near("two points", two.slope, 1.0, 1e-15);
    check(isnan(two.slope_se) && isnan(two.residual_sd));
    const struct regression_line level = regression_fit_line(y, same, 4);
    check_near("level", level.slope, 0.0, 1e-16);
    check(isnan(level.r_squared));
    const double wild[] = { 1, INFINITE, 4, 3 };
    check(!isfinite(regression_fit_line(wild, y, 4).slope));
    (void)regression_fit_line(y, wild, 4);
}

/* (X'X) b = X'y by elimination with row exchange; fine while the columns are far from dependent. */
static void solve_slowly(const double x[], const double y[], size_t n, size_t k, double b[],
                         double inverse_diagonal[])
{
    double m[12][25];
    memset(m, 0, sizeof m);
    for (size_t i = 0; i < n; i++) {
        bool known = !isnan(y[i]);
        for (size_t j = 0; j < k; j++) {
            known = known && !isnan(x[i * k + j]);
        }
        for (size_t j = 0; j < k && known; j++) {
            for (size_t l = 0; l < k; l++) {
                m[j][l] += x[i * k + j] * x[i * k + l];
            }
            m[j][k] += x[i * k + j] * y[i];
        }
    }
    for (size_t j = 0; j < k; j++) {
        m[j][k + 1 + j] = 1.0;
    }
    for (size_t j = 0; j < k; j++) {
        size_t best = j;
        for (size_t i = j + 1; i < k; i++) {
            best = fabs(m[i][j]) > fabs(m[best][j]) ? i : best;
        }
        for (size_t l = 0; l < 2 * k + 1; l++) {
            const double held = m[j][l];
            m[j][l] = m[best][l];
            m[best][l] = held;
        }
        for (size_t i = 0; i < k; i++) {
            const double by = i == j ? 0.0 : m[i][j] / m[j][j];
            for (size_t l = 0; l < 2 * k + 1; l++) {
                m[i][l] -= by * m[j][l];
            }
        }
    }
    for (size_t j = 0; j < k; j++) {
        b[j] = m[j][k] / m[j][j];
        inverse_diagonal[j] = m[j][k + 1 + j] / m[j][j];
    }
}

enum { ROWS = 60 };

static void test_regression__columns_agree_with_normal_equations(void **state)
{
    (void)state;
    struct random random = random_begin(21);
    double x[ROWS * REGRESSION_COLUMNS];
    double y[ROWS];
    double work[ROWS * (REGRESSION_COLUMNS + 1)];
    for (size_t k = 1; k <= REGRESSION_COLUMNS; k++) {
        for (int round = 0; round < 20; round++) {
            for (size_t i = 0; i < ROWS; i++) {
                for (size_t j = 0; j < k; j++) {
                    x[i * k + j] = j == 0 ? 1.0 : 3.0 + random_normal(&random);
                }
                if (random_below(&random, 10) == 0) {
                    x[i * k + random_below(&random, k)] = GAP;
                }
                y[i] = random_below(&random, 10) == 0 ? GAP : random_normal(&random);
            }
            struct regression fit;
            double b[REGRESSION_COLUMNS];
            double inverse[REGRESSION_COLUMNS];
            check(regression_fit(x, y, ROWS, k, work, &fit));
            solve_slowly(x, y, ROWS, k, b, inverse);
            double squares = 0.0;
            size_t n = 0;
            for (size_t i = 0; i < ROWS; i++) {
                double rest = y[i];
                for (size_t j = 0; j < k; j++) {
                    rest -= x[i * k + j] * b[j];
                }
                squares += isnan(rest) ? 0.0 : rest * rest;
                n += isnan(rest) ? 0 : 1;
            }
            check_integer("n", (int64_t)fit.n, (int64_t)n);
            check_close("squares", fit.residual_squares, squares, 1e-11);
            for (size_t j = 0; j < k; j++) {
                check_near("coefficient", fit.coefficient[j], b[j], 1e-10);
                check_close("se", fit.se[j], sqrt(squares / (double)(n - k) * inverse[j]), 1e-9);
                check_close("variance", fit.covariance[j][j], fit.se[j] * fit.se[j], 1e-14);
            }
        }
    }
}

static void test_regression__a_line_is_two_columns(void **state)
{
    (void)state;
    struct random random = random_begin(22);
    double x[ROWS];
    double both[2 * ROWS];
    double y[ROWS];
    double work[3 * ROWS];
    for (int round = 0; round < 50; round++) {
        for (size_t i = 0; i < ROWS; i++) {
            x[i] = 1e4 + random_normal(&random);
            both[2 * i] = 1.0;
            both[2 * i + 1] = x[i];
            y[i] = random_normal(&random) + 0.5 * (x[i] - 1e4);
        }
        const struct regression_line line = regression_fit_line(x, y, ROWS);
        struct regression fit;
        check(regression_fit(both, y, ROWS, 2, work, &fit));
        check_close("slope", fit.coefficient[1], line.slope, 1e-9);
        check_close("intercept", fit.coefficient[0], line.intercept, 1e-9);
        check_close("slope se", fit.se[1], line.slope_se, 1e-9);
        check_close("intercept se", fit.se[0], line.intercept_se, 1e-9);
        check_close("share", fit.r_squared, line.r_squared, 1e-9);
        check_near("covariance", fit.covariance[0][1], fit.covariance[1][0], 1e-12);
        check_close("covariance", fit.covariance[0][1], -1e4 * line.slope_se * line.slope_se, 1e-3);
    }
}

static void test_regression__what_cannot_be_told_apart_is_refused(void **state)
{
    (void)state;
    double x[5 * 2];
    double y[5];
    double work[5 * 3];
    struct regression fit = { .n = 99 };
    for (size_t i = 0; i < 5; i++) {
        x[2 * i] = 1.0;
        x[2 * i + 1] = 7.0;
        y[i] = (double)i;
    }
    check(!regression_fit(x, y, 5, 2, work, &fit));
    for (size_t i = 0; i < 5; i++) {
        x[2 * i] = (double)i;
        x[2 * i + 1] = 0.3 * (double)i;
    }
    check(!regression_fit(x, y, 5, 2, work, &fit));
    memset(x, 0, sizeof x);
    check(!regression_fit(x, y, 5, 1, work, &fit));
    x[0] = INFINITE;
    check(!regression_fit(x, y, 5, 1, work, &fit));
    check(!regression_fit(x, y, 0, 1, work, &fit));
    for (size_t i = 0; i < 10; i++) {
        x[i] = GAP;
    }
    check(!regression_fit(x, y, 5, 2, work, &fit));
    check_integer("untouched", (int64_t)fit.n, 99);
}

static void test_regression__no_row_left_over_leaves_the_spread_unknown(void **state)
{
    (void)state;
    const double x[] = { 1, 1, 1, 3 };
    const double y[] = { 2, 8 };
    double work[6];
    struct regression fit;
    check(regression_fit(x, y, 2, 2, work, &fit));
    check_near("constant", fit.coefficient[0], -1.0, 1e-14);
    check_near("slope", fit.coefficient[1], 3.0, 1e-14);
    check(isnan(fit.residual_sd) && isnan(fit.se[0]));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_regression__a_line_worked_by_hand),
        cmocka_unit_test(test_regression__a_line_that_is_not_there_is_unknown),
        cmocka_unit_test(test_regression__columns_agree_with_normal_equations),
        cmocka_unit_test(test_regression__a_line_is_two_columns),
        cmocka_unit_test(test_regression__what_cannot_be_told_apart_is_refused),
        cmocka_unit_test(test_regression__no_row_left_over_leaves_the_spread_unknown),
    };
    return cmocka_run_group_tests_name("regression", tests, NULL, NULL);
}
