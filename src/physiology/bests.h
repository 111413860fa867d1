/* physiology/bests.h: the greatest mean power for every whole second (mean maximal power;
 * Quod et al. 2010, Int J Sports Physiol Perform 5).
 *
 * Pauses and masked seconds count as zero; a best whose span holds a masked second, or that could
 * have been beaten through one, is "at least".  Ties: the earliest. */
#ifndef PHYSIOLOGY_BESTS_H
#define PHYSIOLOGY_BESTS_H

#include "base/arena.h"
#include "recording/recording.h"

struct best {
    int32_t duration_s;
    double power_w;
    int32_t start_s;
    bool at_least;     /* unknown seconds count as zero somewhere in the ride at this duration */
    bool touches_mask; /* its own span holds a masked or missing second: never a record */
};

struct bests {
    struct best *items; /* [count], by duration */
    size_t count;
};

/* The durations shown by default that fit the recording: 1-10, 15, 20, 30 s, 1, 2, 3, 5, 8, 10,
 * 20, 30 min, 1, 2, 3 h. */
struct bests bests_shown(struct arena *arena, const struct recording *recording);

/* Every whole second 1..n_seconds. */
struct bests bests_all(struct arena *arena, const struct recording *recording);

#endif
