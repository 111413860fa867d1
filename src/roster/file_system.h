/* roster/file_system.h: where a roster must not lie.
 *
 * SQLite's locks and its shared memory hold between the processes of one machine.  On a file system
 * that another machine serves they are slow at best and lost at worst, and then two writers ruin
 * the file: https://www.sqlite.org/useovernet.html and https://www.sqlite.org/wal.html ("does not
 * work over a network filesystem").  So a roster there is refused; a backup may lie there, since it
 * is written once and only looked at. */
#ifndef ROSTER_FILE_SYSTEM_H
#define ROSTER_FILE_SYSTEM_H

#include "base/error.h"

/* What a path lies on. */
struct file_system {
    unsigned long type;    /* f_type of statfs(2) */
    const char *fuse_sort; /* for FUSE: "sshfs", from mountinfo; NULL = not known */
};

/* How it is asked: tests ask otherwise.  False = nothing is known of the path. */
typedef bool file_system_ask(const char *path, struct file_system *out);

/* The machine's own answer; for a path that isn't there yet, its folder's. */
bool file_system_of(const char *path, struct file_system *out);

/* What it is called if another machine serves it, else NULL.  Types not in the table pass. */
const char *file_system_network_name(const struct file_system *at);

/* False (ERROR_USAGE) when a roster at `place` would lie on another machine. */
MUST_USE bool file_system_may_hold(const char *place, file_system_ask *ask, struct error *err);

#endif
