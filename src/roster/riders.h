/* roster/riders.h: the people in the roster. */
#ifndef ROSTER_RIDERS_H
#define ROSTER_RIDERS_H

#include "physiology/effort.h"
#include "roster/roster.h"

struct rider {
    int64_t id;
    int64_t version;
    const char *name;
    const char *born_day;           /* "2001-05-31"; NULL = not known, as the others */
    const char *sex;                /* "female", "male": for published formulas that ask it */
    const char *training_since_day; /* when regular training began */
    const char *power_since_day;    /* when rides with a power meter began */
    const char *zone_name;          /* IANA; NULL = the roster's */
    const char *address;            /* for letters: "Hill Road 3, 12345 Town" */
    const char *accepts;            /* what the device takes: some of "fit calendar card" */
    const char *tests; /* durations chosen to be tested all-out: "5min 20min"; NULL = none */
    const char *note;
    bool is_away;     /* no longer coached: left out of lists unless asked for */
    const char *said; /* adding and editing fill it: the change in words */
};

/* Adds the rider; fills id and version.  The name is cleaned (NFC, no control characters, no blanks
 * at the ends); `accepts` and `tests` may have commas and any order.  False: ERROR_USAGE (no name,
 * too long, no such day or zone, born after today or after training began), ERROR_CONFLICT (a rider
 * of that name is there). */
MUST_USE bool riders_add(struct roster *roster, struct arena *arena, struct roster_now now,
                         struct rider *rider, struct error *err);

/* Writes all fields of the rider with that id; version as last seen, 0 = whatever it is.  Cleans
 * them as riders_add does.  Nothing changed = no change recorded, and `said` says so. */
MUST_USE bool riders_edit(struct roster *roster, struct arena *arena, struct roster_now now,
                          struct rider *rider, struct error *err);

/* By id ("7"), by name, or by the start of one name only; case and accents don't count.
 * ERROR_NOT_FOUND, or ERROR_CONFLICT when several begin so (the line names them). */
MUST_USE bool riders_find(struct roster *roster, struct arena *arena, const char *word,
                          struct rider *out, struct error *err);

/* By id alone, as a row names it.  ERROR_NOT_FOUND. */
MUST_USE bool riders_row(struct db *db, struct arena *arena, int64_t id, struct rider *out,
                         struct error *err);

/* By name. */
MUST_USE bool riders_list(struct roster *roster, struct arena *arena, bool with_away,
                          struct rider **out, size_t *count, struct error *err);

/* The durations that were chosen to be tested, in seconds, in order; returns how many. */
size_t riders_tests(const struct rider *rider, int32_t out[EFFORT_DURATIONS]);

/* A name as it is searched for: without case and accents; in the arena. */
const char *riders_fold(struct arena *arena, const char *name);

#define RIDERS_NAME_MOST    120
#define RIDERS_ADDRESS_MOST 300
#define RIDERS_AGE_MOST_Y   110

#endif
