/* roster/overrides.h: limits that a coach set otherwise, for the whole roster or for one rider.
 *
 *     default of limits/rows.def < the roster's < the rider's        (readings_limits puts them so)
 *
 * A limit in force is part of what a reading rests on: changing one puts readings out of date. */
#ifndef ROSTER_OVERRIDES_H
#define ROSTER_OVERRIDES_H

#include "limits/limits.h"
#include "roster/riders.h"

struct override {
    int64_t id;
    int64_t version;
    int64_t rider; /* 0 = the whole roster */
    enum limit_id limit;
    double value;
    const char *note;    /* NULL = none */
    const char *who;     /* of the change that set it; NULL = not said */
    int64_t set_utc_s;   /* 0 = not known */
    bool is_in_range;    /* false: another version's row, or out of today's range; not in force */
    const char *of_name; /* the name as stored, for those of another version */
};

/* Sets it for the rider (NULL: for the whole roster), in the place of an earlier one; *said: the
 * change in words.  ERROR_USAGE: out of the row's range; ERROR_DENIED: a cap of a reader. */
MUST_USE bool overrides_set(struct roster *roster, struct arena *arena, struct roster_now now,
                            const struct rider *rider, enum limit_id limit, double value,
                            const char *note, const char **said, struct error *err);

/* Back to the roster's, or to the default; ERROR_NOT_FOUND if it wasn't set there. */
MUST_USE bool overrides_remove(struct roster *roster, struct arena *arena, struct roster_now now,
                               const struct rider *rider, enum limit_id limit, const char **said,
                               struct error *err);

/* Those of the whole roster, and of the rider (0 = of nobody): the roster's first. */
MUST_USE bool overrides_list(struct db *db, struct arena *arena, int64_t rider,
                             struct override **out, size_t *count, struct error *err);

#endif
