/* honesty/real_doubts.h: what only the rider's past shows of a recording (physiology/doubt), on
 * real rides.
 *
 * Seven of the rides are one rider's, by place and years: each is held against the response fitted
 * to the other six.  Of other riders there are one or two: each is held against the quarters of
 * those very rides, which hides what is wrong with a whole ride, and shows the rest. */
#ifndef HONESTY_REAL_DOUBTS_H
#define HONESTY_REAL_DOUBTS_H

#include "physiology/heart_response.h"

struct real_doubt {
    const char *file;        /* below recordings/real/ */
    int rider;               /* 1, 2, ...: files of one number are one rider's */
    const char *codes;       /* in the order found, parted by blanks, after someone looked */
    const char *false_codes; /* those that aren't so, by the data beside them */
};
const struct real_doubt *real_doubts(size_t *count);

struct real_doubt_outcome {
    struct recording *recording; /* with stage 1 done, then doubts */
    size_t n_before;             /* findings before those of the doubts */
    double hours;
    bool is_looked_at; /* a response could be fitted */
    bool by_others;    /* to other rides alone */
    size_t n_rides;    /* or quarters of rides */
};

/* Row `at` of the table; false when a file can't be read (err says why). */
MUST_USE bool real_doubt_look(struct arena *arena, const char *shared, size_t at,
                              const struct limits *limits, struct real_doubt_outcome *out,
                              struct error *err);

#endif
