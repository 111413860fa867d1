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
};

/* A middling beginner: threshold 246 W, maximal heart rate 189. */
struct simulated_rider simulated_rider_default(void);

#endif
