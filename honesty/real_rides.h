/* honesty/real_rides.h: the recordings of real rides, and what trust says of them.
 *
 * The files are not part of the project; the folder that holds them is given. */
#ifndef HONESTY_REAL_RIDES_H
#define HONESTY_REAL_RIDES_H

#include "recording/recording.h"

/* The findings of a recording as they stand after someone looked at every one beside its data. */
struct real_ride {
    const char *file;        /* below recordings/real/ */
    const char *codes;       /* in the order found, parted by blanks */
    const char *false_codes; /* those that aren't so, by the data beside them */
};
const struct real_ride *real_rides(size_t *count);

/* The first recording of the file; false when it can't be read (err says why). */
MUST_USE bool real_ride_read(struct arena *arena, const char *shared, const struct real_ride *row,
                             const struct limits *limits, struct recording **out,
                             struct error *err);

#endif
