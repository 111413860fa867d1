/* roster/db_parts.h: what the two drivers share; nobody else includes this. */
#ifndef ROSTER_DB_PARTS_H
#define ROSTER_DB_PARTS_H

#include "roster/db.h"

#define DB_STATEMENTS 64

/* A prepared statement, kept for the next call with the same text and types. */
struct db_statement {
    uint64_t hash; /* 0 = free */
    char *key;     /* the types, a blank, the text */
    void *handle;  /* the driver's */
};

struct db_driver {
    void (*close)(struct db *db);
    /* types[n]: one letter a parameter, as in a shape */
    bool (*prepare)(struct db *db, const char *sql, const char *types, void **handle,
                    struct error *err);
    void (*forget)(struct db *db, void *handle);
    /* rows may be NULL: then a row that comes is an error */
    bool (*run)(struct db *db, struct arena *arena, void *handle, const struct db_value values[],
                size_t n_values, const char *shape, struct db_rows *rows, struct error *err);
    /* BEGIN, COMMIT, ROLLBACK, SAVEPOINT and the like: no parameters, no rows */
    bool (*plain)(struct db *db, const char *sql, struct error *err);
    bool (*copy_to)(struct db *db, const char *path, struct error *err);
    bool (*check)(struct db *db, struct arena *arena, const char **problem, struct error *err);
    bool (*shrink)(struct db *db, struct error *err);
    const char *mark; /* one text that changes with every commit of others */
    const char *begin_write;
    const char *begin_read;
};

struct db {
    enum db_kind kind;
    const struct db_driver *driver;
    char *place; /* for messages: without a password */
    void *connection;
    int folder;     /* a file's: held so that nobody puts another in its place; -1 = not held */
    bool again;     /* the last failure was another writer's doing: worth another try */
    bool inside;    /* a transaction */
    int depth;      /* of savepoints */
    long waited_ms; /* for another writer, in this statement */
    unsigned next_name;
    uint64_t steps; /* db_steps */
    struct db_statement statements[DB_STATEMENTS];
    size_t next_statement; /* the one to give way */
};

/* Opens by one driver: fills connection, driver, kind; place is set. */
bool db_sqlite_open(struct db *db, const char *place, struct error *err);
bool db_sqlite_open_still(struct db *db, const char *place, struct error *err);
bool db_sqlite_open_settled(struct db *db, const char *place, struct error *err);
/* The last failure of SQLite as an error a coach can act on. */
bool db_sqlite_fail(struct db *db, struct error *err);
bool db_sqlite_copy_to(struct db *db, const char *path, struct error *err);
bool db_postgres_open(struct db *db, const char *place, struct error *err);

/* How long a writer waits for another before it says so, and before it gives up. */
#define DB_WAIT_TELL_S 2
#define DB_WAIT_MOST_S 60

/* Says, once a process, that it waits. */
void db_tell_waiting(const struct db *db);

/* Waits 1 to 50 ms for another writer, and says so when it is time; tries counts from 0.  False
 * when that has been long enough. */
bool db_wait(struct db *db, int tries);

/* The letter of a type in a shape, small. */
char db_type_letter(enum db_type type);
const char *db_type_name(enum db_type type);

/* Checks one cell against its letter, turning an integer into a real where that was asked. */
bool db_cell_fits(struct db *db, const char *column, char letter, struct db_value *cell,
                  struct error *err);

/* Counts what a result takes; false past DB_RESULT_MOST. */
bool db_result_counts(size_t *taken, size_t more, struct error *err);

#endif
