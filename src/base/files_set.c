/* base/files_set.c: files written beside their places, then renamed into them. */
#include "base/files_set.h"

#include <assert.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
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

/* When a process began, in ticks since the machine did; 0 = there is none, or none can be looked at
 * here.  Field 22 of /proc/PID/stat, the name in field 2 may hold anything: man 5 proc. */
static unsigned long long start_of(long pid)
{
    enum { FIELDS_AFTER_NAME = 20 };
    char path[64];
    char line[1024];
    snprintf(path, sizeof path, "/proc/%ld/stat", pid);
    FILE *file = fopen(path, "re");
    const size_t n = file == NULL ? 0 : fread(line, 1, sizeof line - 1, file);
    if (file != NULL) {
        fclose(file);
    }
    line[n] = '\0';
    const char *at = strrchr(line, ')');
    for (int i = 0; at != NULL && i < FIELDS_AFTER_NAME; i++) {
        at = strchr(at + 1, ' ');
    }
    return at == NULL ? 0 : strtoull(at, NULL, 10);
}

#define BESIDE ".part-"

bool files_set_beside(const char *path, char beside[4096], struct error *err)
{
    const long pid = (long)getpid();
    const int length = snprintf(beside, 4096, "%s" BESIDE "%ld-%llu", path, pid, start_of(pid));
    return (length > 0 && length < 4096) ||
           error_set(err, ERROR_USAGE, "%s: the path is too long", path);
}

/* A number may have gone to another process since: it began at another time. */
static bool writer_lives(const char *beside)
{
    const char *mark = NULL;
    for (const char *at = strstr(beside, BESIDE); at != NULL; at = strstr(at + 1, BESIDE)) {
        mark = at + strlen(BESIDE);
    }
    char *end = NULL;
    const long pid = mark == NULL ? 0 : strtol(mark, &end, 10);
    if (pid <= 0 || *end != '-') {
        return false;
    }
    const unsigned long long start = strtoull(end + 1, NULL, 10);
    return start != 0 ? start_of(pid) == start : kill((pid_t)pid, 0) == 0 || errno == EPERM;
}

/* Whole, synced and locked beside its place, or not there at all; *held holds the lock. */
static bool write_beside(const char *path, char beside[4096], struct bytes bytes, int *held,
                         struct error *err)
{
    struct stat at;
    if (!files_set_beside(path, beside, err)) {
        return false;
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
    if (!write_beside(path, set->beside[set->n], bytes, &set->fds[set->n], err)) {
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

enum files_put files_set_take_away(const char *beside, int *cause)
{
    *cause = 0;
    if (writer_lives(beside)) {
        return FILES_PUT_BUSY;
    }
    const int fd = open(beside, O_RDONLY | O_CLOEXEC);
    if (fd < 0) {
        *cause = errno == ENOENT ? 0 : errno;
        return errno == ENOENT ? FILES_PUT_WAS : FILES_PUT_FAILED;
    }
    enum files_put put = FILES_PUT_BUSY;
    if (flock(fd, LOCK_EX | LOCK_NB) == 0) {
        put = unlink(beside) == 0 ? FILES_PUT_DONE : FILES_PUT_FAILED;
        *cause = put == FILES_PUT_DONE ? 0 : errno;
    }
    close(fd);
    return put;
}
