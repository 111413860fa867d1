/* roster/record.h: the program's record on this roster, and how its base tests repeat. */
#ifndef ROSTER_RECORD_H
#define ROSTER_RECORD_H

#include "coaching/record.h"
#include "roster/riders.h"

/* Every rider, away or not, up to `today` (ISO day, the last that counts). */
MUST_USE bool record_take(struct roster *roster, struct arena *arena, const char *today,
                          struct record *out, struct error *err);

/* How base tests repeat in this roster: one query over the judged tests of the last
 * LIMIT_REPEAT_SINCE_DAYS and a small fit. */
MUST_USE bool record_repeat(struct db *db, const char *today, const struct limits *limits,
                            struct drift_repeat *out, struct error *err);

#endif
