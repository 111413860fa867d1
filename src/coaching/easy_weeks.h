/* coaching/easy_weeks.h: was easy work easy over the last weeks?
 *
 * Of the rides asked easy in the last LIMIT_EASY_WEEKS_DAYS that could be judged
 * (coaching/easy_work), the share that was too hard:
 *   easy enough   at most LIMIT_EASY_WEEKS_SHARE_PCT, with those on the line taken as too hard
 *   too hard      more than that, with those on the line taken as easy
 *   on the line   between
 *   cannot tell   fewer than LIMIT_EASY_WEEKS_RIDES judged
 * Common practice, no source.  Hills push a beginner over any line: how many of the hard ones were
 * hilly is said, and decides nothing. */
#ifndef COACHING_EASY_WEEKS_H
#define COACHING_EASY_WEEKS_H

#include "coaching/rider_history.h"

/* Estimate: % of the judged rides that were too hard; high: with those on the line. */
struct reading easy_weeks_read(struct arena *arena, const struct rider_history *history,
                               const struct limits *limits);

#endif
