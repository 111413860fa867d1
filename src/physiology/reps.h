/* physiology/reps.h: the hard efforts of a ride: where they are, and what was ridden in them. */
#ifndef PHYSIOLOGY_REPS_H
#define PHYSIOLOGY_REPS_H

#include "base/arena.h"
#include "limits/limits.h"
#include "physiology/facts.h"
#include "recording/recording.h"

/* A number with its 90 % interval; NAN = unknown. */
struct ranged {
    double value;
    double low;
    double high;
};

struct rep {
    int set; /* 1-based */
    struct span span;
    bool edges_sure;       /* false: edges are known to about +-10 s only (long, outdoors) */
    bool is_block;         /* short efforts taken as one rep: judged on the mean of the on-parts */
    int n_efforts;         /* of a block; 1 otherwise */
    bool ended_by_stop;    /* a standstill followed at once */
    double power_coverage; /* usable share of its seconds */
    double heart_coverage;
    double mean_power_w;
    double pct_of_threshold;
    double target_low_w; /* the range it is judged against; NAN = none */
    double target_high_w;
    double below_s; /* on the 10-s centred mean */
    double in_s;
    double above_s;
    double first_third_w;
    double middle_third_w;
    double last_third_w;
    double first_20s_w;
    struct ranged first_to_last_w; /* change from the first to the last third, with interval */
    double work_above_cp_kj;  /* above threshold where CP is unknown: named so in the reading */
    double cadence_first_rpm; /* thirds */
    double cadence_last_rpm;
    double heart_start_bpm;
    double heart_peak_bpm;
    double heart_to_90_s;    /* seconds to 90 % of maximal; NAN = never, or unknown */
    double heart_at_90_s;    /* seconds at or above it; NAN without maximal heart rate */
    double heart_lag_s;      /* seconds to 63 % of its rise; NAN unknown */
    double recovery_60s_bpm; /* fall in the 60 s after; NAN unknown */
};

struct reps {
    struct rep *items; /* [count], in time order */
    size_t count;
    int n_sets;
    double work_line_w;   /* what parted work from rest */
    const char *found_by; /* "change-points", "micro", "asked" */
};

/* threshold_w NAN: efforts are found against the ride's own two classes, or none. */
struct reps reps_find(struct arena *arena, const struct recording *recording,
                      const struct rider_facts *facts, const struct limits *limits);

#endif
