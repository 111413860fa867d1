/* roster/db_sqlite.c: the store as one file.
 *
 * The file may come from anywhere, so SQLite is told to trust nothing in it: what the program does
 * not use (triggers, views, functions in the schema, attached files) is switched off. */
#include "roster/db_folder.h"
#include "roster/db_parts.h"
#include "roster/file_system.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include <sqlite3.h>

static sqlite3 *connection(struct db *db)
{
    return db->connection;
}

/* Turns the last failure into an error a coach can act on. */
static bool fail(struct db *db, struct error *err)
{
    sqlite3 *sqlite = connection(db);
    const int code = sqlite3_extended_errcode(sqlite);
    const char *words = sqlite3_errmsg(sqlite);
    db->again = code == SQLITE_BUSY_SNAPSHOT || code == SQLITE_BUSY_RECOVERY;
    if (code == SQLITE_IOERR_FSYNC || code == SQLITE_IOERR_DIR_FSYNC) {
        /* The log may hold the change all the same, and then it counts when the log is read. */
        return error_set(err, ERROR_STORAGE,
                         "%s: the disk does not confirm what was written (%s); it may be kept or "
                         "not: look at the disk, then at the roster before you try again",
                         db->place, words);
    }
    switch (code & 0xFF) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return error_set(err, ERROR_BUSY,
                         "%s: another program is writing to it; try again when it "
                         "is done",
                         db->place);
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
        return error_set(err, ERROR_STORAGE,
                         "%s: the file is damaged or no roster (%s); leave it as it is and go back "
                         "to a backup",
                         db->place, words);
    case SQLITE_FULL:
        return error_set(
            err, ERROR_STORAGE,
            "%s: the disk is full; what was being stored is not kept: make room and try again",
            db->place);
    case SQLITE_IOERR:
        return error_set(
            err, ERROR_STORAGE,
            "%s: the disk does not take or give the file (%s); what was being stored is not kept: "
            "look at room and disk, then try again",
            db->place, words);
    case SQLITE_READONLY:
    case SQLITE_PERM:
    case SQLITE_AUTH:
        return error_set(err, ERROR_DENIED, "%s: cannot be written (%s); look at its permissions",
                         db->place, words);
    case SQLITE_CANTOPEN:
        return error_set(err, ERROR_STORAGE, "%s: cannot be opened (%s)", db->place, words);
    case SQLITE_CONSTRAINT:
        return error_set(err, ERROR_CONFLICT,
                         "%s: not stored, since it contradicts what is there "
                         "(%s)",
                         db->place, words);
    case SQLITE_TOOBIG:
        return error_set(err, ERROR_TOO_LARGE, "%s: a value is too large for the store", db->place);
    case SQLITE_NOMEM: abort();
    default:
        return error_set(err, ERROR_INTERNAL, "%s: the store refused a statement (%s)", db->place,
                         words);
    }
}

bool db_sqlite_fail(struct db *db, struct error *err)
{
    return fail(db, err);
}

/* ---- statements ---- */

/* Every parameter is `$` and digits within n: "$1::bigint" would be one name that nothing binds. */
static bool parameters_are_ours(sqlite3_stmt *statement, size_t n, struct error *err)
{
    const int count = sqlite3_bind_parameter_count(statement);
    for (int i = 1; i <= count; i++) {
        const char *name = sqlite3_bind_parameter_name(statement, i);
        char *end = NULL;
        const long number = name == NULL || name[0] != '$' || name[1] < '1' || name[1] > '9'
                                ? 0
                                : strtol(name + 1, &end, 10);
        if (number < 1 || (size_t)number > n || *end != '\0') {
            return error_set(err, ERROR_INTERNAL,
                             "a statement of the store has the parameter %s and %zu values",
                             name == NULL ? "?" : name, n);
        }
    }
    return true;
}

static bool sqlite_prepare(struct db *db, const char *sql, const char *parameter_types,
                           void **handle, struct error *err)
{
    sqlite3_stmt *statement = NULL;
    const char *tail = NULL;
    if (sqlite3_prepare_v3(connection(db), sql, -1, SQLITE_PREPARE_PERSISTENT, &statement, &tail) !=
        SQLITE_OK) {
        return fail(db, err);
    }
    if (statement == NULL || tail[strspn(tail, " \n;")] != '\0') {
        sqlite3_finalize(statement);
        return error_set(err, ERROR_INTERNAL, "not one statement: %.80s", sql);
    }
    if (!parameters_are_ours(statement, strlen(parameter_types), err)) {
        sqlite3_finalize(statement);
        return false;
    }
    *handle = statement;
    return true;
}

static void sqlite_forget(struct db *db, void *handle)
{
    (void)db;
    sqlite3_finalize(handle);
}

/* Slots are numbered by first appearance, not by the digits: `$2` may sit in slot 1. */
static bool bind_all(struct db *db, sqlite3_stmt *statement, const struct db_value values[],
                     struct error *err)
{
    const int count = sqlite3_bind_parameter_count(statement);
    for (int slot = 1; slot <= count; slot++) {
        const long number = strtol(sqlite3_bind_parameter_name(statement, slot) + 1, NULL, 10);
        const struct db_value *value = &values[number - 1];
        int code = SQLITE_OK;
        if (value->is_null) {
            code = sqlite3_bind_null(statement, slot);
        } else {
            switch (value->type) {
            case DB_INTEGER:
            case DB_BOOL: code = sqlite3_bind_int64(statement, slot, value->integer); break;
            case DB_REAL: code = sqlite3_bind_double(statement, slot, value->real); break;
            case DB_TEXT:
                code = sqlite3_bind_text(statement, slot, value->text, -1, SQLITE_STATIC);
                break;
            case DB_BLOB:
                code = sqlite3_bind_blob64(
                    statement, slot, value->blob.size == 0 ? (const void *)"" : value->blob.at,
                    value->blob.size, SQLITE_STATIC);
                break;
            }
        }
        if (code != SQLITE_OK) {
            return fail(db, err);
        }
    }
    return true;
}

/* The cell of the row the statement stands on, its bytes copied. */
static bool take_cell(struct db *db, struct arena *arena, sqlite3_stmt *statement, int column,
                      char letter, size_t *taken, struct db_value *cell, struct error *err)
{
    *cell = (struct db_value){ 0 };
    switch (sqlite3_column_type(statement, column)) {
    case SQLITE_INTEGER:
        cell->type = DB_INTEGER;
        cell->integer = sqlite3_column_int64(statement, column);
        break;
    case SQLITE_FLOAT:
        cell->type = DB_REAL;
        cell->real = sqlite3_column_double(statement, column);
        break;
    case SQLITE_NULL: cell->is_null = true; break;
    default: {
        const bool is_text = sqlite3_column_type(statement, column) == SQLITE_TEXT;
        const void *at = is_text ? (const void *)sqlite3_column_text(statement, column)
                                 : sqlite3_column_blob(statement, column);
        const size_t size = (size_t)sqlite3_column_bytes(statement, column);
        if (!db_result_counts(taken, size + 1, err)) {
            return false;
        }
        uint8_t *copy = arena_alloc(arena, size + 1, 1);
        if (size > 0) {
            memcpy(copy, at, size);
        }
        cell->type = is_text ? DB_TEXT : DB_BLOB;
        cell->blob = (struct bytes){ copy, size };
        cell->text = is_text ? (const char *)copy : NULL;
    }
    }
    return db_cell_fits(db, sqlite3_column_name(statement, column), letter, cell, err);
}

static bool take_row(struct db *db, struct arena *arena, sqlite3_stmt *statement, const char *shape,
                     struct db_rows *rows, size_t *capacity, size_t *taken, struct error *err)
{
    if (!db_result_counts(taken, rows->columns * sizeof(struct db_value), err)) {
        return false;
    }
    for (size_t column = 0; column < rows->columns; column++) {
        const size_t at = rows->count * rows->columns + column;
        rows->cells = arena_grow(arena, rows->cells, at, capacity, sizeof(struct db_value));
        if (!take_cell(db, arena, statement, (int)column, shape[column], taken, &rows->cells[at],
                       err)) {
            return false;
        }
    }
    rows->count++;
    return true;
}

static bool step_to_end(struct db *db, struct arena *arena, sqlite3_stmt *statement,
                        const char *shape, struct db_rows *rows, struct error *err)
{
    size_t capacity = 0;
    size_t taken = 0;
    for (;;) {
        const int code = sqlite3_step(statement);
        if (code == SQLITE_DONE) {
            return true;
        }
        if (code != SQLITE_ROW) {
            return fail(db, err);
        }
        if (rows == NULL || (size_t)sqlite3_column_count(statement) != strlen(shape)) {
            return error_set(err, ERROR_INTERNAL,
                             "a statement of the store has %d columns, not %zu",
                             sqlite3_column_count(statement), strlen(shape));
        }
        rows->columns = strlen(shape);
        if (!take_row(db, arena, statement, shape, rows, &capacity, &taken, err)) {
            return false;
        }
    }
}

static bool sqlite_run(struct db *db, struct arena *arena, void *handle,
                       const struct db_value values[], size_t n_values, const char *shape,
                       struct db_rows *rows, struct error *err)
{
    (void)n_values;
    sqlite3_stmt *statement = handle;
    const bool done =
        bind_all(db, statement, values, err) && step_to_end(db, arena, statement, shape, rows, err);
    db->steps += (uint64_t)sqlite3_stmt_status(statement, SQLITE_STMTSTATUS_VM_STEP, 1);
    (void)sqlite3_reset(statement);
    (void)sqlite3_clear_bindings(statement);
    return done;
}

static bool sqlite_plain(struct db *db, const char *sql, struct error *err)
{
    return sqlite3_exec(connection(db), sql, NULL, NULL, NULL) == SQLITE_OK || fail(db, err);
}

static void sqlite_close(struct db *db)
{
    (void)sqlite3_close_v2(connection(db));
    db_folder_let_go(db->folder);
}

/* ---- a check ---- */

static bool sqlite_check(struct db *db, struct arena *arena, const char **problem,
                         struct error *err)
{
    static const char *const questions[] = { "PRAGMA integrity_check(1)",
                                             "PRAGMA foreign_key_check" };
    for (size_t i = 0; i < sizeof questions / sizeof questions[0]; i++) {
        sqlite3_stmt *statement = NULL;
        if (sqlite3_prepare_v2(connection(db), questions[i], -1, &statement, NULL) != SQLITE_OK) {
            return fail(db, err);
        }
        const int code = sqlite3_step(statement);
        const char *words =
            code == SQLITE_ROW ? (const char *)sqlite3_column_text(statement, 0) : NULL;
        if (words != NULL && i == 1) {
            *problem = arena_format(arena, "a row of %s names a row that isn't there", words);
        } else if (words != NULL && strcmp(words, "ok") != 0) {
            *problem = arena_string(arena, words);
        }
        const bool failed = code != SQLITE_ROW && code != SQLITE_DONE && !fail(db, err);
        sqlite3_finalize(statement);
        if (failed) {
            return false;
        }
        if (*problem != NULL) {
            return true;
        }
    }
    return true;
}

/* The log holds old pages until it is emptied; who reads keeps it from that. */
static bool empty_log(struct db *db, struct error *err)
{
    if (sqlite3_wal_checkpoint_v2(connection(db), "main", SQLITE_CHECKPOINT_TRUNCATE, NULL, NULL) ==
        SQLITE_OK) {
        return true;
    }
    return fail(db, err);
}

static bool sqlite_shrink(struct db *db, struct error *err)
{
    /* VACUUM attaches the copy that it works on, which stays in memory: no health data in a folder
     * for all. */
    const int before = sqlite3_limit(connection(db), SQLITE_LIMIT_ATTACHED, 1);
    const bool written = sqlite_plain(db, "VACUUM", err);
    sqlite3_limit(connection(db), SQLITE_LIMIT_ATTACHED, before);
    return written && empty_log(db, err);
}

/* ---- opening ---- */

static const struct db_driver sqlite_driver = {
    .close = sqlite_close,
    .prepare = sqlite_prepare,
    .forget = sqlite_forget,
    .run = sqlite_run,
    .plain = sqlite_plain,
    .copy_to = db_sqlite_copy_to,
    .check = sqlite_check,
    .shrink = sqlite_shrink,
    .mark = "SELECT CAST(data_version AS TEXT) FROM pragma_data_version",
    .begin_write = "BEGIN IMMEDIATE",
    .begin_read = "BEGIN",
};

static bool trust_nothing(sqlite3 *sqlite)
{
    static const struct {
        int what;
        int on;
    } switches[] = {
        { SQLITE_DBCONFIG_DEFENSIVE, 1 },      { SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0 },
        { SQLITE_DBCONFIG_ENABLE_TRIGGER, 0 }, { SQLITE_DBCONFIG_ENABLE_VIEW, 0 },
        { SQLITE_DBCONFIG_DQS_DML, 0 },        { SQLITE_DBCONFIG_DQS_DDL, 0 },
        { SQLITE_DBCONFIG_ENABLE_FKEY, 1 },
    };
    for (size_t i = 0; i < sizeof switches / sizeof switches[0]; i++) {
        int now = -1;
        if (sqlite3_db_config(sqlite, switches[i].what, switches[i].on, &now) != SQLITE_OK ||
            now != switches[i].on) {
            return false;
        }
    }
    sqlite3_limit(sqlite, SQLITE_LIMIT_LENGTH, (int)DB_VALUE_MOST + 1000);
    sqlite3_limit(sqlite, SQLITE_LIMIT_ATTACHED, 0);
    sqlite3_limit(sqlite, SQLITE_LIMIT_SQL_LENGTH, 1000000);
    return true;
}

/* A file, and not on another machine. */
static bool is_fit(const char *place, struct error *err)
{
    struct stat status = { 0 };
    if (stat(place, &status) != 0) {
        return error_set(err, errno == ENOENT || errno == ENOTDIR ? ERROR_NOT_FOUND : ERROR_DENIED,
                         "%s: %s; is this the roster's path?", place, strerror(errno));
    }
    return S_ISREG(status.st_mode) ||
           error_set(err, ERROR_USAGE, "%s: is no file; name the roster's file", place);
}

static int wait_for_writer(void *db, int tries)
{
    return db_wait(db, tries) ? 1 : 0;
}

/* Opens and trusts nothing in it; the connection is the caller's also when this fails. */
static bool open_file(struct db *db, const char *name, int flags, struct error *err)
{
    db->kind = DB_SQLITE;
    db->driver = &sqlite_driver;
    sqlite3 *sqlite = NULL;
    const int code = sqlite3_open_v2(name, &sqlite, flags | SQLITE_OPEN_NOMUTEX, NULL);
    db->connection = sqlite;
    if (sqlite == NULL) {
        abort(); /* memory is out */
    }
    if (code != SQLITE_OK) {
        return fail(db, err);
    }
    (void)sqlite3_extended_result_codes(sqlite, 1);
    (void)sqlite3_busy_handler(sqlite, wait_for_writer, db);
    return trust_nothing(sqlite) ||
           error_set(err, ERROR_INTERNAL, "SQLite %s cannot be made to trust nothing",
                     sqlite3_libversion());
}

/* Temporary tables hold the same health data as the file: they stay in memory. */
#define CAREFULLY                                                                                  \
    "PRAGMA cell_size_check=ON; PRAGMA temp_store=MEMORY; PRAGMA mmap_size=0;"                     \
    "PRAGMA cache_size=-65536;"

/* A file with tables that are none of ours. */
static bool is_foreign(struct db *db, bool *out, struct error *err)
{
    sqlite3_stmt *statement = NULL;
    if (sqlite3_prepare_v2(connection(db),
                           "SELECT COUNT(*) > 0 AND COALESCE(SUM(name = 'roster_state'), 0) = 0 "
                           "FROM sqlite_schema",
                           -1, &statement, NULL) != SQLITE_OK) {
        return fail(db, err);
    }
    const bool done = sqlite3_step(statement) == SQLITE_ROW;
    *out = done && sqlite3_column_int(statement, 0) != 0;
    const bool told = done || fail(db, err);
    sqlite3_finalize(statement);
    return told;
}

/* Turning to WAL writes to the file, and so does folding a log in when it is closed: neither is
 * done to a file that may be somebody else's. */
static bool make_ours(struct db *db, struct error *err)
{
    bool foreign = false;
    if (!is_foreign(db, &foreign, err)) {
        return false;
    }
    return foreign || (sqlite_plain(db, "PRAGMA journal_mode=WAL", err) &&
                       (sqlite3_db_config(connection(db), SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 0,
                                          NULL) == SQLITE_OK ||
                        fail(db, err)));
}

/* A log that lies beside it stays as it is, until it is known to be ours. */
static bool leave_log(struct db *db, struct error *err)
{
    char log[PATH_MAX];
    struct stat status = { 0 };
    const bool has_log = snprintf(log, sizeof log, "%s-wal", db->place) < (int)sizeof log &&
                         stat(log, &status) == 0 && status.st_size > 0;
    return !has_log ||
           sqlite3_db_config(connection(db), SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, NULL) ==
               SQLITE_OK ||
           fail(db, err);
}

static bool may_be_written(struct db *db, struct error *err)
{
    return sqlite3_db_readonly(connection(db), "main") == 0 ||
           error_set(err, ERROR_DENIED,
                     "%s: may only be read, and a roster is written to; look at its permissions",
                     db->place);
}

bool db_sqlite_open(struct db *db, const char *place, struct error *err)
{
    return is_fit(place, err) && file_system_may_hold(place, file_system_of, err) &&
           db_folder_hold(place, DB_FOLDER_SHARED, &db->folder, err) &&
           open_file(db, place, SQLITE_OPEN_READWRITE, err) && may_be_written(db, err) &&
           leave_log(db, err) &&
           sqlite_plain(db,
                        CAREFULLY "PRAGMA synchronous=FULL; PRAGMA secure_delete=ON;"
                                  "PRAGMA case_sensitive_like=ON",
                        err) &&
           make_ours(db, err);
}

/* "file:/a%3fb?immutable=1": what means something in an address is written as its number. */
static bool as_still_name(const char *place, char out[], size_t room)
{
    size_t n = (size_t)snprintf(out, room, "file:");
    for (const char *at = place; *at != '\0' && n + 4 < room; at++) {
        const bool plain = strchr("?#%", *at) == NULL;
        n += (size_t)snprintf(out + n, room - n, plain ? "%c" : "%%%02x", (unsigned char)*at);
    }
    return n + sizeof "?immutable=1" < room && snprintf(out + n, room - n, "?immutable=1") > 0;
}

bool db_sqlite_open_still(struct db *db, const char *place, struct error *err)
{
    char log[PATH_MAX];
    char name[3 * PATH_MAX];
    struct stat status = { 0 };
    if (!is_fit(place, err)) {
        return false;
    }
    if (snprintf(log, sizeof log, "%s-wal", place) >= (int)sizeof log ||
        !as_still_name(place, name, sizeof name)) {
        return error_set(err, ERROR_USAGE, "%s: the path is too long", place);
    }
    if (stat(log, &status) == 0 && status.st_size > 0) {
        return error_set(err, ERROR_CONFLICT,
                         "%s: %s lies beside it: it is in use, or was copied while it was; make a "
                         "backup of it with plumbline backup",
                         place, log);
    }
    return open_file(db, name, SQLITE_OPEN_READONLY | SQLITE_OPEN_URI, err) &&
           sqlite_plain(db, CAREFULLY "PRAGMA query_only=ON; PRAGMA case_sensitive_like=ON", err);
}

static int take_word(void *context, int n, char **cells, char **names)
{
    (void)names;
    snprintf(context, 16, "%s", n > 0 && cells[0] != NULL ? cells[0] : "");
    return 0;
}

/* SQLite takes the log away only for who is alone; it doesn't wait by itself here. */
bool db_sqlite_open_settled(struct db *db, const char *place, struct error *err)
{
    enum { STEP_MS = 50 };
    if (!is_fit(place, err) || !open_file(db, place, SQLITE_OPEN_READWRITE, err)) {
        return false;
    }
    for (int waited = 0;; waited += STEP_MS) {
        char mode[16] = { 0 };
        const int code =
            sqlite3_exec(connection(db), "PRAGMA journal_mode=DELETE", take_word, mode, NULL);
        if (code == SQLITE_OK && strcmp(mode, "delete") == 0) {
            return true;
        }
        if (code != SQLITE_OK && (code & 0xFF) != SQLITE_BUSY && (code & 0xFF) != SQLITE_LOCKED) {
            return fail(db, err);
        }
        if (waited >= DB_BUSY_MS) {
            return error_set(err, ERROR_BUSY,
                             "%s: another program has it open; end that one and try again", place);
        }
        nanosleep(&(struct timespec){ .tv_nsec = STEP_MS * 1000000L }, NULL);
    }
}
