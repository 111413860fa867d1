/* coaching/rider_progress.h: is the rider getting better, and if not, is that for want of trying?
 *
 *     |<- 6 weeks before ->|<- last 6 weeks ->| today
 *
 * Bests with evidence of being all-out (physiology/effort) of both windows, compared duration by
 * duration (physiology/change), and 5, 10 and 20 min together: the joint verdict.  The windows have
 * equal length; a lifetime's best never decides. */
#ifndef COACHING_RIDER_PROGRESS_H
#define COACHING_RIDER_PROGRESS_H

#include "coaching/rider_history.h"
#include "physiology/change.h"

enum progress_against { PROGRESS_BEFORE, PROGRESS_LAST_YEAR };

struct rider_progress {
    struct reading joint;   /* better, no clear change, lower, not tested, cannot tell */
    struct reading stalled; /* yes, no, cannot tell */
    struct reading each[EFFORT_DURATIONS]; /* a duration each; `set` is its seconds */
    struct bests_change changes[EFFORT_DURATIONS];
    size_t n;
    struct bests_change joint_change;
    int64_t before_from; /* days, half open */
    int64_t before_to;
    int64_t recent_from;
    int64_t recent_to;
};

/* Estimates are in %, "unit" says so. */
void rider_progress_read(struct arena *arena, const struct rider_history *history,
                         enum progress_against against, const struct limits *limits,
                         struct rider_progress *out);

#endif
