/* cli/meters.h: what the two halves of plumbline meters share. */
#ifndef CLI_METERS_H
#define CLI_METERS_H

#include "cli/roster_call.h"
#include "roster/meter_checks.h"

/* One of the two recordings that are compared. */
struct meter_side {
    const char *name; /* as the call names it: a ride, or a file */
    const struct recording *recording;
    bool is_stored;
    struct ride_row row;     /* of one that is stored */
    struct equipment meter;  /* id 0 = not known */
    const char *why_not;     /* why the meter of a stored one isn't known */
    const char *meter_words; /* "pedals", "power meter 41877", "the first" */
    int64_t serial;          /* of its only power meter; 0 = not known, or several */
};

/* What came of it. */
struct meter_found {
    struct meter_side sides[2];
    const struct rider *rider; /* NULL: files, or rides of two riders */
    struct reading reading;
    struct meter_check check;
    struct kept_check kept; /* id 0 = not kept */
    const char *said;       /* the change in words; NULL = not kept */
    const char *not_kept;   /* why */
};

void meters_told_found(struct roster_call *call, const struct meter_found *found);

/* The rider's checks, and rides that could be checked. */
MUST_USE bool meters_told_list(struct roster_call *call, const struct rider *rider,
                               struct error *err);

#endif
