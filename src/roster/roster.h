/* roster/roster.h: the store, opened.
 *
 *     struct roster *roster = NULL;
 *     if (!roster_open("/home/coach/team.plumbline", ROSTER_CREATE, now, &roster, err)) ...
 *     roster_close(roster);
 *
 * The file is 0600 in a folder that is 0700 when it is made here: riders' health data are nobody
 * else's.  Opening brings an older store to the newest schema, after a copy. */
#ifndef ROSTER_ROSTER_H
#define ROSTER_ROSTER_H

#include "roster/db.h"
#include "roster/schema/schema.h"

struct roster;

/* When, and by whom, something is done: rooms below the command line have no clock. */
struct roster_now {
    int64_t utc_s;
    const char *who; /* NULL = not said */
};

enum roster_how {
    ROSTER_OPEN,   /* it must be there */
    ROSTER_CREATE, /* made if it isn't, with its folder */
};

/* The path in the arena: `given` if not NULL or empty, else `data_home`/plumbline/roster.plumbline,
 * else `home`/.local/share/plumbline/roster.plumbline.  False (ERROR_USAGE) if none is known. */
MUST_USE bool roster_place(struct arena *arena, const char *given, const char *data_home,
                           const char *home, const char **out, struct error *err);

/* Makes the folders on the way to place that aren't there, for nobody but the owner. */
MUST_USE bool roster_make_folders(const char *place, struct error *err);

MUST_USE bool roster_open(const char *place, enum roster_how how, struct roster_now now,
                          struct roster **out, struct error *err);
void roster_close(struct roster *roster); /* NULL is accepted */

struct db *roster_db(const struct roster *roster);

/* What opening did to the schema: a copy that was made must be told. */
const struct schema_done *roster_schema(const struct roster *roster);

#endif
