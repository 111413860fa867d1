/* physiology/drift.h: how far heart rate rose over a steady span, at constant power.
 *
 * On 60-s means from minute 6 of the span to minute 60 at most, regressors: 1; t/54; filtered
 * power minus its mean; q, a bow that is zero at both ends (what still settles).  Errors AR(2) on
 * a grid of partial autocorrelations; per node REML x priors; the interval is the 5 and 95 %
 * points of the mixture of t distributions.  Never a free gain.
 * Source: this project's design (science, section 4), AR errors as Pinheiro and Bates 2000. */
#ifndef PHYSIOLOGY_DRIFT_H
#define PHYSIOLOGY_DRIFT_H

#include "base/arena.h"
#include "limits/limits.h"
#include "physiology/steady.h"
#include "recording/recording.h"

struct drift {
    bool known;          /* false: the reason is in why_not */
    const char *why_not; /* "no-heart-rate", "too-short", "coverage", "no-power"; NULL if known */
    struct span fitted;  /* the seconds that were fitted */
    double minutes;      /* of the fit */
    double drift_bpm;    /* end minus start at constant power, over the minutes ridden */
    double low_bpm;      /* 90 % interval */
    double high_bpm;
    /* shown, never deciding */
    double start_bpm; /* fitted heart rate at the start and end, at mean power */
    double end_bpm;
    double plain_bpm;      /* last 5 min minus minutes 6-11 */
    double power_change_w; /* of the straight line through power, end minus start */
    double power_change_low_w;
    double power_change_high_w;
    double late_bpm_per_h;  /* slope beyond the fitted hour, NAN if the span ends there */
    double autocorrelation; /* posterior mean of the first partial autocorrelation */
};

/* threshold_w NAN: the gain prior uses the span's mean power / 0.7 in its place and widens. */
struct drift drift_fit(struct arena *arena, const struct recording *recording,
                       const struct steady *steady, double threshold_w,
                       const struct limits *limits);

#endif
