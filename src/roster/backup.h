/* roster/backup.h: a whole copy of the roster, and taking the roster back from one.
 *
 *     backup_make     copy by SQLite's backup call while others work ─> FILE.unchecked
 *                     opened and checked, every original by its checksum ─> FILE, written down
 *     backup_look     is this file a whole roster? nothing is changed
 *     restore_run     the backup is looked at wholly first, then
 *
 *         roster.plumbline            roster.plumbline.restoring
 *              │  1 alone in the folder     ▲  2 copied from the backup, checked, synced
 *              │  3 its log folded in       │
 *              ├──────> 4 roster.plumbline.before-restore-20260314T092653Z  (a second name)
 *              ▼                            │
 *         roster.plumbline  <───────────────┘  5 rename: one moment the old, the next the new
 *
 *     Stopped at any step, the roster's name stands for the whole old or the whole new one. */
#ifndef ROSTER_BACKUP_H
#define ROSTER_BACKUP_H

#include "roster/audit.h"
#include "roster/roster.h"

typedef void backup_tell(void *context, enum audit_step step, size_t done, size_t of);

/* What lies in a backup. */
struct backup_about {
    int64_t schema;
    int64_t riders;
    int64_t recordings;
    int64_t last_rider; /* highest id; 0 = no rider */
    int64_t bytes;
    const char *newest_day; /* of its recordings; NULL = none */
};

struct backup_call {
    struct roster *roster;
    struct roster_now now;
    const char *path;
    bool overwrite; /* what lies at path */
    backup_tell *tell;
    void *context;
};

/* *path is the absolute one.  False, and nothing is left behind: ERROR_CONFLICT (something is there
 * already), ERROR_STORAGE (no room, or the copy is not whole), ERROR_USAGE (a server's store). */
MUST_USE bool backup_make(struct arena *arena, const struct backup_call *call, const char **path,
                          struct backup_about *about, struct error *err);

/* False with a line if it is not a whole roster that this program can use.  Reads all of it. */
MUST_USE bool backup_look(struct arena *arena, const char *path, struct backup_about *about,
                          backup_tell *tell, void *context, struct error *err);

/* ---- back ---- */

enum restore_step {
    RESTORE_ALONE,   /* nobody else has it open */
    RESTORE_COPIED,  /* the new one lies beside, checked */
    RESTORE_SETTLED, /* the old one's log is folded in */
    RESTORE_KEPT,    /* the old one has a second name */
    RESTORE_CLEARED, /* no log lies beside */
    RESTORE_DONE,    /* the new one has the name */
    RESTORE_STEPS
};

struct restore_call {
    const char *place; /* the roster's; nothing needs to be there */
    const char *backup;
    struct roster_now now;
    backup_tell *tell;
    void *context;
    /* for tests, which stop it there; NULL */
    void (*reached)(enum restore_step step);
};

struct restore_done {
    struct backup_about about;
    const char *kept; /* where the old roster lies; NULL = there was none */
    bool was_damaged; /* the old one */
    struct schema_done schema;
};

/* Not to be taken back by undo.  False, and the old roster stays: the backup is not whole, others
 * have the roster open (ERROR_BUSY, after waiting), what lies there is no roster (ERROR_CONFLICT),
 * no room.  Once the new one has its name, a false says what is left to do. */
MUST_USE bool restore_run(struct arena *arena, const struct restore_call *call,
                          struct restore_done *done, struct error *err);

#endif
