/* maths/distributions.h: the normal and Student's t, and mixtures of t.
 *
 * A cdf is the share below x; a quantile is the x with the share p below: 0 gives minus infinity
 * and 1 infinity.  NAN, a p outside 0..1, and a freedom that isn't above 0 give NAN; infinite
 * freedom is the normal. */
#ifndef MATHS_DISTRIBUTIONS_H
#define MATHS_DISTRIBUTIONS_H

#include <stddef.h>

/* Standard normal. */
double distributions_normal_cdf(double x);
double distributions_normal_quantile(double p);

/* Student's t; freedom > 0, in degrees of freedom, need not be whole. */
double distributions_t_cdf(double x, double freedom);
double distributions_t_quantile(double p, double freedom);

/* The largest of k independent standard normals: its mean and variance, by summing over its
 * density k f(x) F(x)^(k - 1); right to 1e-10 for k up to 1000.  k of 0 gives NAN. */
void distributions_normal_largest(size_t k, double *mean, double *variance);

/* Several t distributions, each moved and stretched, of which one is true with a chance in
 * proportion to its weight:
 *
 *      weight 1      weight 3          cdf(x) = sum of weight x cdf_t((x - centre) / scale)
 *        .             .-.                      / sum of weight
 *   ___.' '._______.-'   '-.___
 *      centre        centre     x */
struct distributions_t_mixture {
    size_t count;         /* parts, from 1 */
    const double *weight; /* [count] >= 0 and finite, any sum; a part of weight 0 isn't looked at */
    const double *centre; /* [count] finite */
    const double *scale;  /* [count] >= 0 and finite; 0 = all of it at the centre */
    double freedom;       /* degrees of freedom of every part; INFINITY = normal */
};

/* Share of the mixture at or below x. */
double distributions_t_mixture_cdf(const struct distributions_t_mixture *mixture, double x);

/* The least x with at least the share p below, 0 < p < 1: right to 1e-10 of the
 * greatest scale, or to the last digits of x where those are coarser.
 * NAN for a mixture without weight or with a part out of range, and for p outside. */
double distributions_t_mixture_quantile(const struct distributions_t_mixture *mixture, double p);

#endif
