/* roster/roll.h: every rider as `who` sees them: what they rode, what is said of it, what was asked
 * and done, and the ordered list that comes of it.
 *
 * Costs a handful of queries a rider; the years behind count for little (past_load_recent). */
#ifndef ROSTER_ROLL_H
#define ROSTER_ROLL_H

#include "coaching/attention.h"
#include "roster/riders.h"

struct roll {
    struct attention_rider *riders; /* [n] */
    struct rider *people;           /* [n] */
    size_t n;
    struct attention_mark *marks;
    size_t n_marks;
    struct attention attention;
    size_t n_waiting; /* rides being read again: what is said of them may be old */
};

/* Asked before each rider of `all` is read: false, with an error, ends it. */
struct roll_watch {
    bool (*goes_on)(void *context, size_t n, size_t all, const char *name, struct error *err);
    void *context;
};

/* Riders that aren't away, up to `today` (ISO day, the last that counts); watch NULL = nobody
 * asks. */
MUST_USE bool roll_take(struct roster *roster, struct arena *arena, const char *today,
                        const struct roll_watch *watch, struct roll *out, struct error *err);

/* The same of one rider alone: what the list says of them doesn't rest on others. */
MUST_USE bool roll_take_one(struct roster *roster, struct arena *arena, const char *today,
                            const struct rider *rider, struct roll *out, struct error *err);

#endif
