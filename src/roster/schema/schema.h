/* roster/schema/schema.h: the tables, and how an older store becomes a newer one.
 *
 * A migration is a list of statements with a number.  Its DDL is written once, with tokens where
 * the two stores differ:
 *
 *     {ID}       a row's own number, never given out twice      {INTEGER}  64 bits
 *     {REAL}     double        {TEXT}  UTF-8, compared by bytes      {BLOB}  bytes
 *     {BOOLEAN}  true or false {STRICT}  types are enforced
 *
 * Each migration is one transaction, after a copy of the store: it is there wholly or not at all.
 * docs/roster-file.md says what every table holds. */
#ifndef ROSTER_SCHEMA_SCHEMA_H
#define ROSTER_SCHEMA_SCHEMA_H

#include "roster/db.h"

struct migration {
    const char *const *statements; /* ends with NULL */
};

/* migrations[i] leads from schema i to schema i + 1. */
struct migrations {
    const struct migration *items;
    size_t count;
};

/* Those of this program: the newest schema is their count. */
extern const struct migrations schema_migrations;

/* What schema_open did. */
struct schema_done {
    int64_t from;     /* the schema found; 0 = the store was empty */
    int64_t to;       /* the schema now */
    char backup[256]; /* where the copy of the older store lies, "" none was made */
};

/* Brings the store to the newest schema of migrations.
 *   create  an empty store may be filled; otherwise it is ERROR_NOT_FOUND
 *   now     written where the store was made, and into the copy's name
 * A file is copied beside itself first, and the newest two copies are kept; a server's copies are
 * its keeper's.  False, and the store as it was: it is newer than this program (ERROR_CONFLICT),
 * no store of ours (ERROR_STORAGE), has no room for the copy (ERROR_STORAGE). */
MUST_USE bool schema_open(struct db *db, const struct migrations *migrations, bool create,
                          int64_t now_utc_s, struct schema_done *done, struct error *err);

/* Which schema the store has, and that this program knows it; nothing is changed.  False:
 * ERROR_NOT_FOUND (empty), ERROR_STORAGE (no store of ours), ERROR_CONFLICT (newer). */
MUST_USE bool schema_look(struct db *db, const struct migrations *migrations, int64_t *schema,
                          struct error *err);

/* A statement with its tokens put in for that store; in the arena. */
const char *schema_words(struct arena *arena, enum db_kind kind, const char *statement);

#define SCHEMA_COPIES_KEPT 2

#endif
