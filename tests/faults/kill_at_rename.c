/* tests/faults/kill_at_rename.c: loaded before the program (LD_PRELOAD), kills it with SIGKILL just
 * before its n-th renaming of a file that waits beside its place.  KILL_AT_RENAME=n, from 1. */
#include <dlfcn.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

int rename(const char *from, const char *to);

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
