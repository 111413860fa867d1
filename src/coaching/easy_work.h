/* coaching/easy_work.h: was the easy ride easy?
 *
 * Riding easy days too hard is the beginner's commonest fault.  Judged is the share of pedalling
 * time whose 30-s mean power is above LIMIT_EASY_ABOVE_PCT of threshold:
 *   easy enough   at most LIMIT_EASY_SHARE_PCT
 *   too hard      over LIMIT_EASY_HARD_SHARE_PCT, or more than LIMIT_EASY_FAR_ABOVE_S above
 *                 LIMIT_EASY_FAR_ABOVE_PCT
 *   on the line   between
 * Common practice.  The 30-s mean is centred, counts coasting and pauses as 0 W, leaves unknown
 * seconds out and needs half of them; pedalling time is the seconds of known power above 0 W.
 * With a likely range of the threshold both ends must agree, else it is on the line. */
#ifndef COACHING_EASY_WORK_H
#define COACHING_EASY_WORK_H

#include "coaching/reading.h"

/* Adds the easy-work reading for rides asked at <= LIMIT_EASY_ASKED_PCT of threshold, or marked
 * easy or base test; none otherwise. */
void easy_work_read(struct arena *arena, const struct recording *recording,
                    const struct rider_facts *facts, const struct limits *limits,
                    struct ride_readings *out);

#endif
