/* tests/roster/small_roster.h: a small roster with two riders, facts and rides, for tests of what
 * is kept of it. */
#ifndef TESTS_ROSTER_SMALL_ROSTER_H
#define TESTS_ROSTER_SMALL_ROSTER_H

#include "roster/store.h"

#include "roster/riders.h"

struct small_roster {
    struct arena *arena;
    struct roster *roster;
    const char *place;
    const char *folder; /* of the ride files, and of whatever a test writes */
    struct rider ada;
    struct rider ben;
};

extern const struct roster_now small_now;

/* A new roster: Ada Berg with a threshold, a weight, a note; Ben Lind. */
struct small_roster small_begin(void);

/* The same and rides: Ada's of January and March 2026 (3), Ben's of March (1). */
struct small_roster small_with_rides(void);

void small_end(struct small_roster *small);

/* A table of power about `watts` from `hour` on, as a file in the folder; its path. */
const char *small_write_ride(struct small_roster *small, const char *name, const char *day,
                             int hour, int seconds, int watts);

/* Imports a file or folder for the rider. */
void small_import(struct small_roster *small, const struct rider *rider, const char *path);

const char *small_path(const struct small_roster *small, const char *name);

/* One number from the store; a statement for a store that lets one go past its rules. */
int64_t small_number(const struct small_roster *small, const char *sql);
void small_run(const struct small_roster *small, const char *sql);

#endif
