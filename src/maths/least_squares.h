/* maths/least_squares.h: the parameters of any smooth model, by least squares.
 *
 *   y = m(x, p) + error     minimised: sum w (y - m)^2 over the points, p within its bounds
 *
 * Levenberg and Marquardt's steps in More's trust region, from a start that the caller gives; they
 * find the hollow that the start lies in, so a model with several wants several starts.  What comes
 * back as fitted was checked afterwards: no direction of the parameters lowers the sum any more,
 * and the data tell the parameters apart.  Everything else is a reason, never a number.
 *
 * A parameter with bounds is searched through a curve that never leaves them,
 *
 *     both    p = low + (high - low) (1 + sin u) / 2        low only   p = low + s (root(u^2 + 1) -
 * 1)
 *
 * and one that ends on a bound is marked: it has no standard error, and those of the others are as
 * if it had been known.
 * Sources: More 1978, Lecture Notes in Mathematics 630, 105-116; bounds: James and Roos 1975,
 * Comput. Phys. Commun. 10, 343-367; standard errors: Bates and Watts 1988, Nonlinear Regression
 * Analysis and Its Applications, section 2.1 (linear approximation). */
#ifndef MATHS_LEAST_SQUARES_H
#define MATHS_LEAST_SQUARES_H

#include "base/arena.h"

#include <stdbool.h>
#include <stddef.h>

#define LEAST_SQUARES_PARAMETERS 12

/* The model at all n points.
 *   parameter  [k], always within the bounds
 *   with       what the caller put into the problem: the x, as a rule
 *   value      [n] filled with m
 *   slope      [n x k] by row, filled with m's derivative by each parameter; NULL: not wanted
 * False: these parameters have no answer; the search turns back. */
typedef bool least_squares_model(const double parameter[], void *with, double value[],
                                 double slope[]);

struct least_squares_problem {
    least_squares_model *model;
    void *with;
    bool without_slope; /* the model never fills slope: differences are used, at more calls */
    size_t n;
    size_t k;             /* 1..LEAST_SQUARES_PARAMETERS */
    const double *y;      /* [n] NAN = left out */
    const double *weight; /* [n] 0 or more, 0 = left out; NULL = all alike */
    bool variance_known;  /* weight is 1 / variance itself: standard errors come from it alone, not
                             from how far the points lie from the model */
    const double *start;  /* [k] inside the bounds, not on them */
    const double *low;    /* [k] -INFINITY = none; NULL = none at all */
    const double *high;   /* [k] INFINITY = none */
    size_t most_steps;    /* 0 = 200 */
};

enum least_squares_end {
    LEAST_SQUARES_FITTED,
    LEAST_SQUARES_TOO_FEW,   /* fewer points than parameters */
    LEAST_SQUARES_BAD_START, /* outside the bounds, or the model has no answer there */
    LEAST_SQUARES_NO_END,    /* the steps ran out, or stood still where the sum still falls */
    LEAST_SQUARES_NOT_TOLD,  /* the data can't tell the parameters apart */
};
const char *least_squares_end_name(enum least_squares_end end); /* "fitted", "too-few", ... */

struct least_squares_fit {
    size_t n; /* points used */
    size_t k;
    size_t steps; /* taken */
    double parameter[LEAST_SQUARES_PARAMETERS];
    double se[LEAST_SQUARES_PARAMETERS]; /* NAN on a bound, or when no point is left to judge by */
    double covariance[LEAST_SQUARES_PARAMETERS][LEAST_SQUARES_PARAMETERS]; /* 0 on a bound */
    bool at_bound[LEAST_SQUARES_PARAMETERS];
    double residual_squares; /* weighted */
    double residual_sd;      /* with n - parameters off their bounds; NAN when that is 0 */
};

/* Fits; out is filled only when the answer is LEAST_SQUARES_FITTED.
 *   arena  scratch: 8 n (2 + k) bytes (the library's own n x k doubles are given back on return) */
enum least_squares_end least_squares_fit(struct arena *arena,
                                         const struct least_squares_problem *problem,
                                         struct least_squares_fit *out);

#endif
