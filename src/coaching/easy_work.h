/* coaching/easy_work.h: was the easy ride easy? */
#ifndef COACHING_EASY_WORK_H
#define COACHING_EASY_WORK_H

#include "coaching/reading.h"

/* Adds the easy-work reading for rides asked at <= 75 % of threshold or marked easy. */
void easy_work_read(struct arena *arena, const struct recording *recording,
                    const struct rider_facts *facts, const struct limits *limits,
                    struct ride_readings *out);

#endif
