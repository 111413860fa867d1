/* roster/same_ride.h: two devices on one ride are one ride.
 *
 *     head unit   |=====================|          80 % of the shorter or more in common: one ride
 *     watch     |====================|
 *
 * The recording that counts has the better cover of power (in whole per cent), then FIT before GPX
 * before CSV, then the longer one; the others name it (`same_as`).  Of a group in which not all
 * overlap with one another the best is settled first, then the best of those that don't overlap
 * with it, and so on: the result depends on the recordings, not on the order they came in.
 *
 * What a coach said by hand stands before all that: which recording counts, and that a recording is
 * a ride of its own.  It is an edit like any other, and can be taken back. */
#ifndef ROSTER_SAME_RIDE_H
#define ROSTER_SAME_RIDE_H

#include "limits/limits.h"
#include "roster/recordings.h"

/* Seconds that two recordings have in common; 0 where a start isn't known.  Nobody rides twice at
 * once: rides that stay two (under LIMIT_SAME_RIDE_OVERLAP_PCT) but have any are parts of one. */
int64_t same_ride_common_s(const struct ride_row *a, const struct ride_row *b);

/* Settles the new recording among the rider's others, inside db_write, and brings the months of
 * bests up to date, its own included.  *same_as gets what it is the same ride as; 0 = it counts.
 * Recordings that are another one's now than before are asked to be looked at (roster/rereading):
 * what was asked of a ride is read by all its recordings. */
MUST_USE bool same_ride_settle(struct db *db, struct arena *arena, int64_t recording,
                               const struct limits *limits, int64_t now_utc_s, int64_t *same_as,
                               struct error *err);

/* Settles a recording that was there before: it was read again, or a coach's word on it was taken
 * back.  Months are made again only where what counts changed.
 *   was_read  its bests may be others: its month is made again too */
MUST_USE bool same_ride_settle_again(struct db *db, struct arena *arena, int64_t recording,
                                     const struct limits *limits, bool was_read, int64_t now_utc_s,
                                     struct error *err);

/* The recordings of the same ride, itself included, the one that counts first. */
MUST_USE bool same_ride_recordings(struct db *db, struct arena *arena, const struct ride_row *row,
                                   int64_t **out, size_t *count, struct error *err);

/* From now on that recording stands for its ride, whatever is imported later; *said gets the change
 * in words.  ERROR_NOT_FOUND if the ride has no other recording. */
MUST_USE bool same_ride_choose(struct roster *roster, struct arena *arena, struct roster_now now,
                               const struct ride_row *row, const char **said, struct error *err);

/* From now on that recording is a ride of its own. */
MUST_USE bool same_ride_split(struct roster *roster, struct arena *arena, struct roster_now now,
                              const struct ride_row *row, const char **said, struct error *err);

#endif
