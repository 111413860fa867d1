/* roster/about.h: what is in a roster, and what is set for all of it. */
#ifndef ROSTER_ABOUT_H
#define ROSTER_ABOUT_H

#include "roster/roster.h"

struct about {
    int64_t bytes; /* of the file and its log, or of the server's database */
    int64_t schema;
    int64_t made_utc_s;
    int64_t riders;
    int64_t riders_away; /* of them */
    int64_t recordings;
    int64_t rides;         /* of them those that are rides and count */
    int64_t same;          /* recordings of a ride that another one stands for */
    const char *first_day; /* of its recordings; NULL = none */
    const char *last_day;
    int64_t originals;
    int64_t original_bytes; /* unpacked */
    int64_t readings;
    int64_t changes;
    int64_t jobs;          /* waiting */
    int64_t failed;        /* files that could not be read */
    const char *zone_name; /* of riders without their own; NULL = UTC */
};

MUST_USE bool about_read(struct roster *roster, struct arena *arena, struct about *out,
                         struct error *err);

#endif
