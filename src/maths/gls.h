/* maths/gls.h: least squares for errors that remember their neighbour (AR(1)), gaps exactly.
 *
 *   y = b0 + x b + e       e of two steps that lie d apart correlate by rho^d
 *
 *   step   0   1   2   3   4   5   6   7        the grid of times is even; a step whose y or any x
 *   y      o---o---o   .   .   o---o---o        isn't finite is missing: nothing is filled in, the
 *            rho rho    rho^3   rho rho         two around it are simply three steps apart
 *
 * Steps may come in groups (riders, rides): errors of different groups don't know each other, and
 * a group starts afresh.  Errors are normal with one standard deviation.
 *
 * Use: one pass over the data, then as many fits as wanted, each a search over rho among matrices
 * of a few rows:
 *
 *     struct gls_moments *moments = gls_moments_make(arena, &model);
 *     struct gls_fit fit;
 *     if (gls_fit(moments, GLS_REML, &fit)) ...
 *
 * What the pass keeps.  With r = (1, x, y) about a centre, s the observed step before t in its
 * group, D = r[t] - r[s] and f = rho^d, the whitened step is (D + (1 - f) r[s]) / root(1 - f^2), so
 * that the sum of its products over all steps with one d is
 *
 *     ( f / (1 - f) sum DD'  +  sum (r[t]r[t]' - r[s]r[s]')  +  (1 - f) sum r[s]r[s]' ) / (1 + f)
 *
 * and the middle sum telescopes: a run of steps leaves its last minus its first.  Differences, not
 * products of neighbours, because for rho near 1 and a trend those would cancel.
 *
 * Sources: Pinheiro and Bates 2000, Mixed-Effects Models in S and S-PLUS, sections 5.1 and 5.3;
 * restricted likelihood: Patterson and Thompson 1971, Biometrika 58:545-554. */
#ifndef MATHS_GLS_H
#define MATHS_GLS_H

#include "base/arena.h"

#include <stdbool.h>
#include <stddef.h>

#define GLS_COLUMNS 10 /* of x, the constant not counted */

struct gls_model {
    const double *y; /* [n] one a step */
    const double *x; /* [n x k] by row, or NULL with k = 0; the constant is always in the model and
                        not in here */
    size_t n;
    size_t k;                 /* 0..GLS_COLUMNS */
    const size_t *group_ends; /* [groups] one past the last step of each, ascending, last = n */
    size_t groups;            /* 0 = all steps are one group */
};

struct gls_moments;

/* The pass.  The result is the arena's: some 2 kB for every different number of steps between
 * neighbours (one without gaps), and 24 bytes for every run of steps without a gap. */
struct gls_moments *gls_moments_make(struct arena *arena, const struct gls_model *model);

enum gls_method {
    GLS_REML, /* restricted likelihood: sd and rho allow for the coefficients that were fitted */
    GLS_ML,   /* likelihood: for comparing models with different x */
};

struct gls_fit {
    size_t n;                            /* steps observed */
    size_t k;                            /* columns of x */
    double coefficient[GLS_COLUMNS + 1]; /* [0] the constant, then x's */
    double se[GLS_COLUMNS + 1];          /* given rho; of the variance with n - k - 1, in both
                                            methods */
    double covariance[GLS_COLUMNS + 1][GLS_COLUMNS + 1];
    double freedom;     /* n - k - 1 */
    double residual_sd; /* of one error; over n in ML, over n - k - 1 in REML */
    double rho;         /* correlation of errors one step apart; NAN: couldn't be judged (below) */
    double rho_spread;  /* standard error of atanh rho, from the likelihood's curvature; NAN if
                           rho is NAN or at an edge */
    bool at_edge;       /* the likelihood still rises at |rho| = 0.99999, where the search ends: the
                           errors may wander for ever */
    double log_likelihood; /* restricted in REML: without a term of X'X, as R's nlme gives it */
};

/* The fit of greatest likelihood.  False, out untouched, when fewer than k + 3 steps were observed
 * or a column can't be told from the others (nothing of it is left to 1e-5 of its spread).
 * rho is NAN, and the errors are taken for independent, when no two steps of one group were
 * observed, or when x explains y to 1e-6 of its spread, so that rounding is all that is left:
 * se is then as small as the data pretend.  The likelihood has no number then: NAN.
 * Of several rho as likely as another, a positive one is meant, the greatest. */
bool gls_fit(const struct gls_moments *moments, enum gls_method method, struct gls_fit *out);

/* The same at a given rho, -1 < rho < 1: the errors' memory is known, or tried. */
bool gls_fit_at(const struct gls_moments *moments, enum gls_method method, double rho,
                struct gls_fit *out);

/* Interval of coefficient j by Student's t; level of 0..1. */
void gls_interval(const struct gls_fit *fit, size_t j, double level, double *low, double *high);

/* Interval of rho: normal for atanh rho; NAN where rho_spread is. */
void gls_rho_interval(const struct gls_fit *fit, double level, double *low, double *high);

#endif
