/* tests/faults/bad_disk.h: a disk that stops, fills up or forgets at its n-th operation.
 *
 * SQLite reaches files through a table of functions (sqlite3_vfs); bad_disk_begin makes one of its
 * own the default, which passes everything on to the real one and counts.  What the store does to
 * files without SQLite (open to create, fsync, rename, unlink, mkdir) is counted with it: the test
 * program is linked with -Wl,--wrap for these (open64 is what open is with 64-bit sizes).
 *
 *     bad_disk_set(BAD_TORN, 17, seed);   the 17th operation fails, and all that follow
 *     ... open, work, close: whatever it says ...
 *     bad_disk_cut();                     the power is back: files are as that disk may have them
 *
 * A cut disk (BAD_TORN): what was written since a file's last sync is kept or lost sector by
 * sector; a sector has any of the states it had since.  A file that was never synced, a deletion, a
 * rename whose folder was not synced may not have happened.  The first sync of a log or journal is
 * one of its folder too, as SQLite has it (unixSync of SQLite 3.40). */
#ifndef TESTS_FAULTS_BAD_DISK_H
#define TESTS_FAULTS_BAD_DISK_H

#include <stdbool.h>
#include <stdint.h>

enum bad_how {
    BAD_NOTHING,   /* counts */
    BAD_STOP,      /* n and all later ones fail; all before is on the disk, and a part of n */
    BAD_TORN,      /* the same, and what was not synced is kept in part */
    BAD_FULL,      /* from n on nothing gets longer */
    BAD_FULL_ONCE, /* n alone fails: no room for it, or it can't be synced */
    BAD_HOWS
};
const char *bad_disk_name(enum bad_how how);

void bad_disk_begin(void);

/* From now on: counts from 1, forgets every file. */
void bad_disk_set(enum bad_how how, long at, uint64_t seed);

/* Operations since bad_disk_set: open, write, sync, truncate, delete, rename. */
long bad_disk_count(void);

/* Folders made since bad_disk_set, whose own name no sync has made durable: a cut may lose them
 * and all in them. */
int bad_disk_lost_folders(void);

/* After everything was closed. */
void bad_disk_cut(void);

#endif
