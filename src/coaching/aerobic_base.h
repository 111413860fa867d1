/* coaching/aerobic_base.h: did this ride pass the base test? */
#ifndef COACHING_AEROBIC_BASE_H
#define COACHING_AEROBIC_BASE_H

#include "coaching/reading.h"

/* Adds the base reading from out->steady and out->drift, already filled. */
void aerobic_base_read(struct arena *arena, const struct recording *recording,
                       const struct rider_facts *facts, const struct limits *limits,
                       struct ride_readings *out);

#endif
