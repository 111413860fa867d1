/* coaching/meters.h: do two power meters agree?
 *
 * From two recordings of one ride (physiology/meter_check): by how many per cent the second reads
 * above the first, on any day; how far the two differ alike at low and high power; or why that
 * can't be told.  Which of the two is right it never says. */
#ifndef COACHING_METERS_H
#define COACHING_METERS_H

#include "coaching/reading.h"
#include "physiology/meter_check.h"
#include "physiology/meter_link.h"

struct meters_ask {
    const struct recording *recordings[2];
    bool same_meter; /* both were recorded from one meter, by its serial */
};

/* The reading, and in *check what it was made of. */
struct reading meters_read(struct arena *arena, const struct meters_ask *ask,
                           const struct limits *limits, struct meter_check *check);

/* What is taken of a check for comparing bests and thresholds: the harder half of the minutes where
 * it is known, since those are nearest to bests; else all. */
const struct meter_offset *meters_offset(const struct meter_check *check);

/* That as a link between the two. */
struct meter_link meters_link(const struct meter_check *check, int64_t first, int64_t second,
                              int64_t day);

#endif
