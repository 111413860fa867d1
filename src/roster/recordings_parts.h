/* roster/recordings_parts.h: what the bodies of roster/recordings.h share; nobody else includes
 * this. */
#ifndef ROSTER_RECORDINGS_PARTS_H
#define ROSTER_RECORDINGS_PARTS_H

#include "roster/recordings.h"

/* Everything of a recording but its row, inside db_write. */
MUST_USE bool recordings_store_parts(struct db *db, struct arena *arena, int64_t id,
                                     const struct packed_recording *packed, struct error *err);

#endif
