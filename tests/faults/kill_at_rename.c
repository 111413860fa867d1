/* tests/faults/kill_at_rename.c: loaded before the program (LD_PRELOAD), kills it with SIGKILL
 *
 *   KILL_AT_RENAME=n  just before its n-th renaming of a file that waits beside its place, from 1
 *   KILL_AT_SYNC=n    at the syncing of such files: 1 before the first, 2 after it, 3 before the
 *                     second ... */
#include <dlfcn.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

int rename(const char *from, const char *to);
int fsync(int fd);

int rename(const char *from, const char *to)
{
    static int n;
    int (*real)(const char *, const char *) = NULL;
    void *found = dlsym(RTLD_NEXT, "rename");
    const char *at = getenv("KILL_AT_RENAME");
    memcpy(&real, &found, sizeof real); /* ISO C has no cast from one to the other */
    if (at != NULL && strstr(from, ".part-") != NULL && ++n == atoi(at)) {
        kill(getpid(), SIGKILL);
    }
    return real(from, to);
}

static int is_beside(int fd)
{
    char link[64];
    char path[4096];
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    const ssize_t n = readlink(link, path, sizeof path - 1);
    path[n > 0 ? n : 0] = '\0';
    return strstr(path, ".part-") != NULL;
}

static void count_sync(int fd)
{
    static int n;
    const char *at = getenv("KILL_AT_SYNC");
    if (at != NULL && is_beside(fd) && ++n == atoi(at)) {
        kill(getpid(), SIGKILL);
    }
}

int fsync(int fd)
{
    int (*real)(int) = NULL;
    void *found = dlsym(RTLD_NEXT, "fsync");
    memcpy(&real, &found, sizeof real);
    count_sync(fd);
    const int done = real(fd);
    count_sync(fd);
    return done;
}
