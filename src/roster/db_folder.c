/* roster/db_folder.c: nobody puts another roster in the place of one that is open. */
#include "roster/db_folder.h"

#include <errno.h>
#include <fcntl.h>
#include <libgen.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/file.h>
#include <time.h>
#include <unistd.h>

static const int STEP_MS = 20;

static bool wait_for(int fd, int how)
{
    for (int waited = 0; waited <= DB_BUSY_MS; waited += STEP_MS) {
        if (flock(fd, how | LOCK_NB) == 0) {
            return true;
        }
        if (errno != EWOULDBLOCK && errno != EINTR) {
            return false;
        }
        nanosleep(&(struct timespec){ .tv_nsec = STEP_MS * 1000000L }, NULL);
    }
    errno = EWOULDBLOCK;
    return false;
}

bool db_folder_hold(const char *place, enum db_folder_hold how, int *fd, struct error *err)
{
    char folder[PATH_MAX];
    *fd = -1;
    /* SQLite follows a link to where the file is, and so must its lock. */
    if (realpath(place, folder) == NULL &&
        snprintf(folder, sizeof folder, "%s", place) >= (int)sizeof folder) {
        return error_set(err, ERROR_USAGE, "%s: the path is too long", place);
    }
    const int opened = open(dirname(folder), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (opened < 0) {
        return true;
    }
    if (wait_for(opened, how == DB_FOLDER_ALONE ? LOCK_EX : LOCK_SH)) {
        *fd = opened;
        return true;
    }
    const bool is_busy = errno == EWOULDBLOCK;
    close(opened);
    if (!is_busy) {
        return true; /* no such locks there */
    }
    return error_set(err, ERROR_BUSY,
                     how == DB_FOLDER_ALONE
                         ? "%s: another program has it, or another roster of its folder, open; end "
                           "that one and try again"
                         : "%s: a backup is being put in its place; try again in a minute",
                     place);
}

void db_folder_let_go(int fd)
{
    if (fd >= 0) {
        close(fd);
    }
}
