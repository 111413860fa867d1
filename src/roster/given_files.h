/* roster/given_files.h: files that are handed over with a change, whatever happens in between.
 *
 *     note of them ── files beside their places ── the change, and another note ── renamed ── gone
 *                 ^                                                            ^
 *           killed here: taken away          killed here: renamed, and what is missing is said
 *
 * It is the next start that does so, of a command or of the server.  A note is a row of `setting`;
 * it is about files of one machine, and no other touches them.  Only files that a note names by
 * their process are touched: files_set_beside. */
#ifndef ROSTER_GIVEN_FILES_H
#define ROSTER_GIVEN_FILES_H

#include "base/files_set.h"
#include "base/text.h"
#include "roster/roster.h"

/* Before anything is written: what will be, beside those paths.  *begun gets the note's name; NULL
 * where n is 0. */
MUST_USE bool given_files_begin(struct roster *roster, struct arena *arena,
                                const char *const paths[], size_t n, const char **begun,
                                struct error *err);

/* The change failed, and what was written was taken away; begun NULL = there was none. */
MUST_USE bool given_files_dropped(struct roster *roster, const char *begun, struct error *err);

/* Within the change: what must be put in its place after it, no longer what was only begun.  *note
 * gets its name; NULL where the set is empty. */
MUST_USE bool given_files_note(struct db *db, struct arena *arena, const struct files_set *set,
                               const char *begun, const char **note, struct error *err);

/* All of it was put there, or it was said that it couldn't be; note NULL = there was none. */
MUST_USE bool given_files_done(struct roster *roster, const char *note, struct error *err);

struct given_left {
    size_t put;        /* files, in their places now */
    size_t taken_away; /* of changes that were never made */
    size_t in_trouble; /* missing, or they can't be moved */
};

/* What another run left is put in its place, or taken away; *said gets a line for each.  said NULL
 * = nobody can be told a file's name: those in trouble stay noted for who can. */
MUST_USE bool given_files_finish(struct roster *roster, struct arena *arena, struct text *said,
                                 struct given_left *left, struct error *err);

#endif
