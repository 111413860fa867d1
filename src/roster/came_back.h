/* roster/came_back.h: what came back of the sessions that a rider was given, from the store.
 *
 * Sessions that are given or done count; drafts and what was withdrawn don't.  A ride is of one
 * session only: first those of their own day, then those that moved, by day.  What the coach said
 * (`session done`) wins over what is found. */
#ifndef ROSTER_CAME_BACK_H
#define ROSTER_CAME_BACK_H

#include "coaching/came_back.h"
#include "roster/sessions.h"

struct came_session {
    struct rider_session row;
    struct came_back came;
};

/* Sessions of days from from_day to before to_day, by day; nothing dated after today is used, and
 * sessions of later days are not yet. */
MUST_USE bool came_back_list(struct roster *roster, struct arena *arena, int64_t rider,
                             const char *from_day, const char *to_day, const char *today,
                             struct came_session **out, size_t *count, struct error *err);

/* The same within a db_read. */
MUST_USE bool came_back_list_in(struct db *db, struct arena *arena, int64_t rider,
                                const char *from_day, const char *to_day, const char *today,
                                struct came_session **out, size_t *count, struct error *err);

/* Of one session; *found false = it was not given. */
MUST_USE bool came_back_of(struct roster *roster, struct arena *arena, int64_t rider,
                           const struct rider_session *row, const char *today,
                           struct came_back *out, bool *found, struct error *err);

/* Those of the LIMIT_CAME_BACK_WEEKS weeks up to today, counted; *weeks = how many those are. */
MUST_USE bool came_back_counts(struct roster *roster, struct arena *arena, int64_t rider,
                               const char *today, struct came_counts *out, int *weeks,
                               struct error *err);

/* The days of the sessions that were missed in a row, the last whose day has passed first, within
 * those weeks.  Cheap where none was: rides are only read where the days of several have none.
 *   days  [most] */
MUST_USE bool came_back_missed(struct db *db, struct arena *arena, int64_t rider, const char *today,
                               int64_t days[], size_t most, size_t *count, struct error *err);

#endif
