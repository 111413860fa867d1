/* roster/db_folder.h: nobody puts another roster in the place of one that is open.
 *
 * SQLite finds a store's log by the store's name.  A program that still had the old file open would
 * take the log of the new one for its own and ruin both.  So everyone who opens a roster holds its
 * folder (flock(2), shared) until it is closed, and who replaces one holds it alone.  The kernel
 * lets go when a program ends, however it ends.  Two rosters in one folder hold the same lock: one
 * that is open keeps the other from being replaced. */
#ifndef ROSTER_DB_FOLDER_H
#define ROSTER_DB_FOLDER_H

#include "base/error.h"

enum db_folder_hold { DB_FOLDER_SHARED, DB_FOLDER_ALONE };

/* Holds the folder of place; waits for others some seconds, then ERROR_BUSY.  *fd is for
 * db_folder_let_go: -1 where the folder can't be held (not to be read, no locks there), which
 * stands in nobody's way. */
MUST_USE bool db_folder_hold(const char *place, enum db_folder_hold how, int *fd,
                             struct error *err);
void db_folder_let_go(int fd); /* -1 is accepted */

/* How long one waits for another program before saying that it is busy. */
#define DB_BUSY_MS 5000

#endif
