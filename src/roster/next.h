/* roster/next.h: what a rider should ride in the coming days, from what is on file.
 *
 *     history and readings (roster/roll) ─┐
 *     facts, days off, events, time ──────┼─> struct next_case ── coaching/next ──> proposals,
 *     sessions that stand ────────────────┘                                          each a session
 *
 * Nothing is written: next_draft does that, when the coach says which.  What had to be assumed is
 * said, and so is what can't be told. */
#ifndef ROSTER_NEXT_H
#define ROSTER_NEXT_H

#include "coaching/next.h"
#include "coaching/outlook.h"
#include "coaching/rider_cautions.h"
#include "roster/roll.h"
#include "roster/sessions.h"

#define NEXT_SAID_MOST 12

/* What stands on one of the days already. */
struct next_stands {
    struct rider_session row;
    const char *code;  /* why it no longer fits; NULL = it does */
    const char *words; /* the same as a sentence */
};

struct next_item {
    size_t number; /* on the answer, from 1; 0 = words alone: nothing to draft */
    const struct next_proposal *proposal;
    const char *day;                       /* NULL = none */
    const struct session_outlook *outlook; /* NULL = words alone */
    const char *caution;                   /* what to mind in it; NULL = none */
    struct safe_breach breaches[SAFE_BREACHES];
    size_t n_breaches;
};

struct next_answer {
    const char *from; /* the first day, and the last */
    const char *until;
    double threshold_w; /* NAN = not known */
    struct next_case is;
    struct next_plan plan;
    struct next_item *items; /* [plan.n] */
    size_t n;
    struct next_stands *stands; /* [n_stands] drafted and given on those days and later, by day */
    size_t n_stands;
    size_t n_unfit;      /* of them: no longer fit */
    const char *nothing; /* why nothing is to be ridden by the proposals; NULL = something is */
    const char *assumed[NEXT_SAID_MOST];
    size_t n_assumed;
    const char *evidence[NEXT_SAID_MOST]; /* what is on the coach's list and decided here */
    size_t n_evidence;
    const char *cannot[NEXT_SAID_MOST]; /* can't tell, because */
    size_t n_cannot;
    struct rider_cautions cautions;
    char mark[9]; /* of what may be drafted: another one when that changed */
};

/* For `ahead` days from `today` (ISO) on; 0 = LIMIT_NEXT_DAYS, at most NEXT_DAYS_MOST. */
MUST_USE bool next_take(struct roster *roster, struct arena *arena, const struct rider *rider,
                        const char *today, int ahead, struct next_answer *out, struct error *err);

/* Drafts those numbers of the answer, all in one change; n 0 = every one.  ERROR_USAGE: no such
 * number; ERROR_CONFLICT: a safe limit. */
MUST_USE bool next_draft(struct roster *roster, struct arena *arena, struct roster_now now,
                         const struct rider *rider, const struct next_answer *answer,
                         const size_t numbers[], size_t n, struct rider_session **rows,
                         size_t *n_rows, const char **said, struct error *err);

#endif
