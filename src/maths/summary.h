/* maths/summary.h: one number for a whole series.
 *
 *   x   7  9  NAN  8  100      a gap is left out, never 0: four samples
 *   mean 31, median 8.5, sd 46.0, robust sd 1.5 (one wild sample can't carry it away)
 *
 * All take x [n] in any one unit, NAN where nothing is known, and answer NAN when too few samples
 * are left to say anything; infinite samples give NAN or an infinite answer, never a crash.
 * Kernels allocate nothing: work[] is the caller's [n] scratch, its contents are lost.  Sums run in
 * array order with their rounding errors carried along, about the mean in a second pass. */
#ifndef MATHS_SUMMARY_H
#define MATHS_SUMMARY_H

#include <stddef.h>

/* Samples that aren't gaps. */
size_t summary_count(const double x[], size_t n);

/* Arithmetic mean; NAN without samples. */
double summary_mean(const double x[], size_t n);

/* Standard deviation with n - 1; NAN below two samples. */
double summary_sd(const double x[], size_t n);

/* Autocorrelation at lag 1:
 *
 *     r = sum of (x[i] - mean)(x[i + 1] - mean)  /  sum of (x[i] - mean)^2
 *
 * (Box, Jenkins and Reinsel 1994, Time Series Analysis, 3rd ed., eq. 2.1.11; NIST's univariate
 * data sets certify the same).  Neighbours are neighbours in the array: a pair with a gap is left
 * out, and the upper sum is then stretched to the pairs there would be without gaps.
 * NAN without a pair, and when all samples are equal. */
double summary_autocorrelation(const double x[], size_t n);

/* Pearson's correlation of the places where both are known; NAN below two of them, and when either
 * is constant there. */
double summary_correlation(const double x[], const double y[], size_t n);

/* The middle sample, or the mean of the middle two; NAN without samples. */
double summary_median(const double x[], size_t n, double work[]);

/* The value below which a share p of the samples lies, 0 <= p <= 1, drawn straight between
 * neighbours: place (count - 1) p of the sorted samples, counted from 0 (Hyndman and Fan 1996, Am
 * Stat 50:361-365, definition 7).  NAN without samples, and for a p outside. */
double summary_quantile(const double x[], size_t n, double p, double work[]);

/* Robust standard deviation: the median absolute deviation from the median, scaled to agree with
 * the standard deviation on normal data.  Half of the samples may be wild.  0 when more than half
 * are equal; NAN without samples.
 * Source: Rousseeuw and Croux 1993, J Am Stat Assoc 88:1273-1283. */
double summary_robust_sd(const double x[], size_t n, double work[]);

/* Robust standard deviation of the noise on a series that wanders: of the differences of
 * neighbours, over the square root of 2, so that steps and slow changes hardly count (from memory:
 * Hampel 1974, J Am Stat Assoc 69:383-393, for the median absolute deviation; differences are
 * common practice).  Right for noise that is independent from sample to sample; a difference with
 * a gap is left out.  NAN without a pair of neighbours. */
double summary_noise_sd(const double x[], size_t n, double work[]);

#endif
