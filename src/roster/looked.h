/* roster/looked.h: when the coach last looked at the list of whom to see first, and what came
 * since.
 *
 *     Monday 9:00   Monday 18:00   Wednesday 9:00   Wednesday 9:05
 *     looked        looked         since Monday 18:00 .......... the whole of Wednesday
 *
 * New is what came after the last look of an earlier day: reading the list twice loses nothing.  It
 * is no edit: nobody wants to take a look back, so it is no change (roster/changes). */
#ifndef ROSTER_LOOKED_H
#define ROSTER_LOOKED_H

#include "roster/roster.h"

struct looked {
    bool is_known; /* somebody looked on an earlier day */
    int64_t since_utc_s;
    char day[11];      /* of that look, local */
    char now_day[11];  /* local */
    size_t rides;      /* taken since, that count */
    size_t unreadable; /* files seen since */
    size_t answers;    /* notes put down since and still there */
};

/* Inside db_read or db_write. */
MUST_USE bool looked_read(struct db *db, struct arena *arena, struct roster_now now,
                          struct looked *out, struct error *err);

/* The list is looked at now.  Another look within LOOKED_AGAIN_S changes nothing. */
MUST_USE bool looked_now(struct roster *roster, struct arena *arena, struct roster_now now,
                         struct error *err);

#define LOOKED_AGAIN_S 900

#endif
