/* maths/step_edge.h: on which sample a series steps from one level to another, and how surely.
 *
 *     after             _______
 *                      /            the step; it may take some samples, its middle is meant
 *     before  ________/
 *
 *     x = level + noise; the noise remembers: its covariance at lag k is
 *     white (k = 0) + fast e^(-k / fast_s) + slow e^(-k / slow_s)
 *
 * For every candidate the likelihood of the whole window is computed exactly (Gaussian, full
 * covariance by way of innovations; both levels integrated out under normal priors), so that a step
 * hidden in slow noise is told by its quickness, and one in quick noise by its levels.  Least
 * squares is the special case of white noise and known levels.  Source: generalised least squares,
 * textbook. */
#ifndef MATHS_STEP_EDGE_H
#define MATHS_STEP_EDGE_H

#include "base/arena.h"

#include <stddef.h>

struct step_noise {
    double white; /* variances; their sum is the variance of the noise */
    double fast;
    double slow;
    double fast_samples; /* time constants, > 0 */
    double slow_samples;
};

/* The three variances from residuals about local means: least squares on the autocovariances at
 * lags 0 .. most_lag, none negative.
 *   residual      [n], NAN is a gap
 *   floor         the least total variance that is believed: what is missing is added as white
 * With fewer than 3 known pairs at any lag the noise is white of variance `floor`. */
struct step_noise step_noise_fit(const double residual[], size_t n, size_t most_lag,
                                 double fast_samples, double slow_samples, double floor);

struct step_window {
    const double *x; /* [n], NAN is a gap */
    size_t n;        /* up to some hundreds: the work is n^3 / 6 + candidates x n^2 */
    double before;   /* prior mean and standard deviation of the levels */
    double before_sd;
    double after;
    double after_sd;
    struct step_noise noise;
    size_t first;        /* candidates first .. last, 1 <= first <= last < n: the first sample at */
    size_t last;         /* the new level, were the step sharp */
    size_t longest_ramp; /* the step takes 1, 3, .. up to so many samples, equally likely */
};

/* log_likelihood[c - first] of candidate c, up to a constant: the highest is 0.  Without a known
 * sample all are 0. */
void step_edge_log_likelihood(struct arena *arena, const struct step_window *window,
                              double log_likelihood[]);

#endif
