/* physiology/reps.h: the hard efforts of a ride: where they are, and what was ridden in them.
 *
 * Finding.  Power is cut where its level changes (exact change points on 3-s means), the pieces are
 * parted into work and rest by one line, runs of work become efforts, and each edge is then put on
 * the likeliest second by a model of what power does from one second to the next.
 *
 *   power      ____        ____                 ____
 *      rest __|    |______|    |_______________|    |__
 *             rep 1        rep 2       a longer rest: a new set
 *
 * Where a session was laid along the ride (facts->laid), its efforts are those that were found so,
 * their edges placed like any; power alone then only finds what lies beside them.
 *
 * What was asked (range, duration) and lap marks are hints, never proof: an effort that wasn't
 * ridden isn't found because it was asked.  Without anything asked only clear work is reported: see
 * reps_find.
 *
 * Gaps.  A 3-s mean is the mean of its known seconds; one without any stays a gap, which belongs
 * to the segment around it and decides nothing.  Seconds while the timer stood count as 0 W, and so
 * does unknown power for longer than LIMIT_REPS_GAP_S: no work is claimed there.
 *
 * Measuring.  Nothing comes from a masked second.  A mean over fewer than LIMIT_REPS_COVERAGE of
 * its seconds is NAN.  A block of short efforts is measured on its on-parts, laid end to end. */
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
    bool edges_sure;       /* false: edges are known to about +-10 s only */
    bool is_block;         /* short efforts taken as one rep: judged on the mean of the on-parts */
    int n_efforts;         /* of a block; 1 otherwise */
    struct span *efforts;  /* [n_efforts] the on-parts; of a plain rep its own span */
    bool as_asked;         /* may be part of what was asked, by level and duration; true if nothing
                            * was asked */
    bool laid;             /* stands where a session was laid along the ride (facts->laid) */
    bool even;             /* even, and parted from its rests */
    bool clear;            /* stands out from the road: even, parted from its rests, repeated or
                            * marked by laps */
    bool ended_by_stop;    /* a standstill followed at once */
    bool trainer_held;     /* the trainer held the power: its shape says nothing of the rider */
    double power_coverage; /* usable share of the on-parts' seconds */
    double heart_coverage; /* usable share of its seconds */
    double mean_power_w;
    double pct_of_threshold;
    double target_low_w; /* the range it is judged against; NAN = none */
    double target_high_w;
    double below_s; /* on the 10-s centred mean, within the rep; of a block: whole on-parts */
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
    /* Where power was let down: the best single step of power within the rep; NAN = too short. */
    double let_down_s;         /* seconds from the start */
    double let_down_w;         /* mean before minus mean after; negative = power rose */
    double let_down_heart_bpm; /* heart rate at that second */
};

struct reps {
    struct rep *items; /* [count], in time order */
    size_t count;
    int n_sets;
    double work_line_w;   /* what parted work from rest; NAN = no power */
    const char *found_by; /* "change-points", "micro", "session"; NULL = none found */
};

/* threshold_w NAN: efforts are found against the ride's own two classes, or none.
 *
 * With nothing asked only clear work is returned: efforts whose level stands out from the rests
 * around them by more than the ride's own unevenness (LIMIT_REPS_CLEAR_*). */
struct reps reps_find(struct arena *arena, const struct recording *recording,
                      const struct rider_facts *facts, const struct limits *limits);

/* Judges the rep against another range: fills target_low_w .. above_s again.  For kinds that were
 * assumed after finding.  high_w may be INFINITY; NAN for both takes the range away. */
void rep_measure_range(struct arena *arena, const struct recording *recording,
                       const struct limits *limits, double low_w, double high_w, struct rep *rep);

#endif
