/* roster/db.h: one interface to SQLite and PostgreSQL; the same SQL text on both.
 *
 *     db_open ─> db_write(change) ─> BEGIN, the caller's function, COMMIT; again if another writer
 *                                    got in between
 *             ─> db_query           a whole result in the arena, every cell's type checked
 *
 * SQL text: parameters are `$1`, `$2`, ...; a cast is CAST(x AS BIGINT), sums and means are cast,
 * ORDER BY ends with a unique key and says NULLS LAST, no function that only one side knows
 * (docs/roster-file.md lists the rules).  Instants are UTC seconds, days are ISO text.
 *
 * A result is read to its end before the call returns, so no statement is ever left open across a
 * COMMIT.  What a file or a server hands back is not trusted: types, UTF-8 and sizes are checked.
 *
 * One struct db belongs to one thread. */
#ifndef ROSTER_DB_H
#define ROSTER_DB_H

#include "base/arena.h"
#include "base/error.h"
#include "base/files.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct db;

enum db_kind { DB_SQLITE, DB_POSTGRES };

/* A parameter, or a cell of a result. */
enum db_type { DB_INTEGER, DB_REAL, DB_TEXT, DB_BLOB, DB_BOOL };

struct db_value {
    enum db_type type;
    bool is_null;
    int64_t integer; /* also a bool: 0 or 1 */
    double real;
    const char *text; /* ended by a zero */
    struct bytes blob;
};

/* Parameters.  NAN and infinities, and a NULL text, become NULL; -0 becomes 0. */
struct db_value db_integer(int64_t value);
struct db_value db_real(double value);
struct db_value db_text(const char *value);
struct db_value db_blob(struct bytes value);
struct db_value db_bool(bool value);
struct db_value db_null(enum db_type type);

/* Parameters in the place of (values, n_values): DB_ARGS(db_integer(id), db_text(name)). */
#define DB_ARGS(...)                                                                               \
    (const struct db_value[]){ __VA_ARGS__ },                                                      \
        sizeof((const struct db_value[]){ __VA_ARGS__ }) / sizeof(struct db_value)
#define DB_NONE NULL, 0

/* A whole result. */
struct db_rows {
    size_t count;
    size_t columns;
    struct db_value *cells; /* [count x columns], by row */
};

/* A cell by row and column (both from 0): its type is as the shape said.  NULL is 0, NAN, NULL,
 * no bytes, false; db_is_null tells. */
bool db_is_null(const struct db_rows *rows, size_t row, size_t column);
int64_t db_integer_at(const struct db_rows *rows, size_t row, size_t column);
double db_real_at(const struct db_rows *rows, size_t row, size_t column);
const char *db_text_at(const struct db_rows *rows, size_t row, size_t column);
struct bytes db_blob_at(const struct db_rows *rows, size_t row, size_t column);
bool db_bool_at(const struct db_rows *rows, size_t row, size_t column);

/* True for a place that is a PostgreSQL address ("postgresql://..."), else it is a file. */
bool db_place_is_postgres(const char *place);

/* Opens a SQLite file that exists, or a database of a server.  A SQLite file is opened for hostile
 * content: no triggers, no views, no schema that calls functions; foreign keys on, WAL,
 * synchronous=FULL, secure_delete.  An empty file becomes a store; a file with tables of others is
 * opened as it is, and no byte of it changes until somebody writes.  The messages name the place
 * without a password.
 * False: ERROR_NOT_FOUND, ERROR_STORAGE (damaged, no database, no server), ERROR_DENIED (may only
 * be read), ERROR_USAGE (a server though this program was built without one). */
MUST_USE bool db_open(const char *place, struct db **out, struct error *err);

/* Opens a SQLite file at rest, such as a backup, only to look: no lock is taken, and nothing is
 * written in it or beside it, so it may lie anywhere and be write-protected.  Nobody may write to
 * it meanwhile.  ERROR_CONFLICT when a log with bytes lies beside it: it was copied while in use.
 */
MUST_USE bool db_open_still(const char *place, struct db **out, struct error *err);

/* Opens a SQLite file that is about to be replaced: its log is folded in and no longer beside it.
 * The caller holds the folder alone (roster/db_folder).  ERROR_BUSY when a program that holds no
 * folder has it open. */
MUST_USE bool db_open_settled(const char *place, struct db **out, struct error *err);

/* NULL is accepted.  What was not committed is rolled back. */
void db_close(struct db *db);

enum db_kind db_kind(const struct db *db);
const char *db_place(const struct db *db);

/* Runs a statement that returns no row.  Values are copied before the call returns. */
MUST_USE bool db_run(struct db *db, const char *sql, const struct db_value values[],
                     size_t n_values, struct error *err);

/* Runs a statement and takes its whole result into the arena.
 *   shape   one letter a column: i integer, r real, t text, x blob, b bool; a capital may be NULL.
 *           An integer also serves where a real is asked.
 * False when a cell is not of its shape, text is no UTF-8 (ERROR_STORAGE), or the result is larger
 * than DB_RESULT_MOST (ERROR_TOO_LARGE). */
MUST_USE bool db_query(struct db *db, struct arena *arena, const char *sql, const char *shape,
                       const struct db_value values[], size_t n_values, struct db_rows *out,
                       struct error *err);

/* The type that a letter of a shape asks for, small or capital. */
enum db_type db_type_of(char letter);

/* Bytes of one result, and of one value. */
#define DB_RESULT_MOST (512u * 1000u * 1000u)
#define DB_VALUE_MOST  (256u * 1000u * 1000u)

/* What to do inside a transaction.  It may be called again from the start when another writer came
 * in between: it must not keep anything from a call that was taken back, but *out in context. */
typedef bool db_work(struct db *db, void *context, struct error *err);

/* Everything that work does is committed, or nothing is.  Another writer is waited for, and work
 * done again, DB_TRIES times; then ERROR_BUSY.  Must not be called within a transaction. */
MUST_USE bool db_write(struct db *db, db_work *work, void *context, struct error *err);

/* Called, once a process and by any thread, when a writer has waited two seconds for another; it
 * waits on for a minute, then is ERROR_BUSY.  NULL = nobody is told.  Set it before threads are. */
void db_when_waiting(void (*tell)(const char *place));

/* Reads that see one state of the store; within a transaction, that one's. */
MUST_USE bool db_read(struct db *db, db_work *work, void *context, struct error *err);

/* Inside db_write: work that may fail without the rest being lost.  False if it failed; all it did
 * is then taken back, and the transaction goes on. */
MUST_USE bool db_attempt(struct db *db, db_work *work, void *context, struct error *err);

#define DB_TRIES 20

/* Outside a transaction: the store written anew without the room of what was removed, so that no
 * byte of it is left in the file, and its log emptied.  Needs room for the store once more.
 * ERROR_BUSY when others read. */
MUST_USE bool db_shrink(struct db *db, struct error *err);

/* What statements cost so far: tests guard cost with it.  Steps of SQLite's machine, which grow
 * with the rows that are looked at; of a server, which doesn't tell, statements. */
uint64_t db_steps(const struct db *db);

/* Outside a transaction: *out is the same number as before only if nothing was committed since, by
 * any other handle or program.  Cheap enough to ask for each request of a server. */
MUST_USE bool db_mark(struct db *db, int64_t *out, struct error *err);

/* True between BEGIN and COMMIT. */
bool db_in_transaction(const struct db *db);

/* A whole copy of a SQLite store beside it or elsewhere, made while others may go on working:
 * written as PATH.part, synced, renamed; 0600.  Refused (ERROR_STORAGE) when the disk has not room
 * for it, before a byte is written; ERROR_USAGE for a server, which has its own tools. */
MUST_USE bool db_copy_to(struct db *db, const char *path, struct error *err);

/* Reads every page and every row and checks them against one another: 0 problems is *problem NULL,
 * else the first in words.  A server checks its own pages: there only foreign keys are tested. */
MUST_USE bool db_check(struct db *db, struct arena *arena, const char **problem, struct error *err);

#endif
