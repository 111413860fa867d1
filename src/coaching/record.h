/* coaching/record.h: how often this program was borne out by what came next, on a coach's own
 * riders.
 *
 *     histories, one a rider ──> a row a claim: of so many, so many agreed, so many did the
 *                                opposite, so many lay between
 *
 * Nobody knows the truth about a coach's riders; what came next is all there is.  A pass that the
 * next test doesn't repeat may be a wrong pass, a bad day, or a rider who has changed: the counts
 * say how much weight the next verdict deserves, not who was right.  Verdicts are those that stand
 * in the roster now, made with the limits in force now. */
#ifndef COACHING_RECORD_H
#define COACHING_RECORD_H

#include "coaching/drift_repeat.h"

enum record_claim {
    RECORD_BASE_PASSED,     /* the next base test passed too */
    RECORD_BASE_NOT_PASSED, /* the next did not pass either */
    RECORD_BETTER,          /* the six weeks after are better than those before the gain too */
    RECORD_HARD_DONE,       /* the next hard session was done too */
    RECORD_HARD_TOO_HARD,   /* the next was started too hard too, or faded */
    RECORD_HARD_FELT,       /* of sessions done, the rider's word was hard too */
    RECORD_TODAY_UNUSUAL,   /* a day off usual: illness, heat, bad sleep or legs were noted */
    RECORD_TODAY_USUAL,     /* the same of usual days, to compare with */
    RECORD_CLAIMS
};
const char *record_claim_name(enum record_claim claim); /* "base-passed", ... */

struct record_row {
    size_t of;
    size_t agreed;
    size_t against; /* the opposite came */
    size_t between; /* on the line, or no clear change: not clear */
    size_t untold;  /* nothing could be told of what came next: not among `of` */
    bool is_enough; /* LIMIT_RECORD_LEAST of them were clear */
    double low_pct; /* likely range of the share of the clear ones that agreed: Wilson, 90 % */
    double high_pct;
    const char *text;
};

struct record {
    size_t n_riders;
    size_t n_rides;
    int64_t first_day; /* INT64_MAX without rides */
    int64_t last_day;
    struct record_row rows[RECORD_CLAIMS];
    struct drift_repeat repeat;
    const char *repeat_text;
    const char *text;          /* what these counts are worth */
    struct repeat_test *tests; /* while it is made */
    size_t n_tests;
    size_t room;
};

/* Begin with an empty record; add riders; finish once. */
void record_add(struct arena *arena, struct record *record, int64_t rider,
                const struct rider_history *history, const struct limits *limits);
void record_finish(struct arena *arena, struct record *record, const struct limits *limits);

#endif
