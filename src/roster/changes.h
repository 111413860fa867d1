/* roster/changes.h: every edit, in words, and how it is taken back.
 *
 *     change "Threshold of Ada Berg: 250 W from 14 March 2026 (was 240 W)"
 *       └─ row threshold 7, edit
 *            └─ value_w   before 240   after 250
 *
 * Where readings may rest on what is changed, the change leaves a job, in the same transaction, to
 * look which of them are old now (roster/rereading).
 *
 * An edit and its record are one transaction: there is none without the other.  `undo` takes a
 * whole change back, and refuses when a later change, still in force, touched the same columns of
 * the same row.  Taking back is itself a change, and can be taken back. */
#ifndef ROSTER_CHANGES_H
#define ROSTER_CHANGES_H

#include "roster/roster.h"

/* One change being made; lives inside one db_write. */
struct change {
    struct db *db;
    struct arena *arena;
    int64_t id;
    int64_t n_rows;
    int64_t now_utc_s;
    bool is_looked_at; /* what readings it touches is asked for */
};

struct edit {
    const char *column;
    struct db_value value;
};

/* Begins a change; words are one line for people. */
MUST_USE bool changes_begin(struct db *db, struct arena *arena, struct roster_now now,
                            const char *words, struct change *change, struct error *err);

/* A new row of an editable table; *row gets its id. */
MUST_USE bool changes_add(struct change *change, const char *table, const struct edit edits[],
                          size_t n, int64_t *row, struct error *err);

/* Sets columns of a row; those that stay as they are are not recorded.
 *   version  the row's, as the caller last saw it; 0 = whatever it is now
 * ERROR_NOT_FOUND if it is gone, ERROR_CONFLICT if somebody edited it since. */
MUST_USE bool changes_edit(struct change *change, const char *table, int64_t row, int64_t version,
                           const struct edit edits[], size_t n, struct error *err);

/* Takes a row away.  ERROR_CONFLICT when others still name it. */
MUST_USE bool changes_remove(struct change *change, const char *table, int64_t row, int64_t version,
                             struct error *err);

/* A change in the list. */
struct change_line {
    int64_t id;
    int64_t made_utc_s;
    const char *who; /* NULL = not said */
    const char *words;
    int64_t undoes;    /* 0 = none */
    int64_t undone_by; /* 0 = in force */
};

/* The newest first, at most n. */
MUST_USE bool changes_list(struct roster *roster, struct arena *arena, size_t n,
                           struct change_line **out, size_t *count, struct error *err);

/* Takes back change `id`; 0 = the newest that is in force and no undo itself.  *undone gets what
 * was taken back.  ERROR_NOT_FOUND, or ERROR_CONFLICT with the change that stands in the way. */
MUST_USE bool changes_undo(struct roster *roster, struct arena *arena, struct roster_now now,
                           int64_t id, struct change_line *undone, struct error *err);

#endif
