/* roster/kept_copies.c: copies of the roster that lie elsewhere. */
#include "roster/kept_copies.h"

#include <errno.h>
#include <libgen.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>

static bool add(struct db *db, void *context, struct error *err)
{
    const struct kept_copy *copy = context;
    return db_run(db,
                  "INSERT INTO kept_copy (kind, path, rider, last_rider, made_utc_s) VALUES ($1, "
                  "$2, $3, $4, $5) ON CONFLICT (path) DO UPDATE SET kind = excluded.kind, rider = "
                  "excluded.rider, last_rider = excluded.last_rider, made_utc_s = "
                  "excluded.made_utc_s",
                  DB_ARGS(db_text(copy->kind), db_text(copy->path),
                          copy->rider == 0 ? db_null(DB_INTEGER) : db_integer(copy->rider),
                          db_integer(copy->last_rider), db_integer(copy->made_utc_s)),
                  err);
}

bool kept_copies_add(struct roster *roster, const struct kept_copy *copy, struct error *err)
{
    struct kept_copy own = *copy;
    return db_write(roster_db(roster), add, &own, err);
}

bool kept_copies_list(struct roster *roster, struct arena *arena, int64_t rider,
                      struct kept_copy **out, size_t *count, struct error *err)
{
    struct db_rows rows = { 0 };
    /* Of one rider, or of all when this one was there already. */
    if (!db_query(
            roster_db(roster), arena,
            "SELECT id, kind, path, rider, last_rider, made_utc_s FROM kept_copy WHERE $1 = 0 "
            "OR rider = $1 OR (rider IS NULL AND last_rider >= $1) ORDER BY made_utc_s DESC, "
            "id DESC",
            "ittIii", DB_ARGS(db_integer(rider)), &rows, err)) {
        return false;
    }
    *out = ARENA_ARRAY(arena, struct kept_copy, rows.count);
    *count = rows.count;
    for (size_t i = 0; i < rows.count; i++) {
        (*out)[i] = (struct kept_copy){
            .id = db_integer_at(&rows, i, 0),
            .kind = db_text_at(&rows, i, 1),
            .path = db_text_at(&rows, i, 2),
            .rider = db_integer_at(&rows, i, 3),
            .last_rider = db_integer_at(&rows, i, 4),
            .made_utc_s = db_integer_at(&rows, i, 5),
        };
    }
    return true;
}

bool kept_copies_path(struct arena *arena, const char *path, const char **out, struct error *err)
{
    char folder[PATH_MAX];
    const char *of = dirname(arena_string(arena, path));
    const char *name = basename(arena_string(arena, path));
    if (path[0] == '\0' || strcmp(name, "/") == 0 || strcmp(name, ".") == 0 ||
        strcmp(name, "..") == 0) {
        return error_set(err, ERROR_USAGE, "%s: is no name for it; write FOLDER/NAME", path);
    }
    if (realpath(of, folder) == NULL) {
        return error_set(err, ERROR_NOT_FOUND, "%s: %s; make the folder first", of,
                         strerror(errno));
    }
    *out = arena_format(arena, "%s/%s", strcmp(folder, "/") == 0 ? "" : folder, name);
    return strlen(*out) < PATH_MAX - 64 ||
           error_set(err, ERROR_USAGE, "%.200s: the path is too long", path);
}
