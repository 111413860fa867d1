/* maths/gls_mixture.h: a regression whose errors remember, without believing in one memory.
 *
 * y = X b + e on an even grid of times, some of them missing; e is a stationary autoregression of
 * order two, given by its partial autocorrelations p1 and p2 (|p| < 1, so that every pair is
 * stationary).  Sixty samples can't tell a slow error from a trend, and one best-fitting memory
 * makes an interval that is too sure.  So the fit is made at every node of a grid of (p1, p2):
 *
 *   node (p1, p2)  whitened exactly, gaps too  ->  least squares, s2, restricted likelihood
 *                  prior rows on some b        ->  where the contrast c'b lies, and how widely
 *   all nodes      weight = restricted likelihood x prior  ->  a mixture of t distributions
 *
 * Errors and restricted likelihood: Pinheiro and Bates 2000, Mixed-Effects Models in S and S-PLUS,
 * chapter 5; Patterson and Thompson 1971, Biometrika 58, 545-554.  Partial autocorrelations as
 * parameters: Barndorff-Nielsen and Schou 1973, J. Multivariate Analysis 3, 408-419.  Exact
 * innovations with gaps: Jones 1980, Technometrics 22, 389-395.  All from memory; the tests hold it
 * to R's nlme and to the covariance matrix written out.
 *
 * Kernels allocate nothing: the caller hands work[]. */
#ifndef MATHS_GLS_MIXTURE_H
#define MATHS_GLS_MIXTURE_H

#include <stdbool.h>
#include <stddef.h>

#define GLS_MIXTURE_COLUMNS 6

struct gls_mixture_model {
    const double *y;          /* [n] one a step of time; NAN = missing */
    const double *x;          /* [n x k] by row, finite */
    size_t n;                 /* steps of time, missing ones included */
    size_t k;                 /* columns, 1..GLS_MIXTURE_COLUMNS */
    const double *prior_mean; /* [k], or NULL = no prior rows */
    const double *prior_sd;   /* [k]; INFINITY = none for this coefficient */
    double least_sd;          /* residual standard deviation that is believed at least: what the
                                 measurement itself can't do better than; 0 = none */
};

/* One node: the fit as if its memory were the truth. */
struct gls_mixture_node {
    double s2;             /* the errors' own (stationary) variance, from the fit without the prior
                              rows; at least least_sd squared */
    double log_likelihood; /* restricted, of the model without prior rows, at s2 */
    double mean[GLS_MIXTURE_COLUMNS];                            /* of b, with the prior rows */
    double covariance[GLS_MIXTURE_COLUMNS][GLS_MIXTURE_COLUMNS]; /* of b, given s2 */
    double freedom; /* n observed - k, less the columns that X can't tell apart */
};

/* Fits at one pair of partial autocorrelations.
 *   work  [gls_mixture_work(model)] scratch
 * A column that the others explain (or that never moves beside a constant) is left to its prior
 * row.  False when fewer than k + 2 steps are observed, or when such a column has no prior row. */
bool gls_mixture_fit_node(const struct gls_mixture_model *model, double p1, double p2,
                          double work[], struct gls_mixture_node *out);

/* Doubles of scratch that a node of this model takes. */
size_t gls_mixture_work(const struct gls_mixture_model *model);

/* Nodes, and the logarithm of the prior mass at each, up to a constant. */
struct gls_mixture_grid {
    const double *p1;           /* [n_p1] */
    const double *p1_log_prior; /* [n_p1] */
    size_t n_p1;
    const double *p2;           /* [n_p2] */
    const double *p2_log_prior; /* [n_p2] */
    size_t n_p2;
};

/* A mixture of t distributions of one number of freedom. */
struct gls_mixture {
    size_t count;     /* n_p1 x n_p2, by p1 then p2 */
    double *weight;   /* [count], sums to 1 */
    double *location; /* [count] of the contrast */
    double *scale;    /* [count] > 0 */
    double freedom;
    double estimate;                  /* mean of the mixture's locations */
    double low;                       /* 5 % point */
    double high;                      /* 95 % point */
    double mean[GLS_MIXTURE_COLUMNS]; /* of every coefficient, over the mixture */
    double p1_mean;                   /* how slow the errors look */
};

/* Fits the whole grid and mixes it for the contrast c'b.
 *   contrast  [k]
 *   form_sd   standard deviation of the contrast that comes from the model's form being wrong,
 *             added to every node's own; 0 = the form is the truth
 *   work      [gls_mixture_work(model)] scratch
 *   mixture   weight, location and scale point to room for n_p1 x n_p2 doubles each
 * False as above. */
bool gls_mixture_fit(const struct gls_mixture_model *model, const struct gls_mixture_grid *grid,
                     const double contrast[], double form_sd, double work[],
                     struct gls_mixture *mixture);

#endif
