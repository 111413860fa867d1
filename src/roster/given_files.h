/* roster/given_files.h: files that are handed over with a change, whatever happens in between.
 *
 *     files beside their places ── the change, and a note of them ── renamed ── the note taken away
 *                                                               ^
 *                                                killed here: the next start finds the note,
 *                                                renames what is left, and says what is missing
 *
 * The note is a row of `setting`; it is about files of one machine, and no other touches them. */
#ifndef ROSTER_GIVEN_FILES_H
#define ROSTER_GIVEN_FILES_H

#include "base/files_set.h"
#include "base/text.h"
#include "roster/roster.h"

/* Within the change: what must be put in its place after it.  *note gets its name; NULL where the
 * set is empty. */
MUST_USE bool given_files_note(struct db *db, struct arena *arena, const struct files_set *set,
                               const char **note, struct error *err);

/* All of it was put there, or it was said that it couldn't be; note NULL = there was none. */
MUST_USE bool given_files_done(struct roster *roster, const char *note, struct error *err);

/* What another run left: put in its place; *said gets a line for each file that was, or can't be.
 */
MUST_USE bool given_files_finish(struct roster *roster, struct arena *arena, struct text *said,
                                 struct error *err);

#endif
