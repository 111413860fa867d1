/* roster/forget.c: a rider, and everything of them, taken out of the roster for good. */
#include "roster/forget.h"

#include "roster/forget_needles.h"
#include "roster/forget_rows.h"

#include <dirent.h>
#include <libgen.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- before ---- */

bool forget_look(struct roster *roster, struct arena *arena, const struct rider *rider,
                 struct forget_done *done, struct error *err)
{
    *done = (struct forget_done){ 0 };
    return forget_rows_count(roster_db(roster), arena, rider->id, done->counts, err) &&
           kept_copies_list(roster, arena, rider->id, &done->copies, &done->n_copies, err);
}

/* ---- removal ---- */

struct removal {
    const struct forget_call *call;
    struct arena *arena;
    struct needles needles;
};

static bool remove_all(struct db *db, void *context, struct error *err)
{
    struct removal *removal = context;
    const struct rider *rider = removal->call->rider;
    return needles_collect(db, removal->arena, rider, &removal->needles, err) &&
           forget_rows(db, removal->call->roster, removal->arena, rider, err) &&
           needles_drop_others(db, &removal->needles, err);
}

/* ---- search ---- */

struct search {
    struct db *db;
    const struct needles *needles;
    struct arena *arena;
    struct forget_done *done;
    const char *file; /* searched now */
    size_t n_before;  /* remains of the files before */
};

static bool is_plain_name(const char *name)
{
    return name[0] != '\0' && strspn(name, "abcdefghijklmnopqrstuvwxyz_0123456789") == strlen(name);
}

/* The first row of the table that holds the bytes in that column; 0 if none does. */
static int64_t find_in_column(const struct search *search, const char *table, const char *column,
                              const struct needle *needle)
{
    struct db_rows rows = { 0 };
    struct error unheard = { 0 };
    const char *sql = arena_format(search->arena,
                                   "SELECT id, CAST(%s AS BLOB) FROM %s WHERE instr(CAST(%s AS "
                                   "BLOB), $1) > 0 ORDER BY id LIMIT 100",
                                   column, table, column);
    if (!is_plain_name(table) || !is_plain_name(column) ||
        !db_query(search->db, search->arena, sql, "ix", DB_ARGS(db_blob(needle->bytes)), &rows,
                  &unheard)) {
        return 0;
    }
    for (size_t i = 0; i < rows.count; i++) {
        if (needles_is_in(search->needles, needle, db_blob_at(&rows, i, 1))) {
            return db_integer_at(&rows, i, 0);
        }
    }
    return 0;
}

/* The row that holds the bytes, in words; NULL if none does: then they lie between the rows, or
 * in columns side by side. */
static const char *find_row(const struct search *search, const struct needle *needle)
{
    struct db_rows tables = { 0 };
    struct error unheard = { 0 };
    if (!db_query(search->db, search->arena,
                  "SELECT t.name, c.name FROM sqlite_schema t, pragma_table_info(t.name) c WHERE "
                  "t.type = 'table' AND t.name NOT LIKE 'sqlite%' AND c.type IN ('TEXT', 'BLOB') "
                  "ORDER BY t.name, c.cid",
                  "tt", DB_NONE, &tables, &unheard)) {
        return NULL;
    }
    for (size_t i = 0; i < tables.count; i++) {
        const char *table = db_text_at(&tables, i, 0);
        const char *column = db_text_at(&tables, i, 1);
        const int64_t row = find_in_column(search, table, column, needle);
        if (row > 0) {
            return arena_format(search->arena, "%s of %s %lld", column, table, (long long)row);
        }
    }
    return NULL;
}

static void note(void *context, struct needle *needle, size_t at)
{
    struct search *search = context;
    struct forget_done *done = search->done;
    if (needle->found) {
        return; /* once a file */
    }
    needle->found = true;
    for (size_t i = search->n_before; i < done->n_remains; i++) {
        if (strcmp(done->remains[i].what, needle->what) == 0) {
            done->remains[i].n++;
            return;
        }
    }
    if (done->n_remains == FORGET_REMAINS_MOST) {
        return;
    }
    const bool is_store = search->file == done->searched[0];
    const char *row = is_store ? find_row(search, needle) : NULL;
    done->remains[done->n_remains++] = (struct forget_remains){
        needle->what,
        arena_format(search->arena, "%s, byte %zu%s%s", search->file, at,
                     row != NULL ? ": "
                     : is_store  ? ", in no row's text"
                                 : "",
                     row != NULL ? row : ""),
        1,
    };
}

static bool is_named(const struct forget_done *done, const char *path)
{
    for (size_t i = 0; i < done->n_copies; i++) {
        if (strcmp(done->copies[i].path, path) == 0) {
            return true;
        }
    }
    return false;
}

/* Its log, and what lies beside it under its name: copies before a new schema, leftovers.  Copies
 * that are written down are named, not searched. */
static void list_files(struct search *search)
{
    enum { MOST = 100 };
    struct forget_done *done = search->done;
    char folder[PATH_MAX];
    char file[PATH_MAX];
    if (realpath(db_place(search->db), file) == NULL) {
        snprintf(file, sizeof file, "%s", db_place(search->db));
    }
    snprintf(folder, sizeof folder, "%s", file);
    const char *beside = dirname(folder);
    const char *name = basename(file);
    done->searched = ARENA_ARRAY(search->arena, const char *, MOST);
    done->searched[done->n_searched++] = arena_format(search->arena, "%s/%s", beside, name);
    DIR *open = opendir(beside);
    for (const struct dirent *entry = open == NULL ? NULL : readdir(open);
         entry != NULL && done->n_searched < MOST; entry = readdir(open)) {
        const char *path = arena_format(search->arena, "%s/%s", beside, entry->d_name);
        const size_t length = strlen(name);
        const bool is_ours = strncmp(entry->d_name, name, length) == 0 &&
                             (entry->d_name[length] == '-' || entry->d_name[length] == '.');
        if (is_ours && !is_named(done, path)) {
            done->searched[done->n_searched++] = path;
        }
    }
    if (open != NULL) {
        closedir(open);
    }
}

static bool search_files(struct db *db, struct arena *arena, struct needles *needles,
                         struct forget_done *done, struct error *err)
{
    struct search search = { .db = db, .needles = needles, .arena = arena, .done = done };
    done->remains = ARENA_ARRAY(arena, struct forget_remains, FORGET_REMAINS_MOST);
    done->was_searched = true;
    list_files(&search);
    for (size_t i = 0; i < done->n_searched; i++) {
        search.file = done->searched[i];
        search.n_before = done->n_remains;
        for (size_t k = 0; k < needles->count; k++) {
            needles->items[k].found = false;
        }
        if (!needles_search_file(needles, search.file, note, &search, err)) {
            return false;
        }
    }
    return true;
}

/* ---- all of it ---- */

bool forget_run(struct arena *arena, const struct forget_call *call, struct forget_done *done,
                struct error *err)
{
    struct db *db = roster_db(call->roster);
    struct removal removal = { .call = call, .arena = arena };
    struct error wrong = { 0 };
    if (!forget_look(call->roster, arena, call->rider, done, err) ||
        !db_write(db, remove_all, &removal, err)) {
        return false;
    }
    if (call->between != NULL) {
        call->between(db);
    }
    /* Another program that reads keeps the log from being emptied: what is left in it is found. */
    if (!db_shrink(db, &wrong) && wrong.kind != ERROR_BUSY) {
        return error_set(
            err, wrong.kind,
            "the rows of %.100s are removed, but their bytes may still be in the file: "
            "%.200s",
            call->rider->name, wrong.message);
    }
    done->n_needles = removal.needles.count;
    done->n_too_short = removal.needles.n_too_short;
    done->n_of_others = removal.needles.n_of_others;
    return db_kind(db) != DB_SQLITE || search_files(db, arena, &removal.needles, done, err);
}
