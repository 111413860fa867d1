/* limits/limits.h: every choice that the program makes, in one table.
 *
 * A limit is a choice (a line, a cut-off, a smoothing length), never mathematics.  Its row in
 * limits/rows.def holds value, unit, the range a coach may set, and where it comes from; the rest
 * of the program reads it by its id.  Rows whose name begins with cap_ bound what a reader takes
 * from a hostile file and can't be changed by a coach. */
#ifndef LIMITS_LIMITS_H
#define LIMITS_LIMITS_H

#include <stdbool.h>
#include <stddef.h>

enum limit_id {
#define LIMIT_ROW(id, name, value, unit, lowest, highest, source, check) LIMIT_##id,
#include "limits/rows.def"
#undef LIMIT_ROW
    LIMITS_COUNT
};

struct limit_row {
    const char *name; /* "base_drift_bpm": the id in JSON and on the page */
    double value;     /* the default */
    const char *unit; /* "" for a plain number */
    double lowest;    /* what a coach may set it to, both included */
    double highest;
    const char
        *source; /* author year, standard, "common practice, no source", "this project, ..." */
    const char *check; /* row of the published facts, or "" */
};

/* The values in force for one reading: the defaults, with a coach's changes on top. */
struct limits {
    double value[LIMITS_COUNT];
};

const struct limit_row *limits_row(enum limit_id id);
struct limits limits_default(void);

/* The row with that name, or false. */
bool limits_find(const char *name, enum limit_id *id);

#endif
