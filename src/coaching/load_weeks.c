/* coaching/load_weeks.c: how much was ridden, week by week, and was it a jump? */
#include "coaching/load_weeks.h"

#include "coaching/words/weeks_words.h"

#include <math.h>

enum { DAYS = 7 };

/* ---- amounts ---- */

static void add_to(struct week_amount *amount, double value)
{
    if (!isnan(value)) {
        amount->sum = amount->known == 0 ? value : amount->sum + value;
        amount->known++;
    }
}

static struct week_load week_begin(int64_t monday, int64_t today)
{
    const struct week_amount none = { .sum = (double)NAN };
    struct week_load week = { .monday = monday,
                              .iso = dates_iso_week(monday),
                              .work_kj = none,
                              .impulse_low = none,
                              .impulse_high = none,
                              .session_rpe = none,
                              .is_over = today >= monday + DAYS };
    for (size_t i = 0; i < ZONES_MOST; i++) {
        week.zone_s[i] = none;
    }
    for (size_t i = 0; i < HEART_ZONES; i++) {
        week.heart_zone_s[i] = none;
    }
    return week;
}

static void add_ride(struct week_load *week, const struct past_ride *ride)
{
    week->n_rides++;
    week->hours += ride->hours;
    add_to(&week->work_kj, ride->work_kj);
    for (size_t i = 0; i < ZONES_MOST; i++) {
        add_to(&week->zone_s[i], ride->zone_s[i]);
    }
    for (size_t i = 0; i < HEART_ZONES; i++) {
        add_to(&week->heart_zone_s[i], ride->heart_zone_s[i]);
    }
    add_to(&week->impulse_low, ride->impulse_low);
    add_to(&week->impulse_high, ride->impulse_high);
    add_to(&week->session_rpe, ride->session_rpe);
}

/* A week and what its days were. */
static void add_rides(struct week_load *week, const struct rider_history *history, size_t *at)
{
    double days[DAYS] = { 0 };
    bool hard[DAYS] = { false };
    for (; *at < history->n_rides && history->rides[*at].day < week->monday + DAYS; (*at)++) {
        const struct past_ride *ride = &history->rides[*at];
        const size_t day = (size_t)(ride->day - week->monday);
        add_ride(week, ride);
        days[day] += isnan(ride->session_rpe) ? 0.0 : ride->session_rpe;
        week->n_hard_days += ride->is_hard_day && !hard[day] ? 1 : 0;
        hard[day] = hard[day] || ride->is_hard_day;
    }
    const double none = (double)NAN;
    week->by_effort = week->is_over && week->n_rides > 0 && week->session_rpe.known == week->n_rides
                          ? load_week(days)
                          : (struct load_week){ none, none, none, none };
}

/* Days ill, injured, away or in a break of the seven from `monday`. */
static size_t count_off(const struct rider_history *history, int64_t monday,
                        const struct limits *limits)
{
    const unsigned kinds = 1U << OFF_ILL | 1U << OFF_INJURED | 1U << OFF_AWAY | 1U << OFF_BREAK;
    size_t n = 0;
    for (int64_t day = monday; day < monday + DAYS && day <= history->today; day++) {
        n += history_off_on(history, day, kinds) != NULL || history_is_ill(history, day) ||
                     history_is_gap(history, day, limits)
                 ? 1
                 : 0;
    }
    return n;
}

static void compare(struct week_load weeks[], size_t i, const struct limits *limits)
{
    enum { BACK_MOST = 52 };
    double before[BACK_MOST];
    size_t n = 0;
    const size_t back = (size_t)limits->value[LIMIT_LOAD_WEEKS_BACK];
    for (size_t k = 1; k <= back && k <= i && n < BACK_MOST; k++) {
        const struct week_load *past = &weeks[i - k];
        before[n++] = past->is_usual ? past->hours : (double)NAN;
    }
    weeks[i].jump = load_jump(weeks[i].hours, before, n, limits);
}

struct load_jump load_seven_days(const struct rider_history *history, int64_t end,
                                 const struct limits *limits)
{
    enum { WEEKS = 4 };
    const int64_t back = (int64_t)limits->value[LIMIT_LOAD_WEEKS_BACK];
    double before[WEEKS];
    size_t n = 0;
    for (int64_t k = 1; k <= back && n < WEEKS && history->n_rides > 0; k++) {
        const int64_t from = end - DAYS * (k + 1);
        if (from < history->rides[0].day) {
            break;
        }
        if ((double)count_off(history, from, limits) < limits->value[LIMIT_LOAD_OFF_DAYS]) {
            before[n++] = history_hours(history, from, from + DAYS);
        }
    }
    return load_jump(history_hours(history, end - DAYS, end), before, n, limits);
}

/* ---- as a reading ---- */

static size_t count_usual(const struct week_load weeks[], size_t i, size_t back)
{
    size_t n = 0;
    for (size_t k = 1; k <= back && k <= i; k++) {
        n += weeks[i - k].is_usual ? 1 : 0;
    }
    return n;
}

static void add_amounts(struct arena *arena, const struct week_load *week, struct causes *causes)
{
    if (!isnan(week->by_effort.monotony)) {
        struct cause *cause = causes_add(arena, causes, "monotony");
        cause_number(cause, "monotony", week->by_effort.monotony);
        cause_number(cause, "strain", week->by_effort.strain);
    }
}

static struct reading reading_of(struct arena *arena, const struct week_load weeks[], size_t i,
                                 const struct limits *limits)
{
    struct reading reading = reading_begin(QUESTION_LOAD);
    const struct week_load *week = &weeks[i];
    (void)reading_limit(&reading, limits, LIMIT_LOAD_JUMP_RATIO);
    (void)reading_limit(&reading, limits, LIMIT_LOAD_JUMP_HOURS);
    const double least = reading_limit(&reading, limits, LIMIT_LOAD_JUMP_WEEKS);
    const double back = reading_limit(&reading, limits, LIMIT_LOAD_WEEKS_BACK);
    (void)reading_limit(&reading, limits, LIMIT_LOAD_OFF_DAYS);
    reading.unit = "h";
    reading.estimate = week->hours;
    reading.limit_source = limits_row(LIMIT_LOAD_JUMP_RATIO)->source;
    const double usual = week->jump.usual_hours;
    struct cause *cause =
        causes_add(arena, &reading.because, isnan(usual) ? "week-hours" : "week-against-usual");
    cause_number(cause, "hours", week->hours);
    cause_number(cause, "monday", (double)week->monday);
    cause_number(cause, "is_over", week->is_over ? 1.0 : 0.0);
    cause_number(cause, "rides", (double)week->n_rides);
    if (isnan(usual)) {
        cause = causes_add(arena, &reading.cannot_because, "few-usual-weeks");
        cause_number(cause, "weeks", (double)count_usual(weeks, i, (size_t)back));
        cause_number(cause, "least", least);
    } else {
        cause_number(cause, "usual_hours", usual);
        reading.limit_value = week->jump.line_hours;
        reading.verdict = week->jump.is_jump ? VERDICT_JUMP : VERDICT_NO_JUMP;
        if (week->jump.is_jump) {
            cause_number(causes_add(arena, &reading.settle_by, "hold-hours"), "usual_hours", usual);
        }
    }
    add_amounts(arena, week, &reading.because);
    words_weeks_fill(arena, &reading);
    return reading;
}

void load_weeks_read(struct arena *arena, const struct rider_history *history, size_t n,
                     const struct limits *limits, struct load_weeks *out)
{
    const size_t wanted = n < 2 ? 2 : n;
    /* Earlier weeks are needed to know what was usual for the first of those wanted. */
    const size_t all = wanted + (size_t)limits->value[LIMIT_LOAD_WEEKS_BACK];
    const int64_t monday = history->today - (dates_iso_week(history->today).weekday - 1);
    struct week_load *weeks = ARENA_ARRAY(arena, struct week_load, all);
    const int64_t first = history->n_rides > 0 ? history->rides[0].day : INT64_MAX;
    size_t at = 0;
    for (size_t i = 0; i < all; i++) {
        struct week_load *week = &weeks[i];
        *week = week_begin(monday - DAYS * (int64_t)(all - 1 - i), history->today);
        while (at < history->n_rides && history->rides[at].day < week->monday) {
            at++;
        }
        add_rides(week, history, &at);
        week->off_days = count_off(history, week->monday, limits);
        week->is_usual = week->is_over && week->monday >= first &&
                         (double)week->off_days < limits->value[LIMIT_LOAD_OFF_DAYS];
        compare(weeks, i, limits);
    }
    *out = (struct load_weeks){ .weeks = weeks + (all - wanted),
                                .n = wanted,
                                .now = reading_of(arena, weeks, all - 1, limits),
                                .last = reading_of(arena, weeks, all - 2, limits) };
}
