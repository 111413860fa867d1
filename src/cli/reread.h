/* cli/reread.h: rides read again at the end of a command, and what is said of it.
 *
 * roster_call does it for every command: one that changed what readings rest on returns when they
 * are made again, or with --later leaves them (ROSTER_LATER in its options).  Nothing else is
 * needed of a command. */
#ifndef CLI_REREAD_H
#define CLI_REREAD_H

#include "cli/roster_call.h"
#include "roster/rereading.h"

/* The newest change, to tell later whether there is a newer one. */
MUST_USE bool reread_mark(struct roster_call *call, int64_t *mark, struct error *err);

/* Looks what is old now, and reads it again unless it is left for later; says so on stderr.  What
 * goes wrong is said there too: the command's own work is done. */
void reread_after(struct roster_call *call, const char *command, bool later);

/* Reads these again, with a bar on a terminal, and what that made old in turn. */
MUST_USE bool reread_jobs(struct roster_call *call, const struct rereading_jobs *jobs,
                          struct rereading_sum *sum, struct error *err);

/* "1 ride", "12 rides". */
const char *reread_rides(struct arena *arena, size_t n);

#endif
