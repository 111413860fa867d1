/* simulated/ride.h: a ride of an invented rider, with the truth beside it. */
#ifndef SIMULATED_RIDE_H
#define SIMULATED_RIDE_H

#include "base/arena.h"
#include "recording/recording.h"
#include "simulated/rider.h"

/* How heart rate strays from its kinetics. */
enum simulated_noise {
    SIMULATED_NOISE_WHITE,
    SIMULATED_NOISE_AR1_SHORT,   /* 20 s */
    SIMULATED_NOISE_AR1_LONG,    /* 2 min */
    SIMULATED_NOISE_AR2,         /* swings of some minutes */
    SIMULATED_NOISE_RANDOM_WALK, /* pulled back weakly */
    SIMULATED_NOISE_HEAVY_TAILS,
    SIMULATED_NOISE_STEPS, /* a few sudden shifts of 1-3 beats (position, talk, drink) */
    SIMULATED_NOISE_SINE,  /* slow wave: hills, traffic */
    SIMULATED_NOISE_COUNT
};

/* One block of what the rider set out to do. */
struct simulated_block {
    double duration_s;
    double power_w;     /* at its start */
    double end_power_w; /* at its end, straight between; NAN = the same */
    double cadence_rpm; /* NAN = about 85 */
    bool is_rep;        /* truth: counts as an effort */
    bool is_stop;       /* standing: power, speed, cadence 0 */
    bool timer_off;     /* the device's timer stands during it */
};

struct simulated_plan {
    const struct simulated_block *blocks;
    size_t n_blocks;
    bool outdoors;          /* hills, coasting, junctions, gusts: power varies */
    double power_cv;        /* second-to-second scatter of power, share of it; 0 = default */
    double hilliness;       /* 0 flat .. 1 hard hills: slow swings of power; outdoors */
    double coasting_ratio;  /* share of seconds at 0 W outside stops; outdoors */
    double junctions_per_h; /* short stops of 5-40 s */
    double drift_bpm;       /* true rise over drift_from_s .. drift_to_s at constant power */
    double drift_from_s;
    double drift_to_s;
    int drift_shape; /* 0 straight, 1 early (flattens), 2 late-starting */
    enum simulated_noise noise;
    double noise_bpm;          /* its standard deviation; 0 = default 1.5 */
    double temperature_c;      /* NAN = the device has no thermometer */
    double temperature_rise_c; /* over the ride */
    int64_t start_utc;
    uint64_t seed;
};

/* Truth of an effort. */
struct simulated_rep {
    int32_t start_s;
    int32_t end_s;
    double mean_power_w;
};

struct simulated_ride {
    struct samples samples;     /* 1 Hz; all channels the device has */
    double *true_heart_bpm;     /* [samples.count] before noise and rounding */
    struct simulated_rep *reps; /* [n_reps] */
    size_t n_reps;
    struct span *timer_stops; /* [n_timer_stops] */
    size_t n_timer_stops;
    double drift_bpm; /* the truth over minutes 6-60 of the span drift_from..to */
};

struct simulated_ride simulated_ride_make(struct arena *arena, const struct simulated_rider *rider,
                                          const struct simulated_plan *plan);

/* A recording as a reader would give it (grid filled, trust checked), without going through
 * bytes: for tests of measures. */
struct recording *simulated_recording(struct arena *arena, const struct simulated_ride *ride,
                                      const struct simulated_plan *plan,
                                      const struct limits *limits);

#endif
