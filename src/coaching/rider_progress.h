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

/* Days, half open: [before_from, before_to) against [recent_from, recent_to). */
struct progress_windows {
    int64_t before_from;
    int64_t before_to;
    int64_t recent_from;
    int64_t recent_to;
};

/* The best of a window: the effort that the change is counted from; where nothing in it was
 * all-out, the greatest that was ridden, with evidence 0. */
struct progress_best {
    bool known; /* false: none was ridden so long */
    bool race;
    unsigned evidence; /* enum effort_evidence, added */
    int32_t start_s;
    double power_w;
    int64_t day;
    int64_t ride;
};

struct rider_progress {
    struct reading joint;   /* better, no clear change, lower, not tested, cannot tell */
    struct reading stalled; /* yes, no, cannot tell */
    struct reading each[EFFORT_DURATIONS]; /* a duration each; `set` is its seconds */
    struct bests_change changes[EFFORT_DURATIONS];
    struct progress_best recent[EFFORT_DURATIONS];
    struct progress_best before[EFFORT_DURATIONS];
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

/* The same for any two ranges of days; nothing later than today counts. */
void rider_progress_between(struct arena *arena, const struct rider_history *history,
                            const struct progress_windows *windows, const struct limits *limits,
                            struct rider_progress *out);

#endif
