/* roster/folders.c: whose rides lie in a folder. */
#include "roster/folders.h"

#include "roster/changes.h"

#include <string.h>

struct folder {
    const char *path;
    int64_t rider;
};

struct folders {
    struct folder *kept;
    size_t n_kept;
    struct rider *riders;
    const char **names; /* [n_riders] folded */
    size_t n_riders;
};

static bool list_kept(struct db *db, struct arena *arena, struct folders *out, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena, "SELECT path, rider FROM folder ORDER BY path, id", "ti", DB_NONE,
                  &rows, err)) {
        return false;
    }
    out->kept = ARENA_ARRAY(arena, struct folder, rows.count);
    out->n_kept = rows.count;
    for (size_t i = 0; i < rows.count; i++) {
        out->kept[i] = (struct folder){ db_text_at(&rows, i, 0), db_integer_at(&rows, i, 1) };
    }
    return true;
}

bool folders_open(struct roster *roster, struct arena *arena, struct folders **out,
                  struct error *err)
{
    struct folders *folders = arena_alloc(arena, 1, sizeof *folders);
    if (!list_kept(roster_db(roster), arena, folders, err) ||
        !riders_list(roster, arena, true, &folders->riders, &folders->n_riders, err)) {
        return false;
    }
    folders->names = ARENA_ARRAY(arena, const char *, folders->n_riders);
    for (size_t i = 0; i < folders->n_riders; i++) {
        folders->names[i] = riders_fold(arena, folders->riders[i].name);
    }
    *out = folders;
    return true;
}

static const struct rider *rider_with_id(const struct folders *folders, int64_t id)
{
    for (size_t i = 0; i < folders->n_riders; i++) {
        if (folders->riders[i].id == id) {
            return &folders->riders[i];
        }
    }
    return NULL;
}

static const struct rider *rider_called(const struct folders *folders, struct arena *arena,
                                        const char *name)
{
    char *words = arena_string(arena, name);
    for (char *at = words; *at != '\0'; at++) {
        *at = *at == '-' || *at == '_' ? ' ' : *at;
    }
    const char *folded = riders_fold(arena, words);
    for (size_t i = 0; i < folders->n_riders; i++) {
        if (strcmp(folders->names[i], folded) == 0) {
            return &folders->riders[i];
        }
    }
    return NULL;
}

const struct rider *folders_rider(const struct folders *folders, struct arena *arena,
                                  const char *path)
{
    char *folder = arena_string(arena, path);
    for (char *slash = strrchr(folder, '/'); slash != NULL && slash > folder;
         slash = strrchr(folder, '/')) {
        *slash = '\0';
        for (size_t i = 0; i < folders->n_kept; i++) {
            if (strcmp(folders->kept[i].path, folder) == 0) {
                return rider_with_id(folders, folders->kept[i].rider);
            }
        }
        const char *name = strrchr(folder, '/');
        const struct rider *rider = name == NULL ? NULL : rider_called(folders, arena, name + 1);
        if (rider != NULL) {
            return rider;
        }
    }
    return NULL;
}

/* ---- keeping ---- */

struct work {
    struct arena *arena;
    struct roster_now now;
    const char *path;
    const struct rider *rider;
};

static bool keep(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    struct db_rows rows = { 0 };
    struct change change = { 0 };
    const struct edit edits[] = { { "path", db_text(work->path) },
                                  { "rider", db_integer(work->rider->id) } };
    int64_t id = 0;
    if (!db_query(db, work->arena,
                  "SELECT f.id, f.rider, r.name FROM folder f JOIN rider r ON r.id = f.rider WHERE "
                  "f.path = $1",
                  "iit", DB_ARGS(db_text(work->path)), &rows, err)) {
        return false;
    }
    if (rows.count > 0 && db_integer_at(&rows, 0, 1) == work->rider->id) {
        return true;
    }
    const char *words =
        rows.count > 0
            ? arena_format(work->arena, "Rides in %s are %s's (were %s's)", work->path,
                           work->rider->name, db_text_at(&rows, 0, 2))
            : arena_format(work->arena, "Rides in %s are %s's", work->path, work->rider->name);
    if (!changes_begin(db, work->arena, work->now, words, &change, err)) {
        return false;
    }
    return rows.count > 0
               ? changes_edit(&change, "folder", db_integer_at(&rows, 0, 0), 0, edits, 2, err)
               : changes_add(&change, "folder", edits, 2, &id, err);
}

bool folders_keep(struct roster *roster, struct arena *arena, struct roster_now now,
                  const char *path, const struct rider *rider, struct error *err)
{
    struct work work = { arena, now, path, rider };
    return db_write(roster_db(roster), keep, &work, err);
}
