/* bench/rows.c: SQLite for the benches' own rows. */
#include "rows.h"

#include <stdio.h>
#include <stdlib.h>

static void must(int got, int want, sqlite3 *db, const char *what)
{
    if (got != want) {
        fprintf(stderr, "bench: %s: %s\n", what, sqlite3_errmsg(db));
        exit(1);
    }
}

sqlite3 *rows_open(const char *path)
{
    sqlite3 *db = NULL;
    must(sqlite3_open(path, &db), SQLITE_OK, db, path);
    return db;
}

void rows_run(sqlite3 *db, const char *sql)
{
    must(sqlite3_exec(db, sql, NULL, NULL, NULL), SQLITE_OK, db, sql);
}

sqlite3_stmt *rows_prepare(sqlite3 *db, const char *sql)
{
    sqlite3_stmt *statement = NULL;
    must(sqlite3_prepare_v2(db, sql, -1, &statement, NULL), SQLITE_OK, db, sql);
    return statement;
}

void rows_done(sqlite3_stmt *statement)
{
    must(sqlite3_step(statement), SQLITE_DONE, sqlite3_db_handle(statement),
         sqlite3_sql(statement));
    sqlite3_reset(statement);
}

void rows_add_seconds(sqlite3_stmt *add, sqlite3_int64 ride, const struct recording *recording)
{
    for (size_t t = 0; t < recording->n_seconds; t++) {
        sqlite3_bind_int64(add, 1, ride);
        sqlite3_bind_int64(add, 2, (sqlite3_int64)t);
        for (int c = 0; c < CHANNEL_COUNT; c++) {
            const int32_t *value = recording->value[c];
            if (value == NULL || value[t] == RECORDING_MISSING) {
                sqlite3_bind_null(add, 3 + c);
            } else {
                sqlite3_bind_int(add, 3 + c, value[t]);
            }
        }
        rows_done(add);
    }
}
