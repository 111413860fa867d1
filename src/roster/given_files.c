/* roster/given_files.c: files that are handed over with a change, whatever happens in between. */
#include "roster/given_files.h"

#include <errno.h>
#include <limits.h>
#include <string.h>
#include <unistd.h>

#define NOTE "put in place: "

enum { NAME_BYTES = 256, NOTE_BYTES_MOST = 4 * FILES_SET_MOST * 4096 };

static const char *machine(char name[NAME_BYTES])
{
    return gethostname(name, NAME_BYTES - 1) == 0 ? name : "";
}

/* Whoever starts next may stand elsewhere. */
static bool whole_path(struct arena *arena, const char *path, const char **out, struct error *err)
{
    char folder[PATH_MAX];
    if (path[0] == '/') {
        *out = path;
        return true;
    }
    if (getcwd(folder, sizeof folder) == NULL) {
        return error_set(err, ERROR_STORAGE, "%s: the folder can't be named: %s", path,
                         strerror(errno));
    }
    *out = arena_format(arena, "%s/%s", folder, path);
    return true;
}

bool given_files_note(struct db *db, struct arena *arena, const struct files_set *set,
                      const char **note, struct error *err)
{
    char name[NAME_BYTES] = { 0 };
    struct text content = text_begin(arena, NOTE_BYTES_MOST);
    *note = NULL;
    if (set->n == 0) {
        return true;
    }
    text_add_format(&content, "%s", machine(name));
    for (size_t i = 0; i < set->n; i++) {
        const char *beside = NULL;
        const char *path = NULL;
        if (!whole_path(arena, set->beside[i], &beside, err) ||
            !whole_path(arena, set->paths[i], &path, err)) {
            return false;
        }
        if (i == 0) {
            *note = arena_format(arena, NOTE "%s %s", name, beside);
        }
        text_add_format(&content, "\n%s\n%s", beside, path);
    }
    return db_run(db, "INSERT INTO setting (name, content) VALUES ($1, $2)",
                  DB_ARGS(db_text(*note), db_text(content.bytes)), err);
}

static bool take_away(struct db *db, const char *note, struct error *err)
{
    return db_run(db, "DELETE FROM setting WHERE name = $1", DB_ARGS(db_text(note)), err);
}

bool given_files_done(struct roster *roster, const char *note, struct error *err)
{
    return note == NULL || take_away(roster_db(roster), note, err);
}

/* False: whoever wrote them is still at it. */
static bool finish_all(char *lines, struct text *said)
{
    char *save = NULL;
    for (const char *beside = strtok_r(lines, "\n", &save); beside != NULL;
         beside = strtok_r(NULL, "\n", &save)) {
        const char *path = strtok_r(NULL, "\n", &save);
        int cause = 0;
        if (path == NULL) {
            break;
        }
        switch (files_set_put(beside, path, &cause)) {
        case FILES_PUT_WAS: break;
        case FILES_PUT_BUSY: return false;
        case FILES_PUT_DONE:
            text_add_format(said, "%s: put in its place now: the program was stopped before\n",
                            path);
            break;
        case FILES_PUT_LOST:
            text_add_format(said,
                            "%s: is missing: the program was stopped before it was in its place; "
                            "give the session again\n",
                            path);
            break;
        case FILES_PUT_FAILED:
            text_add_format(said, "%s: cannot be put in its place: %s; it is %s\n", path,
                            strerror(cause), beside);
            break;
        }
    }
    return true;
}

bool given_files_finish(struct roster *roster, struct arena *arena, struct text *said,
                        struct error *err)
{
    char name[NAME_BYTES] = { 0 };
    struct db *db = roster_db(roster);
    struct db_rows rows = { 0 };
    /* Of this machine; a range of names would hang on the store's order of letters. */
    const char *begins = arena_format(arena, NOTE "%s ", machine(name));
    if (!db_query(db, arena,
                  "SELECT name, content FROM setting WHERE substr(name, 1, length(CAST($1 AS "
                  "TEXT))) = $1 ORDER BY id",
                  "tt", DB_ARGS(db_text(begins)), &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        char *lines = strchr(arena_string(arena, db_text_at(&rows, i, 1)), '\n');
        if ((lines == NULL || finish_all(lines + 1, said)) &&
            !take_away(db, db_text_at(&rows, i, 0), err)) {
            return false;
        }
    }
    return true;
}
