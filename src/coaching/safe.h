/* coaching/safe.h: limits that no proposal and no coach's edit passes unseen.
 *
 *   refused    nothing hard or maximal without the questions before hard work, or while ill; no
 *              maximal test in pregnancy; no heart-rate target under heart-altering medicine
 *   confirmed  the doses of a beginner, hard days too near or too many: a coach may go past one by
 *              naming it, and that is kept with the session
 *
 * They propose caution, they never diagnose; medical advice and local rules come first. */
#ifndef COACHING_SAFE_H
#define COACHING_SAFE_H

#include "coaching/session.h"
#include "physiology/facts.h"

/* Another day with work on it: ridden, or drafted, or given. */
struct safe_day {
    int64_t day; /* base/dates' day number */
    bool is_hard;
    bool is_maximal;
};

struct safe_case {
    const struct session *session;
    const char *kind; /* one of session_kinds */
    int64_t day;
    const struct rider_facts *facts; /* on that day */
    const struct safe_day *days;     /* [n_days] in any order; the session's own left out */
    size_t n_days;
};

struct safe_breach {
    const char *name;  /* "screening", "safe_hard_gap_h": a coach names it to go past it */
    bool is_refused;   /* can't be gone past */
    const char *words; /* what it is, and what to do */
};

/* All that there are, a row a breach; nothing else is ever broken. */
struct safe_limit {
    const char *name; /* of a row of limits/ where it can be gone past */
    bool is_refused;
};
extern const struct safe_limit safe_limits[];
extern const size_t safe_limits_count;

#define SAFE_BREACHES 12

/* Every limit that the session would break, refusals first, into out[]; returns how many. */
size_t safe_find(struct arena *arena, const struct safe_case *c, const struct limits *limits,
                 struct safe_breach out[SAFE_BREACHES]);

/* What the session makes of its day, as another session's safe_day. */
struct safe_day safe_day_of(struct arena *arena, const struct session *session, const char *kind,
                            int64_t day, double threshold_w, const struct limits *limits);

#endif
