/* maths/mixed_model.h: several measurements of each of several subjects.
 *
 *   y = X b + Z u(subject) + error      u ~ N(0, S), error ~ N(0, s^2), all independent
 *
 *   y |   .--.          each subject has a level of its own (one random column), or a level and a
 *     | .'    `--o      slope that may go together (two): what subjects share is told apart from
 *     |    x--x         how they differ, and from how each scatters
 *     +------------ t
 *
 * By maximum likelihood, or by restricted maximum likelihood (REML), which doesn't take the fixed
 * part as known when it judges the spread.  Found by a search over the random part relative to the
 * error; the rest is solved.
 * Sources: Bates, Maechler, Bolker and Walker 2015, J Stat Softw 67(1), section 3 (profiled
 * deviance); degrees of freedom: Satterthwaite 1946, Biometrics Bull 2, 110-114, as Giesbrecht and
 * Burns 1985, Biometrics 41, 477-486 give it for these models. */
#ifndef MATHS_MIXED_MODEL_H
#define MATHS_MIXED_MODEL_H

#include "base/arena.h"

#include <stdbool.h>
#include <stddef.h>

enum { MIXED_FIXED = 6, MIXED_RANDOM = 2 };

struct mixed_problem {
    size_t n;
    size_t k;            /* fixed columns, 1..MIXED_FIXED; a constant is a column of ones */
    size_t q;            /* random columns, 1 or 2 */
    size_t groups;       /* subjects */
    const double *y;     /* [n] */
    const double *x;     /* [n x k] by row */
    const double *z;     /* [n x q] by row */
    const size_t *group; /* [n] 0..groups - 1 */
    bool by_likelihood;  /* plain maximum likelihood; false = REML */
};
/* Rows with a NAN in y, x or z are left out. */

enum mixed_end {
    MIXED_FITTED,
    MIXED_TOO_FEW, /* fewer than 3 subjects, or not more rows than fixed columns and random parts */
    MIXED_NOT_TOLD, /* a fixed column that the others explain, or y has no scatter at all */
    MIXED_NO_END,   /* the search found no floor, or a number wasn't finite */
};
const char *mixed_end_name(enum mixed_end end); /* "fitted", "too-few", ... */

struct mixed_fit {
    size_t n;      /* rows used */
    size_t groups; /* subjects with a row */
    double fixed[MIXED_FIXED];
    double se[MIXED_FIXED];
    double freedom[MIXED_FIXED]; /* Satterthwaite's; NAN if the spread can't be judged */
    double low[MIXED_FIXED];     /* 90 % interval: fixed -+ t(0.95, freedom) se */
    double high[MIXED_FIXED];
    double random[MIXED_RANDOM][MIXED_RANDOM]; /* S: variances and covariance */
    double correlation;                        /* of the two; NAN with one, or a variance of 0 */
    double residual;                           /* s^2 */
    double criterion; /* -2 ln likelihood, restricted or not, at the answer */
    bool at_edge;     /* a random variance of 0, or a correlation of 1: subjects don't differ as far
                         as these data can tell */
    double *effects;  /* [groups x q] in the arena: what is expected of each subject's u */
};

/* Fits; out is filled only when the answer is MIXED_FITTED. */
enum mixed_end mixed_model_fit(struct arena *arena, const struct mixed_problem *problem,
                               struct mixed_fit *out);

/* What a profile interval is of. */
enum mixed_what {
    MIXED_COEFFICIENT, /* the fixed column `index` */
    MIXED_RANDOM_SD,   /* standard deviation of the one random column; of two: not offered */
    MIXED_RESIDUAL_SD
};

/* The values whose likelihood, everything else free, lies within chi-square(1)'s share of the
 * greatest: an interval that needs no standard error.  By plain likelihood, as is usual, whatever
 * the problem says.  An end at nought stays at nought.
 *   share   0.95 = 95 % interval
 * False: the fit has no answer, or the interval no end. */
bool mixed_model_profile(struct arena *arena, const struct mixed_problem *problem,
                         enum mixed_what what, size_t index, double share, double *low,
                         double *high);

#endif
