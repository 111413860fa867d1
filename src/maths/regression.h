/* maths/regression.h: least squares with independent errors: a straight line, or several columns.
 *
 *   y |        .  '      y = intercept + slope x + error
 *     |    . '  .        places where x or y is NAN are left out
 *     | . '.
 *     +------------ x    errors that remember their neighbours: maths/gls.h
 *
 * What can't be known is NAN: the slope when every x is the same, a standard error when no point
 * is left over to judge by.  Several columns go by Householder's reflections, never by normal
 * equations, which square how badly the columns tell each other apart.
 * Source: Golub and Van Loan 1996, Matrix Computations, 3rd ed., algorithms 5.2.1 and 5.3.2. */
#ifndef MATHS_REGRESSION_H
#define MATHS_REGRESSION_H

#include <stdbool.h>
#include <stddef.h>

struct regression_line {
    size_t n; /* points used */
    double intercept;
    double slope;
    double intercept_se;
    double slope_se;
    double residual_squares;
    double residual_sd; /* with n - 2 */
    double r_squared;   /* share of y's squares about its mean; NAN when y is constant */
};

/* Straight line through x [n], y [n]. */
struct regression_line regression_fit_line(const double x[], const double y[], size_t n);

#define REGRESSION_COLUMNS 12

struct regression {
    size_t n; /* rows used */
    size_t k; /* columns */
    double coefficient[REGRESSION_COLUMNS];
    double se[REGRESSION_COLUMNS];
    double covariance[REGRESSION_COLUMNS][REGRESSION_COLUMNS]; /* of the coefficients */
    double residual_squares;
    double residual_sd; /* with n - k; NAN when that is 0 */
    double r_squared; /* about the mean of y: means what it says if a constant is in the columns */
};

/* y = X b + error.
 *   x     [n x k] by row; a constant term is a column of ones that the caller puts there
 *   y     [n]
 *   k     1..REGRESSION_COLUMNS
 *   work  [n x (k + 1)] scratch
 * A row with any NAN is left out.  False, out untouched: fewer rows than columns, an infinite
 * number, or a column that the others before it explain to 1e-10 of its length. */
bool regression_fit(const double x[], const double y[], size_t n, size_t k, double work[],
                    struct regression *out);

#endif
