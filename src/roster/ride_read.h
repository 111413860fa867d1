/* roster/ride_read.h: a stored ride read anew, with what the rides before it say of it. */
#ifndef ROSTER_RIDE_READ_H
#define ROSTER_RIDE_READ_H

#include "coaching/reading.h"
#include "roster/recordings.h"
#include "roster/riders.h"

struct ride_read {
    struct rider rider;
    struct rider_facts facts; /* in force on its day */
    struct limits limits;
    struct recording *recording;
    struct ride_readings readings; /* with `today` and what it took of W', where it has a day */
};

/* Pure but for what it reads: nothing is stored. */
MUST_USE bool ride_read_row(struct roster *roster, struct arena *arena, const struct ride_row *row,
                            struct ride_read *out, struct error *err);

#endif
