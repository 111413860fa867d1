/* roster/roster.c: the store, opened. */
#include "roster/roster.h"

#include "roster/file_system.h"

#include <errno.h>
#include <fcntl.h>
#include <libgen.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

struct roster {
    struct db *db;
    struct schema_done schema;
};

static bool is_given(const char *text)
{
    return text != NULL && text[0] != '\0';
}

bool roster_place(struct arena *arena, const char *given, const char *data_home, const char *home,
                  const char **out, struct error *err)
{
    if (is_given(given)) {
        *out = arena_string(arena, given);
    } else if (is_given(data_home)) {
        *out = arena_format(arena, "%s/plumbline/roster.plumbline", data_home);
    } else if (is_given(home)) {
        *out = arena_format(arena, "%s/.local/share/plumbline/roster.plumbline", home);
    } else {
        return error_set(err, ERROR_USAGE,
                         "which roster? Name it with --roster FILE or PLUMBLINE_ROSTER");
    }
    return true;
}

/* A new name is on the disk when its folder is. */
static bool sync_folder_of(const char *place, struct error *err)
{
    char path[PATH_MAX];
    snprintf(path, sizeof path, "%s", place);
    const int fd = open(dirname(path), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    const bool synced = fd >= 0 && fsync(fd) == 0;
    const int cause = errno;
    if (fd >= 0) {
        close(fd);
    }
    return synced || error_set(err, ERROR_STORAGE, "%s: its folder cannot be written: %s", place,
                               strerror(cause));
}

bool roster_make_folders(const char *place, struct error *err)
{
    char path[PATH_MAX];
    if (snprintf(path, sizeof path, "%s", place) >= (int)sizeof path) {
        return error_set(err, ERROR_USAGE, "%s: the path is too long", place);
    }
    for (char *slash = strchr(path + 1, '/'); slash != NULL; slash = strchr(slash + 1, '/')) {
        *slash = '\0';
        const bool made = mkdir(path, 0700) == 0;
        if (!made && errno != EEXIST) {
            return error_set(err, ERROR_STORAGE, "%s: the folder cannot be made: %s", path,
                             strerror(errno));
        }
        if (made && !sync_folder_of(path, err)) {
            return false;
        }
        *slash = '/';
    }
    return true;
}

/* Nothing is in it: opening it would make it a store. */
static bool is_empty_file(const char *place)
{
    char log[PATH_MAX];
    struct stat status = { 0 };
    return snprintf(log, sizeof log, "%s-wal", place) < (int)sizeof log &&
           stat(place, &status) == 0 && S_ISREG(status.st_mode) && status.st_size == 0 &&
           access(log, F_OK) != 0;
}

/* An empty file is what SQLite takes for a new store; its -wal and -shm inherit the permissions. */
static bool make_file(const char *place, struct error *err)
{
    const int fd = open(place, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    if (fd < 0 && errno != EEXIST) {
        return error_set(err, ERROR_STORAGE, "%s: cannot be made: %s", place, strerror(errno));
    }
    if (fd >= 0) {
        close(fd);
    }
    return fd < 0 && !is_empty_file(place) ? true : sync_folder_of(place, err);
}

bool roster_open(const char *place, enum roster_how how, struct roster_now now, struct roster **out,
                 struct error *err)
{
    const bool create = how == ROSTER_CREATE;
    if (create && !db_place_is_postgres(place) &&
        (!roster_make_folders(place, err) || !file_system_may_hold(place, file_system_of, err) ||
         !make_file(place, err))) {
        return false;
    }
    if (!create && !db_place_is_postgres(place) && is_empty_file(place)) {
        return error_set(err, ERROR_NOT_FOUND, "%s: is empty; is this the roster's path?", place);
    }
    struct roster *roster = calloc(1, sizeof *roster);
    if (roster == NULL) {
        abort();
    }
    if (!db_open(place, &roster->db, err) ||
        !schema_open(roster->db, &schema_migrations, create, now.utc_s, &roster->schema, err)) {
        roster_close(roster);
        return false;
    }
    *out = roster;
    return true;
}

void roster_close(struct roster *roster)
{
    if (roster != NULL) {
        db_close(roster->db);
        free(roster);
    }
}

struct db *roster_db(const struct roster *roster)
{
    return roster->db;
}

const struct schema_done *roster_schema(const struct roster *roster)
{
    return &roster->schema;
}
