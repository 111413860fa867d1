/* roster/asked.h: what a ride was meant to be, said by the coach.
 *
 * It belongs to the ride, not to one device's recording of it: all recordings of one ride are read
 * with what was asked of any of them, the one that counts first. */
#ifndef ROSTER_ASKED_H
#define ROSTER_ASKED_H

#include "physiology/facts.h"
#include "roster/facts.h"
#include "roster/recordings.h"

struct asked {
    int64_t id;
    int64_t version;   /* as last seen; 0 = whatever it is */
    int64_t recording; /* of which it was said */
    enum work_kind kind;
    struct target target;   /* NAN = not asked, as in all facts */
    int reps;               /* 0 = not asked */
    double rep_duration_s;  /* NAN = not asked */
    const char *was;        /* "test", "race": what it turned out to be; NULL = not said */
    const char *spoiled_by; /* what spoiled it as a test, in words; NULL = nothing */
};

/* What is taken: a range within 10 to these, efforts of at least 1 s (common practice, no source).
 */
#define ASKED_LEAST      10
#define ASKED_W_MOST     2500
#define ASKED_PCT_MOST   900
#define ASKED_REPS_MOST  200
#define ASKED_REP_S_MOST 36000

struct asked asked_nothing(void);

/* What was asked of the ride; *found false = nothing. */
MUST_USE bool asked_find(struct db *db, struct arena *arena, int64_t recording, struct asked *out,
                         bool *found, struct error *err);

/* The same into the facts that the ride is read with. */
MUST_USE bool asked_on(struct db *db, struct arena *arena, int64_t recording,
                       struct rider_facts *facts, struct error *err);

/* The sessions given for that day, or done, into the facts that a ride of it is read with. */
MUST_USE bool asked_given(struct db *db, struct arena *arena, int64_t rider, const char *day,
                          struct rider_facts *facts, struct error *err);

/* What says whether a ride of that day is a session that was moved to it (coaching/came_match), as
 * text, into facts->near: the sessions given for the days before, the other rides of those days. */
MUST_USE bool asked_near(struct db *db, struct arena *arena, const struct ride_facts *ride,
                         struct rider_facts *facts, struct error *err);

/* "4 x 4 min of vo2max at 106 to 120 %": one line for people. */
const char *asked_words(struct arena *arena, const struct asked *asked);

/* "a race", "a test, spoiled by rain", "nothing to mark". */
const char *asked_marks_words(struct arena *arena, const struct asked *asked);

/* Says it of the ride, in the place of what was said before; *said gets the change in words.
 * ERROR_CONFLICT, also of marks, when somebody edited it since its version was seen. */
MUST_USE bool asked_set(struct roster *roster, struct arena *arena, struct roster_now now,
                        const struct ride_row *row, const struct asked *asked, const char **said,
                        struct error *err);

/* ERROR_NOT_FOUND if nothing was asked. */
MUST_USE bool asked_remove(struct roster *roster, struct arena *arena, struct roster_now now,
                           const struct ride_row *row, const char **said, struct error *err);

/* Says what it was, and what spoiled it (asked->was and spoiled_by, both anew); what was asked of
 * it stays.  Both NULL takes the marks away. */
MUST_USE bool asked_mark(struct roster *roster, struct arena *arena, struct roster_now now,
                         const struct ride_row *row, const struct asked *marks, const char **said,
                         struct error *err);

#endif
