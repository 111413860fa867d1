/* maths/robust.h: trends that a few wild points can't turn: Theil and Sen's line, ranks.
 *
 *   y |          o   one wild point of ten moves least squares; the median of all slopes between
 *     |    . . '     two points hardly notices
 *     | . '
 *     +---------- x
 *
 * Places where x or y is NAN are left out; an infinite x or y likewise.  All pairs are looked at:
 * time grows with n^2, and so does the scratch of the line: a caller caps n (2000 points: 16 MB).
 */
#ifndef MATHS_ROBUST_H
#define MATHS_ROBUST_H

#include "base/arena.h"

#include <stdbool.h>
#include <stddef.h>

struct robust_line {
    size_t n;         /* points used */
    double slope;     /* median of the slopes of all pairs with different x; NAN without one */
    double low;       /* interval of the slope */
    double high;      /* */
    double intercept; /* median of y - slope x median of x (Conover 1980, Practical Nonparametric
                         Statistics, 2nd ed., p. 267) */
};

/* Theil and Sen's line with Sen's interval: the slopes whose ranks are z sd(S) to either side of
 * the middle, S being Kendall's sum with its variance under ties.
 *   arena  scratch: 8 bytes a pair
 *   level  of the interval, 0 < level < 1
 * Below two points all is NAN.  With few points the ranks run off the end: the interval is then the
 * whole range of slopes and no promise of the level, which starts at 5 points for 0.95.
 * Sources: Theil 1950, Proc Kon Ned Akad Wet A53:386-392; Sen 1968, J Am Stat Assoc 63:1379-1389,
 * sections 3 and 5. */
struct robust_line robust_fit_line(struct arena *arena, const double x[], const double y[],
                                   size_t n, double level);

struct robust_kendall {
    size_t n;        /* pairs (x, y) used */
    double s;        /* concordant minus discordant pairs */
    double tau;      /* tau-b: s over the root of the pairs not tied in x x the pairs not tied in y;
                        without ties it is the plain tau.  NAN when x or y is constant */
    double p;        /* two-sided: how often independent x and y give an s so far from 0 */
    bool p_is_exact; /* counted over all orders (no ties and n <= 50); false: normal, with the
                        variance under ties */
};

/* Sources: Kendall 1970, Rank Correlation Methods, 4th ed., chapters 3 to 5; exact counts by the
 * recurrence of inversions, as its section 5.2. */
struct robust_kendall robust_find_kendall(const double x[], const double y[], size_t n);

/* Spearman's correlation of ranks, ties sharing their mean rank; NAN when x or y is constant.
 * Source: Spearman 1904, Am J Psychol 15:72-101. */
double robust_find_spearman(const double x[], const double y[], size_t n);

#endif
