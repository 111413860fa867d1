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

struct easy_outcome easy_trial(const struct easy_case *c, const struct limits *limits);

#endif
