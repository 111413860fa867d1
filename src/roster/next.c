/* roster/next.c: what a rider should ride in the coming days, from what is on file. */
#include "roster/next.h"

#include "base/dates.h"
#include "coaching/session_library.h"
#include "coaching/load_weeks.h"
#include "coaching/words/caution_words.h"
#include "coaching/words/kind_words.h"
#include "coaching/words/next_words.h"
#include "roster/asked.h"
#include "roster/availability.h"
#include "roster/facts.h"
#include "roster/readings.h"
#include "roster/season.h"
#include "roster/session_outlook.h"

#include <math.h>
#include <sodium.h>
#include <string.h>

struct taking {
    struct roster *roster;
    struct db *db;
    struct arena *arena;
    const struct rider *rider;
    const char *today;
    struct limits limits;
    struct rider_facts facts;
    const struct attention_rider *about;
    const struct roll *roll;
    struct next_case *c;
    struct next_answer *out;
    bool *is_off;                   /* [NEXT_DAYS_MOST] */
    struct rider_session *sessions; /* [n_sessions] of the rider, by day */
    size_t n_sessions;
    const char *last_hard;                      /* in words; NULL = there was none */
    struct next_tested tests[EFFORT_DURATIONS]; /* [n_tests] all-out efforts that were chosen */
    size_t n_tests;
    int32_t due[EFFORT_DURATIONS]; /* of them, for the rules */
};

static void assume(struct taking *t, const char *words)
{
    if (t->out->n_assumed < NEXT_SAID_MOST) {
        t->out->assumed[t->out->n_assumed++] = words;
    }
}

static void cannot(struct taking *t, const char *words)
{
    if (t->out->n_cannot < NEXT_SAID_MOST) {
        t->out->cannot[t->out->n_cannot++] = words;
    }
}

static void show(struct taking *t, const char *words)
{
    for (size_t i = 0; words != NULL && i < t->out->n_evidence; i++) {
        if (strcmp(t->out->evidence[i], words) == 0) {
            return;
        }
    }
    if (words != NULL && t->out->n_evidence < NEXT_SAID_MOST) {
        t->out->evidence[t->out->n_evidence++] = words;
    }
}

/* ---- readings ---- */

static enum next_comeback comeback_of(const struct comeback *back, int64_t today)
{
    if (back->reading.verdict == VERDICT_OFF) {
        return back->kind == COMEBACK_ILL      ? NEXT_ILL
               : back->kind == COMEBACK_INJURY ? NEXT_INJURED
                                               : NEXT_EASY_ONLY; /* a break ends with a ride */
    }
    if (back->reading.verdict != VERDICT_COMING_BACK) {
        return NEXT_WELL;
    }
    return today < back->easy_until                                  ? NEXT_EASY_ONLY
           : today < back->more_until                                ? NEXT_MORE
           : back->test_from == INT64_MAX || today < back->hard_from ? NEXT_ONE_HARD
                                                                     : NEXT_TEST;
}

static enum next_base base_of(enum verdict verdict)
{
    switch ((int)verdict) {
    case VERDICT_BUILT: return NEXT_BUILT;
    case VERDICT_TO_CONFIRM: return NEXT_TO_CONFIRM;
    case VERDICT_STILL_BUILDING: return NEXT_BUILDING;
    case VERDICT_OUT_OF_DATE: return NEXT_OUT_OF_DATE;
    case VERDICT_CANNOT_TELL: return NEXT_NOT_JUDGED;
    default: return NEXT_NOT_TESTED;
    }
}

static int days_since_base_test(const struct rider_history *history)
{
    for (size_t i = history->n_rides; i > 0; i--) {
        const struct past_ride *ride = &history->rides[i - 1];
        if (ride->base.is_asked && !ride->spoiled && ride->base.verdict != VERDICT_CANNOT_TELL) {
            return (int)(history->today - ride->day);
        }
    }
    return -1;
}

/* Weeks of training since the last that was lighter: nearer to LIMIT_NEXT_LIGHTER_PCT of the usual
 * hours than to all of them, or with days off.  A week of which nothing is usual counts as lighter:
 * nobody is known to have trained up to it. */
static int weeks_since_lighter(const struct taking *t)
{
    enum { WEEKS = 10 };
    struct load_weeks load;
    int n = 0;
    load_weeks_read(t->arena, t->about->history, WEEKS, &t->limits, &load);
    const double share = (1.0 + t->limits.value[LIMIT_NEXT_LIGHTER_PCT] / 100.0) / 2.0;
    for (size_t i = load.n - 1; i > 0; i--) {
        const struct week_load *week = &load.weeks[i - 1];
        if (!(week->hours >= share * week->jump.usual_hours) ||
            (double)week->off_days >= t->limits.value[LIMIT_LOAD_OFF_DAYS]) {
            break;
        }
        n++;
    }
    return n;
}

/* A week: before the time off, else of late; 0 = not known. */
static double usual_hours(const struct taking *t)
{
    enum { DAYS = 7 };
    const struct comeback *back = &t->about->readings->comeback;
    const struct rider_history *history = t->about->history;
    const bool is_back =
        back->reading.verdict == VERDICT_OFF || back->reading.verdict == VERDICT_COMING_BACK;
    const double hours =
        is_back ? back->usual_hours
                : load_seven_days(history, history->today + DAYS, &t->limits).usual_hours;
    return isnan(hours) ? 0.0 : hours;
}

/* ---- the last hard work ---- */

static bool is_hard_asked(const struct past_ride *ride)
{
    return ride->hard.is_asked && ride->hard.verdict != VERDICT_CANNOT_TELL &&
           ride->hard.verdict != VERDICT_DESCRIBED;
}

static enum next_hard hard_of(enum verdict verdict)
{
    switch ((int)verdict) {
    case VERDICT_DONE: return NEXT_HARD_DONE;
    case VERDICT_DONE_FAST_START: return NEXT_HARD_TOO_FAST;
    case VERDICT_STARTED_TOO_HARD: return NEXT_HARD_FELL;
    case VERDICT_ABOVE: return NEXT_HARD_ABOVE;
    case VERDICT_ON_THE_LINE: return NEXT_HARD_UNSURE;
    default: return NEXT_HARD_FADED; /* faded, below, cut short, stopped */
    }
}

/* What a hard ride was meant to be: by the coach's word of the ride, else by the session that was
 * given for its day. */
struct meant {
    struct asked asked;
    enum work_kind kind;
    const char *name;  /* of the session; NULL = none was given */
    const char *words; /* of the same */
};

/* The first hard session of that day among those given or done: the ride was read with it. */
static const struct rider_session *given_on(const struct taking *t, int64_t day)
{
    for (size_t i = 0; i < t->n_sessions; i++) {
        const struct rider_session *row = &t->sessions[i];
        if (session_is_given(row) && dates_day_number(row->day) == day &&
            session_kind_is_hard(row->kind)) {
            return row;
        }
    }
    return NULL;
}

static bool find_meant(const struct taking *t, const struct past_ride *ride, struct meant *out,
                       struct error *err)
{
    bool found = false;
    *out = (struct meant){ .kind = KIND_UNKNOWN };
    if (!asked_find(t->db, t->arena, ride->id, &out->asked, &found, err)) {
        return false;
    }
    const bool is_said =
        found && (out->asked.kind != KIND_UNKNOWN || out->asked.reps > 0 ||
                  !isnan(out->asked.target.low_pct) || !isnan(out->asked.target.low_w));
    const struct rider_session *given = is_said ? NULL : given_on(t, ride->day);
    if (is_said) {
        out->kind = out->asked.kind;
    } else if (given != NULL && work_kind_find(given->kind, &out->kind)) {
        out->name = given->name;
        out->words = given->words;
    }
    return true;
}

/* What was asked in it, where the library's session of that kind has efforts that are alike. */
static void take_asked(struct next_case *c, const struct asked *asked)
{
    const bool alike = asked->kind == KIND_VO2MAX || asked->kind == KIND_THRESHOLD ||
                       asked->kind == KIND_SWEET_SPOT || asked->kind == KIND_ANAEROBIC;
    if (!alike || asked->reps <= 0 || !(asked->rep_duration_s >= 1)) {
        return;
    }
    c->hard_reps = asked->reps;
    c->hard_rep_s = (int32_t)lround(asked->rep_duration_s);
    if (asked->target.low_pct > 0 && asked->target.high_pct < SESSION_PCT_MOST) {
        c->hard_low_pct = (int32_t)lround(asked->target.low_pct);
        c->hard_high_pct = (int32_t)lround(asked->target.high_pct);
    }
}

static void take_last(struct taking *t, const struct past_ride *ride, const struct meant *meant)
{
    const char *name = meant->kind == KIND_UNKNOWN ? NULL : work_kind_name(meant->kind);
    const struct library_session *session = name == NULL ? NULL : session_library_find(name);
    t->c->hard = hard_of(ride->hard.verdict);
    if (session != NULL && session_kind_is_hard(session->kind)) {
        t->c->hard_session = session->name;
        t->c->hard_words = meant->words;
        t->c->hard_name = meant->name;
        if (meant->words == NULL) {
            take_asked(t->c, &meant->asked);
        }
    }
    const char *kind = name == NULL ? NULL : words_kind(name);
    t->last_hard = words_next_last(t->arena, meant->name != NULL ? meant->name : kind, ride);
}

/* The newest hard ride of the weeks that bests are compared over; how often that kind was done
 * before it without a miss. */
static bool take_hard(struct taking *t, struct error *err)
{
    const struct rider_history *history = t->about->history;
    const int64_t from = history->today - (int64_t)t->limits.value[LIMIT_PROGRESS_DAYS];
    const struct past_ride *last = NULL;
    enum work_kind kind = KIND_UNKNOWN;
    for (size_t i = history->n_rides; i > 0 && history->rides[i - 1].day > from; i--) {
        const struct past_ride *ride = &history->rides[i - 1];
        struct meant meant;
        if (!is_hard_asked(ride)) {
            continue;
        }
        if (!find_meant(t, ride, &meant, err)) {
            return false;
        }
        if (meant.kind != KIND_UNKNOWN && !session_kind_is_hard(work_kind_name(meant.kind))) {
            continue; /* tempo, sweet spot */
        }
        if (last == NULL) {
            last = ride;
            kind = meant.kind;
            take_last(t, ride, &meant);
        }
        if (meant.kind != kind || ride->hard.verdict != VERDICT_DONE) {
            break;
        }
        t->c->hard_done++;
    }
    return true;
}

/* Whole weeks since the last hard day; of one that isn't on file as many as may be. */
static int weeks_without_hard(const struct taking *t)
{
    enum { DAYS = 7, WEEKS_MOST = 52 };
    const struct rider_history *history = t->about->history;
    for (size_t i = history->n_rides; i > 0; i--) {
        const struct past_ride *ride = &history->rides[i - 1];
        const int64_t weeks = (history->today - ride->day) / DAYS;
        if (weeks >= WEEKS_MOST) {
            break;
        }
        if (ride->is_hard_day || is_hard_asked(ride)) {
            return (int)weeks;
        }
    }
    return WEEKS_MOST;
}

/* ---- all-out efforts that were chosen ---- */

static bool sends_power(const struct taking *t)
{
    const struct rider_history *history = t->about->history;
    bool sends = false;
    for (size_t i = 0; i < history->n_rides; i++) {
        sends = sends || history->rides[i].has_power;
    }
    return sends;
}

static int64_t last_effort(const struct rider_history *history, int32_t seconds)
{
    for (size_t i = history->n_rides; i > 0; i--) {
        const struct past_ride *ride = &history->rides[i - 1];
        for (size_t k = 0; k < ride->n_efforts; k++) {
            if (ride->efforts[k].duration_s == seconds && ride->efforts[k].evidence != 0) {
                return ride->day;
            }
        }
    }
    return INT64_MIN;
}

/* Those that progress has none of in its last weeks: never shown first, then the oldest; of equal
 * ones the longest, for endurance decides whether a rider gets better. */
static void take_tests(struct taking *t)
{
    int32_t seconds[EFFORT_DURATIONS];
    int64_t days[EFFORT_DURATIONS];
    t->n_tests = riders_tests(t->rider, seconds);
    t->c->tests = t->due;
    for (size_t i = 0; i < t->n_tests; i++) {
        const int64_t day = last_effort(t->about->history, seconds[i]);
        size_t at = t->c->n_tests;
        t->tests[i] = (struct next_tested){ seconds[i], day };
        if (day >= t->about->readings->progress.recent_from || !sends_power(t)) {
            continue;
        }
        for (; at > 0 && days[at - 1] >= day; at--) {
            days[at] = days[at - 1];
            t->due[at] = t->due[at - 1];
        }
        days[at] = day;
        t->due[at] = seconds[i];
        t->c->n_tests++;
    }
}

/* ---- what stands on the coach's list ---- */

static bool is_among(const char *word, const char *const words[], size_t n)
{
    bool is = false;
    for (size_t i = 0; i < n; i++) {
        is = is || strcmp(words[i], word) == 0;
    }
    return is;
}

/* True if a situation of one of these codes is on the list; its sentence is evidence. */
static bool is_listed(struct taking *t, const char *const codes[], size_t n)
{
    bool is = false;
    for (size_t i = 0; i < t->roll->attention.count; i++) {
        const struct attention_item *item = &t->roll->attention.items[i];
        if (item->rider == t->rider->id && is_among(item->why.code, codes, n)) {
            is = true;
            show(t, item->why.text);
        }
    }
    return is;
}

/* "Nothing for 51 days", which the list has under a heading of its own. */
static void show_silence(struct taking *t)
{
    for (size_t i = 0; i < t->roll->attention.count; i++) {
        const struct attention_item *item = &t->roll->attention.items[i];
        if (item->rider == t->rider->id && strcmp(item->why.code, "not-heard") == 0) {
            show(t, arena_format(t->arena, "Not heard from: %s", item->why.text));
        }
    }
}

/* By the list, so that what the coach has marked as done is over here too. */
static void take_listed(struct taking *t)
{
    static const char *const cautions[] = { "heart-caution-twice", "heart-caution" };
    static const char *const words[] = { "words-of-heart", "words-of-illness", "words-of-fall",
                                         "hard-too-soon" };
    static const char *const high[] = { "effort-higher", "heart-unusual", "feels-worse",
                                        "words-of-illness" };
    static const char *const tests[] = { "no-threshold", "threshold-old" };
    static const char *const jump[] = { "week-jump" };
    static const char *const often[] = { "hard-days" };
    static const char *const stalled[] = { "stalled" };
    static const char *const easy[] = { "easy-too-hard" };
    static const char *const missed[] = { "sessions-missed" };
    t->c->caution_open = is_listed(t, cautions, 2);
    t->c->ask_first = is_listed(t, words, 4);
    t->c->today_high = is_listed(t, high, 4);
    t->c->week_jump = is_listed(t, jump, 1);
    t->c->hard_often = is_listed(t, often, 1);
    t->c->stalled = is_listed(t, stalled, 1);
    t->c->easy_too_hard = is_listed(t, easy, 1);
    t->c->test_due = is_listed(t, tests, 2);
    t->c->missed = is_listed(t, missed, 1);
    show_silence(t);
}

static bool is_marked_done(const struct taking *t, const char *code)
{
    bool is = false;
    for (size_t i = 0; i < t->roll->n_marks; i++) {
        const struct attention_mark *mark = &t->roll->marks[i];
        is = is || (mark->rider == t->rider->id && mark->state == MARK_DONE &&
                    strcmp(mark->code, code) == 0);
    }
    return is;
}

/* Words of the heart, or unwell for long, until the coach has marked it as done. */
static bool needs_doctor(struct taking *t)
{
    static const char *const codes[] = { "words-of-heart", "unwell-long" };
    const struct comeback *back = &t->about->readings->comeback;
    const bool is_back = back->reading.verdict != VERDICT_OFF &&
                         back->reading.verdict != VERDICT_COMING_BACK; /* that was long ago */
    return is_listed(t, codes, 2) || (back->needs_doctor && !is_back &&
                                      !is_marked_done(t, codes[0]) && !is_marked_done(t, codes[1]));
}

/* Who never rode has nothing to come back from, and is ill all the same. */
static enum next_comeback stage_of(struct taking *t)
{
    const struct rider_history *history = t->about->history;
    if (needs_doctor(t)) {
        return NEXT_DOCTOR;
    }
    if (history_is_ill(history, history->today)) {
        return NEXT_ILL;
    }
    if (history_off_on(history, history->today, 1U << OFF_INJURED) != NULL) {
        return NEXT_INJURED;
    }
    return comeback_of(&t->about->readings->comeback, history->today);
}

static bool take_readings(struct taking *t, struct error *err)
{
    const struct rider_history *history = t->about->history;
    const struct rider_readings *readings = t->about->readings;
    t->c->base = base_of(readings->base_state.verdict);
    t->c->base_test_days = days_since_base_test(history);
    t->c->comeback = stage_of(t);
    t->c->hard_from = readings->comeback.reading.verdict == VERDICT_COMING_BACK
                          ? readings->comeback.hard_from
                          : 0;
    t->c->weeks_since_lighter = weeks_since_lighter(t);
    t->c->weeks_without_hard = weeks_without_hard(t);
    t->c->usual_hours = usual_hours(t);
    take_tests(t);
    if (t->c->comeback != NEXT_WELL && readings->comeback.reading.verdict != VERDICT_NO_BREAK) {
        show(t, readings->comeback.reading.text);
    }
    take_listed(t);
    /* Threshold and its age are on the list only where nothing comes before a test. */
    t->c->test_due =
        t->c->test_due || (isnan(t->facts.threshold_w) && sends_power(t) && history->n_rides > 0);
    if (history->n_rides == 0) {
        cannot(t, "Nothing is on file of this rider: how hard work and base stand isn't known.");
    } else if (!sends_power(t)) {
        cannot(t, "No ride has power: base and hard work can't be judged, so nothing hard is "
                  "proposed, and sessions are by feel.");
    } else if (t->c->base == NEXT_NOT_JUDGED) {
        cannot(t, readings->base_state.text);
    }
    return take_hard(t, err);
}

/* ---- days ---- */

static bool take_days_off(struct taking *t, struct error *err)
{
    struct day_off *off = NULL;
    size_t n = 0;
    if (!entries_list(t->roster, t->arena, &day_off_kind, t->rider->id, &off, &n, err)) {
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        const int64_t from = dates_day_number(off[i].from_day) - t->c->today;
        const int64_t to =
            off[i].to_day == NULL ? NEXT_DAYS_MOST : dates_day_number(off[i].to_day) - t->c->today;
        for (int64_t d = from > 0 ? from : 0; d < to && d < NEXT_DAYS_MOST; d++) {
            t->is_off[d] = true;
        }
    }
    return true;
}

/* Its time is spoken for. */
static void take_day(struct next_case *c, int64_t day)
{
    c->full_s[day] = c->free_s[day] > c->full_s[day] ? c->free_s[day] : c->full_s[day];
    c->free_s[day] = 0;
}

enum { ASSUMED_MIN = 90, WEEK_DAYS = 7, MONDAY_OF_DAY_0 = 3 }; /* 1970-01-01 was a Thursday */

static bool take_time(struct taking *t, struct error *err)
{
    struct week *weeks = NULL;
    size_t n = 0;
    if (!availability_list(t->roster, t->arena, t->rider->id, NULL, &weeks, &n, err)) {
        return false;
    }
    bool is_known = false;
    for (int d = 0; d < NEXT_DAYS_MOST; d++) {
        const int64_t day = t->c->today + d;
        int minutes = ASSUMED_MIN;
        for (size_t i = 0; i < n; i++) { /* the newest first */
            if (dates_day_number(weeks[i].from_day) <= day) {
                minutes = weeks[i].minutes[(day + MONDAY_OF_DAY_0) % WEEK_DAYS];
                is_known = true;
                break;
            }
        }
        t->c->free_s[d] = t->is_off[d] ? 0 : 60 * minutes;
    }
    if (!is_known) {
        assume(t, arena_format(t->arena,
                               "Which days have time isn't on file: %d min on any day was assumed.",
                               ASSUMED_MIN));
    }
    const struct rider_history *history = t->about->history;
    if (history->n_rides > 0 && history->rides[history->n_rides - 1].day == t->c->today) {
        take_day(t->c, 0); /* ridden already */
    }
    return true;
}

/* All that are to come.  Those of least weight are trained through: their day alone is taken. */
static bool take_events(struct taking *t, struct error *err)
{
    struct event *rows = NULL;
    size_t n = 0;
    t->c->event_days = -1;
    if (!entries_list(t->roster, t->arena, &event_kind, t->rider->id, &rows, &n, err)) {
        return false;
    }
    struct next_event *events = ARENA_ARRAY(t->arena, struct next_event, n + 1);
    for (size_t i = 0; i < n; i++) {
        const struct next_event one = { .day = dates_day_number(rows[i].day),
                                        .is_minor = strcmp(rows[i].priority, "C") == 0 };
        const int64_t away = one.day - t->c->today;
        if (away < 0) {
            continue;
        }
        events[t->c->n_events++] = one;
        if (away < NEXT_DAYS_MOST) {
            take_day(t->c, away);
        }
        if (!one.is_minor && (t->c->event_days < 0 || away < t->c->event_days)) {
            t->c->event_days = (int)(away < INT32_MAX ? away : INT32_MAX);
        }
    }
    t->c->events = events;
    return true;
}

/* ---- what stands ---- */

static bool is_confirmed(const struct rider_session *row, const char *name)
{
    return row->confirmed != NULL && strstr(row->confirmed, name) != NULL;
}

static bool judge_standing(struct taking *t, struct next_stands *stands, struct error *err)
{
    struct safe_breach breaches[SAFE_BREACHES];
    struct session session;
    size_t n = 0;
    size_t kept = 0;
    if (!sessions_steps(t->arena, &stands->row, &session, err) ||
        !sessions_safe(t->roster, t->arena, t->rider, &stands->row, breaches, &n, err)) {
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        if (!is_confirmed(&stands->row, breaches[i].name)) {
            breaches[kept++] = breaches[i];
        }
    }
    const int64_t day = dates_day_number(stands->row.day);
    const struct safe_day is =
        safe_day_of(t->arena, &session, stands->row.kind, day, t->facts.threshold_w, &t->limits);
    const int64_t away = day - t->c->today;
    const struct next_standing standing = { .day = day,
                                            .kind = stands->row.kind,
                                            .is_hard = is.is_hard,
                                            .is_maximal = is.is_maximal,
                                            .is_off = away < NEXT_DAYS_MOST && t->is_off[away],
                                            .breaches = breaches,
                                            .n_breaches = kept };
    stands->code = next_unfit(t->c, &standing, &t->limits, &stands->words);
    if (away >= t->out->is.ahead) {
        return true;
    }
    const bool is_base_test = strcmp(stands->row.kind, "base-test") == 0;
    take_day(t->c, away);
    t->c->planned_s +=
        session_dose_of(t->arena, &session, t->facts.threshold_w, &t->limits).seconds;
    t->c->planned_hard += is.is_hard ? 1 : 0;
    t->c->planned_easy += !is.is_hard && !is_base_test ? 1 : 0;
    t->c->planned_test = t->c->planned_test || strcmp(stands->row.kind, "test") == 0;
    t->c->planned_base_test = t->c->planned_base_test || is_base_test;
    return true;
}

static bool take_standing(struct taking *t, struct error *err)
{
    const struct rider_session *rows = t->sessions;
    const size_t n = t->n_sessions;
    t->out->stands = ARENA_ARRAY(t->arena, struct next_stands, n + 1);
    for (size_t i = 0; i < n; i++) {
        const bool stands =
            strcmp(rows[i].state, "drafted") == 0 || strcmp(rows[i].state, "given") == 0;
        if (!stands || strcmp(rows[i].day, t->today) < 0) {
            continue;
        }
        struct next_stands *one = &t->out->stands[t->out->n_stands++];
        *one = (struct next_stands){ .row = rows[i] };
        if (!judge_standing(t, one, err)) {
            return false;
        }
        t->out->n_unfit += one->code != NULL ? 1 : 0;
    }
    return true;
}

/* ---- the answer ---- */

static const char *day_text(struct arena *arena, int64_t day)
{
    char *out = arena_alloc(arena, 1, 16);
    dates_format_day(day, out);
    return out;
}

static bool take_item(struct taking *t, const struct next_proposal *proposal, struct next_item *out,
                      size_t *number, struct error *err)
{
    *out = (struct next_item){ .proposal = proposal };
    if (proposal->session == NULL) {
        return true;
    }
    out->number = ++*number;
    out->day = day_text(t->arena, proposal->day);
    out->caution = session_library_find(proposal->session)->cautions;
    const struct rider_session row = {
        .day = out->day, .name = proposal->name, .kind = proposal->kind, .words = proposal->words
    };
    struct session_outlook *outlook = ARENA_ARRAY(t->arena, struct session_outlook, 1);
    out->outlook = outlook;
    return session_outlook_of(t->roster, t->arena, t->rider, out->day, false, &proposal->steps,
                              &t->limits, outlook, err) &&
           sessions_safe(t->roster, t->arena, t->rider, &row, out->breaches, &out->n_breaches, err);
}

/* Short, since people may type it: what may be drafted is the same, or it isn't. */
static void set_mark(struct arena *arena, struct next_answer *out)
{
    struct text text = text_begin(arena, 1000000);
    unsigned char sum[crypto_hash_sha256_BYTES];
    for (size_t i = 0; i < out->n; i++) {
        if (out->items[i].number > 0) {
            text_add_format(&text, "%s %s\n", out->items[i].day, out->items[i].proposal->words);
        }
    }
    crypto_hash_sha256(sum, (const unsigned char *)text.bytes, text.length);
    sodium_bin2hex(out->mark, sizeof out->mark, sum, (sizeof out->mark - 1) / 2);
}

static bool is_asked_by(const struct next_plan *plan, const char *rule)
{
    bool is = false;
    for (size_t i = 0; i < plan->n; i++) {
        is = is || strcmp(plan->items[i].rule, rule) == 0;
    }
    for (size_t i = 0; i < plan->n_left; i++) {
        is = is || strcmp(plan->left[i].rule, rule) == 0;
    }
    return is;
}

/* The base where a rule asks for it, the last hard work where something hard follows it. */
static void show_reasons(struct taking *t)
{
    const struct next_plan *plan = &t->out->plan;
    const struct reading *base = &t->about->readings->base_state;
    bool is_of_base = false;
    bool is_of_hard = false;
    for (size_t i = 0; i < plan->n; i++) {
        const struct next_proposal *one = &plan->items[i];
        is_of_base = is_of_base || strncmp(one->rule, "base-", 5) == 0;
        is_of_hard = is_of_hard ||
                     (one->session != NULL && one->dose.is_hard && strcmp(one->kind, "test") != 0);
    }
    for (size_t i = 0; i < plan->n_left; i++) {
        is_of_base = is_of_base || strncmp(plan->left[i].rule, "base-", 5) == 0;
    }
    if (is_of_base && base->verdict != VERDICT_CANNOT_TELL) {
        show(t, base->text);
    }
    if (is_of_hard) {
        show(t, t->last_hard);
    }
    if (is_asked_by(plan, "effort-due")) {
        show(t, words_next_tests(t->arena, t->tests, t->n_tests));
    }
}

/* Where nothing tells whether the rider gets better, though a test might. */
static void say_untested(struct taking *t)
{
    const struct next_case *c = t->c;
    const bool may_be = rider_cautions_allow_hard(c->facts) && !c->facts->pregnant &&
                        c->comeback == NEXT_WELL && !c->missed && !c->test_due && sends_power(t);
    if (may_be && t->n_tests == 0 &&
        t->about->readings->progress.joint.verdict == VERDICT_NOT_TESTED) {
        assume(t, "Whether the rider gets better isn't tested, and no all-out effort was chosen "
                  "for it: none is proposed.");
    }
}

static bool make_items(struct taking *t, struct error *err)
{
    size_t number = 0;
    bool any_time = false;
    next_make(t->arena, t->c, &t->limits, &t->out->plan);
    show_reasons(t);
    t->out->n = t->out->plan.n;
    t->out->items = ARENA_ARRAY(t->arena, struct next_item, t->out->n + 1);
    for (size_t i = 0; i < t->out->n; i++) {
        if (!take_item(t, &t->out->plan.items[i], &t->out->items[i], &number, err)) {
            return false;
        }
    }
    for (int d = 0; d < t->out->is.ahead; d++) {
        any_time = any_time || t->c->free_s[d] > 0;
    }
    t->out->nothing = words_next_nothing(&t->out->plan, any_time || t->c->planned_hard > 0 ||
                                                            t->c->planned_easy > 0);
    set_mark(t->arena, t->out);
    return true;
}

static void say_threshold(struct taking *t)
{
    if (isnan(t->facts.threshold_w) && t->about->history->n_rides > 0 && sends_power(t)) {
        cannot(t, "The threshold isn't known: sessions are by feel, effort of 10, until it is "
                  "tested.");
    } else if (isnan(t->facts.threshold_w)) {
        assume(t, "Without a threshold sessions are by feel, effort of 10.");
    }
    if (isnan(t->facts.training_y)) {
        assume(t, "How long the rider has trained isn't on file: held to a beginner's limits.");
    }
}

bool next_take(struct roster *roster, struct arena *arena, const struct rider *rider,
               const char *today, int ahead, struct next_answer *out, struct error *err)
{
    struct roll roll = { 0 };
    bool is_off[NEXT_DAYS_MOST] = { false };
    struct taking t = { .roster = roster,
                        .db = roster_db(roster),
                        .arena = arena,
                        .rider = rider,
                        .today = today,
                        .roll = &roll,
                        .c = &out->is,
                        .out = out,
                        .is_off = is_off };
    *out = (struct next_answer){ .from = today };
    if (rider->is_away) {
        return error_set(err, ERROR_CONFLICT,
                         "%s is no longer coached: nothing is proposed; plumbline rider edit",
                         rider->name);
    }
    if (!readings_limits(t.db, arena, rider->id, &t.limits, err) ||
        !facts_on(roster, arena, rider->id, today, &t.facts, err) ||
        !roll_take_one(roster, arena, today, rider, &roll, err)) {
        return false;
    }
    struct rider_facts *facts = ARENA_ARRAY(arena, struct rider_facts, 1);
    *facts = t.facts;
    t.about = &roll.riders[0];
    out->threshold_w = facts->threshold_w;
    out->cautions = rider_cautions_find(facts, &t.limits);
    out->is.facts = facts;
    out->is.today = dates_day_number(today);
    out->is.ahead = ahead > 0 ? ahead : (int)t.limits.value[LIMIT_NEXT_DAYS];
    out->until = day_text(arena, out->is.today + out->is.ahead - 1);
    struct safe_day *days = NULL;
    if (!sessions_days(roster, arena, rider, facts->threshold_w, &days, &out->is.n_days, err) ||
        !entries_list(roster, arena, &session_kind, rider->id, &t.sessions, &t.n_sessions, err)) {
        return false;
    }
    out->is.days = days;
    if (!take_readings(&t, err) || !take_days_off(&t, err) || !take_time(&t, err) ||
        !take_events(&t, err) || !take_standing(&t, err)) {
        return false;
    }
    say_threshold(&t);
    say_untested(&t);
    return make_items(&t, err);
}

/* ---- drafting ---- */

static bool is_wanted(size_t number, const size_t numbers[], size_t n)
{
    bool is = n == 0;
    for (size_t i = 0; i < n; i++) {
        is = is || numbers[i] == number;
    }
    return is;
}

bool next_draft(struct roster *roster, struct arena *arena, struct roster_now now,
                const struct rider *rider, const struct next_answer *answer, const size_t numbers[],
                size_t n, struct rider_session **rows, size_t *n_rows, const char **said,
                struct error *err)
{
    size_t most = 0;
    *rows = ARENA_ARRAY(arena, struct rider_session, answer->n + 1);
    *n_rows = 0;
    for (size_t i = 0; i < answer->n; i++) {
        const struct next_item *item = &answer->items[i];
        if (item->number > 0) {
            most = item->number;
        }
        if (item->number > 0 && is_wanted(item->number, numbers, n)) {
            (*rows)[(*n_rows)++] = (struct rider_session){ .day = item->day,
                                                           .name = item->proposal->name,
                                                           .kind = item->proposal->kind,
                                                           .words = item->proposal->words,
                                                           .why = item->proposal->why };
        }
    }
    for (size_t i = 0; i < n; i++) {
        if (numbers[i] == 0 || numbers[i] > most) {
            return error_set(err, ERROR_USAGE,
                             most == 0 ? "%zu: nothing is proposed that could be drafted"
                                       : "%zu: there is no such proposal; next lists them",
                             numbers[i]);
        }
    }
    if (*n_rows == 0) {
        return error_set(err, ERROR_USAGE, "nothing to draft: %s", answer->nothing);
    }
    return sessions_draft_all(roster, arena, now, rider, *rows, *n_rows, said, err);
}
