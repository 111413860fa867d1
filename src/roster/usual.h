/* roster/usual.h: a rider's heart response, and rides held against it, kept true.
 *
 *     a ride read, moved or taken away; a fact, a mark or a note changed
 *           │ usual_ask, in the same transaction or by the look that follows it: one job a rider,
 *           ▼ with the first day that may differ
 *     job "usual" ── usual_keep: for each ride from that day on, the hash of all that its answer
 *                    rests on now against the hash stored beside it
 *           │ those that differ: the response fitted to the rides before it, from kept sums
 *           ▼
 *     reading `today` and its row of heart_day; heart_response, by all rides on file;
 *     base and hard work, where the own response has a part in them, read again by it
 *
 * The reading itself (roster/rereading) knows nothing of other rides: it stores base and hard work
 * by the usual response of riders, and takes the basis of `today` away, so that this job follows.
 * Their own basis stays that of the ride and its day; what they owe to the rides before stands in
 * the basis of `today`.  No circle: the response is fitted to sums that are made before it, of
 * recordings that are trusted by themselves.
 *
 * What an answer rests on: its own seconds and sums; which rides lie in the window before it, with
 * the hashes of their sums; the threshold of the day before, medicine and pregnancy; the limits;
 * and, since two rides running are judged together, how the ride before it lay.  So a back-dated
 * ride makes again what has it in its window, and nothing else. Rides are read first: while any of
 * a rider's waits to be read again, so does this. */
#ifndef ROSTER_USUAL_H
#define ROSTER_USUAL_H

#include "coaching/heart_today.h"
#include "coaching/rider_history.h"
#include "roster/jobs.h"
#include "roster/recordings.h"
#include "roster/responses.h"
#include "roster/riders.h"

/* Asks, inside db_write, for all rides of the rider from that day on.
 *   day   ISO; NULL = from the first */
MUST_USE bool usual_ask(struct db *db, int64_t rider, const char *day, int64_t now_utc_s,
                        struct error *err);

struct usual_call {
    struct roster *roster;
    struct roster_now now;
    bool (*stopped)(void *context); /* NULL = never; asked before each ride */
    void *context;
};

/* Does what waits and is due.  *n gets how many rides were held against usual anew.  A rider whose
 * response can't be fitted is a failed job, not an error of the call. */
MUST_USE bool usual_keep(const struct usual_call *call, size_t *n, struct error *err);

/* How many of the rider's rides up to today wait to be held against usual: those from the first day
 * on that the job is to look at; 0 where no job waits, or it was given up. */
MUST_USE bool usual_waiting(struct db *db, struct arena *arena, int64_t rider, const char *today,
                            size_t *n, struct error *err);

/* One ride, as usual_keep would answer now, whatever is stored.
 *   history   of the rider up to the ride's day or later, as past_load gives it
 *   found   the response by the rides before it, as responses_fit gives it; NULL = fitted here
 *   read    the ride's recording, where it was read already; NULL = looked into as stored
 *   *is_asked   false: it is no ride, another one's double, or has no day */
MUST_USE bool usual_ride(struct roster *roster, struct arena *arena, const struct rider *rider,
                         const struct rider_history *history, const struct limits *limits,
                         int64_t recording, const struct response_found *found,
                         const struct recording *read, bool *is_asked, struct reading *out,
                         struct error *err);

/* The same added to a ride's readings; nothing where it isn't asked. */
MUST_USE bool usual_add(struct roster *roster, struct arena *arena, const struct rider *rider,
                        const struct rider_history *history, const struct ride_row *row,
                        const struct limits *limits, const struct response_found *found,
                        const struct recording *read, struct ride_readings *readings,
                        struct error *err);

#endif
