/* base/data.c: where the program's own data lie. */
#include "base/data.h"

#include "base/build_tree.h" /* made by meson */

#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static bool is_folder(const char *path)
{
    struct stat about;
    return stat(path, &about) == 0 && S_ISDIR(about.st_mode);
}

/* "/usr" of "/usr/bin/plumbline"; "" if the system doesn't tell. */
static const char *prefix_of_program(struct arena *arena)
{
    char path[PATH_MAX];
    const ssize_t length = readlink("/proc/self/exe", path, sizeof path - 1);
    if (length <= 0) {
        return "";
    }
    path[length] = '\0';
    for (int up = 0; up < 2; up++) {
        char *slash = strrchr(path, '/');
        if (slash == NULL) {
            return "";
        }
        *slash = '\0';
    }
    return arena_string(arena, path);
}

bool data_find(struct arena *arena, const char *name, const char **out, struct error *err)
{
    const char *named = getenv("PLUMBLINE_DATA");
    const char *const folders[] = {
        named == NULL ? "" : named,
        arena_format(arena, "%s/share/plumbline", prefix_of_program(arena)),
        PLUMBLINE_BUILD_TREE,
    };
    for (size_t i = 0; i < sizeof folders / sizeof folders[0]; i++) {
        if (folders[i][0] == '\0') {
            continue;
        }
        const char *path = arena_format(arena, "%s/%s", folders[i], name);
        if (is_folder(path)) {
            *out = path;
            return true;
        }
    }
    return error_set(err, ERROR_NOT_FOUND,
                     "the folder %s/ of Plumbline's own data is not in $PLUMBLINE_DATA (%s), %s or "
                     "%s; install Plumbline again",
                     name, named == NULL ? "not set" : named, folders[1], folders[2]);
}
