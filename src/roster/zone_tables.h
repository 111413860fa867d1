/* roster/zone_tables.h: zones of a rider's own, or of the whole roster, from a day on.
 *
 *     program's table < the roster's newest by that day < the rider's newest by that day
 *
 * Power zones are in % of threshold; heart-rate zones in % of the reserve between resting and
 * maximal heart rate.  No verdict rests on zones; time in zones does, and is read again. */
#ifndef ROSTER_ZONE_TABLES_H
#define ROSTER_ZONE_TABLES_H

#include "roster/riders.h"
#include "physiology/zones.h"

enum zone_basis { ZONES_OF_THRESHOLD, ZONES_OF_HEART_RESERVE, ZONE_BASES };

/* "threshold", "heart-rate-reserve". */
const char *zone_basis_name(enum zone_basis basis);

struct zone_table {
    int64_t id; /* 0 = the program's own */
    int64_t version;
    int64_t rider;   /* 0 = the whole roster */
    const char *day; /* from which it holds; NULL = the program's own, always */
    enum zone_basis basis;
    const char *name;
    struct zones zones;
    const char *said; /* zone_tables_set fills it: the change in words */
};

/* The tables that the program offers, by name: "seven-zones", "three-domains" (threshold),
 * "reserve" (heart-rate reserve).  NULL ends. */
extern const char *const zone_tables_offered[];

/* One of them; false if there is none of that name. */
bool zone_tables_offer(const char *name, struct zone_table *out);

/* Sets a table from its day on; the one of the same rider, basis and day is replaced.  rider NULL:
 * for the whole roster.  ERROR_USAGE: no such day, no name, zones of heart-rate reserve past 100 %.
 */
MUST_USE bool zone_tables_set(struct roster *roster, struct arena *arena, struct roster_now now,
                              const struct rider *rider, struct zone_table *table,
                              struct error *err);

/* Takes away the one of that day; *said: the change in words. */
MUST_USE bool zone_tables_remove(struct roster *roster, struct arena *arena, struct roster_now now,
                                 const struct rider *rider, enum zone_basis basis, const char *day,
                                 const char **said, struct error *err);

/* Those of the rider and of the whole roster (rider NULL: only these), the newest first, nothing
 * dated later than until. */
MUST_USE bool zone_tables_list(struct roster *roster, struct arena *arena,
                               const struct rider *rider, const char *until,
                               struct zone_table **out, size_t *count, struct error *err);

/* The one in force; rider 0: for the whole roster. */
MUST_USE bool zone_tables_in_force(struct db *db, struct arena *arena, int64_t rider,
                                   enum zone_basis basis, const char *day, struct zone_table *out,
                                   struct error *err);

/* The power zones in force, for reading_make. */
MUST_USE bool zone_tables_on(struct db *db, struct arena *arena, int64_t rider, const char *day,
                             struct zones *out, struct error *err);

#endif
