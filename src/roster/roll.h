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

/* Riders that aren't away, up to `today` (ISO day, the last that counts). */
MUST_USE bool roll_take(struct roster *roster, struct arena *arena, const char *today,
                        struct roll *out, struct error *err);

#endif
