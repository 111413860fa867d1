/* coaching/base_state.c: is the aerobic base built, by all of a rider's base tests? */
#include "coaching/base_state.h"

#include "coaching/drift_repeat.h"
#include "coaching/words/rider_words.h"

#include <math.h>

static bool is_judged(const struct past_ride *ride)
{
    return ride->base.is_asked && !ride->spoiled && ride->base.verdict != VERDICT_CANNOT_TELL;
}

/* The newest judged test before place `end`; SIZE_MAX if there is none. */
static size_t judged_before(const struct rider_history *history, size_t end)
{
    for (size_t i = end; i > 0; i--) {
        if (is_judged(&history->rides[i - 1])) {
            return i - 1;
        }
    }
    return SIZE_MAX;
}

static void add_test(struct arena *arena, struct causes *causes, const char *code,
                     const struct past_ride *ride)
{
    struct cause *cause = causes_add(arena, causes, code);
    cause_number(cause, "ride", (double)ride->id);
    cause_number(cause, "day", (double)ride->day);
    cause_number(cause, "drift_bpm", ride->base.estimate);
    cause_number(cause, "low_bpm", ride->base.low);
    cause_number(cause, "high_bpm", ride->base.high);
}

/* The pass before the last one, far enough from it and with no other judged test between that
 * wasn't passed; SIZE_MAX if there is none. */
static size_t confirming(const struct rider_history *history, size_t last,
                         const struct limits *limits)
{
    const int64_t apart = (int64_t)limits->value[LIMIT_STATE_APART_DAYS];
    size_t i = judged_before(history, last);
    while (i != SIZE_MAX && history->rides[i].base.verdict == VERDICT_PASSED) {
        if (history->rides[last].day - history->rides[i].day >= apart) {
            return i;
        }
        i = judged_before(history, i);
    }
    return SIZE_MAX;
}

/* Tests that were meant and couldn't be judged. */
static size_t count_unjudged(const struct rider_history *history)
{
    size_t n = 0;
    for (size_t i = 0; i < history->n_rides; i++) {
        const struct past_ride *ride = &history->rides[i];
        n += ride->is_base_test && !is_judged(ride) ? 1 : 0;
    }
    return n;
}

static void no_test(struct arena *arena, const struct rider_history *history,
                    struct reading *reading)
{
    const size_t unjudged = count_unjudged(history);
    if (unjudged == 0) {
        reading->verdict = VERDICT_NOT_TESTED;
        causes_add(arena, &reading->settle_by, "give-base-test");
        return;
    }
    cause_number(causes_add(arena, &reading->cannot_because, "tests-not-judged"), "count",
                 (double)unjudged);
    causes_add(arena, &reading->settle_by, "repeat-base-test");
}

/* One pass and a falling trend: both say the same of different rides. */
static bool is_confirmed(struct arena *arena, const struct base_trend *trend,
                         struct reading *reading)
{
    if (trend == NULL || !base_trend_counts(trend)) {
        return false;
    }
    struct cause *cause = causes_add(arena, &reading->because, "trend-falls");
    cause_number(cause, "bpm_in_4_weeks", trend->reading.estimate);
    cause_number(cause, "low_bpm", trend->reading.low);
    cause_number(cause, "high_bpm", trend->reading.high);
    cause_number(cause, "rides", (double)trend->n);
    return true;
}

/* How far a test repeats, and what one pass is worth then. */
static void add_repeat(struct arena *arena, const struct rider_history *history,
                       const struct limits *limits, struct reading *reading)
{
    const struct drift_repeat assumed = drift_repeat_assumed(limits);
    const struct drift_repeat *repeat = history->repeat != NULL ? history->repeat : &assumed;
    struct cause *cause =
        causes_add(arena, &reading->because, repeat->is_own ? "test-repeats" : "repeat-assumed");
    cause_number(cause, "sd_bpm", repeat->sd_bpm);
    if (repeat->is_own) {
        cause_number(cause, "low_bpm", repeat->low_bpm);
        cause_number(cause, "high_bpm", repeat->high_bpm);
    } else {
        reading_limit(reading, limits, LIMIT_REPEAT_SD_BPM);
        cause_number(cause, "needed", reading_limit(reading, limits, LIMIT_REPEAT_PAIRS));
    }
    cause_number(cause, "repeat_pairs", (double)repeat->n_pairs);
    cause_number(cause, "passes_pct", repeat->pass_pct);
    cause_number(cause, "passes_twice_pct", repeat->twice_pct);
}

static void judge(struct arena *arena, const struct rider_history *history, size_t last,
                  const struct base_trend *trend, const struct limits *limits,
                  struct reading *reading)
{
    const struct past_ride *test = &history->rides[last];
    const double age = (double)(history->today - test->day);
    const int64_t broken = history_last_break(history, test->day + 1, history->today, limits);
    const bool is_pass = test->base.verdict == VERDICT_PASSED;
    const char *code = is_pass                                     ? "test-passed"
                       : test->base.verdict == VERDICT_ON_THE_LINE ? "test-on-the-line"
                                                                   : "test-not-passed";
    add_test(arena, &reading->because, code, test);
    if (age > reading_limit(reading, limits, LIMIT_STATE_OLD_DAYS) || broken != INT64_MIN) {
        reading->verdict = VERDICT_OUT_OF_DATE;
        struct cause *cause =
            causes_add(arena, &reading->because, broken != INT64_MIN ? "break-since" : "test-old");
        cause_number(cause, "days", age);
        causes_add(arena, &reading->settle_by, "repeat-base-test");
        return;
    }
    if (!is_pass) {
        reading->verdict = VERDICT_STILL_BUILDING;
        causes_add(arena, &reading->settle_by, "build-and-test");
        return;
    }
    const double apart = reading_limit(reading, limits, LIMIT_STATE_APART_DAYS);
    const size_t before = confirming(history, last, limits);
    if (before == SIZE_MAX && is_confirmed(arena, trend, reading)) {
        reading->verdict = VERDICT_BUILT;
        return;
    }
    if (before == SIZE_MAX) {
        reading->verdict = VERDICT_TO_CONFIRM;
        cause_number(causes_add(arena, &reading->settle_by, "confirm-test"), "days", apart);
        return;
    }
    reading->verdict = VERDICT_BUILT;
    add_test(arena, &reading->because, "passed-before", &history->rides[before]);
}

struct reading base_state_read(struct arena *arena, const struct rider_history *history,
                               const struct limits *limits)
{
    return base_state_read_with(arena, history, NULL, limits);
}

struct reading base_state_read_with(struct arena *arena, const struct rider_history *history,
                                    const struct base_trend *trend, const struct limits *limits)
{
    struct reading reading = reading_begin(QUESTION_BASE_STATE);
    const size_t last = judged_before(history, history->n_rides);
    reading.limit_value = reading_limit(&reading, limits, LIMIT_BASE_DRIFT_BPM);
    reading.limit_source = limits_row(LIMIT_BASE_DRIFT_BPM)->source;
    reading.unit = "bpm";
    if (last == SIZE_MAX) {
        no_test(arena, history, &reading);
    } else {
        reading.estimate = history->rides[last].base.estimate;
        reading.low = history->rides[last].base.low;
        reading.high = history->rides[last].base.high;
        judge(arena, history, last, trend, limits, &reading);
        add_repeat(arena, history, limits, &reading);
    }
    words_rider_fill(arena, &reading);
    return reading;
}
