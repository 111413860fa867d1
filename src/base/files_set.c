/* base/files_set.c: files written beside their places, then renamed into them. */
#include "base/files_set.h"

#include <assert.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

static bool write_all(int fd, struct bytes bytes)
{
    size_t done = 0;
    while (done < bytes.size) {
        const ssize_t put = write(fd, bytes.at + done, bytes.size - done);
        if (put < 0 && errno == EINTR) {
            continue;
        }
        if (put < 0) {
            return false;
        }
        done += (size_t)put;
    }
    return fsync(fd) == 0;
}

static bool not_written(const char *path, int cause, struct error *err)
{
    return error_set(err, ERROR_STORAGE, "%s: cannot be written: %s; nothing was left behind", path,
                     strerror(cause));
}

/* Whole, synced and locked beside its place, or not there at all; *held holds the lock. */
static bool write_beside(const char *path, size_t i, char beside[4096], struct bytes bytes,
                         int *held, struct error *err)
{
    struct stat at;
    const int length = snprintf(beside, 4096, "%s.part-%ld-%zu", path, (long)getpid(), i);
    if (length < 0 || length >= 4096) {
        return error_set(err, ERROR_USAGE, "%s: the path is too long", path);
    }
    if (stat(path, &at) == 0 && S_ISDIR(at.st_mode)) {
        return not_written(path, EISDIR, err);
    }
    const int fd = open(beside, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (fd < 0) {
        return error_set(err, ERROR_STORAGE, "%s: cannot be written: %s", path, strerror(errno));
    }
    /* A file system without locks has nobody who finds the file by them either. */
    (void)flock(fd, LOCK_EX | LOCK_NB);
    if (!write_all(fd, bytes)) {
        const int cause = errno;
        close(fd);
        unlink(beside);
        return not_written(path, cause, err);
    }
    *held = fd;
    return true;
}

void files_set_begin(struct files_set *set)
{
    sigset_t held;
    set->n = 0;
    sigemptyset(&held);
    sigaddset(&held, SIGINT);
    sigaddset(&held, SIGTERM);
    sigaddset(&held, SIGHUP);
    pthread_sigmask(SIG_BLOCK, &held, &set->before);
}

bool files_set_add(struct files_set *set, const char *path, struct bytes bytes, struct error *err)
{
    assert(set->n < FILES_SET_MOST);
    for (size_t i = 0; i < set->n; i++) {
        if (strcmp(set->paths[i], path) == 0) {
            return error_set(err, ERROR_USAGE, "%s: named for two files; name another", path);
        }
    }
    if (!write_beside(path, set->n, set->beside[set->n], bytes, &set->fds[set->n], err)) {
        return false;
    }
    set->paths[set->n++] = path;
    return true;
}

void files_set_clear(struct files_set *set)
{
    for (size_t i = 0; i < set->n; i++) {
        unlink(set->beside[i]);
        close(set->fds[i]); /* synced: there is nothing left to fail */
    }
    set->n = 0;
}

bool files_set_keep(struct files_set *set, struct error *err)
{
    bool ok = true;
    for (size_t i = 0; ok && i < set->n; i++) {
        ok = rename(set->beside[i], set->paths[i]) == 0 ||
             error_set(err, ERROR_STORAGE, "%s: cannot be put in its place: %s; all else was done",
                       set->paths[i], strerror(errno));
    }
    files_set_drop(set); /* those in their places are no longer beside them */
    return ok;
}

void files_set_drop(struct files_set *set)
{
    files_set_clear(set);
    pthread_sigmask(SIG_SETMASK, &set->before, NULL);
}

enum files_put files_set_put(const char *beside, const char *path, int *cause)
{
    struct stat at;
    *cause = 0;
    const int fd = open(beside, O_RDONLY | O_CLOEXEC);
    if (fd < 0 && errno != ENOENT) {
        *cause = errno;
        return FILES_PUT_FAILED;
    }
    if (fd < 0) {
        return stat(path, &at) == 0 ? FILES_PUT_WAS : FILES_PUT_LOST;
    }
    enum files_put put = FILES_PUT_BUSY;
    if (flock(fd, LOCK_EX | LOCK_NB) == 0) {
        const bool done = rename(beside, path) == 0;
        *cause = done ? 0 : errno;
        /* Its writer may have been done just now. */
        const bool was = *cause == ENOENT && stat(path, &at) == 0;
        put = done ? FILES_PUT_DONE : was ? FILES_PUT_WAS : FILES_PUT_FAILED;
    }
    close(fd);
    return put;
}
