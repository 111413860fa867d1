/* roster/audit.h: is everything in the roster as it was put there?
 *
 *     pages        every page and row of the file, by SQLite's own check
 *     references   rows that name rows, change rows included: is what they name there?
 *     text         is every text UTF-8?
 *     originals    the bytes of every file against their SHA-256
 *     read again   a seeded sample of rides (or all) read from their originals: the same series,
 *                  bests, laps, findings, readings as are kept?
 *     bests        every month of bests against its rides
 *
 * It only looks.  Nothing is mended: a wrong repair would hide what happened. */
#ifndef ROSTER_AUDIT_H
#define ROSTER_AUDIT_H

#include "roster/roster.h"

enum audit_step {
    AUDIT_PAGES,
    AUDIT_REFERENCES,
    AUDIT_TEXT,
    AUDIT_ORIGINALS,
    AUDIT_READ_AGAIN,
    AUDIT_BESTS,
    AUDIT_STEPS
};
const char *audit_step_name(enum audit_step step); /* "pages", "references", ... */

struct audit_problem {
    enum audit_step step;
    const char *what;
    const char *todo;
};

struct audit_sum {
    size_t looked[AUDIT_STEPS];   /* pages: 1; references: kinds; texts, originals, rides, months */
    size_t problems[AUDIT_STEPS]; /* found, also those beyond AUDIT_PROBLEMS_MOST */
    size_t n_rides;               /* in the roster: of them looked[AUDIT_READ_AGAIN] were read */
    size_t n_older;               /* rides read by another version of the program: not compared */
    size_t n_out_of_date;         /* readings that rest on facts which have changed since */
    struct audit_problem *list;   /* [n_listed] */
    size_t n_listed;
    size_t capacity;
};

struct audit_call {
    struct roster *roster;
    bool all;       /* read every ride again */
    size_t n_rides; /* else so many */
    uint64_t seed;  /* that choose them */
    /* NULL = nobody listens */
    void (*tell)(void *context, enum audit_step step, size_t done, size_t of);
    void *context;
};

/* Problems are in *sum and in the arena; false only when the roster is gone under our hands. */
MUST_USE bool audit_run(struct arena *arena, const struct audit_call *call, struct audit_sum *sum,
                        struct error *err);

size_t audit_problems(const struct audit_sum *sum);

/* The same for one store without its meaning: pages, and the originals' checksums.  For a backup:
 * *problem NULL = sound.  tell may be NULL. */
MUST_USE bool audit_copy(struct db *db, struct arena *arena, const char **problem,
                         void (*tell)(void *context, enum audit_step step, size_t done, size_t of),
                         void *context, struct error *err);

#define AUDIT_PROBLEMS_MOST 100

#endif
