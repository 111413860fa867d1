/* roster/watch.c: a folder into which recordings fall, and when one of them is whole. */
#include "roster/watch.h"

#include "roster/import_list.h"

#include <dirent.h>
#include <errno.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <sys/inotify.h>
#include <sys/stat.h>
#include <unistd.h>

static const uint32_t EVENTS =
    IN_CLOSE_WRITE | IN_MOVED_TO | IN_CREATE | IN_MODIFY | IN_ATTRIB | IN_ONLYDIR;

/* A file as it was at the last look. */
struct seen {
    const char *path;
    int64_t size;
    int64_t changed_ns;
    double since_s; /* so it has been since */
    bool is_done;
};

/* A folder that tells. */
struct told_of {
    int id; /* the kernel's */
    const char *path;
};

/* A file that somebody writes and has not let go of. */
struct writing {
    const char *path;
};

struct watch {
    struct arena *own;  /* folder */
    struct arena *last; /* of `seen`: a new one each look */
    const char *folder;
    int descriptor;
    struct told_of *told; /* [n_told] */
    size_t n_told;
    size_t told_capacity;
    struct writing *writing; /* [n_writing] */
    size_t n_writing;
    size_t writing_capacity;
    struct seen *seen; /* [n] by path */
    size_t n;
    double looked_s; /* the last look */
    bool has_looked;
    bool is_waiting; /* some file isn't steady yet */
    bool was_told;   /* something happened since */
};

/* ---- telling ---- */

static const char *folder_of(const struct watch *watch, int id)
{
    for (size_t i = 0; i < watch->n_told; i++) {
        if (watch->told[i].id == id) {
            return watch->told[i].path;
        }
    }
    return NULL;
}

/* A folder and those in it; one that can't be watched is still looked at. */
static void tell_of(struct watch *watch, const char *folder)
{
    const int id =
        watch->descriptor < 0 ? -1 : inotify_add_watch(watch->descriptor, folder, EVENTS);
    if (id < 0) {
        return;
    }
    if (folder_of(watch, id) == NULL) {
        watch->told = arena_grow(watch->own, watch->told, watch->n_told, &watch->told_capacity,
                                 sizeof watch->told[0]);
        watch->told[watch->n_told++] = (struct told_of){ id, arena_string(watch->own, folder) };
    }
    DIR *dir = opendir(folder);
    if (dir == NULL) {
        return;
    }
    struct arena *scratch = arena_open();
    for (const struct dirent *one = readdir(dir); one != NULL; one = readdir(dir)) {
        struct stat st = { 0 };
        const char *path = arena_format(scratch, "%s/%s", folder, one->d_name);
        if (one->d_name[0] != '.' && lstat(path, &st) == 0 && S_ISDIR(st.st_mode)) {
            tell_of(watch, path);
        }
    }
    arena_close(scratch);
    closedir(dir);
}

static size_t find_writing(const struct watch *watch, const char *path)
{
    size_t i = 0;
    while (i < watch->n_writing && strcmp(watch->writing[i].path, path) != 0) {
        i++;
    }
    return i;
}

/* Who began to write a file, and who let go of it. */
static void hear_one(struct watch *watch, const struct inotify_event *event, const char *name)
{
    const char *folder = folder_of(watch, event->wd);
    if (folder == NULL || event->len == 0 || (event->mask & IN_ISDIR) != 0) {
        return;
    }
    const char *path = arena_format(watch->own, "%s/%s", folder, name);
    const size_t at = find_writing(watch, path);
    if ((event->mask & (IN_CLOSE_WRITE | IN_MOVED_TO)) != 0) {
        if (at < watch->n_writing) {
            watch->writing[at] = watch->writing[--watch->n_writing];
        }
    } else if ((event->mask & (IN_CREATE | IN_MODIFY)) != 0 && at == watch->n_writing) {
        watch->writing = arena_grow(watch->own, watch->writing, watch->n_writing,
                                    &watch->writing_capacity, sizeof watch->writing[0]);
        watch->writing[watch->n_writing++] = (struct writing){ path };
    }
}

/* Takes what was told off the queue. */
static void hear(struct watch *watch)
{
    char buffer[16384];
    bool folders = false;
    while (watch->descriptor >= 0) {
        const ssize_t size = read(watch->descriptor, buffer, sizeof buffer);
        if (size <= 0) {
            break;
        }
        watch->was_told = true;
        for (ssize_t at = 0; at + (ssize_t)sizeof(struct inotify_event) <= size;) {
            struct inotify_event event;
            memcpy(&event, buffer + at, sizeof event);
            folders = folders || (event.mask & (IN_ISDIR | IN_Q_OVERFLOW)) != 0;
            hear_one(watch, &event, buffer + at + sizeof event);
            at += (ssize_t)sizeof event + (ssize_t)event.len;
        }
    }
    if (folders) {
        tell_of(watch, watch->folder);
    }
}

/* ---- the handle ---- */

bool watch_open(const char *folder, struct watch **out, struct error *err)
{
    struct stat st = { 0 };
    if (stat(folder, &st) != 0) {
        return error_set(err, errno == EACCES ? ERROR_DENIED : ERROR_NOT_FOUND,
                         "%s: cannot be watched: %s", folder, strerror(errno));
    }
    if (!S_ISDIR(st.st_mode)) {
        return error_set(err, ERROR_USAGE, "%s: is no folder; only folders are watched", folder);
    }
    struct arena *own = arena_open();
    struct watch *watch = ARENA_ARRAY(own, struct watch, 1);
    char real[PATH_MAX];
    *watch = (struct watch){
        .own = own, .folder = arena_string(own, realpath(folder, real) == NULL ? folder : real)
    };
    watch->descriptor = inotify_init1(IN_NONBLOCK | IN_CLOEXEC);
    tell_of(watch, watch->folder);
    *out = watch;
    return true;
}

void watch_close(struct watch *watch)
{
    if (watch == NULL) {
        return;
    }
    if (watch->descriptor >= 0) {
        close(watch->descriptor);
    }
    arena_close(watch->last);
    arena_close(watch->own);
}

int watch_descriptor(const struct watch *watch)
{
    return watch->descriptor;
}

double watch_wait_s(const struct watch *watch, double now_s)
{
    const double whole =
        watch->is_waiting || watch->descriptor < 0 ? WATCH_STEADY_S / 4.0 : WATCH_AGAIN_S;
    const double left = whole - (now_s - watch->looked_s);
    return !watch->has_looked || left < 0.0 ? 0.0 : left;
}

/* ---- looking ---- */

/* What is known of a path; both lists are sorted, so *at only goes up. */
static const struct seen *before(const struct watch *watch, const char *path, size_t *at)
{
    while (*at < watch->n && strcmp(watch->seen[*at].path, path) < 0) {
        (*at)++;
    }
    return *at < watch->n && strcmp(watch->seen[*at].path, path) == 0 ? &watch->seen[*at] : NULL;
}

bool watch_look(struct watch *watch, struct arena *arena, double now_s, const char ***out,
                size_t *count, struct error *err)
{
    struct listed_files listed = { 0 };
    *out = NULL;
    *count = 0;
    hear(watch);
    if (!watch->was_told && watch_wait_s(watch, now_s) > 0.0) {
        return true;
    }
    struct arena *now = arena_open();
    const char *const folders[] = { watch->folder };
    if (!import_list(now, folders, 1, &listed, err)) {
        arena_close(now);
        return false;
    }
    struct seen *seen = ARENA_ARRAY(now, struct seen, listed.count);
    size_t n = 0;
    size_t at = 0;
    *out = ARENA_ARRAY(arena, const char *, listed.count);
    watch->is_waiting = false;
    for (size_t i = 0; i < listed.count; i++) {
        struct stat st = { 0 };
        const char *path = listed.items[i].path;
        if (lstat(path, &st) != 0) {
            continue; /* gone meanwhile */
        }
        struct seen one = { path, st.st_size,
                            (int64_t)st.st_mtim.tv_sec * 1000000000 + st.st_mtim.tv_nsec, now_s,
                            false };
        const struct seen *was = before(watch, path, &at);
        if (was != NULL && was->size == one.size && was->changed_ns == one.changed_ns) {
            one.since_s = was->since_s;
            one.is_done = was->is_done;
        }
        const bool is_written = find_writing(watch, path) < watch->n_writing;
        if (!one.is_done && now_s - one.since_s >= (is_written ? WATCH_WRITER_S : WATCH_STEADY_S)) {
            one.is_done = true;
            (*out)[(*count)++] = arena_string(arena, path);
        }
        watch->is_waiting = watch->is_waiting || !one.is_done;
        seen[n++] = one;
    }
    arena_close(watch->last);
    watch->last = now;
    watch->seen = seen;
    watch->n = n;
    watch->looked_s = now_s;
    watch->has_looked = true;
    watch->was_told = false;
    return true;
}
