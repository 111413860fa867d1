/* bench/rows.h: SQLite for the benches' own rows; what can't be done ends the bench. */
#ifndef BENCH_ROWS_H
#define BENCH_ROWS_H

#include "recording/recording.h"

#include <sqlite3.h>

sqlite3 *rows_open(const char *path);

/* Statements without rows. */
void rows_run(sqlite3 *db, const char *sql);

sqlite3_stmt *rows_prepare(sqlite3 *db, const char *sql);

/* Runs a statement without rows; it can be bound again. */
void rows_done(sqlite3_stmt *statement);

/* A row a second of a ride: its id, the second, every channel or NULL.  By a statement that takes
 * these in this order. */
void rows_add_seconds(sqlite3_stmt *add, sqlite3_int64 ride, const struct recording *recording);

#endif
