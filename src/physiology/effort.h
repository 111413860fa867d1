/* physiology/effort.h: was a best ridden all-out?
 *
 * A rider's best 20 minutes of a quiet month say nothing of what the rider could have done.  So a
 * best counts for progress only with evidence that it was maximal:
 *
 *     marked    the coach says that the ride was a test or a race
 *     heart     from 3 min on: heart rate at its end near maximal
 *     faded     under 3 min, where heart rate is too late: far above threshold, and falling
 *
 * From 3 min on neither the coach's word nor the heart speaks for a best that doesn't stand alone:
 *
 *     with an easier part in it     the best 10 min around 5 hard ones, or around intervals
 *     a part of something longer    the best 5 min of an all-out 20: 5 min alone give more
 *     ridden again in that ride     one of five like efforts: something was kept back
 *
 * Without that, tests of another length than before, and hard sessions beside a test, made one in
 * eight to one in four simulated riders better who hadn't changed.  Under 3 min the coach's word
 * speaks for what is far above threshold: not for the best 10 s of a long test.
 *
 *     power  |  ,-----.__              heart  |        ___---
 *            | /         `--.__               |  __--''     ^ 95 % of maximal
 *            |/  best  ^       `-             |-'
 *
 * Evidence is no proof: heart rate near maximal also comes in a hot hour, and none of it is there
 * when the strap was at home.  "No evidence" is not "not maximal". */
#ifndef PHYSIOLOGY_EFFORT_H
#define PHYSIOLOGY_EFFORT_H

#include "physiology/bests.h"
#include "physiology/facts.h"

/* Added: an effort may have several. */
enum effort_evidence { EFFORT_MARKED = 1, EFFORT_HEART = 2, EFFORT_FADED = 4 };

struct effort {
    int32_t duration_s;
    double power_w;
    int32_t start_s;
    unsigned evidence;    /* enum effort_evidence, added; 0 = nothing says that it was maximal */
    double heart_end_bpm; /* mean of its last LIMIT_EFFORT_END_S; NAN = can't be told */
    bool is_whole;        /* no quarter is much easier than the whole, little of it easy */
    double fall_ratio;    /* last quarter against first: 0.9 = fell by a tenth; NAN under 8 s */
};

#define EFFORT_DURATIONS 6

/* 10, 15 s, 1, 5, 10, 20 min (common practice, no source); *count of them. */
const int32_t *effort_durations(size_t *count);

/* Of the bests shown (physiology/bests) those of these durations, each with its evidence, into
 * out[] (room for all durations); returns how many.  Left out: bests that touch an unknown second,
 * and those that are only "at least".  None of what is no ride.
 *   marked   the coach says: a test, a race */
size_t efforts_of(struct arena *arena, const struct recording *recording, const struct bests *bests,
                  const struct rider_facts *facts, const struct limits *limits, bool marked,
                  struct effort out[]);

#endif
