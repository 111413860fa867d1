/* coaching/next.c: what should be ridden in the coming days. */
#include "coaching/next.h"

#include "coaching/rider_cautions.h"
#include "coaching/session_library.h"
#include "coaching/session_text.h"

#include <string.h>

#define PRACTICE "common practice, no source"

/* What rules ask for, before days are found for it. */
struct wish {
    const char *rule;
    const char *session;
    enum next_change change;
    const char *why;
    const char *source;
};

struct wishes {
    struct wish items[NEXT_MOST];
    size_t n;
};

static void wish(struct wishes *wishes, struct wish one)
{
    if (wishes->n < NEXT_MOST) {
        wishes->items[wishes->n++] = one;
    }
}

static void wish_times(struct wishes *wishes, int times, struct wish one)
{
    for (int i = 0; i < times; i++) {
        wish(wishes, one);
    }
}

const char *next_change_name(enum next_change change)
{
    static const char *const names[] = { "as-it-is", "cap-start", "lower",  "fewer",
                                         "one-more", "cap-easy",  "shorter" };
    return names[change];
}

/* ---- rules that stop everything else ---- */

/* True if one fits: nothing but what it asks for is proposed. */
static bool stops(const struct next_case *c, int base_rides, struct wishes *wishes)
{
    switch (c->comeback) {
    case NEXT_DOCTOR:
        wish(wishes, (struct wish){ "doctor", NULL, NEXT_AS_IT_IS,
                                    "See a doctor before training goes on.", PRACTICE });
        return true;
    case NEXT_ILL:
        wish(wishes, (struct wish){ "ill", NULL, NEXT_AS_IT_IS,
                                    "Ill: nothing is proposed until well again. Sessions already "
                                    "given may be withdrawn.",
                                    PRACTICE });
        return true;
    case NEXT_EASY_ONLY:
        wish_times(wishes, 3,
                   (struct wish){ "back-easy", "easy", NEXT_SHORTER,
                                  "Back from illness or a break: easy only, half of the usual "
                                  "hours.",
                                  PRACTICE });
        return true;
    case NEXT_MORE:
        wish_times(wishes, base_rides,
                   (struct wish){ "back-more", "base-ride", NEXT_SHORTER,
                                  "Coming back: three quarters of the usual hours, still easy.",
                                  PRACTICE });
        return true;
    case NEXT_WELL:
    case NEXT_ONE_HARD:
    case NEXT_TEST: break;
    }
    return false;
}

/* ---- hard work ---- */

static bool is_near_event(const struct next_case *c, const struct limits *limits)
{
    return c->event_days >= 0 && c->event_days <= limits->value[LIMIT_NEXT_EVENT_DAYS];
}

static bool may_be_hard(const struct next_case *c)
{
    return rider_cautions_allow_hard(c->facts) && !c->caution_open && !c->facts->day.ill;
}

/* The same session again, changed by how it went. */
static struct wish hard_wish(const struct next_case *c, const struct limits *limits)
{
    const char *last = c->hard_session == NULL ? "vo2max" : c->hard_session;
    switch (c->hard) {
    case NEXT_HARD_TOO_FAST:
        return (struct wish){ "started-too-hard", last, NEXT_CAP_START,
                              "Started too hard: the same again, the first third no harder than "
                              "the middle of the range.",
                              PRACTICE };
    case NEXT_HARD_FELL:
        return (struct wish){ "started-too-hard-and-fell", last, NEXT_LOWER,
                              "Started too hard and fell below: the range a step lower, the first "
                              "third capped.",
                              PRACTICE };
    case NEXT_HARD_FADED:
        return (struct wish){ "faded", last, NEXT_FEWER, "Faded or cut short: an effort fewer.",
                              PRACTICE };
    case NEXT_HARD_DONE:
        if (c->hard_done >= limits->value[LIMIT_NEXT_DONE_TIMES]) {
            return (struct wish){
                "done-twice", last, NEXT_ONE_MORE,
                "Done as asked time and again: one effort more, or a step harder.", PRACTICE
            };
        }
        return (struct wish){ "done-once", last, NEXT_AS_IT_IS,
                              "Done as asked: the same once more before it grows.", PRACTICE };
    case NEXT_HARD_NONE: break;
    }
    return (struct wish){ "first-hard", "short-vo2max", NEXT_AS_IT_IS,
                          "The base is built: hard work may begin, short efforts first.",
                          PRACTICE };
}

/* Another kind of work than the one that no longer helps. */
static const char *another(const char *last)
{
    return last != NULL && strcmp(last, "threshold") == 0 ? "vo2max" : "threshold";
}

static void wish_hard(const struct next_case *c, int most, const struct limits *limits,
                      struct wishes *wishes)
{
    if (is_near_event(c, limits)) { /* nothing new: what is known, once */
        if (c->hard != NEXT_HARD_NONE && c->hard_session != NULL) {
            wish(wishes,
                 (struct wish){ "event-near", c->hard_session, NEXT_FEWER,
                                "An event is near: intensity kept, less of it, nothing new.",
                                "Bosquet 2007, from memory" });
        }
        return;
    }
    if (c->stalled) {
        wish(wishes, (struct wish){ "stalled", another(c->hard_session), NEXT_AS_IT_IS,
                                    "Trying hard and not getting better: another kind of work, and "
                                    "fewer hard days.",
                                    PRACTICE });
        return;
    }
    wish_times(wishes, most, hard_wish(c, limits));
}

/* ---- everything together ---- */

static void wish_base(const struct next_case *c, bool near_event, const struct limits *limits,
                      struct wishes *wishes)
{
    const bool retest =
        c->base_test_days < 0 || c->base_test_days >= limits->value[LIMIT_NEXT_RETEST_DAYS];
    static const struct wish rows[] = {
        [NEXT_NOT_TESTED] = { "base-not-tested", "base-test", NEXT_AS_IT_IS,
                              "The base was never tested.", PRACTICE },
        [NEXT_BUILDING] = { "base-retest", "base-test", NEXT_AS_IT_IS,
                            "Weeks of base rides since the last base test: time to look again.",
                            PRACTICE },
        [NEXT_TO_CONFIRM] = { "base-to-confirm", "base-test", NEXT_AS_IT_IS,
                              "One base test passed: another, days apart, confirms it.", PRACTICE },
        [NEXT_OUT_OF_DATE] = { "base-out-of-date", "base-test", NEXT_AS_IT_IS,
                               "The last base test is out of date.", PRACTICE },
    };
    if (!near_event && c->base != NEXT_BUILT && (c->base != NEXT_BUILDING || retest)) {
        wish(wishes, rows[c->base]);
    }
}

static void wish_easy(const struct next_case *c, bool shorter, int rides, struct wishes *wishes)
{
    const enum next_change change = shorter            ? NEXT_SHORTER
                                    : c->easy_too_hard ? NEXT_CAP_EASY
                                                       : NEXT_AS_IT_IS;
    const char *why = c->easy_too_hard ? "Easy rides were too hard: ridden under a cap."
                      : c->base == NEXT_BUILDING
                          ? "The base is still being built: to power, heart rate only as an alarm."
                          : "Easy riding carries the rest.";
    wish_times(wishes, rides,
               (struct wish){ c->base == NEXT_BUILDING ? "base-building" : "easy-rides",
                              "base-ride", change, why, PRACTICE });
}

/* At most one maximal session, and none near an event or in pregnancy. */
static bool wants_test(const struct next_case *c, bool near_event)
{
    return !near_event && !c->facts->pregnant && !c->today_high && may_be_hard(c) &&
           (c->comeback == NEXT_TEST || (c->test_due && c->comeback == NEXT_WELL));
}

/* At most every other day that has time for riding. */
static int hard_days(const struct next_case *c, bool fewer, const struct limits *limits)
{
    int n_free = 0;
    for (int d = 0; d < (int)limits->value[LIMIT_NEXT_DAYS]; d++) {
        n_free += c->free_s[d] > 0 ? 1 : 0;
    }
    const int most = fewer ? 1 : (int)limits->value[LIMIT_HARD_DAYS_WEEK];
    return most < (n_free + 1) / 2 ? most : (n_free + 1) / 2;
}

static void make_wishes(const struct next_case *c, const struct limits *limits,
                        struct wishes *wishes)
{
    const int base_rides = (int)limits->value[LIMIT_NEXT_BASE_RIDES];
    const bool near_event = is_near_event(c, limits);
    const bool lighter = c->weeks_since_lighter + 1 >= limits->value[LIMIT_NEXT_LIGHTER_WEEK];
    if (stops(c, base_rides, wishes)) {
        return;
    }
    if (!rider_cautions_allow_hard(c->facts)) {
        wish(wishes, (struct wish){ "medical-advice-first", NULL, NEXT_AS_IT_IS,
                                    "Medical advice first: nothing hard or maximal is proposed "
                                    "until the questions before hard work are answered and clear.",
                                    PRACTICE });
    } else if (c->caution_open) {
        wish(wishes, (struct wish){ "caution-open", NULL, NEXT_AS_IT_IS,
                                    "Ask about the heart rate that jumped first: nothing hard "
                                    "until then.",
                                    PRACTICE });
    }
    if (c->today_high) {
        wish(wishes, (struct wish){ "today-high", "easy", NEXT_AS_IT_IS,
                                    "Heart rate higher than usual, or unwell: an easy day, and ask "
                                    "first.",
                                    PRACTICE });
    }
    const bool test = wants_test(c, near_event);
    if (test) {
        wish(wishes, (struct wish){ "test-due", "test-20-min", NEXT_AS_IT_IS,
                                    "The threshold is out of date: test it.", PRACTICE });
    }
    const bool fewer = lighter || c->week_jump || near_event || c->today_high;
    int hard = may_be_hard(c) && c->base == NEXT_BUILT ? hard_days(c, fewer, limits) : 0;
    hard -= test && hard > 0 ? 1 : 0;
    hard = c->stalled && hard > 1 ? 1 : hard;
    if (c->comeback == NEXT_ONE_HARD && may_be_hard(c)) {
        wish(wishes, (struct wish){ "back-one-hard", "short-vo2max", NEXT_SHORTER,
                                    "Coming back: one short hard session.", PRACTICE });
    } else if (c->comeback == NEXT_WELL && hard > 0) {
        wish_hard(c, hard, limits, wishes);
    }
    if (c->comeback == NEXT_WELL) {
        wish_base(c, near_event, limits, wishes);
    }
    wish_easy(c, near_event || lighter || c->week_jump, base_rides - (lighter ? 1 : 0), wishes);
}

/* ---- days ---- */

struct placing {
    struct arena *arena;
    const struct next_case *c;
    const struct limits *limits;
    struct safe_day *days; /* theirs, and those proposed so far */
    size_t n_days;
    bool is_taken[NEXT_DAYS_MOST];
    int n_ahead;
};

/* What of a session fits the day: all of it, or a shorter one. */
static bool fits_time(const struct wish *one, int32_t seconds, int32_t free_s)
{
    enum { SHORTEST_S = 1800 };
    const bool can_be_cut =
        strcmp(one->session, "base-ride") == 0 || strcmp(one->session, "easy") == 0;
    return free_s >= seconds || (can_be_cut && free_s >= SHORTEST_S);
}

/* A base test comes on rested legs, and days after the one that it confirms. */
static bool is_rested(const struct placing *p, const struct wish *one, int d)
{
    if (strcmp(one->session, "base-test") != 0) {
        return true;
    }
    bool rested = p->c->base != NEXT_TO_CONFIRM || p->c->base_test_days < 0 ||
                  p->c->base_test_days + d >= p->limits->value[LIMIT_STATE_APART_DAYS];
    for (size_t i = 0; i < p->n_days; i++) {
        rested = rested && (!p->days[i].is_hard || p->days[i].day != p->c->today + d - 1);
    }
    return rested;
}

/* The first day that has time for it and breaks nothing; -1 = none. */
static int find_day(struct placing *p, const struct wish *one, const struct session *session,
                    const char *kind, const struct session_dose *dose)
{
    for (int d = 0; d < p->n_ahead; d++) {
        struct safe_breach breaches[SAFE_BREACHES];
        const struct safe_case safe = { .session = session,
                                        .kind = kind,
                                        .day = p->c->today + d,
                                        .facts = p->c->facts,
                                        .days = p->days,
                                        .n_days = p->n_days };
        const bool first_easy = p->c->today_high && dose->is_hard && d == 0;
        const bool after_event =
            dose->is_hard && is_near_event(p->c, p->limits) && d > p->c->event_days;
        if (!p->is_taken[d] && !first_easy && !after_event &&
            fits_time(one, dose->seconds, p->c->free_s[d]) && is_rested(p, one, d) &&
            safe_find(p->arena, &safe, p->limits, breaches) == 0) {
            return d;
        }
    }
    return -1;
}

static bool place(struct placing *p, const struct wish *one, struct next_proposal *out)
{
    *out = (struct next_proposal){ one->rule, one->session, one->change,
                                   INT64_MIN, one->why,     one->source };
    if (one->session == NULL) {
        return true;
    }
    const struct library_session *row = session_library_find(one->session);
    struct session session;
    struct session_fault fault = { 0 };
    if (row == NULL || !session_read(p->arena, row->words, &session, &fault)) {
        return false;
    }
    const struct session_dose dose =
        session_dose_of(p->arena, &session, p->c->facts->threshold_w, p->limits);
    const int d = find_day(p, one, &session, row->kind, &dose);
    if (d < 0) {
        return false;
    }
    p->is_taken[d] = true;
    out->day = p->c->today + d;
    p->days[p->n_days++] =
        safe_day_of(p->arena, &session, row->kind, out->day, p->c->facts->threshold_w, p->limits);
    return true;
}

size_t next_propose(struct arena *arena, const struct next_case *c, const struct limits *limits,
                    struct next_proposal out[NEXT_MOST])
{
    struct wishes wishes = { .n = 0 };
    struct placing p = { .arena = arena,
                         .c = c,
                         .limits = limits,
                         .days = ARENA_ARRAY(arena, struct safe_day, c->n_days + NEXT_MOST + 1),
                         .n_days = c->n_days,
                         .n_ahead = (int)limits->value[LIMIT_NEXT_DAYS] };
    size_t n = 0;
    if (c->n_days > 0) {
        memcpy(p.days, c->days, c->n_days * sizeof c->days[0]);
    }
    if (c->event_days >= 0 && c->event_days < NEXT_DAYS_MOST) { /* that day is spoken for */
        p.is_taken[c->event_days] = true;
        p.days[p.n_days++] = (struct safe_day){ c->today + c->event_days, true, true };
    }
    make_wishes(c, limits, &wishes);
    for (size_t i = 0; i < wishes.n; i++) {
        struct next_proposal one;
        if (place(&p, &wishes.items[i], &one)) {
            size_t at = n++;
            for (; at > 0 && out[at - 1].day > one.day; at--) {
                out[at] = out[at - 1];
            }
            out[at] = one;
        }
    }
    return n;
}
