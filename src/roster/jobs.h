/* roster/jobs.h: work that waits, so that nothing is forgotten when a program stops.
 *
 *     asked ──> waits ──claimed──> taken, on a lease ──finished──> gone
 *                 ^                   │
 *                 ├── failed ─────────┤   the error is kept; it waits longer after each try,
 *                 │                   │   and is given up after JOBS_TRIES_MOST
 *                 └── lease ran out ──┘   its process died
 *
 * There is one row a kind and subject: asking again for what waits asks once, and takes it away
 * from whoever is at it, since what they read may be old by now.  Whoever finishes a job does so in
 * the transaction that stores its result, and learns there whether it was still theirs. */
#ifndef ROSTER_JOBS_H
#define ROSTER_JOBS_H

#include "roster/db.h"

/* What is to be done. */
#define JOB_LOOK "look" /* which readings a change touched; subject: a change, rider, recording */
#define JOB_READ "read" /* readings of a recording made again */
#define JOB_USUAL                                                                                  \
    "usual" /* a rider's heart response fitted again, and rides held against it; priority: the     \
             * first day to look at */

#define JOBS_TRIES_MOST   5
#define JOBS_LEASE_S      120 /* a dead process's job is anyone's after this */
#define JOBS_WAIT_S       60  /* after the first failure; four times as long after each more */
#define JOBS_AT_ONCE_MOST 32  /* of one claim: they share a lease */

struct job {
    int64_t id;
    const char *kind;
    const char *subject_kind;
    int64_t subject;
    int64_t priority; /* the smallest first; of JOB_READ: the day, counted backwards */
    int64_t tries;
    int64_t asked_utc_s;
    const char *lease_by;      /* who is at it; NULL = nobody */
    int64_t lease_until_utc_s; /* with nobody at it: not before; 0 = now */
    const char *last_error;    /* NULL = none yet */
};

/* Asks for it, inside db_write: kind, subject_kind, subject and priority of wish are read.  *id
 * gets the job's.  Of two days of JOB_USUAL the earlier stays. */
MUST_USE bool jobs_ask(struct db *db, struct arena *arena, const struct job *wish,
                       int64_t now_utc_s, int64_t *id, struct error *err);

/* Takes it away, whoever is at it, inside db_write: there is nothing to do. */
MUST_USE bool jobs_drop(struct db *db, const char *kind, const char *subject_kind, int64_t subject,
                        struct error *err);

/* The first in order, at most n.  kind NULL = all. */
MUST_USE bool jobs_list(struct db *db, struct arena *arena, const char *kind, size_t n,
                        struct job **out, size_t *count, struct error *err);

MUST_USE bool jobs_count(struct db *db, struct arena *arena, const char *kind, size_t *count,
                         struct error *err);

/* A name for this run, that no other process has. */
const char *jobs_name(struct arena *arena);

/* Who claims, and when. */
struct job_claim {
    const char *by;
    int64_t now_utc_s;
};

/* Claims the job with that id, inside db_write, be it due or given up; *is_mine false when
 * another is at it, or it is gone. */
MUST_USE bool jobs_claim(struct db *db, struct arena *arena, const struct job_claim *claim,
                         int64_t id, struct job *out, bool *is_mine, struct error *err);

/* Claims the first of its kind that is due and not given up, inside db_write. */
MUST_USE bool jobs_claim_next(struct db *db, struct arena *arena, const struct job_claim *claim,
                              const char *kind, struct job *out, bool *is_mine, struct error *err);

/* The end of a claimed job, inside db_write; *was_mine false when it was asked for again or
 * claimed by another meanwhile: then nothing of its result may be stored. */
MUST_USE bool jobs_finish(struct db *db, struct arena *arena, const struct job *job, bool *was_mine,
                          struct error *err);
MUST_USE bool jobs_fail(struct db *db, const struct job *job, int64_t now_utc_s,
                        const char *message, struct error *err);

/* Gives it back untried. */
MUST_USE bool jobs_release(struct db *db, const struct job *job, struct error *err);

#endif
