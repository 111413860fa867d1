/* maths/mixed_parts.h: what the fit and the profiles of a mixed model share. */
#ifndef MATHS_MIXED_PARTS_H
#define MATHS_MIXED_PARTS_H

#include "maths/mixed_model.h"

enum { MIXED_THETA = 3 };

/* A subject's sums of products: all that a likelihood needs of the rows. */
struct mixed_sums {
    size_t n;
    double zz[MIXED_RANDOM][MIXED_RANDOM];
    double zx[MIXED_RANDOM][MIXED_FIXED];
    double zy[MIXED_RANDOM];
};

/* The problem as sums; y has its plain least squares taken out, so that no digits are lost. */
struct mixed_work {
    size_t n;
    size_t k;
    size_t q;
    size_t groups;
    size_t used_groups;
    size_t n_theta; /* 1, or 3 with two random columns */
    bool by_likelihood;
    struct mixed_sums *of; /* [groups] */
    double xx[MIXED_FIXED][MIXED_FIXED];
    double xy[MIXED_FIXED];
    double yy;
    double taken[MIXED_FIXED]; /* coefficients of what was taken out */
};

/* The likelihood's parts at one theta: the lower triangle of S's root over s, by column. */
struct mixed_parts {
    double log_random; /* ln det of the random part */
    double log_fixed;  /* ln det of the fixed part, once it is solved */
    double squares;    /* what is left unexplained, with the price of the random part */
    double fixed[MIXED_FIXED];
    double inverse[MIXED_FIXED][MIXED_FIXED]; /* covariance of fixed over s^2 */
};

enum mixed_end mixed_prepare(struct arena *arena, const struct mixed_problem *problem,
                             struct mixed_work *work);

/* False where it isn't finite. */
bool mixed_at(const struct mixed_work *work, const double theta[], struct mixed_parts *out);

/* -2 ln likelihood with s^2 at its best for these parts, and with s given. */
double mixed_criterion(const struct mixed_work *work, const struct mixed_parts *parts);
double mixed_criterion_at(const struct mixed_work *work, const struct mixed_parts *parts, double s);

/* Each subject's part of the answer: u = S^(1/2) (...) into effects [q]. */
void mixed_effect(const struct mixed_work *work, const double theta[], size_t group,
                  const double fixed[], double effects[]);

/* The least of a function of `n` <= 3 numbers; at holds the start and gets the place.  False: it
 * found no floor. */
typedef double mixed_function(const double at[], void *with);
bool mixed_least(mixed_function *function, void *with, double at[], size_t n, double *least);

#endif
