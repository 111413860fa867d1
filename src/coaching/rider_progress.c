/* coaching/rider_progress.c: is the rider getting better, or stalled? */
#include "coaching/rider_progress.h"

#include "coaching/words/rider_words.h"
#include "maths/distributions.h"

#include <math.h>

/* The weeks of last year that are these weeks: whole weeks, so that weekdays agree. */
static const int64_t YEAR_DAYS = 364;

/* ---- efforts ---- */

static struct progress_best best_of(const struct past_ride *ride, const struct effort *effort)
{
    return (struct progress_best){ .known = true,
                                   .race = ride->race,
                                   .evidence = effort->evidence,
                                   .start_s = effort->start_s,
                                   .power_w = effort->power_w,
                                   .day = ride->day,
                                   .ride = ride->id };
}

/* Those with evidence, each also as a best. */
static size_t efforts_in(struct arena *arena, const struct rider_history *history,
                         int32_t duration_s, struct change_effort **out,
                         struct progress_best **bests)
{
    *out = ARENA_ARRAY(arena, struct change_effort, history->n_rides);
    *bests = ARENA_ARRAY(arena, struct progress_best, history->n_rides);
    size_t n = 0;
    for (size_t i = 0; i < history->n_rides; i++) {
        const struct past_ride *ride = &history->rides[i];
        for (size_t k = 0; k < ride->n_efforts; k++) {
            const struct effort *effort = &ride->efforts[k];
            if (effort->duration_s == duration_s && effort->evidence != 0) {
                (*bests)[n] = best_of(ride, effort);
                (*out)[n++] =
                    (struct change_effort){ .day = ride->day,
                                            .power_w = effort->power_w,
                                            .marked = (effort->evidence & EFFORT_MARKED) != 0,
                                            .meter = ride->meter };
            }
        }
    }
    return n;
}

/* The greatest that was ridden in the window, all-out or not; the earlier of equal ones. */
static struct progress_best greatest_in(const struct rider_history *history, int32_t duration_s,
                                        int64_t from, int64_t to)
{
    struct progress_best best = { 0 };
    for (size_t i = history_ride_from(history, from);
         i < history->n_rides && history->rides[i].day < to; i++) {
        const struct past_ride *ride = &history->rides[i];
        for (size_t k = 0; k < ride->n_efforts; k++) {
            const struct effort *effort = &ride->efforts[k];
            if (effort->duration_s == duration_s &&
                (!best.known || effort->power_w > best.power_w)) {
                best = best_of(ride, effort);
            }
        }
    }
    return best;
}

static struct change_ask ask_of(const struct rider_history *history,
                                const struct rider_progress *progress,
                                const struct change_effort *efforts, size_t n)
{
    return (struct change_ask){ .efforts = efforts,
                                .n = n,
                                .before_from = progress->before_from,
                                .before_to = progress->before_to,
                                .recent_from = progress->recent_from,
                                .recent_to = progress->recent_to,
                                .first_year = history_is_first_year(history),
                                .links = history->links,
                                .n_links = history->n_links };
}

/* ---- a change as a reading ---- */

static double pct(double ratio)
{
    return 100.0 * expm1(ratio);
}

/* The published trueness of meters that were not checked. */
static void add_unchecked(struct arena *arena, struct causes *causes, struct reading *reading,
                          const struct limits *limits)
{
    cause_number(causes_add(arena, causes, "other-meter"), "trueness_pct",
                 reading_limit(reading, limits, LIMIT_METER_TRUENESS_PCT));
}

/* What a check took out of the change, with its range on any day. */
static void add_checked(struct arena *arena, const struct bests_change *change, int64_t today,
                        struct reading *reading, const struct limits *limits)
{
    const struct meter_link *link = change->link;
    const double half =
        change->other_meter ? (double)NAN : distributions_normal_quantile(0.95) * change->meter_sd;
    (void)reading_limit(reading, limits, LIMIT_METER_PRECISION_PCT);
    struct cause *cause = causes_add(arena, &reading->because, "meters-checked");
    cause_number(cause, "taken_out_pct", pct(change->meter_ratio));
    cause_number(cause, "taken_out_low_pct", pct(change->meter_ratio - half));
    cause_number(cause, "taken_out_high_pct", pct(change->meter_ratio + half));
    cause_number(cause, "day", (double)link->day);
    cause_number(cause, "days", (double)(today - link->day));
    cause_number(cause, "changed_day",
                 link->changed_day > link->day ? (double)link->changed_day : (double)NAN);
    if (link->changed_day > link->day) {
        causes_add(arena, &reading->settle_by, "check-meters");
    }
}

static void add_doubts(struct arena *arena, const struct bests_change *change, int64_t today,
                       struct reading *reading, const struct limits *limits)
{
    if (change->link != NULL) {
        add_checked(arena, change, today, reading, limits);
    }
    if (change->other_meter) {
        add_unchecked(arena, &reading->because, reading, limits);
        causes_add(arena, &reading->settle_by, "check-meters");
    }
    if (change->first_retest) {
        causes_add(arena, &reading->because, "first-retest");
    }
}

static void add_odds(struct arena *arena, const struct bests_change *change,
                     const struct limits *limits, struct reading *reading)
{
    cause_number(causes_add(arena, &reading->because, "odds"), "chance",
                 change_chance_better(change, limits));
    causes_add(arena, &reading->settle_by, "one-more-test");
}

static void no_change_known(struct arena *arena, const struct bests_change *change,
                            const struct limits *limits, struct reading *reading)
{
    if (change->state == CHANGE_NOT_TESTED) {
        reading->verdict = VERDICT_NOT_TESTED;
        causes_add(arena, &reading->settle_by, "give-test");
        return;
    }
    struct cause *cause = causes_add(arena, &reading->cannot_because, "few-efforts");
    cause_number(cause, "before", (double)change->n_before);
    cause_number(cause, "recent", (double)change->n_recent);
    cause_number(cause, "least", reading_limit(reading, limits, LIMIT_CHANGE_EFFORTS));
    causes_add(arena, &reading->settle_by, "give-test");
}

static struct reading reading_of(struct arena *arena, const struct bests_change *change,
                                 int32_t duration_s, int64_t today, const struct limits *limits)
{
    struct reading reading = reading_begin(QUESTION_PROGRESS);
    reading.set = duration_s;
    if (change->state != CHANGE_KNOWN) {
        no_change_known(arena, change, limits, &reading);
        return reading;
    }
    reading.unit = "%";
    reading.limit_value = 0.0;
    reading.limit_source = "no change";
    reading.estimate = pct(change->ratio);
    reading.low = pct(change->low);
    reading.high = pct(change->high);
    struct cause *cause =
        causes_add(arena, &reading.because, change->by_trend ? "trend-of-tests" : "efforts");
    cause_number(cause, "before", (double)change->n_before);
    cause_number(cause, "recent", (double)change->n_recent);
    cause_number(cause, "tests", change->by_tests ? 1.0 : 0.0);
    if (change->low > 0.0) {
        reading.verdict = VERDICT_BETTER;
    } else if (change->high < 0.0) {
        reading.verdict = VERDICT_LOWER;
    } else {
        reading.verdict = VERDICT_NO_CLEAR_CHANGE;
        add_odds(arena, change, limits, &reading);
    }
    add_doubts(arena, change, today, &reading, limits);
    return reading;
}

/* ---- stalled ---- */

static bool was_off(const struct rider_history *history, int64_t from, int64_t to)
{
    for (size_t i = 0; i < history->n_off; i++) {
        const struct past_span *off = &history->off[i];
        if (off->kind != OFF_OTHER && off->from_day < to && off->to_day > from) {
            return true;
        }
    }
    return false;
}

static bool was_hot(const struct rider_history *history, int64_t from, int64_t to)
{
    for (size_t i = 0; i < history->n_notes; i++) {
        if (history->notes[i].hot && history->notes[i].day >= from && history->notes[i].day < to) {
            return true;
        }
    }
    return false;
}

static struct reading stalled_of(struct arena *arena, const struct rider_history *history,
                                 const struct rider_progress *progress, const struct limits *limits)
{
    struct reading reading = reading_begin(QUESTION_STALLED);
    const struct bests_change *change = &progress->joint_change;
    const double least = reading_limit(&reading, limits, LIMIT_STALLED_EFFORTS);
    const double gain = reading_limit(&reading, limits, LIMIT_STALLED_GAIN_PCT);
    reading.limit_value = gain;
    reading.limit_source = limits_row(LIMIT_STALLED_GAIN_PCT)->source;
    reading.unit = "%";
    if (change->state == CHANGE_KNOWN) {
        reading.estimate = pct(change->ratio);
        reading.low = pct(change->low);
        reading.high = pct(change->high);
    }
    const int64_t from = progress->before_from;
    const int64_t to = progress->recent_to;
    if (change->state == CHANGE_KNOWN && change->low > 0.0) {
        reading.verdict = VERDICT_NO;
    } else if (change->state != CHANGE_KNOWN || (double)change->n_before < least ||
               (double)change->n_recent < least) {
        struct cause *cause = causes_add(arena, &reading.cannot_because, "not-tried");
        cause_number(cause, "before", (double)change->n_before);
        cause_number(cause, "recent", (double)change->n_recent);
        cause_number(cause, "least", least);
        causes_add(arena, &reading.settle_by, "give-test");
    } else if (was_off(history, from, to) ||
               history_last_break(history, from, to - 1, limits) != INT64_MIN) {
        causes_add(arena, &reading.cannot_because, "break-between");
    } else if (was_hot(history, from, to)) {
        causes_add(arena, &reading.cannot_because, "heat-between");
    } else if (change->other_meter) {
        add_unchecked(arena, &reading.cannot_because, &reading, limits);
        causes_add(arena, &reading.settle_by, "check-meters");
    } else if (change_is_stalled(change, limits)) {
        reading.verdict = VERDICT_YES;
        causes_add(arena, &reading.settle_by, "change-training");
    } else {
        cause_number(causes_add(arena, &reading.cannot_because, "could-be-gaining"), "high_pct",
                     reading.high);
        causes_add(arena, &reading.settle_by, "one-more-test");
    }
    return reading;
}

/* ---- all of it ---- */

static bool is_joint(int32_t duration_s)
{
    return duration_s >= 300; /* 5, 10 and 20 min: endurance, and not sprinting */
}

static void read_duration(struct arena *arena, const struct rider_history *history,
                          int32_t duration_s, const struct limits *limits, size_t i,
                          struct rider_progress *out)
{
    struct change_effort *efforts = NULL;
    struct progress_best *bests = NULL;
    const size_t n = efforts_in(arena, history, duration_s, &efforts, &bests);
    const struct change_ask ask = ask_of(history, out, efforts, n);
    const struct bests_change change = change_of(&ask, limits);
    out->changes[i] = change;
    out->each[i] = reading_of(arena, &change, duration_s, history->today, limits);
    words_rider_fill(arena, &out->each[i]);
    out->recent[i] = change.n_recent > 0
                         ? bests[change.best_recent]
                         : greatest_in(history, duration_s, out->recent_from, out->recent_to);
    out->before[i] = change.n_before > 0
                         ? bests[change.best_before]
                         : greatest_in(history, duration_s, out->before_from, out->before_to);
}

void rider_progress_between(struct arena *arena, const struct rider_history *history,
                            const struct progress_windows *windows, const struct limits *limits,
                            struct rider_progress *out)
{
    const int64_t end = history->today + 1;
    *out =
        (struct rider_progress){ .before_from = windows->before_from,
                                 .before_to = windows->before_to < end ? windows->before_to : end,
                                 .recent_from = windows->recent_from,
                                 .recent_to = windows->recent_to < end ? windows->recent_to : end };
    const int32_t *durations = effort_durations(&out->n);
    struct bests_change endurance[EFFORT_DURATIONS];
    size_t n_endurance = 0;
    for (size_t i = 0; i < out->n; i++) {
        read_duration(arena, history, durations[i], limits, i, out);
        if (is_joint(durations[i])) {
            endurance[n_endurance++] = out->changes[i];
        }
    }
    out->joint_change = change_joint(endurance, n_endurance, limits);
    out->joint = reading_of(arena, &out->joint_change, 0, history->today, limits);
    words_rider_fill(arena, &out->joint);
    out->stalled = stalled_of(arena, history, out, limits);
    words_rider_fill(arena, &out->stalled);
}

void rider_progress_read(struct arena *arena, const struct rider_history *history,
                         enum progress_against against, const struct limits *limits,
                         struct rider_progress *out)
{
    const int64_t window = (int64_t)limits->value[LIMIT_PROGRESS_DAYS];
    const int64_t back = against == PROGRESS_BEFORE ? window : YEAR_DAYS;
    const int64_t to = history->today + 1;
    const struct progress_windows windows = { to - window - back, to - back, to - window, to };
    rider_progress_between(arena, history, &windows, limits, out);
}
