/* honesty/second/ride.h: rides of a second simulator, built otherwise than the first and sharing
 * no code with it nor with the estimators.
 *
 *                  first (src/simulated)            second
 *     heart        first order with dead time,      two compartments, fast and slow, each quicker
 *                  one gain                         on than off; the gain falls with power
 *     drift        laid over the hour in a shape    heat that power stores and time takes away
 *     noise        Gaussian, eight kinds            heavy-tailed, smaller near the maximum, and
 *                                                   a slow wander
 *     strap        the rate, rounded                beats counted out, their mean over the last
 *                                                   few, late
 *     road         hills as slow swings of power    a height profile of waves, speed by mass and
 *                                                   air, watts by the slope
 *     efforts      scatter about what was asked     the rider steers by the mean so far
 *     device       dropped seconds, jitter          values repeated, coarse watts, cadence that
 *                                                   drops to 0, rows when something changed
 *
 * Truth stands beside the samples.  Riders here are as invented as there. */
#ifndef HONESTY_SECOND_RIDE_H
#define HONESTY_SECOND_RIDE_H

#include "base/arena.h"
#include "recording/recording.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct second_rider {
    double threshold_w;
    double max_bpm;
    double idle_bpm;   /* on the bike at no power */
    double rise_bpm;   /* from there to threshold, settled */
    double bend;       /* share by which the gain falls from no power to threshold */
    double fast_share; /* of the rise */
    double fast_on_s;  /* time constants */
    double fast_off_s;
    double slow_on_s;
    double slow_off_s;
    double heat_s;         /* time constant of heat that goes */
    double heat_bpm_per_h; /* stored in an hour at threshold, before any of it goes */
    double noise_bpm;      /* of the heart, beat strap aside */
    double day_bpm;        /* this day's heart against usual */
    double cadence_rpm;
    double mass_kg;
};
struct second_rider second_rider_draw(uint64_t seed);

struct second_block {
    double duration_s;
    double from_w;
    double to_w;
    bool decays;  /* from .. to in a decay, by two thirds in each third of it; else straight */
    bool is_rep;  /* truth: an effort */
    bool goes_on; /* of an effort: the same as before */
};

enum second_place {
    SECOND_TRAINER, /* indoors, the trainer holds the watts */
    SECOND_ROLLERS, /* indoors, free */
    SECOND_FLAT,
    SECOND_ROLLING,
    SECOND_TOWN,
    SECOND_PLACES
};
const char *second_place_name(enum second_place place);

struct second_device {
    int power_repeat_s;  /* a value is written so many times; 0, 1 = once */
    int power_mean_s;    /* mean of so many seconds up to now */
    double power_step_w; /* rounded to so many watts; 0 = 1 */
    double power_scale;  /* the meter shows so many times the truth; 0 = 1 */
    int beats;           /* the strap's mean is over so many beats; 0 = 4 */
    int heart_late_s;
    int heart_repeat_s;
    double cadence_zero_per_h; /* cadence falls to 0 for 3-12 s while the legs turn */
    bool without_cadence;
    double lost_per_h;   /* 1-3 s without a row */
    bool by_change;      /* a row only when watts, beats or 8 s have changed */
    double spikes_per_h; /* 1 s of 2.1-30 kW: a fault, not a quirk */
};
struct second_device second_device_draw(uint64_t seed);

struct second_plan {
    const struct second_block *blocks;
    size_t n_blocks;
    enum second_place place;
    struct second_device device;
    double temperature_c; /* NAN = no thermometer */
    uint64_t seed;
};

struct second_ride {
    struct recording *recording; /* as a reader gives it: grid filled, trust checked */
    size_t n;                    /* seconds; each array below has so many */
    double *power_w;             /* the truth */
    double *heart_bpm;           /* without noise */
    double *heat_bpm;            /* part of it that drift is */
    struct span *reps;
    size_t n_reps;
    struct span *spikes;
    size_t n_spikes;
};
struct second_ride second_ride_make(struct arena *arena, const struct second_rider *rider,
                                    const struct second_plan *plan, const struct limits *limits);

/* By how much heat would have raised heart rate over [from, to) had the rider held the mean power
 * of those seconds, from what it was at `from`. */
double second_rise_bpm(const struct second_rider *rider, const struct second_ride *ride,
                       struct span span);

/* ---- parts, for ride.c ---- */

struct second_road {
    size_t n;
    double *power_w;
    double *cadence_rpm;
    double *speed_ms;
    double *height_m;
};
struct second_road second_road_ride(struct arena *arena, const struct second_rider *rider,
                                    const struct second_plan *plan);

/* Heart rate without noise, and the heat in it; [n] each. */
void second_heart_follow(const struct second_rider *rider, const double power_w[], size_t n,
                         double heart_bpm[], double heat_bpm[]);

/* What heart rate does besides, [n]. */
void second_heart_wander(const struct second_rider *rider, const double heart_bpm[], size_t n,
                         uint64_t seed, double out[]);

/* Rows as the device wrote them. */
void second_device_write(struct arena *arena, const struct second_plan *plan,
                         const struct second_road *road, const double heart_bpm[],
                         struct samples *samples, struct second_ride *ride);

#endif
