/* coaching/came_match.h: which ride is which session.
 *
 *     days      Mon    Tue     Wed    Thu    Fri
 *     sessions  VO2          easy          easy
 *     rides            VO2    easy   easy
 *                       └ Monday's, a day late         Thursday's is Friday's, a day early,
 *                                                      once Friday has passed without a ride
 *
 * A ride is of one session and a session has one ride.  In this order:
 *
 *   1. a session's own day: of that day's rides the one that fits best;
 *   2. late: a ride that is none of its day's is of the nearest session before it, at most
 *      LIMIT_CAME_BACK_DAYS away, whose own day had none and which it fits; of several rides the
 *      session takes the first;
 *   3. early, of sessions whose day has passed: the same with sessions after the ride.
 *
 * Nearly any ride fits an easy session: of another day it is only a ride of a day that asked for
 * nothing itself, or (early) whose own session was ridden elsewhere.
 *
 * Nobody rides twice at once.  Rides of a day that have time in common are parts of one: when one
 * of them is of a session, the others are of none.
 *
 * Each answer rests on the days around alone: what a list begins or ends with changes nothing, as
 * long as it has CAME_MATCH_BEFORE times LIMIT_CAME_BACK_DAYS before what is asked for and
 * CAME_MATCH_AFTER times after it.  For 1 and 2 twice as many before, and none after, are enough.
 */
#ifndef COACHING_CAME_MATCH_H
#define COACHING_CAME_MATCH_H

#include "base/error.h"
#include "coaching/came_back.h"

enum { CAME_MATCH_BEFORE = 3, CAME_MATCH_AFTER = 2 };

struct came_match_session {
    const struct session *session;
    int64_t day;
    bool said_done; /* by the coach */
};

/* Rides are only loaded when they may be a session. */
struct came_match_rides {
    const int64_t *days; /* [n] by day, then as they were ridden */
    size_t n;
    /* Fills ride i, in a place that stays until it is let go. */
    bool (*load)(void *context, size_t i, struct came_ride *out, struct error *err);
    void (*let_go)(void *context, size_t i); /* NULL = nothing to do */
    /* Whether two rides have time in common; NULL = none has. */
    bool (*at_once)(void *context, size_t a, size_t b);
    void *context;
};

struct came_match;

/* Sessions by day.  Everything is in the arena. */
struct came_match *came_match_begin(struct arena *arena, const struct came_match_session sessions[],
                                    size_t n, const struct came_match_rides *rides, int64_t today,
                                    const struct limits *limits);

/* What came back of session i. */
MUST_USE bool came_match_tell(struct came_match *match, size_t i, struct came_back *out,
                              struct error *err);

/* The session that ride i is, of its own day or of one before (1 and 2); the number of sessions =
 * none. */
MUST_USE bool came_match_session_of(struct came_match *match, size_t i, size_t *session,
                                    struct error *err);

/* Lets go of rides before that day: they would be loaded again. */
void came_match_let_go(struct came_match *match, int64_t day);

#endif
