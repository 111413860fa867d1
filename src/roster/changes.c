/* roster/changes.c: every edit, in words, and how it is taken back. */
#include "roster/changes.h"

#include "base/text.h"
#include "roster/rereading.h"
#include "roster/tables.h"
#include "roster/touched.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- values as text, for the record ---- */

static const char *value_as_text(struct arena *arena, const struct db_value *value)
{
    if (value->is_null) {
        return NULL;
    }
    switch (value->type) {
    case DB_INTEGER:
    case DB_BOOL: return arena_format(arena, "%lld", (long long)value->integer);
    case DB_REAL: return arena_format(arena, "%.17g", value->real);
    case DB_TEXT: return value->text;
    case DB_BLOB: abort(); /* no editable table has bytes */
    }
    abort();
}

static struct db_value value_of_text(char letter, const char *text)
{
    const enum db_type type = db_type_of(letter);
    if (text == NULL) {
        return db_null(type);
    }
    switch (type) {
    case DB_INTEGER: return db_integer(strtoll(text, NULL, 10));
    case DB_BOOL: return db_bool(strcmp(text, "1") == 0);
    case DB_REAL: return db_real(strtod(text, NULL));
    case DB_TEXT: return db_text(text);
    case DB_BLOB: abort();
    }
    abort();
}

static bool same_text(const char *a, const char *b)
{
    return a == NULL || b == NULL ? a == b : strcmp(a, b) == 0;
}

/* ---- rows ---- */

/* A row as it stands: its columns in the table's order, then its version. */
struct image {
    bool exists;
    const char *texts[TABLE_COLUMNS_MOST];
    int64_t version;
};

static bool read_row(struct db *db, struct arena *arena, const struct editable_table *table,
                     int64_t row, struct image *image, struct error *err)
{
    char shape[TABLE_COLUMNS_MOST + 2] = { 0 };
    const size_t n = tables_column_count(table);
    struct text sql = text_begin(arena, 4096);
    text_add(&sql, "SELECT ");
    for (size_t i = 0; i < n; i++) {
        text_add_format(&sql, "%s, ", table->columns[i].name);
        shape[i] = table->columns[i].letter;
    }
    shape[n] = 'i';
    text_add_format(&sql, "version FROM %s WHERE id = $1", table->name);
    struct db_rows rows = { 0 };
    if (!db_query(db, arena, sql.bytes, shape, DB_ARGS(db_integer(row)), &rows, err)) {
        return false;
    }
    *image = (struct image){ .exists = rows.count > 0 };
    for (size_t i = 0; image->exists && i < n; i++) {
        image->texts[i] = value_as_text(arena, &rows.cells[i]);
    }
    image->version = image->exists ? db_integer_at(&rows, 0, n) : 0;
    return true;
}

static const struct editable_table *table_of(const char *name, struct error *err)
{
    const struct editable_table *table = tables_find(name);
    if (table == NULL) {
        error_set(err, ERROR_STORAGE, "the record of changes names the table %s; it is damaged",
                  name);
    }
    return table;
}

static bool no_such_row(const struct editable_table *table, int64_t row, struct error *err)
{
    return error_set(err, ERROR_NOT_FOUND, "%s %lld isn't there any more", table->name,
                     (long long)row);
}

/* ---- the record ---- */

bool changes_begin(struct db *db, struct arena *arena, struct roster_now now, const char *words,
                   struct change *change, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "INSERT INTO change (words, who, made_utc_s) VALUES ($1, $2, $3) RETURNING id",
                  "i", DB_ARGS(db_text(words), db_text(now.who), db_integer(now.utc_s)), &rows,
                  err)) {
        return false;
    }
    *change = (struct change){
        .db = db, .arena = arena, .id = db_integer_at(&rows, 0, 0), .now_utc_s = now.utc_s
    };
    return true;
}

static bool record_row(struct change *change, const char *kind, const char *table, int64_t row,
                       int64_t *out, struct error *err)
{
    struct db_rows rows = { 0 };
    change->n_rows++;
    if (!change->is_looked_at && touched_matters(table)) {
        change->is_looked_at = true;
        if (!rereading_ask_look(change->db, "change", change->id, change->now_utc_s, err)) {
            return false;
        }
    }
    if (!db_query(change->db, change->arena,
                  "INSERT INTO change_row (change, place, kind, table_name, row_id) VALUES ($1, "
                  "$2, $3, $4, $5) RETURNING id",
                  "i",
                  DB_ARGS(db_integer(change->id), db_integer(change->n_rows), db_text(kind),
                          db_text(table), db_integer(row)),
                  &rows, err)) {
        return false;
    }
    *out = db_integer_at(&rows, 0, 0);
    return true;
}

static bool record_value(struct change *change, int64_t change_row, const char *column,
                         const char *before, const char *after, struct error *err)
{
    return db_run(change->db,
                  "INSERT INTO change_value (change_row, column_name, before_text, after_text) "
                  "VALUES ($1, $2, $3, $4)",
                  DB_ARGS(db_integer(change_row), db_text(column), db_text(before), db_text(after)),
                  err);
}

/* Puts a row in: with an id of its own, or (row > 0) with the one it had. */
static bool put_row(struct change *change, const struct editable_table *table,
                    const struct edit edits[], size_t n, int64_t version, int64_t *row,
                    struct error *err)
{
    struct db_value values[TABLE_COLUMNS_MOST + 2];
    struct text sql = text_begin(change->arena, 4096);
    struct text marks = text_begin(change->arena, 1024);
    text_add_format(&sql, "INSERT INTO %s (version", table->name);
    values[0] = db_integer(version);
    size_t used = 1;
    if (*row > 0) {
        text_add(&sql, ", id");
        text_add(&marks, ", $2");
        values[used++] = db_integer(*row);
    }
    for (size_t i = 0; i < n; i++) {
        values[used++] = edits[i].value;
        text_add_format(&sql, ", %s", edits[i].column);
        text_add_format(&marks, ", $%zu", used);
    }
    text_add_format(&sql, ") VALUES ($1%s) RETURNING id", marks.bytes);
    struct db_rows rows = { 0 };
    if (!db_query(change->db, change->arena, sql.bytes, "i", values, used, &rows, err)) {
        return false;
    }
    *row = db_integer_at(&rows, 0, 0);
    int64_t change_row = 0;
    bool done = record_row(change, "add", table->name, *row, &change_row, err);
    for (size_t i = 0; done && i < n; i++) {
        done = record_value(change, change_row, edits[i].column, NULL,
                            value_as_text(change->arena, &edits[i].value), err);
    }
    return done;
}

static bool columns_are_known(const struct editable_table *table, const struct edit edits[],
                              size_t n, struct error *err)
{
    for (size_t i = 0; i < n; i++) {
        if (tables_column(table, edits[i].column) == NULL) {
            return error_set(err, ERROR_STORAGE, "%s has no column %s", table->name,
                             edits[i].column);
        }
    }
    return n <= TABLE_COLUMNS_MOST ||
           error_set(err, ERROR_INTERNAL, "%s: too many columns", table->name);
}

bool changes_add(struct change *change, const char *name, const struct edit edits[], size_t n,
                 int64_t *row, struct error *err)
{
    const struct editable_table *table = table_of(name, err);
    *row = 0;
    return table != NULL && columns_are_known(table, edits, n, err) &&
           put_row(change, table, edits, n, 1, row, err);
}

static bool see_row(struct change *change, const struct editable_table *table, int64_t row,
                    int64_t version, struct image *image, struct error *err)
{
    if (!read_row(change->db, change->arena, table, row, image, err)) {
        return false;
    }
    if (!image->exists) {
        return no_such_row(table, row, err);
    }
    if (version != 0 && version != image->version) {
        return error_set(err, ERROR_CONFLICT,
                         "somebody changed this %s meanwhile; look at it again, then change it",
                         table->name);
    }
    return true;
}

bool changes_edit(struct change *change, const char *name, int64_t row, int64_t version,
                  const struct edit edits[], size_t n, struct error *err)
{
    const struct editable_table *table = table_of(name, err);
    struct image image = { 0 };
    if (table == NULL || !columns_are_known(table, edits, n, err) ||
        !see_row(change, table, row, version, &image, err)) {
        return false;
    }
    struct db_value values[TABLE_COLUMNS_MOST + 1];
    const char *before[TABLE_COLUMNS_MOST];
    const char *after[TABLE_COLUMNS_MOST];
    const char *names[TABLE_COLUMNS_MOST];
    struct text sql = text_begin(change->arena, 4096);
    text_add_format(&sql, "UPDATE %s SET version = version + 1", table->name);
    values[0] = db_integer(row);
    size_t used = 0;
    for (size_t i = 0; i < n; i++) {
        const struct table_column *column = tables_column(table, edits[i].column);
        before[used] = image.texts[column - table->columns];
        after[used] = value_as_text(change->arena, &edits[i].value);
        if (same_text(before[used], after[used])) {
            continue; /* what stays as it is stands in nobody's way */
        }
        names[used] = column->name;
        values[++used] = edits[i].value;
        text_add_format(&sql, ", %s = $%zu", column->name, used + 1);
    }
    text_add(&sql, " WHERE id = $1");
    int64_t change_row = 0;
    bool done = used == 0 || (db_run(change->db, sql.bytes, values, used + 1, err) &&
                              record_row(change, "edit", table->name, row, &change_row, err));
    for (size_t i = 0; done && i < used; i++) {
        done = record_value(change, change_row, names[i], before[i], after[i], err);
    }
    return done;
}

bool changes_remove(struct change *change, const char *name, int64_t row, int64_t version,
                    struct error *err)
{
    const struct editable_table *table = table_of(name, err);
    struct image image = { 0 };
    if (table == NULL || !see_row(change, table, row, version, &image, err)) {
        return false;
    }
    const char *sql = arena_format(change->arena, "DELETE FROM %s WHERE id = $1", table->name);
    int64_t change_row = 0;
    bool done = db_run(change->db, sql, DB_ARGS(db_integer(row)), err);
    if (!done && err->kind == ERROR_CONFLICT) {
        return error_set(err, ERROR_CONFLICT,
                         "this %s can't be taken away: later entries rest on it; take those away "
                         "first",
                         table->name);
    }
    done = done && record_row(change, "remove", table->name, row, &change_row, err);
    for (size_t i = 0; done && table->columns[i].name != NULL; i++) {
        done = record_value(change, change_row, table->columns[i].name, image.texts[i], NULL, err);
    }
    return done &&
           record_value(change, change_row, "version",
                        arena_format(change->arena, "%lld", (long long)image.version), NULL, err);
}

/* ---- the list ---- */

static struct change_line line_at(const struct db_rows *rows, size_t i)
{
    return (struct change_line){
        .id = db_integer_at(rows, i, 0),
        .made_utc_s = db_integer_at(rows, i, 1),
        .who = db_text_at(rows, i, 2),
        .words = db_text_at(rows, i, 3),
        .undoes = db_integer_at(rows, i, 4),
        .undone_by = db_integer_at(rows, i, 5),
    };
}

#define LINE_COLUMNS "id, made_utc_s, who, words, undoes, undone_by"
#define LINE_SHAPE   "iiTtII"

bool changes_list(struct roster *roster, struct arena *arena, size_t n, struct change_line **out,
                  size_t *count, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(roster_db(roster), arena,
                  "SELECT " LINE_COLUMNS " FROM change ORDER BY id DESC LIMIT $1", LINE_SHAPE,
                  DB_ARGS(db_integer((int64_t)n)), &rows, err)) {
        return false;
    }
    *out = ARENA_ARRAY(arena, struct change_line, rows.count);
    for (size_t i = 0; i < rows.count; i++) {
        (*out)[i] = line_at(&rows, i);
    }
    *count = rows.count;
    return true;
}

/* ---- taking back ---- */

static bool find_change(struct db *db, struct arena *arena, int64_t id, struct change_line *out,
                        struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  id > 0 ? "SELECT " LINE_COLUMNS " FROM change WHERE id = $1"
                         : "SELECT " LINE_COLUMNS " FROM change WHERE id > $1 AND undoes IS NULL "
                           "AND undone_by IS NULL ORDER BY id DESC LIMIT 1",
                  LINE_SHAPE, DB_ARGS(db_integer(id)), &rows, err)) {
        return false;
    }
    if (rows.count == 0) {
        return id > 0
                   ? error_set(err, ERROR_NOT_FOUND,
                               "change %lld: there is none; undo --list shows them", (long long)id)
                   : error_set(err, ERROR_NOT_FOUND, "there is no change to take back");
    }
    *out = line_at(&rows, 0);
    if (out->undone_by > 0) {
        return error_set(err, ERROR_CONFLICT, "change %lld was taken back already, by change %lld",
                         (long long)out->id, (long long)out->undone_by);
    }
    return true;
}

/* A later change, in force and no undo, that touched the same row: for two edits, a column of it.
 */
static bool nothing_later(struct change *change, const struct change_line *line, int64_t change_row,
                          const char *table, int64_t row, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(
            change->db, change->arena,
            "SELECT c.id, c.words FROM change_row r JOIN change c ON c.id = r.change "
            "JOIN change_row mine ON mine.id = $4 WHERE r.table_name = $1 AND r.row_id = $2 AND "
            "c.id > $3 AND c.id <> $5 AND c.undoes IS NULL AND c.undone_by IS NULL AND "
            "(r.kind <> 'edit' OR mine.kind <> 'edit' OR EXISTS (SELECT 1 FROM change_value a "
            "JOIN change_value b ON b.column_name = a.column_name WHERE a.change_row = r.id AND "
            "b.change_row = mine.id)) ORDER BY c.id LIMIT 1",
            "it",
            DB_ARGS(db_text(table), db_integer(row), db_integer(line->id), db_integer(change_row),
                    db_integer(change->id)),
            &rows, err)) {
        return false;
    }
    return rows.count == 0 ||
           error_set(err, ERROR_CONFLICT,
                     "change %lld can't be taken back: change %lld came later on the same entry "
                     "(%s); take that back first",
                     (long long)line->id, (long long)db_integer_at(&rows, 0, 0),
                     db_text_at(&rows, 0, 1));
}

/* One row of the change: as the record says it was left, or somebody went past the record. */
struct undo_row {
    const struct editable_table *table;
    const char *kind;
    int64_t row;
    const struct db_rows *values; /* column, before, after */
};

static bool is_as_left(const struct undo_row *undo, const struct image *image)
{
    if (strcmp(undo->kind, "remove") == 0) {
        return !image->exists;
    }
    bool same = image->exists;
    for (size_t i = 0; same && i < undo->values->count; i++) {
        const struct table_column *column =
            tables_column(undo->table, db_text_at(undo->values, i, 0));
        same = column != NULL && same_text(image->texts[column - undo->table->columns],
                                           db_text_at(undo->values, i, 2));
    }
    return same;
}

static bool reverse_row(struct change *change, const struct undo_row *undo, struct error *err)
{
    struct edit edits[TABLE_COLUMNS_MOST];
    size_t n = 0;
    int64_t version = 0;
    for (size_t i = 0; i < undo->values->count && n < TABLE_COLUMNS_MOST; i++) {
        const char *name = db_text_at(undo->values, i, 0);
        const char *before = db_text_at(undo->values, i, 1);
        const struct table_column *column = tables_column(undo->table, name);
        if (column != NULL) {
            edits[n++] = (struct edit){ column->name, value_of_text(column->letter, before) };
        } else if (strcmp(name, "version") == 0 && before != NULL) {
            version = strtoll(before, NULL, 10);
        }
    }
    if (strcmp(undo->kind, "add") == 0) {
        return changes_remove(change, undo->table->name, undo->row, 0, err);
    }
    if (strcmp(undo->kind, "edit") == 0) {
        return changes_edit(change, undo->table->name, undo->row, 0, edits, n, err);
    }
    int64_t row = undo->row;
    return put_row(change, undo->table, edits, n, version + 1, &row, err);
}

static bool undo_one(struct change *change, const struct change_line *line,
                     const struct db_rows *rows, size_t i, struct error *err)
{
    const int64_t change_row = db_integer_at(rows, i, 0);
    struct db_rows values = { 0 };
    struct undo_row undo = {
        .table = table_of(db_text_at(rows, i, 2), err),
        .kind = db_text_at(rows, i, 1),
        .row = db_integer_at(rows, i, 3),
        .values = &values,
    };
    struct image image = { 0 };
    if (undo.table == NULL ||
        !nothing_later(change, line, change_row, undo.table->name, undo.row, err) ||
        !db_query(change->db, change->arena,
                  "SELECT column_name, before_text, after_text FROM change_value WHERE change_row "
                  "= $1 ORDER BY id",
                  "tTT", DB_ARGS(db_integer(change_row)), &values, err) ||
        !read_row(change->db, change->arena, undo.table, undo.row, &image, err)) {
        return false;
    }
    if (!is_as_left(&undo, &image)) {
        return error_set(err, ERROR_CONFLICT,
                         "change %lld can't be taken back: its %s is not as it left it",
                         (long long)line->id, undo.table->name);
    }
    return reverse_row(change, &undo, err);
}

struct undo {
    struct arena *arena;
    struct roster_now now;
    int64_t id;
    struct change_line line;
};

static bool undo_all(struct db *db, void *context, struct error *err)
{
    struct undo *undo = context;
    struct change_line *line = &undo->line;
    struct db_rows rows = { 0 };
    struct change change = { 0 };
    if (!find_change(db, undo->arena, undo->id, line, err) ||
        !db_query(db, undo->arena,
                  "SELECT id, kind, table_name, row_id FROM change_row WHERE change = $1 ORDER BY "
                  "place DESC",
                  "itti", DB_ARGS(db_integer(line->id)), &rows, err) ||
        !changes_begin(db, undo->arena, undo->now,
                       arena_format(undo->arena, "Taken back: %s", line->words), &change, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        if (!undo_one(&change, line, &rows, i, err)) {
            return false;
        }
    }
    /* Taking back an undo puts what it undid in force again. */
    return db_run(db, "UPDATE change SET undoes = $1 WHERE id = $2",
                  DB_ARGS(db_integer(line->id), db_integer(change.id)), err) &&
           db_run(db, "UPDATE change SET undone_by = $1 WHERE id = $2",
                  DB_ARGS(db_integer(change.id), db_integer(line->id)), err) &&
           db_run(db, "UPDATE change SET undone_by = NULL WHERE id = $1",
                  DB_ARGS(db_integer(line->undoes)), err);
}

bool changes_undo(struct roster *roster, struct arena *arena, struct roster_now now, int64_t id,
                  struct change_line *undone, struct error *err)
{
    struct undo undo = { arena, now, id, { 0 } };
    if (!db_write(roster_db(roster), undo_all, &undo, err)) {
        return false;
    }
    *undone = undo.line;
    return true;
}
