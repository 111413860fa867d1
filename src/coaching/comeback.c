/* coaching/comeback.c: back after illness or a break. */
#include "coaching/comeback.h"

#include "coaching/load_weeks.h"
#include "coaching/symptoms.h"
#include "coaching/words/weeks_words.h"

#include <math.h>

/* Nothing older matters: what holds longest is twice an illness. */
enum { LOOK_BACK_DAYS = 200 };

/* ---- the last time off ---- */

/* One day, as far as it was off. */
struct day {
    bool is_ill;
    bool is_injured;
    bool is_gap;
};

static struct day day_of(const struct rider_history *history, int64_t day,
                         const struct limits *limits)
{
    return (struct day){ .is_ill = history_is_ill(history, day),
                         .is_injured = history_off_on(history, day, 1U << OFF_INJURED) != NULL,
                         .is_gap = history_is_gap(history, day, limits) };
}

/* A run of days off, with what they were. */
struct off {
    int64_t first; /* INT64_MIN = there is none */
    int64_t last;
    int64_t first_ill; /* INT64_MIN = not ill */
    int64_t last_ill;
    bool injured;
};

static struct off last_off(const struct rider_history *history, const struct limits *limits)
{
    const int64_t free_days = (int64_t)limits->value[LIMIT_COMEBACK_FREE_DAYS];
    struct off off = { INT64_MIN, INT64_MIN, INT64_MIN, INT64_MIN, false };
    for (int64_t day = history->today; day > history->today - LOOK_BACK_DAYS; day--) {
        if (off.first != INT64_MIN && off.first - day > free_days) {
            break;
        }
        const struct day is = day_of(history, day, limits);
        if (!is.is_ill && !is.is_injured && !is.is_gap) {
            continue;
        }
        off.last = off.first == INT64_MIN ? day : off.last;
        off.first = day;
        off.injured = off.injured || is.is_injured;
        if (is.is_ill) {
            off.last_ill = off.first_ill == INT64_MIN ? day : off.last_ill;
            off.first_ill = day;
        }
    }
    return off;
}

/* What the rider wrote from the first day off to some days after the last; illness that goes on
 * in words goes on. */
static unsigned words_of(const struct rider_history *history, struct off *off, int64_t free_days)
{
    unsigned found = 0;
    for (size_t i = 0; i < history->n_notes; i++) {
        const struct past_note *note = &history->notes[i];
        if (note->day < off->first || note->day > off->last + free_days ||
            note->day > history->today) {
            continue;
        }
        const unsigned symptoms = symptoms_in(note->words);
        found |= symptoms;
        if ((symptoms & (SYMPTOMS_OF_ILL | SYMPTOMS_OF_HEART)) != 0 &&
            off->first_ill != INT64_MIN && note->day > off->last_ill) {
            off->last_ill = note->day;
            off->last = note->day > off->last ? note->day : off->last;
        }
    }
    return found;
}

/* ---- the rules ---- */

static int64_t later(int64_t a, int64_t b)
{
    return a > b ? a : b;
}

static int64_t first_hard_day(const struct rider_history *history, int64_t from)
{
    for (size_t i = history_ride_from(history, from); i < history->n_rides; i++) {
        if (history->rides[i].is_hard_day) {
            return history->rides[i].day;
        }
    }
    return INT64_MAX;
}

static void set_test_from(const struct rider_history *history, const struct limits *limits,
                          struct comeback *out)
{
    const int64_t over = out->hard_from + (int64_t)limits->value[LIMIT_COMEBACK_OVER_DAYS];
    const int64_t hard = first_hard_day(history, out->hard_from);
    if (hard != INT64_MAX) {
        const int64_t after = hard + (int64_t)limits->value[LIMIT_COMEBACK_TEST_DAYS];
        out->test_from = after < over ? after : over;
    } else {
        out->test_from = history->today >= over ? over : INT64_MAX;
    }
}

static void set_rules(const struct rider_history *history, const struct off *off,
                      const struct limits *limits, struct comeback *out)
{
    const int64_t free_days = (int64_t)limits->value[LIMIT_COMEBACK_FREE_DAYS];
    out->more_until = INT64_MIN;
    if (out->to_day == INT64_MAX) {
        out->easy_until = INT64_MAX;
        out->more_until = out->is_slow ? INT64_MAX : INT64_MIN;
        out->hard_from = INT64_MAX;
        out->test_from = INT64_MAX;
        return;
    }
    /* Off for other reasons than illness, wholly or after it. */
    out->easy_until = off->last > off->last_ill
                          ? out->to_day + (int64_t)limits->value[LIMIT_COMEBACK_BREAK_EASY_DAYS]
                          : INT64_MIN;
    if (out->ill_days > 0) {
        const int64_t days = later(out->ill_days, free_days);
        /* days free of symptoms count, ridden or not */
        out->easy_until = later(out->easy_until, off->last_ill + 1 + days);
        if (out->is_slow) {
            out->more_until = out->easy_until + days;
        }
    }
    out->hard_from = later(out->easy_until, out->more_until);
    set_test_from(history, limits, out);
}

static void set_from_before(const struct rider_history *history, struct comeback *out)
{
    bool before = false;
    bool after = false;
    for (size_t i = 0; i < history->n_rides; i++) {
        const struct past_ride *ride = &history->rides[i];
        if (ride->base.is_asked && !ride->spoiled && ride->base.verdict != VERDICT_CANNOT_TELL) {
            before = before || ride->day < out->from_day;
            after = after || ride->day >= out->from_day;
        }
    }
    out->base_from_before = before && !after;
    out->threshold_from_before =
        history->threshold_day != INT64_MIN && history->threshold_day < out->from_day;
}

/* ---- as a reading ---- */

static void add_off(struct arena *arena, const struct comeback *back, int64_t today,
                    struct causes *causes)
{
    static const char *const codes[] = { [COMEBACK_NONE] = "was-off",
                                         [COMEBACK_BREAK] = "was-off",
                                         [COMEBACK_INJURY] = "was-injured",
                                         [COMEBACK_ILL] = "was-ill" };
    const bool over = back->to_day != INT64_MAX;
    struct cause *cause = causes_add(arena, causes, codes[back->kind]);
    cause_number(cause, "from_day", (double)back->from_day);
    cause_number(cause, "to_day", over ? (double)back->to_day : (double)NAN);
    cause_number(cause, "days", (double)((over ? back->to_day : today + 1) - back->from_day));
    cause_number(cause, "ill_days", (double)back->ill_days);
}

/* A rule that holds until a day; nothing if it is over. */
static struct cause *add_rule(struct arena *arena, struct reading *reading, const char *code,
                              int64_t day, int64_t today)
{
    if (day == INT64_MIN || (day != INT64_MAX && today >= day)) {
        return NULL;
    }
    struct cause *cause = causes_add(arena, &reading->because, code);
    cause_number(cause, "day", day == INT64_MAX ? (double)NAN : (double)day);
    return cause;
}

static void add_hours(struct arena *arena, const struct comeback *back, const char *code,
                      int64_t until, double pct, int64_t today, struct reading *reading)
{
    struct cause *cause = add_rule(arena, reading, code, until, today);
    if (cause != NULL) {
        cause_number(cause, "pct", pct);
        cause_number(cause, "hours", back->usual_hours * pct / 100.0);
    }
}

static void add_rules(struct arena *arena, const struct comeback *back, int64_t today,
                      const struct limits *limits, struct reading *reading)
{
    if (back->needs_doctor) {
        causes_add(arena, &reading->because, "doctor-first");
    }
    (void)add_rule(arena, reading, "easy-only", back->easy_until, today);
    if (back->is_slow) {
        add_hours(arena, back, "half-hours", back->easy_until,
                  reading_limit(reading, limits, LIMIT_COMEBACK_EASY_PCT), today, reading);
        add_hours(arena, back, "more-hours", back->more_until,
                  reading_limit(reading, limits, LIMIT_COMEBACK_MORE_PCT), today, reading);
    }
    (void)add_rule(arena, reading, "nothing-hard", back->hard_from, today);
    (void)add_rule(arena, reading, "no-test", back->test_from, today);
}

static void conclude(struct arena *arena, const struct rider_history *history,
                     const struct limits *limits, struct comeback *out)
{
    struct reading *reading = &out->reading;
    const int64_t today = history->today;
    const bool holds = today < later(later(out->hard_from, out->test_from), out->easy_until);
    const bool from_before = out->threshold_from_before || out->base_from_before;
    reading->verdict = out->to_day == INT64_MAX ? VERDICT_OFF
                       : holds                  ? VERDICT_COMING_BACK
                       : from_before            ? VERDICT_BACK
                                                : VERDICT_NO_BREAK;
    if (reading->verdict == VERDICT_NO_BREAK) {
        return;
    }
    add_off(arena, out, today, &reading->because);
    add_rules(arena, out, today, limits, reading);
    if (from_before) {
        struct cause *cause = causes_add(arena, &reading->because, "from-before");
        cause_number(cause, "threshold", out->threshold_from_before ? 1.0 : 0.0);
        cause_number(cause, "base", out->base_from_before ? 1.0 : 0.0);
        if (reading->verdict == VERDICT_BACK) {
            causes_add(arena, &reading->settle_by, "test-again");
        }
    }
}

void comeback_read(struct arena *arena, const struct rider_history *history,
                   const struct limits *limits, struct comeback *out)
{
    *out = (struct comeback){ .reading = reading_begin(QUESTION_COMEBACK),
                              .from_day = INT64_MIN,
                              .to_day = INT64_MIN,
                              .ill_from = INT64_MIN,
                              .easy_until = INT64_MIN,
                              .more_until = INT64_MIN,
                              .hard_from = INT64_MIN,
                              .test_from = INT64_MIN,
                              .usual_hours = (double)NAN };
    struct reading *reading = &out->reading;
    reading->verdict = VERDICT_NO_BREAK;
    (void)reading_limit(reading, limits, LIMIT_BREAK_DAYS);
    struct off off = last_off(history, limits);
    if (off.first != INT64_MIN) {
        const double free_days = reading_limit(reading, limits, LIMIT_COMEBACK_FREE_DAYS);
        const unsigned words = words_of(history, &off, (int64_t)free_days);
        const bool is_ill = off.first_ill != INT64_MIN;
        out->kind = is_ill ? COMEBACK_ILL : off.injured ? COMEBACK_INJURY : COMEBACK_BREAK;
        out->from_day = off.first;
        out->to_day = off.last >= history->today ? INT64_MAX : off.last + 1;
        out->ill_from = off.first_ill;
        out->ill_days = is_ill ? off.last_ill - off.first_ill + 1 : 0;
        const double ill_days = (double)out->ill_days;
        out->needs_doctor = (words & SYMPTOMS_OF_HEART) != 0 ||
                            ill_days > reading_limit(reading, limits, LIMIT_COMEBACK_DOCTOR_DAYS);
        out->is_slow =
            is_ill && (ill_days > reading_limit(reading, limits, LIMIT_COMEBACK_ILL_DAYS) ||
                       (words & (SYMPTOM_FEVER | SYMPTOMS_OF_HEART)) != 0);
        out->usual_hours = load_seven_days(history, off.first + 7, limits).usual_hours;
        set_rules(history, &off, limits, out);
        set_from_before(history, out);
        conclude(arena, history, limits, out);
    }
    words_weeks_fill(arena, reading);
}
