/* roster/touched.h: which rides a change may have touched.
 *
 *     threshold edited on 2026-01-10
 *         |════════════|             its own day to the next entry's: only these
 *     ────┴────────────┴─────────>
 *     01-10          03-14
 *
 * Found from the record of the change alone, before and after alike, so that taking back is no
 * special case.  It may name more than it must, never less: what differs in fact, hashes tell
 * (roster/rereading); a test compares with hashing everything. */
#ifndef ROSTER_TOUCHED_H
#define ROSTER_TOUCHED_H

#include "roster/db.h"

struct touched {
    int64_t rider;        /* 0 = of every rider */
    int64_t recording;    /* this ride, with its other recordings; 0 = all of the days */
    const char *from_day; /* NULL = all days, and what has none */
    const char *to_day;   /* the first day that no longer counts; NULL = no end */
    bool is_settled;      /* which recording counts was said, or taken back */
};

/* True if readings may rest on rows of that table. */
bool touched_matters(const char *table);

MUST_USE bool touched_by(struct db *db, struct arena *arena, int64_t change, struct touched **out,
                         size_t *count, struct error *err);

#endif
