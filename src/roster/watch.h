/* roster/watch.h: a folder into which recordings fall, and when one of them is whole.
 *
 *     a file is written ....... closed      its size and time stay
 *     ├──────────────────────────┤─────── WATCH_STEADY_S ───────> ready, once
 *
 * The kernel tells that something happened (inotify), and that a writer let go of a file; what
 * there is, a look at the whole folder tells: so a lost event, a full queue or a disk that sends
 * none costs at most WATCH_AGAIN_S.  A writer that was seen to begin and never to end (the event
 * was lost) is waited for WATCH_WRITER_S.  What counts as a recording's file is as import_list
 * says: hidden names and links are passed over, new folders looked into.  A file that changes after
 * it was ready is ready again. */
#ifndef ROSTER_WATCH_H
#define ROSTER_WATCH_H

#include "base/arena.h"
#include "base/error.h"

#include <stddef.h>

#define WATCH_STEADY_S 2.0 /* so long unchanged, and a file is whole */
#define WATCH_WRITER_S 600.0
#define WATCH_AGAIN_S  60.0 /* so often the folder is looked at whatever was told */

struct watch;

/* False (ERROR_NOT_FOUND, ERROR_DENIED, ERROR_USAGE) if the folder isn't there or is none. */
MUST_USE bool watch_open(const char *folder, struct watch **out, struct error *err);
void watch_close(struct watch *watch); /* NULL is accepted */

/* For poll(): readable when something happened; -1 where nobody tells. */
int watch_descriptor(const struct watch *watch);

/* Seconds until watch_look has something to do even if nothing happens. */
double watch_wait_s(const struct watch *watch, double now_s);

/* The files that became ready, by path, each once; the strings are in the arena.
 *   now_s   by a clock that only runs forward */
MUST_USE bool watch_look(struct watch *watch, struct arena *arena, double now_s, const char ***out,
                         size_t *count, struct error *err);

#endif
