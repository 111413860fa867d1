/* roster/rereading.h: readings kept true.
 *
 *     a change ──> a job "look" in the same transaction
 *                     │ rereading_look: of the rides that it may touch (roster/touched), those
 *                     ▼ whose stored hash differs from the hash by today's facts
 *                  jobs "read", newest rides first
 *                     │ rereading_run: the original's bytes again, the facts of its day, the limits
 *                     ▼ in force, reading_make; stored in the transaction that ends the job
 *                  readings, and where limits or the way of reading changed also the recording's
 *                  grid, findings and bests, which recording counts, and the months of bests
 *
 * Comparing the hash is the one thing that makes a reading out of date: here, in `rides` and in
 * `show`.  A change that is not yet looked at is not lost when the program stops: its job waits. */
#ifndef ROSTER_REREADING_H
#define ROSTER_REREADING_H

#include "roster/jobs.h"
#include "roster/roster.h"

/* Asks for a look, inside db_write: at what a "change" touched, at everything of a "rider", at a
 * "recording", or at it and the rides after it that may rest on it (LOOK_AROUND). */
#define LOOK_AROUND "around"
MUST_USE bool rereading_ask_look(struct db *db, const char *subject_kind, int64_t subject,
                                 int64_t now_utc_s, struct error *err);

/* Looks at everything of every rider, if another version of methods or limits looked last: a newer
 * program on an older roster.  *is_newer says whether. */
MUST_USE bool rereading_ask_if_newer(struct roster *roster, struct arena *arena,
                                     struct roster_now now, bool *is_newer, struct error *err);

/* Jobs by id, the newest rides first. */
struct rereading_jobs {
    int64_t *ids;
    size_t count;
};

/* Does the looks that wait, until none does; *asked gets the "read" jobs that they made. */
MUST_USE bool rereading_look(struct roster *roster, struct arena *arena, struct roster_now now,
                             struct rereading_jobs *asked, struct error *err);

/* All "read" jobs.
 *   with_given_up  also those that failed JOBS_TRIES_MOST times */
MUST_USE bool rereading_waiting(struct roster *roster, struct arena *arena, bool with_given_up,
                                struct rereading_jobs *out, struct error *err);

struct rereading_call {
    struct roster *roster;
    const char *place; /* of the roster: each thread opens it for itself */
    struct roster_now now;
    unsigned n_threads;             /* 0 = one a core */
    bool (*stopped)(void *context); /* NULL = never; asked before each ride, by any thread */
    void (*tell)(void *context, size_t done, size_t all); /* NULL = nobody listens */
    void *context;
};

struct rereading_sum {
    size_t done;
    size_t failed;
    size_t elsewhere; /* another process is at them or did them, or there was nothing to do */
    bool was_stopped; /* the rest waits on */
    const char *first_error; /* of those that failed; NULL */
};

/* Does these jobs.  What is done is committed, up to JOBS_AT_ONCE_MOST together.  A ride that can't
 * be read is a failed job, not an error of the call. */
MUST_USE bool rereading_run(struct arena *arena, const struct rereading_call *call,
                            const struct rereading_jobs *jobs, struct rereading_sum *sum,
                            struct error *err);

#endif
