/* roster/past.h: a rider's stored rides, notes and days off, up to a day, for readings over weeks.
 *
 * A handful of queries a rider, whatever the number of rides: the typed columns of reading,
 * ride_load and effort; no recording is unpacked, no JSON of a reading read. */
#ifndef ROSTER_PAST_H
#define ROSTER_PAST_H

#include "coaching/rider_history.h"
#include "roster/riders.h"

/* What `rider` did up to `today` (ISO day, the last that counts).  Recordings that are another
 * one's double, and those without a day, are left out.
 *
 *   n_waiting   filled with how many of the rides are being read again: their readings may be old
 */
MUST_USE bool past_load(struct db *db, struct arena *arena, const struct rider *rider,
                        const char *today, struct rider_history *out, size_t *n_waiting,
                        struct error *err);

/* The same, without what no reading of rider_readings and no situation of attention looks at: of
 * rides more than HISTORY_DAYS back only the day, hours by the timer, base tests, what the coach
 * said, and the efforts of marked tests.  Half the work with five years on file. */
MUST_USE bool past_load_recent(struct db *db, struct arena *arena, const struct rider *rider,
                               const char *today, struct rider_history *out, size_t *n_waiting,
                               struct error *err);

#endif
