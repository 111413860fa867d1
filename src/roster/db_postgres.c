/* roster/db_postgres.c: the store in a database of a PostgreSQL server.
 *
 * Parameters go with their types and everything comes back in binary: nothing is guessed from the
 * context, and no digit is lost in text. */
#include "roster/db_parts.h"

#ifndef PLUMBLINE_POSTGRES

bool db_postgres_open(struct db *db, const char *place, struct error *err)
{
    (void)place;
    return error_set(err, ERROR_USAGE,
                     "%s: this plumbline was built without PostgreSQL; name a file, or build it "
                     "with libpq",
                     db->place);
}

#else

#include <endian.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <libpq-fe.h>

/* Type numbers of the server's catalogue (pg_type.dat): fixed for all versions. */
enum {
    OID_BOOL = 16,
    OID_BYTEA = 17,
    OID_INT8 = 20,
    OID_INT2 = 21,
    OID_INT4 = 23,
    OID_TEXT = 25,
    OID_FLOAT8 = 701,
};

struct prepared {
    char name[24];
    Oid types[200];
};

static PGconn *connection(struct db *db)
{
    return db->connection;
}

/* The server's words on one line, without the LINE and HINT that follow. */
static bool fail(struct db *db, const PGresult *result, struct error *err)
{
    const char *state = result == NULL ? NULL : PQresultErrorField(result, PG_DIAG_SQLSTATE);
    const char *words = result == NULL ? NULL : PQresultErrorField(result, PG_DIAG_MESSAGE_PRIMARY);
    if (state == NULL || PQstatus(connection(db)) != CONNECTION_OK) {
        char line[200];
        snprintf(line, sizeof line, "%s", PQerrorMessage(connection(db)));
        line[strcspn(line, "\n")] = '\0';
        return error_set(err, ERROR_STORAGE,
                         "%s: the server went away (%s); what was not confirmed may not be stored: "
                         "look before you try again",
                         db->place, line);
    }
    if (words == NULL) {
        words = "no reason given";
    }
    const bool waited = strcmp(state, "55P03") == 0;
    db->again = strcmp(state, "40001") == 0 || strcmp(state, "40P01") == 0 || waited;
    if (waited) {
        db_tell_waiting(db);
    }
    if (db->again) {
        return error_set(err, ERROR_BUSY, "%s: another program is writing to it (%s)", db->place,
                         words);
    }
    if (strncmp(state, "23", 2) == 0) {
        return error_set(err, ERROR_CONFLICT,
                         "%s: not stored, since it contradicts what is there "
                         "(%s)",
                         db->place, words);
    }
    if (strncmp(state, "53", 2) == 0) {
        return error_set(
            err, ERROR_STORAGE,
            "%s: the server is out of room or memory (%s); what was being stored is not kept",
            db->place, words);
    }
    if (strncmp(state, "XX", 2) == 0 || strncmp(state, "58", 2) == 0) {
        return error_set(err, ERROR_STORAGE,
                         "%s: the server's files are damaged (%s); go back to a backup", db->place,
                         words);
    }
    if (strcmp(state, "42501") == 0) {
        return error_set(err, ERROR_DENIED, "%s: not allowed (%s)", db->place, words);
    }
    return error_set(err, ERROR_INTERNAL, "%s: the store refused a statement (%s)", db->place,
                     words);
}

static Oid oid_of(char letter)
{
    switch (db_type_of(letter)) {
    case DB_INTEGER: return OID_INT8;
    case DB_REAL: return OID_FLOAT8;
    case DB_TEXT: return OID_TEXT;
    case DB_BLOB: return OID_BYTEA;
    case DB_BOOL: return OID_BOOL;
    }
    abort();
}

static bool postgres_prepare(struct db *db, const char *sql, const char *parameter_types,
                             void **handle, struct error *err)
{
    struct prepared *prepared = calloc(1, sizeof *prepared);
    if (prepared == NULL) {
        abort();
    }
    snprintf(prepared->name, sizeof prepared->name, "p%u", db->next_name++);
    const size_t n = strlen(parameter_types);
    for (size_t i = 0; i < n; i++) {
        prepared->types[i] = oid_of(parameter_types[i]);
    }
    PGresult *result = PQprepare(connection(db), prepared->name, sql, (int)n, prepared->types);
    const bool done = PQresultStatus(result) == PGRES_COMMAND_OK;
    if (done) {
        *handle = prepared;
    } else {
        fail(db, result, err);
        free(prepared);
    }
    PQclear(result);
    return done;
}

static void postgres_forget(struct db *db, void *handle)
{
    struct prepared *prepared = handle;
    char sql[48];
    snprintf(sql, sizeof sql, "DEALLOCATE %s", prepared->name);
    /* Within a failed transaction this is refused: the name is never used again, so no harm. */
    PQclear(PQexec(connection(db), sql));
    free(prepared);
}

/* A parameter as the server takes it in binary: numbers big-endian. */
struct sent {
    const char *at[200];
    int length[200];
    int format[200];
    uint64_t number[200];
    char flag[200];
};

static void send_value(struct sent *sent, size_t i, const struct db_value *value)
{
    sent->format[i] = 1;
    sent->at[i] = NULL;
    sent->length[i] = 0;
    if (value->is_null) {
        return;
    }
    switch (value->type) {
    case DB_INTEGER: sent->number[i] = htobe64((uint64_t)value->integer); break;
    case DB_REAL: {
        uint64_t bits = 0;
        memcpy(&bits, &value->real, sizeof bits);
        sent->number[i] = htobe64(bits);
        break;
    }
    case DB_BOOL:
        sent->flag[i] = value->integer != 0 ? 1 : 0;
        sent->at[i] = &sent->flag[i];
        sent->length[i] = 1;
        return;
    case DB_TEXT:
        sent->at[i] = value->text;
        sent->length[i] = (int)strlen(value->text);
        return;
    case DB_BLOB:
        sent->at[i] = value->blob.size == 0 ? "" : (const char *)value->blob.at;
        sent->length[i] = (int)value->blob.size;
        return;
    }
    sent->at[i] = (const char *)&sent->number[i];
    sent->length[i] = 8;
}

static uint64_t big_endian(const char *at, int length)
{
    uint64_t value = 0;
    for (int i = 0; i < length; i++) {
        value = value << 8 | (unsigned char)at[i];
    }
    return value;
}

static bool take_cell(struct db *db, struct arena *arena, const PGresult *result, int row,
                      int column, char letter, size_t *taken, struct db_value *cell,
                      struct error *err)
{
    const char *name = PQfname(result, column);
    const char *at = PQgetvalue(result, row, column);
    const int length = PQgetlength(result, row, column);
    *cell = (struct db_value){ 0 };
    cell->is_null = PQgetisnull(result, row, column) == 1;
    if (cell->is_null) {
        return db_cell_fits(db, name, letter, cell, err);
    }
    switch (PQftype(result, column)) {
    case OID_BOOL:
        cell->type = DB_BOOL;
        cell->integer = at[0] != 0;
        break;
    case OID_INT8:
        cell->type = DB_INTEGER;
        cell->integer = (int64_t)big_endian(at, 8);
        break;
    case OID_INT4:
        cell->type = DB_INTEGER;
        cell->integer = (int32_t)big_endian(at, 4);
        break;
    case OID_INT2:
        cell->type = DB_INTEGER;
        cell->integer = (int16_t)big_endian(at, 2);
        break;
    case OID_FLOAT8: {
        const uint64_t bits = big_endian(at, 8);
        cell->type = DB_REAL;
        memcpy(&cell->real, &bits, sizeof bits);
        break;
    }
    case OID_TEXT:
    case OID_BYTEA: {
        const bool is_text = PQftype(result, column) == OID_TEXT;
        if (!db_result_counts(taken, (size_t)length + 1, err)) {
            return false;
        }
        uint8_t *copy = arena_alloc(arena, (size_t)length + 1, 1);
        memcpy(copy, at, (size_t)length);
        cell->type = is_text ? DB_TEXT : DB_BLOB;
        cell->blob = (struct bytes){ copy, (size_t)length };
        cell->text = is_text ? (const char *)copy : NULL;
        break;
    }
    default:
        return error_set(err, ERROR_INTERNAL,
                         "the column %s comes back as type %u: cast it in the statement", name,
                         PQftype(result, column));
    }
    return db_cell_fits(db, name, letter, cell, err);
}

static bool take_rows(struct db *db, struct arena *arena, const PGresult *result, const char *shape,
                      struct db_rows *rows, struct error *err)
{
    const size_t columns = strlen(shape);
    const size_t count = (size_t)PQntuples(result);
    if (rows == NULL || (size_t)PQnfields(result) != columns) {
        return error_set(err, ERROR_INTERNAL, "a statement of the store has %d columns, not %zu",
                         PQnfields(result), columns);
    }
    size_t taken = 0;
    if (!db_result_counts(&taken, count * columns * sizeof(struct db_value), err)) {
        return false;
    }
    rows->columns = columns;
    rows->count = count;
    rows->cells = ARENA_ARRAY(arena, struct db_value, count * columns);
    for (size_t i = 0; i < count * columns; i++) {
        if (!take_cell(db, arena, result, (int)(i / columns), (int)(i % columns),
                       shape[i % columns], &taken, &rows->cells[i], err)) {
            return false;
        }
    }
    return true;
}

static bool postgres_run(struct db *db, struct arena *arena, void *handle,
                         const struct db_value values[], size_t n_values, const char *shape,
                         struct db_rows *rows, struct error *err)
{
    const struct prepared *prepared = handle;
    struct sent sent;
    for (size_t i = 0; i < n_values; i++) {
        send_value(&sent, i, &values[i]);
    }
    PGresult *result = PQexecPrepared(connection(db), prepared->name, (int)n_values, sent.at,
                                      sent.length, sent.format, 1);
    bool done = false;
    if (PQresultStatus(result) == PGRES_TUPLES_OK) {
        done = take_rows(db, arena, result, shape, rows, err);
    } else if (PQresultStatus(result) == PGRES_COMMAND_OK) {
        done = true;
    } else {
        fail(db, result, err);
    }
    PQclear(result);
    return done;
}

static bool postgres_plain(struct db *db, const char *sql, struct error *err)
{
    PGresult *result = PQexec(connection(db), sql);
    /* COMMIT of a failed transaction succeeds as a command, and says ROLLBACK. */
    bool done = PQresultStatus(result) == PGRES_COMMAND_OK;
    if (!done) {
        fail(db, result, err);
    } else if (strcmp(sql, "COMMIT") == 0 && strcmp(PQcmdStatus(result), "COMMIT") != 0) {
        done = error_set(err, ERROR_INTERNAL, "%s: the server took the change back", db->place);
    }
    PQclear(result);
    return done;
}

static void postgres_close(struct db *db)
{
    PQfinish(connection(db));
}

static bool postgres_copy_to(struct db *db, const char *path, struct error *err)
{
    return error_set(err, ERROR_USAGE,
                     "%s: a server's store is not copied to %s; use the server's own pg_dump",
                     db->place, path);
}

static bool postgres_check(struct db *db, struct arena *arena, const char **problem,
                           struct error *err)
{
    struct db_rows rows = { 0 };
    *problem = NULL;
    return db_query(db, arena, "SELECT COUNT(*) FROM pg_constraint WHERE NOT convalidated", "i",
                    DB_NONE, &rows, err);
}

static bool postgres_shrink(struct db *db, struct error *err)
{
    return postgres_plain(db, "VACUUM FULL", err);
}

static const struct db_driver postgres_driver = {
    .close = postgres_close,
    .prepare = postgres_prepare,
    .forget = postgres_forget,
    .run = postgres_run,
    .plain = postgres_plain,
    .copy_to = postgres_copy_to,
    .check = postgres_check,
    .shrink = postgres_shrink,
    /* Moves when a writer begins and when it commits. */
    .mark = "SELECT CAST(pg_current_snapshot() AS TEXT)",
    .begin_write = "BEGIN ISOLATION LEVEL SERIALIZABLE",
    .begin_read = "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY",
};

static void say_nothing(void *context, const char *message)
{
    (void)context;
    (void)message;
}

bool db_postgres_open(struct db *db, const char *place, struct error *err)
{
    db->kind = DB_POSTGRES;
    db->driver = &postgres_driver;
    PGconn *server = PQconnectdb(place);
    if (server == NULL) {
        abort(); /* memory is out */
    }
    db->connection = server;
    if (PQstatus(server) != CONNECTION_OK) {
        char line[240];
        snprintf(line, sizeof line, "%s", PQerrorMessage(server));
        line[strcspn(line, "\n")] = '\0';
        return error_set(err, ERROR_STORAGE, "%s: no connection (%s)", db->place, line);
    }
    (void)PQsetNoticeProcessor(server, say_nothing, NULL);
    return postgres_plain(db, "SET client_encoding TO 'UTF8'", err) &&
           postgres_plain(db, "SET TIME ZONE 'UTC'", err) &&
           /* DB_WAIT_TELL_S; then it says so, and tries again (DB_TRIES) */
           postgres_plain(db, "SET lock_timeout TO '2s'", err) &&
           postgres_plain(db, "SET standard_conforming_strings TO on", err);
}

#endif
