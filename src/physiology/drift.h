/* physiology/drift.h: how far heart rate rose over a steady span, at constant power.
 *
 *   span    ├──────┬───────────────────────────────────────┬────────┤
 *           0    6 min            fitted                 60 min
 *
 * The span's first minutes are left out (heart rate settles); fitted are whole minutes from
 * LIMIT_DRIFT_SETTLE_S (at least five time constants) to LIMIT_DRIFT_LAST_S at most.  On 60-s
 * means of heart rate, a minute counting from LIMIT_DRIFT_MINUTE_LEAST_S usable seconds:
 *
 *   heart rate = start + drift x t/T + gain x (power as heart rate feels it - its mean)
 *                + bow x q(t) + error
 *   t/T   0 at the first fitted second, 1 at the last: its weight is end minus start over the
 *         minutes ridden, never scaled up to an hour
 *   q     (1 - e^(-s / 12 min)) less its chord, 1 at most: zero at both ends, takes up what still
 *         settles without touching end minus start
 *   gain  gain x threshold ~ N(80, 16) bpm, never free: when power sags as heart rate rises, the
 *         data can't tell one from the other, and a free gain is three to four times less sure.
 *         Where the rider's own response is known (by rides before this one), its gain with its
 *         interval, LIMIT_DRIFT_GAIN_OWN_SD_PCT at the least, takes that place, and power is felt
 *         through its time constant and dead time
 *   error an autoregression of order two, not known but mixed over (maths/gls_mixture.h)
 *
 * The 90 % interval is that of the mixture.  A result is numbers for a reading; it judges
 * nothing. */
#ifndef PHYSIOLOGY_DRIFT_H
#define PHYSIOLOGY_DRIFT_H

#include "base/arena.h"
#include "limits/limits.h"
#include "physiology/heart_response.h"
#include "physiology/steady.h"
#include "recording/recording.h"

struct drift {
    bool known;          /* false: the reason is in why_not, and every number is NAN */
    const char *why_not; /* "no-power", "no-steady-span", "too-short", "power-coverage",
                            "no-heart-rate", "heart-coverage", "heart-stuck"; NULL if known */
    struct span fitted;  /* the seconds that were fitted; also set when coverage was too low */
    double minutes;      /* of the fit */
    double drift_bpm;    /* end minus start at constant power, over the minutes ridden */
    double low_bpm;      /* 90 % interval */
    double high_bpm;
    /* shown, never deciding */
    double mean_power_w; /* of the fitted seconds; coasting zeros count */
    double start_bpm;    /* fitted heart rate at the start and end, at mean power */
    double end_bpm;
    double plain_bpm;      /* last 5 min minus first 5 min of the fit, as ridden */
    double power_change_w; /* of the straight line through power, end minus start */
    double power_change_low_w;
    double power_change_high_w;
    double late_bpm_per_h;  /* slope at constant power beyond the fitted minutes; NAN if under
                               20 min of the span are left there */
    double autocorrelation; /* posterior mean of the first partial autocorrelation, of minutes */
    double heart_coverage;  /* usable seconds over running seconds of the fit */
    double power_coverage;
};

/* threshold_w NAN: the gain prior uses the span's mean power / 0.7 in its place and widens. */
struct drift drift_fit(struct arena *arena, const struct recording *recording,
                       const struct steady *steady, double threshold_w,
                       const struct limits *limits);

/* The same with the rider's own response; NULL, or not fitted: as above. */
struct drift drift_fit_with(struct arena *arena, const struct recording *recording,
                            const struct steady *steady, double threshold_w,
                            const struct heart_response *response, const struct limits *limits);

#endif
