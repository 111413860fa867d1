/* roster/db.c: what both stores have in common. */
#include "roster/db.h"

#include "base/text.h"
#include "roster/db_parts.h"

#include <math.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

struct db_value db_integer(int64_t value)
{
    return (struct db_value){ .type = DB_INTEGER, .integer = value };
}

struct db_value db_real(double value)
{
    /* SQLite drops the sign of zero, PostgreSQL keeps it: here it goes on both. */
    return isfinite(value) ? (struct db_value){ .type = DB_REAL, .real = value + 0.0 }
                           : db_null(DB_REAL);
}

struct db_value db_text(const char *value)
{
    return value != NULL ? (struct db_value){ .type = DB_TEXT, .text = value } : db_null(DB_TEXT);
}

struct db_value db_blob(struct bytes value)
{
    return (struct db_value){ .type = DB_BLOB, .blob = value };
}

struct db_value db_bool(bool value)
{
    return (struct db_value){ .type = DB_BOOL, .integer = value ? 1 : 0 };
}

struct db_value db_null(enum db_type type)
{
    return (struct db_value){ .type = type, .is_null = true, .real = (double)NAN };
}

static const struct db_value *cell_at(const struct db_rows *rows, size_t row, size_t column)
{
    if (row >= rows->count || column >= rows->columns) {
        abort(); /* a slip of ours, never of the data */
    }
    return &rows->cells[row * rows->columns + column];
}

bool db_is_null(const struct db_rows *rows, size_t row, size_t column)
{
    return cell_at(rows, row, column)->is_null;
}

int64_t db_integer_at(const struct db_rows *rows, size_t row, size_t column)
{
    return cell_at(rows, row, column)->integer;
}

double db_real_at(const struct db_rows *rows, size_t row, size_t column)
{
    return cell_at(rows, row, column)->real;
}

const char *db_text_at(const struct db_rows *rows, size_t row, size_t column)
{
    return cell_at(rows, row, column)->text;
}

struct bytes db_blob_at(const struct db_rows *rows, size_t row, size_t column)
{
    return cell_at(rows, row, column)->blob;
}

bool db_bool_at(const struct db_rows *rows, size_t row, size_t column)
{
    return cell_at(rows, row, column)->integer != 0;
}

/* ---- types ---- */

static const struct {
    char letter;
    const char *name;
} types[] = {
    [DB_INTEGER] = { 'i', "an integer" }, [DB_REAL] = { 'r', "a real number" },
    [DB_TEXT] = { 't', "text" },          [DB_BLOB] = { 'x', "bytes" },
    [DB_BOOL] = { 'b', "true or false" },
};

char db_type_letter(enum db_type type)
{
    return types[type].letter;
}

const char *db_type_name(enum db_type type)
{
    return types[type].name;
}

enum db_type db_type_of(char letter)
{
    const char small = (char)(letter | 0x20);
    for (size_t i = 0; i < sizeof types / sizeof types[0]; i++) {
        if (types[i].letter == small) {
            return (enum db_type)i;
        }
    }
    abort(); /* a shape of ours is misspelt */
}

bool db_cell_fits(struct db *db, const char *column, char letter, struct db_value *cell,
                  struct error *err)
{
    const enum db_type wanted = db_type_of(letter);
    if (cell->is_null) {
        if (letter >= 'a') {
            return error_set(err, ERROR_STORAGE,
                             "%s: %s is empty where it must not be; the store is damaged, go back "
                             "to a backup",
                             db->place, column);
        }
        *cell = db_null(wanted);
        return true;
    }
    if (wanted == DB_REAL && cell->type == DB_INTEGER) {
        *cell = (struct db_value){ .type = DB_REAL, .real = (double)cell->integer };
    }
    /* SQLite has no booleans of its own. */
    if (wanted == DB_BOOL && cell->type == DB_INTEGER &&
        (cell->integer == 0 || cell->integer == 1)) {
        cell->type = DB_BOOL;
    }
    if (cell->type != wanted) {
        return error_set(err, ERROR_STORAGE,
                         "%s: %s holds %s, not %s; the store is damaged, go back to a backup",
                         db->place, column, db_type_name(cell->type), db_type_name(wanted));
    }
    if (wanted == DB_TEXT && !text_is_utf8(cell->text, cell->blob.size)) {
        return error_set(err, ERROR_STORAGE,
                         "%s: %s holds text that is no UTF-8; the store is damaged, go back to a "
                         "backup",
                         db->place, column);
    }
    return true;
}

bool db_result_counts(size_t *taken, size_t more, struct error *err)
{
    if (more > DB_RESULT_MOST - *taken) {
        return error_set(err, ERROR_TOO_LARGE,
                         "the store answered with more than %u MB; ask for a shorter range",
                         DB_RESULT_MOST / 1000000u);
    }
    *taken += more;
    return true;
}

/* ---- opening ---- */

bool db_place_is_postgres(const char *place)
{
    return strncmp(place, "postgresql:", 11) == 0 || strncmp(place, "postgres:", 9) == 0;
}

static char *copy_text(const char *text, size_t length)
{
    char *copy = malloc(length + 1);
    if (copy == NULL) {
        abort();
    }
    memcpy(copy, text, length);
    copy[length] = '\0';
    return copy;
}

/* The place without what stands between "user:" and "@", nor any password=... */
static char *without_password(const char *place)
{
    char *copy = copy_text(place, strlen(place));
    if (!db_place_is_postgres(place)) {
        return copy;
    }
    char *start = strstr(copy, "//");
    char *at = start == NULL ? NULL : strchr(start, '@');
    char *slash = start == NULL ? NULL : strchr(start + 2, '/');
    if (at != NULL && (slash == NULL || at < slash)) {
        char *colon = memchr(start + 2, ':', (size_t)(at - start) - 2);
        if (colon != NULL) {
            memmove(colon, at, strlen(at) + 1);
        }
    }
    char *secret = strstr(copy, "password=");
    if (secret != NULL) {
        char *end = strchr(secret, '&');
        memmove(secret, end == NULL ? "" : end + 1, end == NULL ? 1 : strlen(end + 1) + 1);
    }
    return copy;
}

static bool open_by(const char *place, bool how(struct db *, const char *, struct error *),
                    struct db **out, struct error *err)
{
    struct db *db = calloc(1, sizeof *db);
    if (db == NULL) {
        abort();
    }
    db->place = without_password(place);
    db->folder = -1;
    if (!how(db, place, err)) {
        db_close(db);
        return false;
    }
    *out = db;
    return true;
}

bool db_open(const char *place, struct db **out, struct error *err)
{
    return open_by(place, db_place_is_postgres(place) ? db_postgres_open : db_sqlite_open, out,
                   err);
}

bool db_open_still(const char *place, struct db **out, struct error *err)
{
    return open_by(place, db_sqlite_open_still, out, err);
}

bool db_open_settled(const char *place, struct db **out, struct error *err)
{
    return open_by(place, db_sqlite_open_settled, out, err);
}

void db_close(struct db *db)
{
    if (db == NULL) {
        return;
    }
    if (db->connection != NULL) {
        for (size_t i = 0; i < DB_STATEMENTS; i++) {
            if (db->statements[i].hash != 0) {
                db->driver->forget(db, db->statements[i].handle);
                free(db->statements[i].key);
            }
        }
        db->driver->close(db);
    }
    free(db->place);
    free(db);
}

enum db_kind db_kind(const struct db *db)
{
    return db->kind;
}

const char *db_place(const struct db *db)
{
    return db->place;
}

bool db_in_transaction(const struct db *db)
{
    return db->inside;
}

/* ---- statements ---- */

/* FNV-1a, 64 bits; never 0.  Source: Fowler, Noll, Vo (public note, from memory). */
static uint64_t hash_text(const char *text)
{
    uint64_t hash = 0xCBF29CE484222325u;
    for (; *text != '\0'; text++) {
        hash = (hash ^ (unsigned char)*text) * 0x100000001B3u;
    }
    return hash == 0 ? 1 : hash;
}

#define PARAMETERS_MOST 200
#define SQL_MOST        (64u * 1024u)

static bool statement_of(struct db *db, const char *sql, const struct db_value values[],
                         size_t n_values, void **handle, struct error *err)
{
    const size_t length = strlen(sql);
    if (n_values > PARAMETERS_MOST || length > SQL_MOST) {
        return error_set(err, ERROR_INTERNAL, "a statement of the store is too long: %.60s", sql);
    }
    char letters[PARAMETERS_MOST + 1];
    for (size_t i = 0; i < n_values; i++) {
        letters[i] = db_type_letter(values[i].type);
    }
    letters[n_values] = '\0';
    char *key = malloc(n_values + length + 2);
    if (key == NULL) {
        abort();
    }
    snprintf(key, n_values + length + 2, "%s %s", letters, sql);
    const uint64_t hash = hash_text(key);
    for (size_t i = 0; i < DB_STATEMENTS; i++) {
        if (db->statements[i].hash == hash && strcmp(db->statements[i].key, key) == 0) {
            free(key);
            *handle = db->statements[i].handle;
            return true;
        }
    }
    if (!db->driver->prepare(db, sql, letters, handle, err)) {
        free(key);
        return false;
    }
    struct db_statement *slot = &db->statements[db->next_statement];
    db->next_statement = (db->next_statement + 1) % DB_STATEMENTS;
    if (slot->hash != 0) {
        db->driver->forget(db, slot->handle);
        free(slot->key);
    }
    *slot = (struct db_statement){ hash, key, *handle };
    return true;
}

/* Text is checked before it reaches either store: one would keep what the other refuses. */
static bool values_are_sound(const struct db_value values[], size_t n_values, struct error *err)
{
    for (size_t i = 0; i < n_values; i++) {
        const struct db_value *value = &values[i];
        if (value->is_null) {
            continue;
        }
        if (value->type == DB_TEXT && !text_is_utf8(value->text, strlen(value->text))) {
            return error_set(err, ERROR_INPUT, "the text \"%.60s\" is no UTF-8; save it as UTF-8",
                             value->text);
        }
        const size_t size = value->type == DB_TEXT   ? strlen(value->text)
                            : value->type == DB_BLOB ? value->blob.size
                                                     : 0;
        if (size > DB_VALUE_MOST) {
            return error_set(err, ERROR_TOO_LARGE, "a value of %zu MB is more than the store takes",
                             size / 1000000u);
        }
    }
    return true;
}

static bool run_statement(struct db *db, struct arena *arena, const char *sql, const char *shape,
                          const struct db_value values[], size_t n_values, struct db_rows *rows,
                          struct error *err)
{
    void *handle = NULL;
    db->again = false;
    db->steps++;
    return values_are_sound(values, n_values, err) &&
           statement_of(db, sql, values, n_values, &handle, err) &&
           db->driver->run(db, arena, handle, values, n_values, shape, rows, err);
}

bool db_run(struct db *db, const char *sql, const struct db_value values[], size_t n_values,
            struct error *err)
{
    return run_statement(db, NULL, sql, "", values, n_values, NULL, err);
}

bool db_query(struct db *db, struct arena *arena, const char *sql, const char *shape,
              const struct db_value values[], size_t n_values, struct db_rows *out,
              struct error *err)
{
    struct db_rows rows = { 0 };
    if (!run_statement(db, arena, sql, shape, values, n_values, &rows, err)) {
        return false;
    }
    *out = rows;
    return true;
}

/* ---- transactions ---- */

/* The one setting of the process in this room: a wait is no business of one connection. */
static struct {
    void (*tell)(const char *place);
    atomic_flag was_told;
} waiting = { NULL, ATOMIC_FLAG_INIT };

void db_when_waiting(void (*tell)(const char *place))
{
    waiting.tell = tell;
}

void db_tell_waiting(const struct db *db)
{
    if (waiting.tell != NULL && !atomic_flag_test_and_set(&waiting.was_told)) {
        waiting.tell(db->place);
    }
}

bool db_wait(struct db *db, int tries)
{
    db->waited_ms = tries == 0 ? 0 : db->waited_ms;
    if (db->waited_ms >= DB_WAIT_MOST_S * 1000L) {
        return false;
    }
    const long ms = tries < 10 ? 1 + 5L * tries : 50;
    nanosleep(&(struct timespec){ .tv_nsec = ms * 1000000L }, NULL);
    db->waited_ms += ms;
    if (db->waited_ms >= DB_WAIT_TELL_S * 1000L) {
        db_tell_waiting(db);
    }
    return true;
}

/* Longer every time, and not the same for two that met: 1 ms to about 0.25 s. */
static void wait_a_little(const struct db *db, int attempt)
{
    const int step = attempt < 8 ? attempt : 8;
    const long spread = (long)((uintptr_t)db >> 6 & 0xFF);
    const long ns = (1L << step) * 1000000L * (128 + spread) / 256;
    nanosleep(&(struct timespec){ .tv_nsec = ns < 999999999L ? ns : 999999999L }, NULL);
}

static void roll_back(struct db *db)
{
    struct error unheard = { 0 };
    (void)db->driver->plain(db, "ROLLBACK", &unheard);
    db->inside = false;
    db->depth = 0;
}

static bool try_once(struct db *db, const char *begin, db_work *work, void *context,
                     struct error *err)
{
    db->again = false;
    if (!db->driver->plain(db, begin, err)) {
        return false;
    }
    db->inside = true;
    const bool done = work(db, context, err) && db->driver->plain(db, "COMMIT", err);
    if (done) {
        db->inside = false;
        return true;
    }
    const bool again = db->again;
    roll_back(db);
    db->again = again;
    return false;
}

static bool transaction(struct db *db, const char *begin, db_work *work, void *context,
                        struct error *err)
{
    if (db->inside) {
        return error_set(err, ERROR_INTERNAL, "a transaction was begun within another");
    }
    for (int attempt = 0; attempt < DB_TRIES; attempt++) {
        if (try_once(db, begin, work, context, err)) {
            return true;
        }
        if (!db->again) {
            return false;
        }
        wait_a_little(db, attempt);
    }
    return error_set(err, ERROR_BUSY, "%s: others are writing to it; try again in a minute",
                     db->place);
}

bool db_write(struct db *db, db_work *work, void *context, struct error *err)
{
    return transaction(db, db->driver->begin_write, work, context, err);
}

bool db_mark(struct db *db, int64_t *out, struct error *err)
{
    struct arena *arena = arena_open();
    struct db_rows rows = { 0 };
    const bool done = db_query(db, arena, db->driver->mark, "t", DB_NONE, &rows, err);
    if (done) {
        *out = (int64_t)(hash_text(db_text_at(&rows, 0, 0)) >> 1);
    }
    arena_close(arena);
    return done;
}

bool db_read(struct db *db, db_work *work, void *context, struct error *err)
{
    return db->inside ? work(db, context, err)
                      : transaction(db, db->driver->begin_read, work, context, err);
}

bool db_attempt(struct db *db, db_work *work, void *context, struct error *err)
{
    char sql[64];
    const int level = ++db->depth;
    snprintf(sql, sizeof sql, "SAVEPOINT attempt_%d", level);
    bool done = false;
    if (db->driver->plain(db, sql, err)) {
        done = work(db, context, err);
        const bool again = db->again;
        struct error unheard = { 0 };
        if (!done) {
            snprintf(sql, sizeof sql, "ROLLBACK TO SAVEPOINT attempt_%d", level);
            (void)db->driver->plain(db, sql, &unheard);
        }
        snprintf(sql, sizeof sql, "RELEASE SAVEPOINT attempt_%d", level);
        const bool released = db->driver->plain(db, sql, done ? err : &unheard);
        done = done && released;
        db->again = db->again || again;
    }
    db->depth = level - 1;
    return done;
}

bool db_copy_to(struct db *db, const char *path, struct error *err)
{
    return db->driver->copy_to(db, path, err);
}

bool db_shrink(struct db *db, struct error *err)
{
    return db->driver->shrink(db, err);
}

bool db_check(struct db *db, struct arena *arena, const char **problem, struct error *err)
{
    *problem = NULL;
    return db->driver->check(db, arena, problem, err);
}

uint64_t db_steps(const struct db *db)
{
    return db->steps;
}
