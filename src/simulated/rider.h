/* simulated/rider.h: an invented rider with a heart of her own.
 *
 * Shares no code with what it tests: own kinetics, own noise, own random numbers. */
#ifndef SIMULATED_RIDER_H
#define SIMULATED_RIDER_H

#include "base/arena.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct simulated_rider {
    double threshold_w;
    double critical_power_w;
    double w_prime_j;
    double max_heart_rate_bpm;
    double rest_heart_rate_bpm; /* on the bike, not pedalling */
    double gain_bpm_per_w;      /* steady-state rise per watt */
    double tau_up_s;            /* heart-rate time constants; differ, as real ones may */
    double tau_down_s;
    double dead_time_s;
    double day_bpm; /* this day's offset */
    /* Above critical power heart rate goes on rising: per watt above it, with its own slow time
     * constant.  0 = first order only. */
    double slow_gain_bpm_per_w;
    double slow_tau_s;
    double cadence_rpm; /* what she turns when nobody asks; 0 = 85 */
    double mass_kg;     /* rider, bicycle, bottles; 0 = 82 */
};

/* A middling beginner: threshold 246 W, maximal heart rate 189. */
struct simulated_rider simulated_rider_default(void);

/* Another rider for every seed: threshold 140 to 340 W, maximal heart rate 165 to 205, heart-rate
 * gain x threshold about 82 (16) bpm and time constant 21 to 120 s, as the published spread has
 * them (checks F-20, F-21, F-22). */
struct simulated_rider simulated_rider_draw(uint64_t seed);

#endif
