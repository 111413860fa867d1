/* maths/agreement.h: do two methods, or two days, say the same?
 *
 *   difference |        .
 *   a - b      |- - - - - - - - - - -  upper limit   of a pair's differences about 95 % lie
 *              |   .  .    . .   .                   between the limits, if they are normal
 *              |---------------------  bias
 *              |  .  .  .    .   .                   the bias and each limit have an interval of
 *              |- - - - - - - - - - -  lower limit   their own: few pairs, wide intervals
 *              +--------------------
 *
 * Pairs with a NAN are left out.  Nothing is known below two pairs: NAN. */
#ifndef MATHS_AGREEMENT_H
#define MATHS_AGREEMENT_H

#include <stddef.h>

/* Source: Bland and Altman 1986, Lancet i:307-310. */
struct agreement_limits {
    size_t n;    /* pairs used */
    double bias; /* mean of a - b */
    double sd;   /* of a - b, with n - 1 */
    double bias_se;
    double bias_low;
    double bias_high;
    double lower; /* bias - factor x sd */
    double lower_low;
    double lower_high;
    double upper; /* bias + factor x sd */
    double upper_low;
    double upper_high;
    double limit_se; /* of either limit: sd x root of 3 / n, the paper's approximation */
};

/* Limits of agreement of a [n] and b [n].
 *   factor  1.96, or 2 as in the paper
 *   level   of the intervals, 0 < level < 1: 0.95 as in the paper; t with n - 1 degrees */
struct agreement_limits agreement_find_limits(const double a[], const double b[], size_t n,
                                              double factor, double level);

/* One method used twice on each subject. */
struct agreement_repeat {
    size_t n;             /* subjects with both */
    double mean_change;   /* of second - first */
    double sd_change;     /* with n - 1 */
    double typical_error; /* sd_change / root of 2: Hopkins 2000, Sports Med 30:1-15 */
    double cv_pct;        /* typical error of the logarithms as a percentage, 100 (e^s - 1), same
                             source; NAN if any value isn't above 0 */
    double icc;           /* intraclass correlation ICC(3,1), two-way, consistency of single
                             measurements: Shrout and Fleiss 1979, Psychol Bull 86:420-428;
                             NAN when nothing varies */
    double repeatability; /* 2 x root of the mean squared change: Bland and Altman 1986; of two
                             measurements of one subject about 95 % differ by less */
};

struct agreement_repeat agreement_find_repeat(const double first[], const double second[],
                                              size_t n);

#endif
