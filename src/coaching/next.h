/* coaching/next.h: what should be ridden in the coming days?  Proposals; the coach decides.
 *
 *     what is known of the rider ──> rules, the first that stop everything first ──> sessions
 *                                                        │                             │
 *                                             safe limits (coaching/safe)     days with time for
 * them
 *
 * Each proposal names its rule, says why and where the rule comes from, and holds a session of the
 * library with at most one change.  Nothing hard is proposed without the questions before hard
 * work, in illness, after a break, or while a caution is open; whatever the rules say, each session
 * is held against the safe limits before it is proposed, and one that breaks any is left out. */
#ifndef COACHING_NEXT_H
#define COACHING_NEXT_H

#include "coaching/safe.h"

#define NEXT_DAYS_MOST 14
#define NEXT_MOST      16

enum next_base { NEXT_NOT_TESTED, NEXT_BUILDING, NEXT_TO_CONFIRM, NEXT_BUILT, NEXT_OUT_OF_DATE };

/* How the last hard session went. */
enum next_hard {
    NEXT_HARD_NONE, /* none yet, or it can't be told */
    NEXT_HARD_DONE,
    NEXT_HARD_TOO_FAST, /* started too hard, the end in the range */
    NEXT_HARD_FELL,     /* started too hard, and the end fell below */
    NEXT_HARD_FADED,    /* or cut short */
};

/* After illness or a break (coaching/comeback). */
enum next_comeback {
    NEXT_WELL,
    NEXT_DOCTOR,    /* a doctor first */
    NEXT_ILL,       /* ill now */
    NEXT_EASY_ONLY, /* back: easy only */
    NEXT_MORE,      /* more hours, still easy */
    NEXT_ONE_HARD,  /* one short hard session */
    NEXT_TEST,      /* then a test */
};

struct next_case {
    enum next_base base;
    int base_test_days; /* since the last; -1 = never */
    enum next_hard hard;
    const char *hard_session; /* of the library, that the last was; NULL = none */
    int hard_done;            /* so often done in a row */
    enum next_comeback comeback;
    bool test_due;
    bool stalled;
    bool easy_too_hard;
    bool today_high;   /* heart rate higher than usual, or a note of feeling unwell */
    bool caution_open; /* a heart-rate caution that was not asked about */
    bool week_jump;
    int weeks_since_lighter;
    int event_days; /* to the next event; -1 = none */
    const struct rider_facts *facts;
    int64_t today;                  /* base/dates' day number: the first day that is proposed for */
    int32_t free_s[NEXT_DAYS_MOST]; /* time on each day from today on; 0 = none, or away */
    const struct safe_day *days;    /* what was ridden and is planned */
    size_t n_days;
};

enum next_change {
    NEXT_AS_IT_IS,
    NEXT_CAP_START, /* the first third no harder than the middle of the range */
    NEXT_LOWER,     /* the range a step lower, and the start capped */
    NEXT_FEWER,     /* an effort fewer */
    NEXT_ONE_MORE,  /* an effort more, or a step harder */
    NEXT_CAP_EASY,  /* with a cap on the easy ride */
    NEXT_SHORTER,   /* hours cut */
};

struct next_proposal {
    const char *rule;    /* "base-building" */
    const char *session; /* of the library; NULL = nothing to ride: words alone */
    enum next_change change;
    int64_t day; /* INT64_MIN = no day */
    const char *why;
    const char *source;
};

/* In the order of days; what has no day first.  Returns how many. */
size_t next_propose(struct arena *arena, const struct next_case *c, const struct limits *limits,
                    struct next_proposal out[NEXT_MOST]);

const char *next_change_name(enum next_change change); /* "as-it-is", "cap-start", ... */

#endif
