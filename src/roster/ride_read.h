/* roster/ride_read.h: a stored ride read anew, with what the rides before it say of it. */
#ifndef ROSTER_RIDE_READ_H
#define ROSTER_RIDE_READ_H

#include "coaching/reading.h"
#include "roster/recordings.h"
#include "roster/responses.h"
#include "roster/riders.h"

struct ride_read {
    struct rider rider;
    struct rider_facts facts; /* in force on its day */
    struct limits limits;
    struct recording *recording;
    struct ride_readings readings; /* with `today` and what it took of W', where it has a day */
};

/* The rides before a ride, and the response of the rider's heart fitted to them. */
struct ride_before {
    struct rider_history history; /* up to the ride's day; empty where it has none */
    struct response_found found;
};

/* facts->response is set to the response in *out, which must stay; left alone where the recording
 * is no ride, another one's double, or has no day. */
MUST_USE bool ride_read_before(struct roster *roster, struct arena *arena,
                               const struct ride_row *row, const struct limits *limits,
                               struct ride_before *out, struct rider_facts *facts,
                               struct error *err);

/* Pure but for what it reads: nothing is stored. */
MUST_USE bool ride_read_row(struct roster *roster, struct arena *arena, const struct ride_row *row,
                            struct ride_read *out, struct error *err);

#endif
