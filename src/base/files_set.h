/* base/files_set.h: several files that belong together, and to something else that may fail (a
 * change in a roster).
 *
 *     files_set_begin(&set);
 *     files_set_add(&set, path, bytes, err) ...    written beside their places, synced
 *     files_set_keep(&set, err)                    renamed into them
 *     files_set_drop(&set)                         else: nothing is left behind
 *
 * Interrupts are held off from the beginning until it is kept or dropped.  Each file is locked
 * while it waits beside its place, and its name says which process wrote it (PATH.part-PID-START):
 * whoever finds one that isn't locked knows that a program was killed, and puts it in its place
 * (files_set_put), or takes it away (files_set_take_away). */
#ifndef BASE_FILES_SET_H
#define BASE_FILES_SET_H

#include "base/files.h"

#include <signal.h>

enum { FILES_SET_MOST = 4 };
struct files_set {
    const char *paths[FILES_SET_MOST];
    char beside[FILES_SET_MOST][4096];
    int fds[FILES_SET_MOST]; /* that hold the locks */
    size_t n;
    sigset_t before;
};
void files_set_begin(struct files_set *set);
/* Where a file of this process waits beside its place; ERROR_USAGE: the path is too long. */
MUST_USE bool files_set_beside(const char *path, char beside[4096], struct error *err);
/* ERROR_STORAGE: it can't be written there; ERROR_USAGE: named twice. */
MUST_USE bool files_set_add(struct files_set *set, const char *path, struct bytes bytes,
                            struct error *err);
/* Takes back what was added; more may be added after it. */
void files_set_clear(struct files_set *set);
/* False where one can't be put in its place (ERROR_STORAGE names it); those before it are. */
MUST_USE bool files_set_keep(struct files_set *set, struct error *err);
void files_set_drop(struct files_set *set);

enum files_put {
    FILES_PUT_DONE, /* renamed now */
    FILES_PUT_WAS,  /* somebody did before: it is in its place */
    FILES_PUT_BUSY, /* whoever wrote it is at it */
    FILES_PUT_LOST, /* neither beside its place nor in it */
    FILES_PUT_FAILED
};
/* What was left beside its place, into it; *cause: errno where that failed. */
enum files_put files_set_put(const char *beside, const char *path, int *cause);
/* What was left beside its place, away: DONE = now, WAS = it isn't there; BUSY too while the
 * process of its name lives. */
enum files_put files_set_take_away(const char *beside, int *cause);

#endif
