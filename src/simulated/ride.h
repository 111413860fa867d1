/* simulated/ride.h: a ride of an invented rider, with the truth beside it.
 *
 *     blocks                     what she set out to do
 *        │  road.h                 scatter, hills, coasting, junctions: what the legs did
 *        │  heart.h, noise.h       what the heart made of it; the truth is kept
 *        ▼  device                 rounding, averaging, missing seconds
 *     samples
 *
 * A plan that is zero but for its blocks is a clean indoor ride: pedalling scatter and heart noise
 * of ordinary size, a device without quirks, no drift. */
#ifndef SIMULATED_RIDE_H
#define SIMULATED_RIDE_H

#include "base/arena.h"
#include "recording/recording.h"
#include "simulated/heart.h"
#include "simulated/noise.h"
#include "simulated/rider.h"

/* One block of what the rider set out to do. */
struct simulated_block {
    double duration_s;
    double power_w;     /* at its start */
    double end_power_w; /* at its end, straight between; NAN = the same */
    double cadence_rpm; /* NAN = about 85 */
    bool is_rep;        /* truth: counts as an effort */
    bool goes_on;       /* of is_rep: the same effort as the block before (over-unders) */
    bool is_stop;       /* standing: power, speed, cadence 0 */
    bool timer_off;     /* the device's timer stands during it: no samples; never the first block */
};

/* What a device does to the truth.  Zero: nothing but rounding to whole units, one row a second. */
struct simulated_device {
    double missing_per_h;    /* gaps of 1-2 s without a record */
    double jitter_per_h;     /* records stamped a second late: one second doubled, one empty */
    int heart_hold_s;        /* heart rate is renewed every so many seconds; 0 or 1 = each */
    int heart_lag_s;         /* and comes that late */
    double heart_jitter_bpm; /* white, on top of the noise: how the strap averages beats */
    int power_average_s;     /* power is the mean of so many seconds up to now; 0 or 1 = its own */
    double power_scale;      /* the meter shows so many times the truth; 0 = 1 */
    bool without_power;
    bool without_heart;
    bool without_balance;
    bool without_cadence;
    bool auto_pause;         /* the timer stands from the 4th second of every stop on */
    double smart_interval_s; /* "smart" recording: a row only every 1-8 s, so many on average; 0 or
                              * 1 = each second */
};

/* The quirks of some device, another for every seed; now and then none
 * but the strap's jitter. */
struct simulated_device simulated_device_draw(uint64_t seed);

struct simulated_plan {
    const struct simulated_block *blocks;
    size_t n_blocks;
    bool outdoors;          /* hills, coasting, junctions, gusts: power varies */
    double power_cv;        /* second-to-second scatter of power, share of it; 0 = by seed, 3-8 %
                             * indoors, 10-25 % outdoors; < 0 = none, and edges are sharp */
    double hilliness;       /* 0 flat .. 1 hard hills: slow swings of power; outdoors */
    double coasting_ratio;  /* share of seconds at 0 W outside stops and efforts; outdoors */
    double junctions_per_h; /* short stops of 5-40 s; outdoors, never in efforts */
    double drift_bpm;       /* true rise at constant power from minute 6 to minute 60 (or the end)
                             * of the span drift_from_s .. drift_to_s: see heart.h */
    double drift_from_s;
    double drift_to_s; /* 0 = the ride's end */
    int drift_shape;   /* enum simulated_drift_shape: 0 straight, 1 early (flattens), 2 late */
    enum simulated_noise noise;
    double noise_bpm;          /* its standard deviation; 0 = default 1.5; < 0 = none */
    double temperature_c;      /* NAN = the device has no thermometer */
    double temperature_rise_c; /* over the ride */
    int64_t start_utc;
    uint64_t seed;
    struct simulated_device device;
};

/* Truth of an effort: the edges of its block.  The legs change over within a few seconds around
 * them (1-3 s indoors, up to 6 s outdoors). */
struct simulated_rep {
    int32_t start_s;
    int32_t end_s;
    double mean_power_w; /* of the true power between the edges */
};

struct simulated_ride {
    struct samples samples; /* 1 Hz in ascending time; all channels the device has */
    size_t n_seconds;       /* of the whole ride, seconds without a sample too */
    /* The truth on every second, [n_seconds] */
    double *second_power_w;
    double *second_heart_bpm;
    double *true_heart_bpm;     /* [samples.count] before noise and rounding, beside the samples */
    struct simulated_rep *reps; /* [n_reps] */
    size_t n_reps;
    struct span *timer_stops; /* [n_timer_stops] */
    size_t n_timer_stops;
    double drift_bpm;          /* the truth over minutes 6-60 of the span drift_from..to */
    double max_heart_rate_bpm; /* the rider's */
};

struct simulated_ride simulated_ride_make(struct arena *arena, const struct simulated_rider *rider,
                                          const struct simulated_plan *plan);

/* A recording as a reader would give it (grid filled, trust checked), without going through
 * bytes: for tests of measures. */
struct recording *simulated_recording(struct arena *arena, const struct simulated_ride *ride,
                                      const struct simulated_plan *plan,
                                      const struct limits *limits);

#endif
