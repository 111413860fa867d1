/* coaching/ride_load.h: how much was this ride, and was it a hard day?
 *
 * A hard day, asked or not (common practice):
 *   marked           the coach says that it was a test or a race
 *   above threshold  LIMIT_HARD_DAY_S or more with the mean of 30 s above threshold
 *   anaerobic set    LIMIT_HARD_DAY_ANAEROBIC efforts of a set at the power of that kind
 *   effort           LIMIT_HARD_DAY_EFFORT or more on the rider's own scale of 0 to 10
 *
 * Any of them makes one.  No hard day needs power for the whole ride, or an effort; without both
 * nobody can tell.  Other sports count by effort and by their hours. */
#ifndef COACHING_RIDE_LOAD_H
#define COACHING_RIDE_LOAD_H

#include "coaching/reading.h"

/* Fills out->load and out->efforts, and adds the load reading; after reps and bests are there. */
void ride_load_read(struct arena *arena, const struct recording *recording,
                    const struct rider_facts *facts, const struct limits *limits,
                    struct ride_readings *out);

#endif
