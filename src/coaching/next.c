/* coaching/next.c: what should be ridden in the coming days. */
#include "coaching/next.h"

#include "coaching/rider_cautions.h"
#include "coaching/session_library.h"
#include "coaching/session_text.h"
#include "coaching/words/next_words.h"

#include <math.h>
#include <string.h>

/* What rules ask for, before days are found for it. */
struct wish {
    const char *rule;
    const char *session;
    enum next_change change;
    double share;          /* NEXT_SHORTER: of the usual hours */
    const char *shortened; /* by what: "event-near"; NULL = the rule says it */
};

struct wishes {
    struct wish items[NEXT_MOST];
    size_t n;
    double share;       /* of the usual hours, that all of it is held to; 0 = no limit */
    const char *limits; /* what asks for that, as `shortened` */
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
    static const char *const names[NEXT_CHANGES] = { "as-it-is", "cap-start", "lower",   "fewer",
                                                     "one-more", "cap-easy",  "shorter", "harder" };
    return names[change];
}

static int days_ahead(const struct next_case *c, const struct limits *limits)
{
    const int ahead = c->ahead > 0 ? c->ahead : (int)limits->value[LIMIT_NEXT_DAYS];
    return ahead < NEXT_DAYS_MOST ? ahead : NEXT_DAYS_MOST;
}

/* So many a week, over all days that are proposed for. */
static int over_days(const struct next_case *c, int a_week, const struct limits *limits)
{
    enum { WEEK_DAYS = 7 };
    return (a_week * days_ahead(c, limits) + WEEK_DAYS - 1) / WEEK_DAYS;
}

static double share_of(const struct limits *limits, enum limit_id id)
{
    return limits->value[id] / 100.0;
}

/* ---- rules that stop everything else ---- */

/* True if one fits: nothing but what it asks for is proposed. */
static bool stops(const struct next_case *c, int base_rides, const struct limits *limits,
                  struct wishes *wishes)
{
    switch (c->comeback) {
    case NEXT_DOCTOR: wish(wishes, (struct wish){ .rule = "doctor" }); return true;
    case NEXT_ILL: wish(wishes, (struct wish){ .rule = "ill" }); return true;
    case NEXT_INJURED: wish(wishes, (struct wish){ .rule = "injured" }); return true;
    case NEXT_EASY_ONLY:
        wishes->share = share_of(limits, LIMIT_COMEBACK_EASY_PCT);
        wish_times(wishes, over_days(c, 3, limits) - c->planned_easy,
                   (struct wish){ "back-easy", "easy", NEXT_SHORTER, wishes->share, NULL });
        return true;
    case NEXT_MORE:
        wishes->share = share_of(limits, LIMIT_COMEBACK_MORE_PCT);
        wish_times(wishes, base_rides - c->planned_easy,
                   (struct wish){ "back-more", "base-ride", NEXT_SHORTER, wishes->share, NULL });
        return true;
    case NEXT_WELL:
    case NEXT_ONE_HARD:
    case NEXT_TEST:
    case NEXT_COMEBACKS: break;
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
    return rider_cautions_allow_hard(c->facts) && !c->caution_open && !c->ask_first &&
           !c->facts->day.ill;
}

static bool is_out_of_habit(const struct next_case *c, const struct limits *limits)
{
    return c->weeks_without_hard >= limits->value[LIMIT_NEXT_NO_HARD_WEEKS];
}

/* The same session again, changed by how it went; after weeks without hard work by that, unless
 * how it went asks for less already. */
static struct wish hard_wish(const struct next_case *c, const struct limits *limits)
{
    const char *last = c->hard_session;
    const bool often = c->hard_done >= limits->value[LIMIT_NEXT_DONE_TIMES];
    static const struct {
        const char *rule;
        enum next_change change;
    } rows[NEXT_HARDS] = {
        [NEXT_HARD_DONE] = { "done-once", NEXT_AS_IT_IS },
        [NEXT_HARD_TOO_FAST] = { "started-too-hard", NEXT_CAP_START },
        [NEXT_HARD_FELL] = { "started-too-hard-and-fell", NEXT_LOWER },
        [NEXT_HARD_FADED] = { "faded", NEXT_FEWER },
        [NEXT_HARD_ABOVE] = { "above-range", NEXT_AS_IT_IS },
        [NEXT_HARD_UNSURE] = { "on-the-line", NEXT_AS_IT_IS },
    };
    if (c->hard == NEXT_HARD_NONE) {
        return (struct wish){ .rule = "first-hard", .session = "short-vo2max" };
    }
    if (c->hard_session == NULL) { /* the same again can't be said of what isn't known */
        return (struct wish){ .rule = "hard-not-known", .session = "short-vo2max" };
    }
    if (is_out_of_habit(c, limits) && c->hard != NEXT_HARD_FELL && c->hard != NEXT_HARD_FADED) {
        return (struct wish){ .rule = "hard-again", .session = last, .change = NEXT_FEWER };
    }
    if (c->hard == NEXT_HARD_DONE && often) {
        return (struct wish){ .rule = "done-twice", .session = last, .change = NEXT_ONE_MORE };
    }
    return (
        struct wish){ .rule = rows[c->hard].rule, .session = last, .change = rows[c->hard].change };
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
            wish(wishes, (struct wish){ .rule = "event-near",
                                        .session = c->hard_session,
                                        .change = NEXT_FEWER });
        }
        return;
    }
    if (c->stalled) {
        wish(wishes, (struct wish){ .rule = "stalled", .session = another(c->hard_session) });
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
    static const char *const names[NEXT_BASES] = {
        [NEXT_NOT_TESTED] = "base-not-tested", [NEXT_BUILDING] = "base-retest",
        [NEXT_TO_CONFIRM] = "base-to-confirm", [NEXT_OUT_OF_DATE] = "base-out-of-date",
        [NEXT_NOT_JUDGED] = "base-not-judged",
    };
    if (!near_event && !c->missed && !c->planned_base_test && !isnan(c->facts->threshold_w) &&
        c->base != NEXT_BUILT && (c->base != NEXT_BUILDING || retest)) {
        wish(wishes, (struct wish){ .rule = names[c->base], .session = "base-test" });
    }
}

/* Something stands in the way: what fits beside it, until the coach has asked or one is ridden. */
static void wish_short(const struct next_case *c, const struct limits *limits,
                       struct wishes *wishes)
{
    const int rides = over_days(c, (int)limits->value[LIMIT_NEXT_MISSED_RIDES], limits);
    wish_times(wishes, rides - c->planned_easy,
               (struct wish){ "short-easy", "easy",
                              wishes->share > 0 ? NEXT_SHORTER : NEXT_AS_IT_IS, wishes->share,
                              wishes->limits });
}

static void wish_easy(const struct next_case *c, int rides, struct wishes *wishes)
{
    const enum next_change change = wishes->share > 0  ? NEXT_SHORTER
                                    : c->easy_too_hard ? NEXT_CAP_EASY
                                                       : NEXT_AS_IT_IS;
    const char *rule = c->base == NEXT_BUILDING ? "base-building" : "easy-rides";
    wish_times(wishes, rides - c->planned_easy,
               (struct wish){ rule, "base-ride", change, wishes->share, wishes->limits });
}

/* After a jump the usual hours are held; where they aren't known, rides are cut as in a lighter
 * week. */
static void limit_hours(const struct next_case *c, bool near_event, bool lighter,
                        const struct limits *limits, struct wishes *wishes)
{
    if (near_event) {
        wishes->share = share_of(limits, LIMIT_NEXT_EVENT_CUT_PCT);
        wishes->limits = "event-near";
    } else if (lighter) {
        wishes->share = share_of(limits, LIMIT_NEXT_LIGHTER_PCT);
        wishes->limits = "lighter-week";
    } else if (c->week_jump) {
        wishes->share = c->usual_hours > 0 ? 1.0 : share_of(limits, LIMIT_NEXT_LIGHTER_PCT);
        wishes->limits = "week-jump";
    }
}

/* At most one maximal session, and none near an event or in pregnancy. */
static bool may_be_tested(const struct next_case *c, bool near_event)
{
    return !near_event && !c->planned_test && !c->facts->pregnant && !c->today_high && !c->missed &&
           may_be_hard(c);
}

/* The library's session of an all-out effort so long; of one of 15 s the first 10 are a best too.
 * NULL: there is none. */
static const char *effort_session(int32_t seconds)
{
    static const struct {
        int32_t seconds;
        const char *session;
    } rows[] = { { 10, "test-sprints" }, { 15, "test-sprints" }, { 60, "test-1-min" },
                 { 300, "test-5-min" },  { 600, "test-10-min" }, { 1200, "test-20-min" } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (rows[i].seconds == seconds) {
            return rows[i].session;
        }
    }
    return NULL;
}

/* The threshold's test, else the effort that was chosen and waits longest; true if one is. */
static bool wish_test(const struct next_case *c, bool near_event, struct wishes *wishes)
{
    const char *effort = c->n_tests > 0 ? effort_session(c->tests[0]) : NULL;
    if (!may_be_tested(c, near_event)) {
        return false;
    }
    if (c->comeback == NEXT_TEST) {
        wish(wishes, (struct wish){ .rule = "back-test", .session = "test-20-min" });
    } else if (c->test_due && c->comeback == NEXT_WELL) {
        wish(wishes, (struct wish){ .rule = "test-due", .session = "test-20-min" });
    } else if (effort != NULL && c->comeback == NEXT_WELL) {
        wish(wishes, (struct wish){ .rule = "effort-due", .session = effort });
    } else {
        return false;
    }
    return true;
}

/* At most every other day that has time for riding. */
static int hard_days(const struct next_case *c, bool fewer, const struct limits *limits)
{
    int n_free = 0;
    for (int d = 0; d < days_ahead(c, limits); d++) {
        n_free += c->free_s[d] > 0 ? 1 : 0;
    }
    const int a_week = fewer ? 1 : (int)limits->value[LIMIT_HARD_DAYS_WEEK];
    const int most = over_days(c, a_week, limits);
    return (most < (n_free + 1) / 2 ? most : (n_free + 1) / 2) - c->planned_hard;
}

static void make_wishes(const struct next_case *c, const struct limits *limits,
                        struct wishes *wishes)
{
    const int base_rides = over_days(c, (int)limits->value[LIMIT_NEXT_BASE_RIDES], limits);
    const bool near_event = is_near_event(c, limits);
    const bool lighter = c->weeks_since_lighter + 1 >= limits->value[LIMIT_NEXT_LIGHTER_WEEK];
    if (stops(c, base_rides, limits, wishes)) {
        return;
    }
    if (!rider_cautions_allow_hard(c->facts)) {
        wish(wishes, (struct wish){ .rule = "medical-advice-first" });
    } else if (c->caution_open) {
        wish(wishes, (struct wish){ .rule = "caution-open" });
    } else if (c->ask_first) {
        wish(wishes, (struct wish){ .rule = "ask-first" });
    }
    if (c->missed) {
        wish(wishes, (struct wish){ .rule = "sessions-missed" });
    }
    if (c->today_high) {
        wish(wishes, (struct wish){ .rule = "today-high", .session = "easy" });
    }
    const bool test = wish_test(c, near_event, wishes);
    const bool fewer = lighter || c->week_jump || c->hard_often || near_event || c->today_high ||
                       is_out_of_habit(c, limits);
    int hard =
        may_be_hard(c) && !c->missed && c->base == NEXT_BUILT && !isnan(c->facts->threshold_w)
            ? hard_days(c, fewer, limits)
            : 0;
    hard -= test && hard > 0 ? 1 : 0;
    hard = c->stalled && hard > 1 ? 1 : hard;
    if (c->comeback == NEXT_ONE_HARD && may_be_hard(c) && c->planned_hard == 0) {
        wish(wishes, (struct wish){ "back-one-hard", "short-vo2max", NEXT_SHORTER, 0, "one-hard" });
    } else if (c->comeback == NEXT_WELL && hard > 0) {
        wish_hard(c, hard, limits, wishes);
    }
    if (c->comeback == NEXT_WELL) {
        wish_base(c, near_event, limits, wishes);
    }
    limit_hours(c, near_event, lighter, limits, wishes);
    if (c->missed) {
        wish_short(c, limits, wishes);
    } else {
        wish_easy(c, base_rides - (lighter ? 1 : 0), wishes);
    }
}

/* ---- days ---- */

struct placing {
    struct arena *arena;
    const struct next_case *c;
    const struct limits *limits;
    struct safe_day *days; /* theirs, and those proposed so far */
    size_t n_days;
    size_t n_known; /* of them not proposed: ridden, planned, events */
    bool is_taken[NEXT_DAYS_MOST];
    int n_ahead;
    int32_t left_s;    /* of the hours that all is held to; INT32_MAX = there is no such limit */
    double most_hours; /* those; NAN = there is no such limit, or the usual ones aren't known */
    const char *hours; /* the same in words; NULL */
    int n_shared;      /* wishes to come that share what is left */
};

enum { SHORTEST_S = 1800, HOUR_S = 3600, DAYS_OF_WEEK = 7 }; /* a ride that is cut to its time */

/* If it is the last hard session that is proposed again. */
static bool is_again(const struct next_case *c, const struct wish *one)
{
    return c->hard_session != NULL && strcmp(one->session, c->hard_session) == 0 &&
           strcmp(one->rule, "stalled") != 0;
}

/* The session that was given last, changed; false: none was, or the change can't be made to it. */
static bool make_given(const struct placing *p, const struct wish *one,
                       const struct next_shape *shape, struct next_proposal *out)
{
    const struct next_case *c = p->c;
    if (!is_again(c, one) || c->hard_words == NULL ||
        !next_session_make(p->arena, c->hard_words, shape, p->limits, &out->steps, &out->words)) {
        return false;
    }
    out->name = words_next_name(p->arena, c->hard_name, one->change, false);
    out->how = words_next_how(p->arena, one->change, one->shortened, true);
    return true;
}

/* The library's, with what was asked last where it is that one; changed. */
static bool make_known(const struct placing *p, const struct wish *one,
                       const struct library_session *row, const struct next_shape *of,
                       struct next_proposal *out)
{
    const struct next_case *c = p->c;
    const bool again = is_again(c, one);
    struct next_shape shape = *of;
    shape.reps = again ? c->hard_reps : 0;
    shape.rep_s = again ? c->hard_rep_s : 0;
    shape.low_pct = again ? c->hard_low_pct : 0;
    shape.high_pct = again ? c->hard_high_pct : 0;
    const bool is_asked = shape.reps > 0 || shape.rep_s > 0 || shape.low_pct > 0;
    if (!next_session_make(p->arena, row->words, &shape, p->limits, &out->steps, &out->words)) {
        return false;
    }
    out->name = words_next_name(p->arena, row->title, one->change, is_asked);
    out->how = words_next_how(p->arena, one->change, one->shortened, shape.reps > 0);
    return true;
}

/* The session for a day with so much time into *out; false: nothing of it fits. */
static bool make_for(const struct placing *p, const struct wish *one, int32_t free_s,
                     struct next_proposal *out)
{
    const struct library_session *row = session_library_find(one->session);
    const struct next_shape shape = { .change = one->change,
                                      .share = one->share,
                                      .most_s = free_s,
                                      .by_feel = isnan(p->c->facts->threshold_w) };
    if (row == NULL || free_s < SHORTEST_S ||
        (!make_given(p, one, &shape, out) && !make_known(p, one, row, &shape, out))) {
        return false;
    }
    out->kind = row->kind;
    out->change = one->change;
    if (one->share > 0 && !isnan(p->most_hours)) {
        out->how = p->hours;
    }
    out->dose = session_dose_of(p->arena, &out->steps, p->c->facts->threshold_w, p->limits);
    /* A hard kind is hard however little of it there is. */
    out->dose.is_hard =
        safe_day_of(p->arena, &out->steps, out->kind, 0, p->c->facts->threshold_w, p->limits)
            .is_hard;
    return out->dose.seconds <= free_s;
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

/* After weeks without hard work: once a week, counted among what is proposed. */
static bool is_too_often(const struct placing *p, int d)
{
    bool is = false;
    for (size_t i = p->n_known; i < p->n_days; i++) {
        const int64_t away = p->c->today + d - p->days[i].day;
        is = is || (p->days[i].is_hard && away > -DAYS_OF_WEEK && away < DAYS_OF_WEEK);
    }
    return is && is_out_of_habit(p->c, p->limits);
}

/* The first day that has time for it and breaks nothing; -1 = none.  *why gets the better reason:
 * a day had time, and the hours were left. */
static int find_day(struct placing *p, const struct wish *one, struct next_proposal *out,
                    enum next_why_left *why)
{
    for (int d = 0; d < p->n_ahead; d++) {
        struct safe_breach breaches[SAFE_BREACHES];
        const bool fits_if_free = make_for(p, one, p->c->full_s[d], out);
        if (fits_if_free && *why == NEXT_LEFT_NO_TIME) {
            *why = NEXT_LEFT_TAKEN;
        }
        if (!make_for(p, one, p->c->free_s[d], out)) {
            continue;
        }
        if (out->dose.seconds > p->left_s) {
            *why = NEXT_LEFT_HOURS;
            continue;
        }
        *why = *why == NEXT_LEFT_NO_TIME ? NEXT_LEFT_TAKEN : *why;
        const struct safe_case safe = { .session = &out->steps,
                                        .kind = out->kind,
                                        .day = p->c->today + d,
                                        .facts = p->c->facts,
                                        .days = p->days,
                                        .n_days = p->n_days };
        const bool first_easy = p->c->today_high && out->dose.is_hard && d == 0;
        const bool too_soon = out->dose.is_hard && p->c->today + d < p->c->hard_from;
        const bool after_event =
            out->dose.is_hard && is_near_event(p->c, p->limits) && d > p->c->event_days;
        const bool too_often = out->dose.is_hard && is_too_often(p, d);
        if (!p->is_taken[d] && !first_easy && !too_soon && !after_event && !too_often &&
            is_rested(p, one, d) && safe_find(p->arena, &safe, p->limits, breaches) == 0) {
            return d;
        }
    }
    return -1;
}

/* An effort more where that is safe, else a step harder, else as it is. */
static int find_any(struct placing *p, const struct wish *one, struct next_proposal *out,
                    enum next_why_left *why)
{
    static const enum next_change instead[] = { NEXT_HARDER, NEXT_AS_IT_IS };
    struct wish other = *one;
    int d = find_day(p, one, out, why);
    for (size_t i = 0; d < 0 && one->change == NEXT_ONE_MORE && i < 2; i++) {
        other.change = instead[i];
        d = find_day(p, &other, out, why);
    }
    return d;
}

/* A ride gets an equal part of the hours that are left; none is cut below SHORTEST_S for it, and
 * where they do for the whole ride it isn't cut at all. */
static struct wish within_hours(struct placing *p, const struct wish *one)
{
    const struct library_session *row = session_library_find(one->session);
    struct wish out = *one;
    struct session whole;
    struct session_fault fault = { 0 };
    if (isnan(p->most_hours) || p->n_shared == 0 || row == NULL ||
        !session_read(p->arena, row->words, &whole, &fault)) {
        return out;
    }
    const struct session_dose dose =
        session_dose_of(p->arena, &whole, p->c->facts->threshold_w, p->limits);
    const double part = fmax((double)p->left_s / p->n_shared, SHORTEST_S);
    p->n_shared--;
    out.share = part / (double)dose.seconds;
    if (out.share >= 1.0) {
        const bool capped = p->c->easy_too_hard && p->c->comeback == NEXT_WELL;
        out.change = capped ? NEXT_CAP_EASY : NEXT_AS_IT_IS;
    }
    return out;
}

static const char *why_of(const struct next_case *c, const struct wish *one)
{
    const bool first = strcmp(one->rule, "test-due") == 0 && isnan(c->facts->threshold_w);
    return one->change == NEXT_CAP_EASY ? "easy-capped" : first ? "test-due-first" : one->rule;
}

static bool place(struct placing *p, const struct wish *wanted, struct next_proposal *out,
                  enum next_why_left *why)
{
    const struct wish within = wanted->share > 0 ? within_hours(p, wanted) : *wanted;
    const struct wish *one = &within;
    *why = NEXT_LEFT_NO_TIME;
    *out = (struct next_proposal){ .rule = one->rule,
                                   .session = one->session,
                                   .change = one->change,
                                   .day = INT64_MIN,
                                   .why = words_next_why(why_of(p->c, one)),
                                   .source = words_next_source(one->rule) };
    if (one->session == NULL) {
        return true;
    }
    const int d = find_any(p, one, out, why);
    if (d < 0) {
        return false;
    }
    p->left_s -= p->left_s == INT32_MAX ? 0 : out->dose.seconds;
    p->is_taken[d] = true;
    out->day = p->c->today + d;
    p->days[p->n_days++] = safe_day_of(p->arena, &out->steps, out->kind, out->day,
                                       p->c->facts->threshold_w, p->limits);
    return true;
}

static void leave(struct arena *arena, struct next_plan *out, const struct wish *one,
                  enum next_why_left why, const char *hours)
{
    for (size_t i = 0; i < out->n; i++) { /* one ride fewer of a kind is no news */
        if (out->items[i].session != NULL && strcmp(out->items[i].session, one->session) == 0) {
            return;
        }
    }
    for (size_t i = 0; i < out->n_left; i++) { /* said once, however often it was asked for */
        if (strcmp(out->left[i].session, one->session) == 0) {
            return;
        }
    }
    out->left[out->n_left++] =
        (struct next_left){ one->rule, one->session,
                            words_next_left(arena, one->session, why, hours) };
}

/* What all is held to: what stands already counts. */
static void hold_hours(struct placing *p, const struct wishes *wishes)
{
    p->left_s = INT32_MAX;
    p->most_hours = (double)NAN;
    if (wishes->share > 0 && p->c->usual_hours > 0) {
        p->most_hours = wishes->share * p->c->usual_hours * p->n_ahead / DAYS_OF_WEEK;
        const double left = HOUR_S * p->most_hours - p->c->planned_s;
        p->left_s = (int32_t)fmax(left, 0.0);
        p->hours = words_next_hours(p->arena, wishes->limits, p->most_hours, p->n_ahead,
                                    wishes->share, p->c->usual_hours);
    }
    for (size_t i = 0; i < wishes->n; i++) {
        p->n_shared += wishes->items[i].share > 0 ? 1 : 0;
    }
}

void next_make(struct arena *arena, const struct next_case *c, const struct limits *limits,
               struct next_plan *out)
{
    struct wishes wishes = { .n = 0 };
    struct placing p = { .arena = arena,
                         .c = c,
                         .limits = limits,
                         .days = ARENA_ARRAY(arena, struct safe_day,
                                             c->n_days + c->n_events + NEXT_MOST),
                         .n_days = c->n_days,
                         .n_ahead = days_ahead(c, limits) };
    out->n = 0;
    out->n_left = 0;
    if (c->n_days > 0) {
        memcpy(p.days, c->days, c->n_days * sizeof c->days[0]);
    }
    for (size_t i = 0; i < c->n_events; i++) { /* those days are spoken for */
        const int64_t away = c->events[i].day - c->today;
        if (away >= 0 && away < NEXT_DAYS_MOST) {
            p.is_taken[away] = true;
            p.days[p.n_days++] =
                (struct safe_day){ c->events[i].day, true, !c->events[i].is_minor };
        }
    }
    p.n_known = p.n_days;
    make_wishes(c, limits, &wishes);
    hold_hours(&p, &wishes);
    for (size_t i = 0; i < wishes.n; i++) {
        struct next_proposal one;
        enum next_why_left why = NEXT_LEFT_NO_TIME;
        if (!place(&p, &wishes.items[i], &one, &why)) {
            leave(arena, out, &wishes.items[i], why, p.hours);
            continue;
        }
        size_t at = out->n++;
        for (; at > 0 && out->items[at - 1].day > one.day; at--) {
            out->items[at] = out->items[at - 1];
        }
        out->items[at] = one;
    }
}

size_t next_propose(struct arena *arena, const struct next_case *c, const struct limits *limits,
                    struct next_proposal out[NEXT_MOST])
{
    struct next_plan *plan = ARENA_ARRAY(arena, struct next_plan, 1);
    next_make(arena, c, limits, plan);
    memcpy(out, plan->items, plan->n * sizeof out[0]);
    return plan->n;
}

/* ---- what stands already ---- */

/* What an event so many days after it makes of it; NULL: nothing. */
static const char *unfit_of_event(const struct next_event *event, const struct next_standing *one,
                                  const struct limits *limits)
{
    const int64_t days = event->day - one->day;
    if (days == 0) {
        return "event-day";
    }
    return !event->is_minor && ((one->is_hard && days == 1) ||
                                (one->is_maximal && days > 0 &&
                                 (double)days <= limits->value[LIMIT_NEXT_EVENT_DAYS]))
               ? "event-near"
               : NULL;
}

/* Of all events, not the next alone; the event of its own day before any other. */
static const char *unfit_of_events(const struct next_case *c, const struct next_standing *one,
                                   const struct limits *limits)
{
    const char *code = NULL;
    for (size_t i = 0; i < c->n_events; i++) {
        const char *of = unfit_of_event(&c->events[i], one, limits);
        code = of != NULL && (code == NULL || c->events[i].day == one->day) ? of : code;
    }
    return code;
}

static const char *unfit(const struct next_case *c, const struct next_standing *one,
                         const struct limits *limits)
{
    const char *of_events = unfit_of_events(c, one, limits);
    switch (c->comeback) {
    case NEXT_DOCTOR: return "doctor";
    case NEXT_ILL: return "ill";
    case NEXT_INJURED: return "injured";
    case NEXT_WELL:
    case NEXT_EASY_ONLY:
    case NEXT_MORE:
    case NEXT_ONE_HARD:
    case NEXT_TEST:
    case NEXT_COMEBACKS: break;
    }
    if (one->is_off) {
        return "off";
    }
    if (one->is_hard && one->day < c->hard_from) {
        return "coming-back";
    }
    if (of_events != NULL) {
        return of_events;
    }
    return one->is_hard && (c->ask_first || c->caution_open) ? "ask-first" : NULL;
}

const char *next_unfit(const struct next_case *c, const struct next_standing *one,
                       const struct limits *limits, const char **words)
{
    const char *code = unfit(c, one, limits);
    if (code != NULL) {
        *words = words_next_unfit(code);
    } else if (one->n_breaches > 0) {
        code = one->breaches[0].name;
        *words = one->breaches[0].words;
    }
    return code;
}
