/* physiology/change.h: by how much a rider's bests changed from one window of weeks to the next.
 *
 *      before (6 weeks)        recent (6 weeks)
 *     |  x    x        x   |  x      x        |      x = an effort with evidence of being all-out
 *              ^ best of 3        ^ best of 2
 *
 * The best of three tries is higher than the best of two, though the rider be the same: the largest
 * of k draws lies e(k) typical errors above their middle.  Comparing unequal numbers of tries
 * without that (1 against 6) calls 18 to 50 % of unchanged riders better.  So, in logarithms,
 *
 *     change = ln best_new - ln best_old - TE (e_new - e_old)
 *     likely range = change -+ 1.782 TE sqrt(v_new + v_old)
 *
 * with e and v the mean and variance of the largest of k normals.  TE is that of other riders; a
 * rider's own differs by a fifth or so, hence Student's t (LIMIT_CHANGE_ERROR_FREEDOM) where a
 * known error would have 1.645: with that, windows of two tries called 6 % of unchanged simulated
 * riders better.  From three marked tests on, a line through all of them takes its place.
 *
 * **Meters.**  Where two meters were ridden against each other (physiology/meter_link), efforts are
 * put on the scale of the meter of the best recent one before any is compared, and what the check
 * leaves open is added to the likely range.  Between meters that were not, each adds the trueness
 * of power meters.  An effort whose meter is not known counts as it stands. */
#ifndef PHYSIOLOGY_CHANGE_H
#define PHYSIOLOGY_CHANGE_H

#include "limits/limits.h"
#include "physiology/meter_link.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* A best with evidence of being all-out (physiology/effort), one a ride and duration. */
struct change_effort {
    int64_t day; /* since 1970 */
    double power_w;
    bool marked;   /* a test or a race, by the coach's word */
    int64_t meter; /* which power meter; 0 = not known */
};

enum change_state {
    CHANGE_KNOWN,
    CHANGE_NOT_TESTED, /* no all-out effort in the recent window */
    CHANGE_TOO_FEW,    /* fewer than LIMIT_CHANGE_EFFORTS in one of them, and no tests in both */
};

struct change_ask {
    const struct change_effort *efforts; /* [n] of one duration, any order */
    size_t n;
    int64_t before_from; /* days: [before_from, before_to) against [recent_from, recent_to) */
    int64_t before_to;
    int64_t recent_from;
    int64_t recent_to;
    bool first_year;                /* of riding with power: results scatter more */
    const struct meter_link *links; /* [n_links] by age */
    size_t n_links;
};

struct bests_change {
    size_t n_before; /* efforts counted */
    size_t n_recent;
    size_t best_before; /* index in efforts */
    size_t best_recent;
    double ratio; /* ln(new / old), corrected for the number of tries; NAN unless known */
    double sd;    /* of it, that of the meters included */
    double low;   /* 90 % interval */
    double high;
    enum change_state state;
    bool by_trend;     /* from a line through three and more tests */
    bool by_tests;     /* marked tests on both sides: their smaller error */
    bool first_retest; /* the second test of a life: part of a gain is practice */
    bool other_meter;  /* bests from different meters that were not checked: sd holds their trueness
                        */
    const struct meter_link *link; /* the check by which meters were put on one scale; NULL = none
                                    */
    double meter_ratio;            /* ln of what that took out of new / old */
    double meter_sd;               /* what the meters add to sd, checked or not */
};

struct bests_change change_of(const struct change_ask *ask, const struct limits *limits);

/* Several durations at once, those that are known: the mean of their changes.  They share the day
 * they were ridden on, so their errors go together (LIMIT_CHANGE_SHARED_RATIO).  State is that of
 * the nearest to known. */
struct bests_change change_joint(const struct bests_change changes[], size_t n,
                                 const struct limits *limits);

/* Chance that the rider's power rose at all, 0..1; NAN unless known. */
double change_chance_better(const struct bests_change *change, const struct limits *limits);

/* Trying hard and not near a gain: at least LIMIT_STALLED_EFFORTS efforts in both windows, on one
 * meter, and the whole likely range below LIMIT_STALLED_GAIN_PCT. */
bool change_is_stalled(const struct bests_change *change, const struct limits *limits);

#endif
