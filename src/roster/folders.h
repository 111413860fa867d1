/* roster/folders.h: whose rides lie in a folder.
 *
 *     /home/coach/rides/            kept: Ada's      --rider ada was said once
 *     /home/coach/rides/2026/       so these too
 *     /home/coach/team/ben-lind/    a rider's name: Ben's, without being said
 *
 * The nearest folder decides, from the file upwards: one that is kept, or one that is called as a
 * rider is ('-' and '_' read as blanks). */
#ifndef ROSTER_FOLDERS_H
#define ROSTER_FOLDERS_H

#include "roster/riders.h"

/* Keeps that the rides in the folder (an absolute path) are the rider's, as a change in words;
 * nothing happens when that is so already. */
MUST_USE bool folders_keep(struct roster *roster, struct arena *arena, struct roster_now now,
                           const char *path, const struct rider *rider, struct error *err);

/* Whose a file is (an absolute path), as all folders and riders were when folders_open was called.
 */
struct folders;
MUST_USE bool folders_open(struct roster *roster, struct arena *arena, struct folders **out,
                           struct error *err);

/* NULL if no folder tells. */
const struct rider *folders_rider(const struct folders *folders, struct arena *arena,
                                  const char *path);

#endif
