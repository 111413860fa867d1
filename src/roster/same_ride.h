/* roster/same_ride.h: two devices on one ride are one ride.
 *
 *     head unit   |=====================|          80 % of the shorter or more in common: one ride
 *     watch     |====================|
 *
 * The recording that counts has the better cover of power (in whole per cent), then FIT before GPX
 * before CSV, then the longer one; the others name it (`same_as`).  Of a group in which not all
 * overlap with one another the best is settled first, then the best of those that don't overlap
 * with it, and so on: the result depends on the recordings, not on the order they came in. */
#ifndef ROSTER_SAME_RIDE_H
#define ROSTER_SAME_RIDE_H

#include "limits/limits.h"
#include "roster/db.h"

/* Settles the new recording among the rider's others, inside db_write, and brings the months of
 * bests up to date, its own included.  *same_as gets what it is the same ride as; 0 = it counts. */
MUST_USE bool same_ride_settle(struct db *db, struct arena *arena, int64_t recording,
                               const struct limits *limits, int64_t *same_as, struct error *err);

#endif
