/* roster/meter_checks.h: meter checks that are kept: two power meters on one ride.
 *
 *     recording 12 (crank) ─┐  coaching/meters     row: crank, pedals, + 2.1 % (1.5 to 2.7)
 *     recording 13 (pedals)─┴─────────────────>      │
 *                                                    └─ a link (physiology/meter_link), wherever
 *                                                       powers of the two are compared
 *
 * The newest check of a pair counts, whatever day the compared rides are of: it measured the
 * meters, not the rider.  New chainrings, a new battery or mounting anew, noted as a change of one
 * of the two (equipment_care), don't end it; that it is older is said. */
#ifndef ROSTER_METER_CHECKS_H
#define ROSTER_METER_CHECKS_H

#include "coaching/meters.h"
#include "roster/equipment.h"
#include "roster/recordings.h"

struct kept_check {
    int64_t id;
    int64_t version;
    const char *day; /* of the ride */
    int64_t meters[2];
    const char *names[2]; /* "pedals (serial 41877)" */
    int64_t recordings[2];
    struct meter_check check; /* without lag, shared_min and spread_pct */
    const char *method;
    const char *note;
    const char *changed_day; /* one of the two was changed after it; NULL = not that one knows */
};

/* The meter that a recording was made with.  word: its name, number or serial; NULL = the one power
 * meter (else the one trainer) that its device recorded a serial of.  ERROR_NOT_FOUND,
 * ERROR_CONFLICT: none is known, or several may be meant. */
MUST_USE bool meter_checks_meter(struct roster *roster, struct arena *arena,
                                 const struct rider *rider, const struct ride_row *row,
                                 const char *word, struct equipment *out, struct error *err);

struct ride_meter {
    int64_t recording;
    int64_t meter; /* equipment by the serial that was recorded, a trainer where no power meter was;
                      one that isn't listed is told apart by its serial, below zero */
    double zero_offset; /* that the device recorded of it; NAN = none */
};

/* Of every ride from `since` up to that day whose recording names a meter, by recording. */
MUST_USE bool meter_checks_rides(struct db *db, struct arena *arena, int64_t rider,
                                 const char *since, const char *until, struct ride_meter **out,
                                 size_t *count, struct error *err);

/* The one of that recording; 0 = not known. */
int64_t meter_checks_ride(const struct ride_meter meters[], size_t n, int64_t recording);

/* Keeps what a check (METER_CHECK_KNOWN) found, fills id and version; *said: the change in words.
 * A check of the same two meters by the same two recordings is edited.  ERROR_USAGE: one meter, or
 * recordings of another rider or without a day. */
MUST_USE bool meter_checks_keep(struct roster *roster, struct arena *arena, struct roster_now now,
                                const struct rider *rider, struct kept_check *check,
                                const char **said, struct error *err);

/* ERROR_NOT_FOUND if the rider has none of that number. */
MUST_USE bool meter_checks_remove(struct roster *roster, struct arena *arena, struct roster_now now,
                                  const struct rider *rider, int64_t id, const char **said,
                                  struct error *err);

/* Those of rides up to that day, the oldest first. */
MUST_USE bool meter_checks_list(struct db *db, struct arena *arena, int64_t rider,
                                const char *until, struct kept_check **out, size_t *count,
                                struct error *err);

/* The same for comparing powers.  until NULL = all; changes of meters are then not looked for. */
MUST_USE bool meter_checks_links(struct db *db, struct arena *arena, int64_t rider,
                                 const char *until, struct meter_link **out, size_t *count,
                                 struct error *err);

/* One ride that was recorded with two meters which no check holds against each other. */
struct possible_check {
    int64_t recordings[2];
    const char *day;
    const char *names[2];
};

/* The newest ride of each such pair. */
MUST_USE bool meter_checks_possible(struct db *db, struct arena *arena, int64_t rider,
                                    const char *until, struct possible_check **out, size_t *count,
                                    struct error *err);

#endif
