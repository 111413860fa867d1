/* roster/came_back.h: what came back of the sessions that a rider was given, from the store.
 *
 * Sessions that are given or done count; drafts and what was withdrawn don't.  A ride is of one
 * session only: coaching/came_match says which.  What the coach said (`session done`) wins over
 * what is found.  Rides are only loaded where they may be a session, and not kept longer than they
 * are looked at: a list of five years needs the room of some weeks. */
#ifndef ROSTER_CAME_BACK_H
#define ROSTER_CAME_BACK_H

#include "coaching/came_back.h"
#include "roster/facts.h"
#include "roster/recordings.h"
#include "roster/sessions.h"

struct came_session {
    struct rider_session row;
    struct came_back came;
};

/* Those of the LIMIT_CAME_BACK_WEEKS weeks up to today. */
struct came_weeks {
    struct came_counts counts;
    int weeks;
};

/* Sessions of days from from_day to before to_day, by day; nothing dated after today is used, and
 * sessions of later days are not yet.  In the same pass the last weeks are counted (weeks NULL:
 * they aren't). */
MUST_USE bool came_back_list(struct roster *roster, struct arena *arena, int64_t rider,
                             const char *from_day, const char *to_day, const char *today,
                             struct came_session **out, size_t *count, struct came_weeks *weeks,
                             struct error *err);

/* Of one session; *found false = it was not given. */
MUST_USE bool came_back_of(struct roster *roster, struct arena *arena, int64_t rider,
                           const struct rider_session *row, const char *today,
                           struct came_back *out, bool *found, struct error *err);

/* The session that a ride came back of, or, failing that, was held against on its own day; *found
 * false = there is none. */
MUST_USE bool came_back_of_ride(struct roster *roster, struct arena *arena,
                                const struct ride_row *ride, const char *today,
                                struct came_session *out, bool *found, struct error *err);

/* The same as a line for the ride's page; NULL = there is none. */
MUST_USE bool came_back_line(struct roster *roster, struct arena *arena,
                             const struct ride_row *ride, const char *today,
                             const struct came_line **out, struct error *err);

/* A session of a list as such a line. */
struct came_line came_back_line_of(const struct came_session *session);

/* The days of the sessions that were missed in a row, the last whose day has passed first, within
 * those weeks.  Cheap where none was: rides are only read where the days of several have none.
 *   days  [most] */
MUST_USE bool came_back_missed(struct db *db, struct arena *arena, int64_t rider, const char *today,
                               int64_t days[], size_t most, size_t *count, struct error *err);

/* ---- for readings ---- */

/* facts_of_ride, for the readings of that recording: with the session of an earlier day that the
 * ride was found to be (facts->given), one that was moved.  It needs the rides between, so that
 * facts->near alone says when it may have changed. */
MUST_USE bool came_back_facts(struct roster *roster, struct arena *arena,
                              const struct ride_facts *place, const struct recording *recording,
                              const struct limits *limits, struct rider_facts *out,
                              struct error *err);

/* Inside db_write, when a ride was stored: rides after it may be looked at again, if there are
 * sessions that they may have been. */
MUST_USE bool came_back_look_around(struct db *db, struct arena *arena, int64_t recording,
                                    int64_t now_utc_s, struct error *err);

/* Whether sessions were given so near a day that rides about it may be one that was moved. */
MUST_USE bool came_back_is_near(struct db *db, struct arena *arena, int64_t rider, const char *day,
                                bool *near, struct error *err);

/* How many days after a session, or after a ride, readings of rides may rest on it: whatever the
 * rider's limits are. */
int64_t came_back_reach_most(void);

#endif
