/* simulated/heart.h: how heart rate answers power: the truth of a simulated ride.
 *
 *   power ── dead time ── first order (tau up, tau down) ──┐
 *                     └── above critical power: slow ──────┤
 *   rest + day ────────────────────────────────────────────┤
 *   drift over the hour ───────────────────────────────────┴── soft ceiling ── true heart rate */
#ifndef SIMULATED_HEART_H
#define SIMULATED_HEART_H

#include "simulated/rider.h"

#include <stddef.h>

enum simulated_drift_shape {
    SIMULATED_DRIFT_STRAIGHT,
    SIMULATED_DRIFT_EARLY, /* flattens: 1 - exp(-t / 20 min) */
    SIMULATED_DRIFT_LATE,  /* nothing for the first 40 % of the span, at most 25 min; then straight
                            */
    SIMULATED_DRIFT_SHAPE_COUNT
};

/* Heart rate without drift, out [n]: at the instants 0 .. n - 1, where power_w[t] is
 * ridden from t to t + 1, so out[0] = rest + day.  Exact for power that is constant within each
 * second.  First order with dead time: checks F-24.  Of power beyond 1.4 x threshold the heart
 * feels a fifth; what it makes for is bent below the rider's maximum (simulated_heart_ceiling). */
void simulated_heart_follow(const struct simulated_rider *rider, const double power_w[], size_t n,
                            double out[]);

/* The slow rise at constant power `since_s` after the span's start.  Scaled so that it grows by
 * size_bpm from minute 6 to minute 60 of the span, or to the span's end if that comes first; goes
 * on in its shape to the end of the span and then stays.  A span of 6 min or less: grows by
 * size_bpm over all of it. */
double simulated_heart_drift(enum simulated_drift_shape shape, double size_bpm, double span_s,
                             double since_s);

/* Bends heart rate below the rider's maximum: unchanged up to 8 beats under it, then approaching
 * it and never reaching it. */
double simulated_heart_ceiling(double bpm, double max_bpm);

#endif
