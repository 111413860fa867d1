/* coaching/hard_work.h: was the hard work done as asked, and what would heart rate have said? */
#ifndef COACHING_HARD_WORK_H
#define COACHING_HARD_WORK_H

#include "coaching/reading.h"

/* basis.intent where a ride was marked (facts->marked) and nothing else asked: its efforts are
 * told, not judged as work. */
#define HARD_MARKED "marked: a test or a race"

/* Adds a reading for the ride, one a set and one a rep, from out->reps, already filled; fills
 * out->rep_verdicts. */
void hard_work_read(struct arena *arena, const struct recording *recording,
                    const struct rider_facts *facts, const struct limits *limits,
                    struct ride_readings *out);

#endif
