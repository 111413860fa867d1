/* fuzz/activity.h: an activity out of any bytes, and whether a reader gave it back. */
#ifndef FUZZ_ACTIVITY_H
#define FUZZ_ACTIVITY_H

#include "recording/fit_write.h"

/* An activity that the writer must take and a reader must give back exactly: every choice is made
 * by the bytes, zeros where they end.  Values are such as the protocol's fields hold. */
struct fit_activity activity_from_bytes(struct arena *arena, struct bytes bytes);

/* What differs between what was written and what was read: one line in the arena, or NULL. */
const char *activity_differs(struct arena *arena, const struct fit_activity *wrote,
                             const struct recordings *read);

#endif
