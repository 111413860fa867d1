/* honesty/easy_trial.h: one simulated easy ride whose share of hard riding is known, and what the
 * reading made of it.
 *
 * Truth: the rule of coaching/easy_work.h, written out again on the true power of every second with
 * the true threshold; the reading sees what a device wrote, and the threshold that a coach has. */
#ifndef HONESTY_EASY_TRIAL_H
#define HONESTY_EASY_TRIAL_H

#include "coaching/reading.h"
#include "honesty/reps_trial.h"

#include <stdint.h>

struct easy_case {
    uint64_t seed;
    enum reps_place place;
    bool threshold_known; /* exactly; else off by 3.2 % (one sd) and given with its 90 % range */
};

struct easy_outcome {
    enum verdict truth; /* easy enough, on the line, too hard */
    double truth_pct;   /* share of pedalling time above the line */
    enum verdict verdict;
    const char *why_not; /* the first reason of "cannot tell"; NULL none */
};

/* The truth of a ride, by the rule written out the slow and obvious way; fills its truth. */
void easy_find_truth(const double power_w[], size_t n_seconds, double threshold_w,
                     const struct limits *limits, struct easy_outcome *out);

/* What the reading makes of a recording; fills its verdict.
 *   threshold_w   as the coach has it; unless known, with its 90 % range */
void easy_read(struct arena *arena, const struct recording *recording, double threshold_w,
               bool threshold_known, const struct limits *limits, struct easy_outcome *out);

struct easy_outcome easy_trial(const struct easy_case *c, const struct limits *limits);

#endif
