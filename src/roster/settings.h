/* roster/settings.h: what holds for the whole roster.
 *
 *     zone    the IANA zone of riders without their own
 *     today   an example's own day: nothing is dated later, whenever it is looked at */
#ifndef ROSTER_SETTINGS_H
#define ROSTER_SETTINGS_H

#include "roster/roster.h"

#define SETTING_ZONE  "zone"
#define SETTING_TODAY "today"

/* In the arena; NULL = not set. */
MUST_USE bool settings_get(struct roster *roster, struct arena *arena, const char *name,
                           const char **out, struct error *err);

/* The same within a db_read or db_write. */
MUST_USE bool settings_read(struct db *db, struct arena *arena, const char *name, const char **out,
                            struct error *err);

/* Sets it, as a change in words; NULL takes it away, and nothing changed records none.  Rides keep
 * the day they have.  ERROR_USAGE: no such setting, a today that is no day, a zone that the machine
 * doesn't know. */
MUST_USE bool settings_set(struct roster *roster, struct arena *arena, struct roster_now now,
                           const char *name, const char *content, struct error *err);

#endif
