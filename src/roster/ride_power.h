/* roster/ride_power.h: a rider's critical power from the store, and what a ride took of W'.
 *
 * Besides the bests of the weeks (coaching/rider_power) the rides that were marked as tests are
 * looked into: efforts of the length that they were ridden, and the 3-minute all-out test. */
#ifndef ROSTER_RIDE_POWER_H
#define ROSTER_RIDE_POWER_H

#include "coaching/reading.h"
#include "coaching/rider_power.h"
#include "roster/recordings.h"

/* Critical power as it was known at the end of history->today. */
MUST_USE bool ride_power_of_rider(struct roster *roster, struct arena *arena,
                                  const struct rider_history *history, const struct limits *limits,
                                  struct rider_power *out, struct error *err);

/* The same at the end of the day before `day`, whatever history knows of later ones. */
MUST_USE bool ride_power_before(struct roster *roster, struct arena *arena,
                                const struct rider_history *history, int64_t day,
                                const struct limits *limits, struct rider_power *out,
                                struct error *err);

/* readings->balance, with critical power as it was known the day before the ride; stays NULL where
 * the ride has no day. */
MUST_USE bool ride_power_add(struct roster *roster, struct arena *arena,
                             const struct rider_history *history, const struct ride_row *row,
                             const struct limits *limits, const struct recording *recording,
                             struct ride_readings *readings, struct error *err);

#endif
