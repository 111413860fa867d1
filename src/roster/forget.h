/* roster/forget.h: a rider, and everything of them, taken out of the roster for good.
 *
 *     rows          of the rider, of their rides, of changes that touched them: removed
 *     originals     the files that came, unless another rider has the same one
 *     bytes         the store written anew (VACUUM), its log emptied
 *     search        the bytes of the roster's file, its log and what lies beside it under its name
 *                   are searched for what was removed (roster/forget_needles): nothing is found, or
 *                   it is said what and where
 *     copies        backups and exports that were made and may hold the rider are named; nobody
 *                   touches them
 *
 * Not to be taken back by undo.  On a server the rows are removed and its tables written anew; its
 * files can't be searched from here. */
#ifndef ROSTER_FORGET_H
#define ROSTER_FORGET_H

#include "roster/kept_copies.h"
#include "roster/riders.h"

/* What of the rider there is, or was. */
struct forget_count {
    const char *what; /* "rides", "files", "notes and facts", ... */
    int64_t n;
};
#define FORGET_COUNTS 6

/* Something that is still there. */
struct forget_remains {
    const char *what;  /* "the name", "a note", "a sensor's serial", ... */
    const char *where; /* the first: a file and how far in, and the row if it is in one */
    size_t n;          /* of its kind in that file */
};

struct forget_done {
    struct forget_count counts[FORGET_COUNTS];
    struct kept_copy *copies; /* [n_copies] that may hold the rider */
    size_t n_copies;
    bool was_searched;     /* false: a server's */
    const char **searched; /* [n_searched] files */
    size_t n_searched;
    size_t n_needles;               /* looked for */
    size_t n_too_short;             /* too short to tell from chance: not looked for */
    size_t n_of_others;             /* that stand in another rider's rows as well: not looked for */
    struct forget_remains *remains; /* [n_remains] at most FORGET_REMAINS_MOST */
    size_t n_remains;
};
#define FORGET_REMAINS_MOST 50

/* What would be removed, and which copies hold it; nothing is changed. */
MUST_USE bool forget_look(struct roster *roster, struct arena *arena, const struct rider *rider,
                          struct forget_done *done, struct error *err);

struct forget_call {
    struct roster *roster;
    const struct rider *rider;
    /* for tests: between the removal and the search; NULL */
    void (*between)(struct db *db);
};

/* False: nothing was removed, or the line says how far it came. */
MUST_USE bool forget_run(struct arena *arena, const struct forget_call *call,
                         struct forget_done *done, struct error *err);

#endif
