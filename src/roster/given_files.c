/* roster/given_files.c: files that are handed over with a change, whatever happens in between. */
#include "roster/given_files.h"

#include <errno.h>
#include <limits.h>
#include <string.h>
#include <unistd.h>

#define BEGUN "being written: "
#define NOTE  "put in place: "

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

struct noting {
    struct db *db;
    struct arena *arena;
    const char *kind;
    char machine[NAME_BYTES];
    struct text content;
    const char *name;
};

static struct noting note_begin(struct db *db, struct arena *arena, const char *kind)
{
    struct noting noting = {
        .db = db, .arena = arena, .kind = kind, .content = text_begin(arena, NOTE_BYTES_MOST)
    };
    text_add_format(&noting.content, "%s", machine(noting.machine));
    return noting;
}

static bool note_file(struct noting *noting, const char *beside, const char *path,
                      struct error *err)
{
    const char *whole_beside = NULL;
    const char *whole = NULL;
    if (!whole_path(noting->arena, beside, &whole_beside, err) ||
        !whole_path(noting->arena, path, &whole, err)) {
        return false;
    }
    if (noting->name == NULL) {
        noting->name =
            arena_format(noting->arena, "%s%s %s", noting->kind, noting->machine, whole_beside);
    }
    text_add_format(&noting->content, "\n%s\n%s", whole_beside, whole);
    return true;
}

/* name NULL = no file was noted */
static bool note_end(const struct noting *noting, const char **name, struct error *err)
{
    *name = noting->name;
    return noting->name == NULL ||
           db_run(noting->db, "INSERT INTO setting (name, content) VALUES ($1, $2)",
                  DB_ARGS(db_text(noting->name), db_text(noting->content.bytes)), err);
}

static bool take_away(struct db *db, const char *note, struct error *err)
{
    return note == NULL ||
           db_run(db, "DELETE FROM setting WHERE name = $1", DB_ARGS(db_text(note)), err);
}

bool given_files_begin(struct roster *roster, struct arena *arena, const char *const paths[],
                       size_t n, const char **begun, struct error *err)
{
    struct noting noting = note_begin(roster_db(roster), arena, BEGUN);
    *begun = NULL;
    for (size_t i = 0; i < n; i++) {
        char beside[4096];
        if (!files_set_beside(paths[i], beside, err) ||
            !note_file(&noting, beside, paths[i], err)) {
            return false;
        }
    }
    return note_end(&noting, begun, err);
}

bool given_files_dropped(struct roster *roster, const char *begun, struct error *err)
{
    return take_away(roster_db(roster), begun, err);
}

bool given_files_note(struct db *db, struct arena *arena, const struct files_set *set,
                      const char *begun, const char **note, struct error *err)
{
    struct noting noting = note_begin(db, arena, NOTE);
    *note = NULL;
    for (size_t i = 0; i < set->n; i++) {
        if (!note_file(&noting, set->beside[i], set->paths[i], err)) {
            return false;
        }
    }
    return take_away(db, begun, err) && note_end(&noting, note, err);
}

bool given_files_done(struct roster *roster, const char *note, struct error *err)
{
    return take_away(roster_db(roster), note, err);
}

/* ---- what another run left ---- */

struct finishing {
    struct arena *arena;
    struct text *said; /* NULL = nobody hears a name */
    struct given_left *left;
};

static void say(const struct finishing *f, const char *line)
{
    if (f->said != NULL) {
        text_add_format(f->said, "%s\n", line);
    }
}

/* False: whoever wrote it is still at it. */
static bool put_one(const struct finishing *f, const char *beside, const char *path)
{
    int cause = 0;
    switch (files_set_put(beside, path, &cause)) {
    case FILES_PUT_WAS: break;
    case FILES_PUT_BUSY: return false;
    case FILES_PUT_DONE:
        f->left->put++;
        say(f, arena_format(f->arena, "%s: put in its place now: the program was stopped before",
                            path));
        break;
    case FILES_PUT_LOST:
        f->left->in_trouble++;
        say(f, arena_format(f->arena,
                            "%s: is missing: the program was stopped before it was in its place; "
                            "give the session again",
                            path));
        break;
    case FILES_PUT_FAILED:
        f->left->in_trouble++;
        say(f, arena_format(f->arena, "%s: cannot be put in its place: %s; it is %s", path,
                            strerror(cause), beside));
        break;
    }
    return true;
}

/* The same of a change that was never made. */
static bool take_one(const struct finishing *f, const char *beside, const char *path)
{
    int cause = 0;
    switch (files_set_take_away(beside, &cause)) {
    case FILES_PUT_WAS:
    case FILES_PUT_LOST: break;
    case FILES_PUT_BUSY: return false;
    case FILES_PUT_DONE:
        f->left->taken_away++;
        say(f, arena_format(f->arena,
                            "%s: wasn't made, and no session changed: the program was stopped; "
                            "what it left is taken away",
                            path));
        break;
    case FILES_PUT_FAILED:
        f->left->in_trouble++;
        say(f, arena_format(f->arena,
                            "%s: was left by a program that was stopped, and can't be taken away: "
                            "%s",
                            beside, strerror(cause)));
        break;
    }
    return true;
}

static bool finish_all(const struct finishing *f, bool is_begun, char *lines)
{
    char *save = NULL;
    bool free = true;
    for (const char *beside = strtok_r(lines, "\n", &save); free && beside != NULL;
         beside = strtok_r(NULL, "\n", &save)) {
        const char *path = strtok_r(NULL, "\n", &save);
        if (path == NULL) {
            break;
        }
        free = is_begun ? take_one(f, beside, path) : put_one(f, beside, path);
    }
    return free;
}

static bool finish_note(const struct finishing *f, bool is_begun, const char *content)
{
    const size_t trouble = f->left->in_trouble;
    char *lines = strchr(arena_string(f->arena, content), '\n');
    const bool finished = lines == NULL || finish_all(f, is_begun, lines + 1);
    return finished && (f->said != NULL || f->left->in_trouble == trouble);
}

bool given_files_finish(struct roster *roster, struct arena *arena, struct text *said,
                        struct given_left *left, struct error *err)
{
    char name[NAME_BYTES] = { 0 };
    struct db *db = roster_db(roster);
    struct db_rows rows = { 0 };
    struct finishing finishing = { arena, said, left };
    *left = (struct given_left){ 0 };
    /* Of this machine; a range of names would hang on the store's order of letters. */
    const char *begun = arena_format(arena, BEGUN "%s ", machine(name));
    const char *note = arena_format(arena, NOTE "%s ", name);
    if (!db_query(db, arena,
                  "SELECT name, content FROM setting WHERE substr(name, 1, length(CAST($1 AS "
                  "TEXT))) = $1 OR substr(name, 1, length(CAST($2 AS TEXT))) = $2 ORDER BY id",
                  "tt", DB_ARGS(db_text(begun), db_text(note)), &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        const char *of = db_text_at(&rows, i, 0);
        const bool is_begun = strncmp(of, BEGUN, strlen(BEGUN)) == 0;
        if (finish_note(&finishing, is_begun, db_text_at(&rows, i, 1)) && !take_away(db, of, err)) {
            return false;
        }
    }
    return true;
}
