/* roster/import_list.c: which files an import reads. */
#include "roster/import_list.h"

#include <dirent.h>
#include <errno.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static bool refuse(const char *name, struct error *err)
{
    const int cause = errno;
    return error_set(err, cause == EACCES ? ERROR_DENIED : ERROR_NOT_FOUND,
                     "%s: cannot be looked into: %s", name, strerror(cause));
}

static void add_file(struct arena *arena, struct listed_files *out, const char *name,
                     const char *path)
{
    out->items = arena_grow(arena, out->items, out->count, &out->capacity, sizeof out->items[0]);
    out->items[out->count++] = (struct listed_file){ .name = name, .path = path };
}

struct folder {
    const char *name;
    const char *path;
};

/* One folder's files; its folders are put on the list of those still to be looked into. */
static bool look_into(struct arena *arena, const struct folder *folder, struct listed_files *out,
                      struct folder **waiting, size_t *n_waiting, size_t *capacity,
                      struct error *err)
{
    DIR *dir = opendir(folder->path);
    if (dir == NULL) {
        return refuse(folder->name, err);
    }
    const size_t length = strlen(folder->name);
    const char *between = length > 0 && folder->name[length - 1] == '/' ? "" : "/";
    for (const struct dirent *one = readdir(dir); one != NULL; one = readdir(dir)) {
        struct stat st = { 0 };
        if (one->d_name[0] == '.') {
            continue;
        }
        const char *name = arena_format(arena, "%s%s%s", folder->name, between, one->d_name);
        const char *path = arena_format(arena, "%s/%s", folder->path, one->d_name);
        if (lstat(path, &st) != 0) {
            continue; /* gone meanwhile */
        }
        if (S_ISREG(st.st_mode)) {
            add_file(arena, out, name, path);
        } else if (S_ISDIR(st.st_mode)) {
            *waiting = arena_grow(arena, *waiting, *n_waiting, capacity, sizeof **waiting);
            (*waiting)[(*n_waiting)++] = (struct folder){ name, path };
        }
    }
    closedir(dir);
    return true;
}

static bool walk(struct arena *arena, const char *name, const char *path, struct listed_files *out,
                 struct error *err)
{
    struct folder *waiting = NULL;
    size_t n_waiting = 0;
    size_t capacity = 0;
    waiting = arena_grow(arena, waiting, 0, &capacity, sizeof *waiting);
    waiting[n_waiting++] = (struct folder){ name, path };
    while (n_waiting > 0) {
        const struct folder folder = waiting[--n_waiting];
        if (!look_into(arena, &folder, out, &waiting, &n_waiting, &capacity, err)) {
            return false;
        }
    }
    return true;
}

static int by_path(const void *left, const void *right)
{
    const struct listed_file *a = left;
    const struct listed_file *b = right;
    const int paths = strcmp(a->path, b->path);
    return paths != 0 ? paths : strcmp(a->name, b->name);
}

bool import_list(struct arena *arena, const char *const paths[], size_t n, struct listed_files *out,
                 struct error *err)
{
    *out = (struct listed_files){ .folders = ARENA_ARRAY(arena, const char *, n) };
    for (size_t i = 0; i < n; i++) {
        char real[PATH_MAX];
        struct stat st = { 0 };
        if (realpath(paths[i], real) == NULL || stat(real, &st) != 0) {
            return refuse(paths[i], err);
        }
        const char *path = arena_string(arena, real);
        if (!S_ISDIR(st.st_mode)) {
            add_file(arena, out, paths[i], path);
            continue;
        }
        out->folders[out->n_folders++] = path;
        if (!walk(arena, paths[i], path, out, err)) {
            return false;
        }
    }
    if (out->count > 0) {
        qsort(out->items, out->count, sizeof out->items[0], by_path);
    }
    size_t kept = 0;
    for (size_t i = 0; i < out->count; i++) {
        if (kept == 0 || strcmp(out->items[kept - 1].path, out->items[i].path) != 0) {
            out->items[kept++] = out->items[i];
        }
    }
    out->count = kept;
    return true;
}
