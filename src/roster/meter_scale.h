/* roster/meter_scale.h: a threshold that another meter measured, as the ride's own would show it.
 *
 *     250 W (235 to 265) by the crank; the ride has pedals
 *         checked:    the offset is put on it, what the check leaves open widens its range
 *         unchecked:  the value stays, the published trueness of two meters widens its range */
#ifndef ROSTER_METER_SCALE_H
#define ROSTER_METER_SCALE_H

#include "roster/facts.h"

/* meters [count]: those of the ride, none of them the fact's.  *how: to be said after how the
 * threshold is known: ", with another meter, 2.1 % added by the check of 2026-05-03". */
MUST_USE bool meter_scale_threshold(struct db *db, struct arena *arena, int64_t rider,
                                    const int64_t meters[], size_t count, struct fact *fact,
                                    const char **how, struct error *err);

#endif
