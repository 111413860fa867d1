/* physiology/bests.h: the greatest mean power for every whole second (mean maximal power;
 * Quod et al. 2010, Int J Sports Physiol Perform 5).
 *
 *   known    200 210  -  -  205   .   .  190       - unknown: masked or missing while riding
 *   counted  200 210  0  0  205   0   0  190       . paused: nothing was ridden
 *   at most  200 210 211 211 205  0   0  190       every unknown second 1 W above the best known
 *
 * Pauses and unknown seconds count as zero.  A best is "at least" when the recording can't rule
 * out a better one of that duration: had every unknown second been ridden harder than the hardest
 * known second of this recording (by 1 W, the step of the channel), this duration's best would be
 * greater.  So a dropout makes the bests of its own length and shorter "at least", and longer ones
 * as far as it could have lifted them: three seconds missing from an easy hour leave a 20-minute
 * best elsewhere as it is.  Ties: the earliest. */
#ifndef PHYSIOLOGY_BESTS_H
#define PHYSIOLOGY_BESTS_H

#include "base/arena.h"
#include "recording/recording.h"

struct best {
    int32_t duration_s;
    double power_w;
    int32_t start_s;
    bool at_least;     /* unknown seconds could hide a better one of this duration */
    bool touches_mask; /* its own span holds an unknown second: never a record */
};

struct bests {
    struct best *items; /* [count], by duration; 0 where no second of power is usable */
    size_t count;
};

/* The durations shown by default that fit the recording: 1-10, 15, 20, 30 s, 1, 2, 3, 5, 8, 10,
 * 20, 30 min, 1, 2, 3 h. */
struct bests bests_shown(struct arena *arena, const struct recording *recording);

/* Those durations in seconds, in order; *count of them. */
const size_t *bests_shown_durations(size_t *count);

/* Every whole second 1..n_seconds. */
struct bests bests_all(struct arena *arena, const struct recording *recording);

#endif
