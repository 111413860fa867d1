/* roster/equipment.h: meters, heart sensors, head units and bikes, and how they were cared for.
 *
 * What the devices recorded is joined by serial: hours since the last charge are the riding time of
 * the rides recorded with that serial, and zero offsets come from the devices as well as by hand.
 *
 * Which meter or sensor a ride was recorded with is said only where there is no doubt: by its
 * serial, or because everything in use that day agrees. */
#ifndef ROSTER_EQUIPMENT_H
#define ROSTER_EQUIPMENT_H

#include "roster/facts.h"

struct equipment {
    int64_t id;
    int64_t version;
    bool is_shared;   /* by the whole roster, such as a club's trainer */
    int64_t rider;    /* whose; 0 = shared.  add and edit fill it */
    const char *kind; /* "power-meter", "heart-sensor", "head-unit", "bike", "other" */
    const char *name;
    const char *maker; /* NULL = not said, as all that follow */
    const char *product;
    int64_t serial; /* 0 = not known */
    const char
        *position;       /* meter: crank, spider, pedals, hub, trainer; sensor: chest, arm, wrist */
    const char *sides;   /* meter: both, left, right */
    double accuracy_pct; /* the maker's word */
    double charge_hours; /* the maker's promise */
    const char *from_day; /* in use from; to_day is the first day that no longer counts */
    const char *to_day;
    const char *note;
    const char *said; /* filled by add, edit, remove */
};

/* True if it was in use that day. */
bool equipment_is_in_use(const struct equipment *item, const char *day);

/* Names of kinds, positions and sides, each ended by NULL. */
extern const char *const equipment_kinds[];
extern const char *const equipment_meter_positions[];
extern const char *const equipment_heart_positions[];
extern const char *const equipment_sides[];

/* Fills id, version, rider, said.  ERROR_USAGE: a kind, position or
 * side that isn't one, no name, days the wrong way round, a number out of range; ERROR_CONFLICT:
 * the same serial and kind is in use by the rider already. */
MUST_USE bool equipment_add(struct roster *roster, struct arena *arena, struct roster_now now,
                            const struct rider *rider, struct equipment *item, struct error *err);
MUST_USE bool equipment_edit(struct roster *roster, struct arena *arena, struct roster_now now,
                             const struct rider *rider, struct equipment *item, struct error *err);

/* With its care; refused (ERROR_CONFLICT) where a threshold names it. */
MUST_USE bool equipment_remove(struct roster *roster, struct arena *arena, struct roster_now now,
                               const struct rider *rider, int64_t id, const char **said,
                               struct error *err);

/* The rider's and what is shared, by kind and age of the entry; rider NULL: only what is shared. */
MUST_USE bool equipment_list(struct db *db, struct arena *arena, const struct rider *rider,
                             struct equipment **out, size_t *count, struct error *err);

/* One of the rider's or shared; ERROR_NOT_FOUND. */
MUST_USE bool equipment_find(struct db *db, struct arena *arena, const struct rider *rider,
                             int64_t id, struct equipment *out, struct error *err);

/* ---- care ---- */

struct care {
    int64_t id;
    const char *kind; /* "zero-offset", "charge", "check", "change", "other" */
    const char *day;
    double value;      /* the zero offset; NAN none */
    int64_t recording; /* the ride whose device recorded it; 0 = by hand */
    const char *note;
};

MUST_USE bool equipment_care_add(struct roster *roster, struct arena *arena, struct roster_now now,
                                 const struct equipment *item, struct care *care, const char **said,
                                 struct error *err);

/* Of an entry of care made by hand. */
MUST_USE bool equipment_care_remove(struct roster *roster, struct arena *arena,
                                    struct roster_now now, const struct rider *rider, int64_t care,
                                    const char **said, struct error *err);

/* Care up to and with that day, and the zero offsets that devices recorded, the newest first. */
MUST_USE bool equipment_care_list(struct db *db, struct arena *arena, const struct equipment *item,
                                  const char *until, struct care **out, size_t *count,
                                  struct error *err);

/* Zero offsets of power meters that somebody noted up to that day: the rider's and what is shared,
 * the oldest first. */
struct noted_offset {
    int64_t equipment;
    int64_t day;
    double value;
};
MUST_USE bool equipment_offsets(struct db *db, struct arena *arena, int64_t rider,
                                const char *until, struct noted_offset **out, size_t *count,
                                struct error *err);

/* How long it was ridden, by the rides recorded with its serial. */
struct wear {
    bool known;             /* false without a serial */
    const char *charge_day; /* the last charge by that day; NULL = none noted */
    double hours; /* since then, with the rides of that day; all of them without a charge */
    int64_t rides;
    const char *first_day; /* of all rides with it; NULL = none */
    const char *last_day;
};
MUST_USE bool equipment_wear(struct db *db, struct arena *arena, const struct equipment *item,
                             const char *until, struct wear *out, struct error *err);

/* Serials that the rider's devices recorded and that no entry has. */
struct seen_sensor {
    const char *kind; /* "power-meter", "heart-sensor" */
    const char *maker;
    const char *product;
    int64_t serial;
    const char *first_day;
    const char *last_day;
    int64_t rides;
};
MUST_USE bool equipment_seen(struct db *db, struct arena *arena, int64_t rider, const char *until,
                             struct seen_sensor **out, size_t *count, struct error *err);

/* ---- what a reading may use ---- */

/* The power meters, in use that day, that the ride was recorded with, by serial; ids in the arena.
 */
MUST_USE bool equipment_meters_of(struct db *db, struct arena *arena, const struct ride_facts *ride,
                                  int64_t **out, size_t *count, struct error *err);

/* Where the heart sensor sat and which legs the meter measured, into *out. */
MUST_USE bool equipment_on(struct db *db, struct arena *arena, const struct ride_facts *ride,
                           struct rider_facts *out, struct error *err);

#endif
