/* roster/roster.c: the store, opened. */
#include "roster/roster.h"

#include "roster/file_system.h"

#include <errno.h>
#include <fcntl.h>
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

bool roster_make_folders(const char *place, struct error *err)
{
    char path[PATH_MAX];
    if (snprintf(path, sizeof path, "%s", place) >= (int)sizeof path) {
        return error_set(err, ERROR_USAGE, "%s: the path is too long", place);
    }
    for (char *slash = strchr(path + 1, '/'); slash != NULL; slash = strchr(slash + 1, '/')) {
        *slash = '\0';
        if (mkdir(path, 0700) != 0 && errno != EEXIST) {
            return error_set(err, ERROR_STORAGE, "%s: the folder cannot be made: %s", path,
                             strerror(errno));
        }
        *slash = '/';
    }
    return true;
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
    return true;
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
