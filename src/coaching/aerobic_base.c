/* coaching/aerobic_base.c: did this ride pass the base test? */
#include "coaching/aerobic_base.h"

#include "coaching/words/words.h"

#include <math.h>
#include <string.h>

/* Everything that the steps below hand on. */
struct test {
    struct arena *arena;
    const struct recording *recording;
    const struct rider_facts *facts;
    const struct limits *limits;
    const struct ride_readings *ride;
    struct reading *reading;
    double span_s; /* length of the steady span */
    double mean_w; /* of the fitted minutes, or of the span when nothing was fitted */
    double pct;    /* of threshold; NAN without one */
};

static double limit(const struct test *test, enum limit_id id)
{
    return reading_limit(test->reading, test->limits, id);
}

static struct cause *withhold(const struct test *test, const char *code)
{
    return causes_add(test->arena, &test->reading->cannot_because, code);
}

/* Adds what would settle it, once. */
static struct cause *settle(const struct test *test, const char *code)
{
    struct causes *causes = &test->reading->settle_by;
    return causes_find(causes, code) != NULL ? NULL : causes_add(test->arena, causes, code);
}

/* ---- the span ---- */

static double length_of(const struct steady *steady)
{
    return (double)steady->span.to_s - (double)steady->span.from_s;
}

struct steady aerobic_base_span(struct arena *arena, const struct recording *recording,
                                const struct rider_facts *facts, const struct limits *limits)
{
    const struct steady longest = steady_find(arena, recording, limits);
    const double low_w = facts->threshold_w * limits->value[LIMIT_BASE_LOWEST_PCT] / 100.0;
    const double high_w = facts->threshold_w * limits->value[LIMIT_BASE_HIGHEST_PCT] / 100.0;
    if (isnan(facts->threshold_w) ||
        (longest.mean_power_w >= low_w && longest.mean_power_w <= high_w)) {
        return longest;
    }
    const struct steady inside = steady_find_between(arena, recording, low_w, high_w, limits);
    const bool serves = length_of(&inside) >= limits->value[LIMIT_DRIFT_SHORTEST_S] &&
                        inside.mean_power_w >= low_w && inside.mean_power_w <= high_w;
    return serves ? inside : longest;
}

/* ---- what must be there ---- */

static void ask_for_a_test(const struct test *test, const char *code)
{
    struct cause *cause = settle(test, code);
    const double aim_pct = limit(test, LIMIT_BASE_AIM_PCT);
    if (cause != NULL) {
        cause_number(cause, "aim_pct", aim_pct);
    }
    if (cause != NULL && !isnan(test->facts->threshold_w)) {
        cause_number(cause, "aim_w", test->facts->threshold_w * aim_pct / 100.0);
    }
}

/* Power and heart rate; false when nothing more can be asked. */
static bool check_channels(const struct test *test)
{
    const struct recording *recording = test->recording;
    const struct finding *stuck = recording_finding(recording, "power-stuck");
    const bool no_power = recording->value[CHANNEL_POWER] == NULL;
    if (no_power) {
        withhold(test, "no-power");
        settle(test, "measure-power");
        settle(test, "steady-speed");
    } else if (stuck != NULL && stuck->whole_ride) {
        withhold(test, "power-target");
        settle(test, "measure-power");
    }
    if (recording->value[CHANNEL_HEART_RATE] == NULL) {
        withhold(test, "no-heart-rate");
        settle(test, "wear-strap");
    }
    return test->reading->cannot_because.count == 0;
}

static void check_span(const struct test *test)
{
    const struct drift *drift = &test->ride->drift;
    const double least_s = limit(test, LIMIT_DRIFT_SHORTEST_S);
    if (test->span_s + limit(test, LIMIT_STEADY_EDGE_S) < least_s) {
        struct cause *cause = withhold(test, "no-steady-span");
        cause_number(cause, "longest_s", test->span_s);
        cause_number(cause, "mean_power_w", test->mean_w);
        cause_number(cause, "least_s", least_s);
        ask_for_a_test(test, "ride-base-test");
    } else if (!drift->known) {
        const bool power = strcmp(drift->why_not, "power-coverage") == 0;
        struct cause *cause = withhold(test, drift->why_not);
        cause_number(cause, "coverage_pct",
                     100.0 * (power ? drift->power_coverage : drift->heart_coverage));
        cause_number(cause, "least_pct", 100.0 * limit(test, LIMIT_DRIFT_COVERAGE_RATIO));
        settle(test, power ? "check-meter" : "check-strap");
    }
}

static void check_intensity(const struct test *test)
{
    if (isnan(test->pct)) {
        if (isnan(test->facts->threshold_w)) {
            withhold(test, "no-threshold");
            settle(test, "give-threshold");
        }
        return;
    }
    const double low = limit(test, LIMIT_BASE_LOWEST_PCT);
    const double high = limit(test, LIMIT_BASE_HIGHEST_PCT);
    if (test->pct < low || test->pct > high) {
        struct cause *cause = withhold(test, test->pct < low ? "too-easy" : "too-hard");
        cause_number(cause, "pct_of_threshold", test->pct);
        cause_number(cause, "mean_power_w", test->mean_w);
        cause_number(cause, "low_pct", low);
        cause_number(cause, "high_pct", high);
        ask_for_a_test(test, "ride-at-aim");
    }
}

/* ---- what may have pushed heart rate either way ---- */

/* Seconds of [from, to) whose 10-s mean is above threshold. */
static double hard_seconds(const struct test *test, int32_t from, int32_t to)
{
    enum { HALF_S = 5 }; /* short efforts count, pedal strokes do not */
    struct arena *scratch = arena_open();
    const double *power_w = recording_series(scratch, test->recording, CHANNEL_POWER);
    const int32_t n = (int32_t)test->recording->n_seconds;
    double sum = 0.0;
    int known = 0;
    double hard = 0.0;
    for (int32_t t = 0; t < to + HALF_S && power_w != NULL; t++) {
        const int32_t gone = t - 2 * HALF_S;
        if (t < n && !isnan(power_w[t])) {
            sum += power_w[t];
            known++;
        }
        if (gone >= 0 && !isnan(power_w[gone])) {
            sum -= power_w[gone];
            known--;
        }
        const int32_t middle = t - HALF_S;
        hard += middle >= from && middle < to && known >= HALF_S &&
                sum > test->facts->threshold_w * known;
    }
    arena_close(scratch);
    return hard;
}

/* Hard riding changes the hour after it; and an hour of short efforts and rests can be steady to a
 * heart, but it isn't the test. */
static void check_hard_riding(const struct test *test)
{
    const struct span fitted = test->ride->drift.fitted;
    const int32_t start = test->ride->steady.span.from_s;
    const double most_s = limit(test, LIMIT_BASE_HARD_BEFORE_S);
    const double before_s = hard_seconds(test, 0, start);
    const double inside_s = hard_seconds(test, start, fitted.to_s);
    if (before_s > most_s) {
        cause_number(withhold(test, "hard-before"), "seconds", before_s);
    } else if (before_s + inside_s > most_s) {
        cause_number(withhold(test, "hard-inside"), "seconds", before_s + inside_s);
    }
}

static void check_either_way(const struct test *test)
{
    const struct day_marks *day = &test->facts->day;
    const size_t before = test->reading->cannot_because.count;
    if (day->ill) {
        withhold(test, "ill");
    }
    if (day->caffeine_out_of_habit) {
        withhold(test, "caffeine");
    }
    if (!isnan(test->facts->threshold_w)) {
        check_hard_riding(test);
    }
    if (test->reading->cannot_because.count > before) {
        settle(test, "repeat-usual");
    }
}

/* ---- what pushes one way only ---- */

/* Heat, air, drink, a harder test: they push heart rate up. */
static void find_pushes_up(const struct test *test, struct causes *causes)
{
    const struct day_marks *day = &test->facts->day;
    const struct finding *hot = recording_finding(test->recording, "hot");
    if (hot != NULL || day->hot) {
        struct cause *cause = causes_add(test->arena, causes, "hot");
        for (size_t i = 0; hot != NULL && i < hot->n_numbers; i++) {
            cause_number(cause, hot->numbers[i].name, hot->numbers[i].value);
        }
    }
    if (day->no_fan) {
        causes_add(test->arena, causes, "no-fan");
    }
    if (day->dehydrated) {
        causes_add(test->arena, causes, "dehydrated");
    }
    if (test->pct > limit(test, LIMIT_BASE_HIGH_PCT) &&
        test->pct <= limit(test, LIMIT_BASE_HIGHEST_PCT)) {
        struct cause *cause = causes_add(test->arena, causes, "harder-than-test");
        cause_number(cause, "pct_of_threshold", test->pct);
        cause_number(cause, "aim_pct", limit(test, LIMIT_BASE_AIM_PCT));
    }
}

/* A best of this very ride that the threshold doesn't allow: it is too low, and the ride was easier
 * than its percentage says.  Unknown seconds can only have made the best smaller. */
static void find_threshold_low(const struct test *test, struct causes *causes)
{
    const double factor = 1.0 + limit(test, LIMIT_BASE_THRESHOLD_LOW_PCT) / 100.0;
    for (size_t i = 0; i < test->ride->bests.count; i++) {
        const struct best *best = &test->ride->bests.items[i];
        const bool twenty = best->duration_s == 1200;
        const double share = twenty ? limit(test, LIMIT_BASE_BEST_20_MIN_RATIO) : 1.0;
        if ((twenty || best->duration_s == 3600) &&
            best->power_w * share >= factor * test->facts->threshold_w &&
            causes_find(causes, "threshold-low") == NULL) {
            struct cause *cause = causes_add(test->arena, causes, "threshold-low");
            cause_number(cause, "best_s", (double)best->duration_s);
            cause_number(cause, "best_w", best->power_w);
            cause_number(cause, "threshold_w", test->facts->threshold_w);
        }
    }
}

static void find_pushes_down(const struct test *test, struct causes *causes)
{
    if (test->pct < limit(test, LIMIT_BASE_LOW_PCT) &&
        test->pct >= limit(test, LIMIT_BASE_LOWEST_PCT)) {
        struct cause *cause = causes_add(test->arena, causes, "easier-than-test");
        cause_number(cause, "pct_of_threshold", test->pct);
        cause_number(cause, "aim_pct", limit(test, LIMIT_BASE_AIM_PCT));
    }
    if (!isnan(test->facts->threshold_w)) {
        find_threshold_low(test, causes);
    }
}

static void append(const struct test *test, struct causes *to, const struct causes *from)
{
    for (size_t i = 0; i < from->count; i++) {
        *causes_add(test->arena, to, from->items[i].code) = from->items[i];
    }
}

/* ---- the verdict ---- */

static enum verdict verdict_of_interval(const struct drift *drift, double line_bpm)
{
    if (drift->high_bpm < line_bpm) {
        return VERDICT_PASSED;
    }
    return drift->low_bpm > line_bpm ? VERDICT_NOT_PASSED : VERDICT_ON_THE_LINE;
}

/* The interval's verdict, unless something withholds just that one. */
static void judge(const struct test *test, const struct causes *up, const struct causes *down)
{
    struct reading *reading = test->reading;
    const double whole_s = limit(test, LIMIT_STEADY_WHOLE_S);
    const enum verdict verdict =
        verdict_of_interval(&test->ride->drift, limit(test, LIMIT_BASE_DRIFT_BPM));
    if (test->span_s + limit(test, LIMIT_STEADY_EDGE_S) < whole_s &&
        verdict != VERDICT_NOT_PASSED) {
        struct cause *cause = withhold(test, "too-short");
        cause_number(cause, "seconds", test->span_s);
        cause_number(cause, "least_s", whole_s);
        ask_for_a_test(test, "hold-full-hour");
        return;
    }
    if (verdict == VERDICT_NOT_PASSED && up->count > 0) {
        append(test, &reading->cannot_because, up);
        settle(test, "repeat-cool");
        return;
    }
    if (verdict == VERDICT_PASSED && down->count > 0) {
        append(test, &reading->cannot_because, down);
        ask_for_a_test(test, causes_find(down, "threshold-low") != NULL ? "test-threshold"
                                                                        : "ride-at-aim");
        return;
    }
    reading->verdict = verdict;
    if (verdict == VERDICT_ON_THE_LINE) {
        ask_for_a_test(test, "one-more-test");
    }
}

/* ---- the evidence ---- */

static void add_drift(const struct test *test)
{
    const struct drift *drift = &test->ride->drift;
    struct cause *cause = causes_add(test->arena, &test->reading->because, "drift");
    cause_number(cause, "drift_bpm", drift->drift_bpm);
    cause_number(cause, "low_bpm", drift->low_bpm);
    cause_number(cause, "high_bpm", drift->high_bpm);
    cause_number(cause, "start_bpm", drift->start_bpm);
    cause_number(cause, "end_bpm", drift->end_bpm);
    cause_number(cause, "minutes", drift->minutes);
    cause_number(cause, "left_out_min",
                 (double)(drift->fitted.from_s - test->ride->steady.span.from_s) / 60.0);
}

static void add_power_change(const struct test *test)
{
    const struct drift *drift = &test->ride->drift;
    const bool fell = drift->power_change_high_w < 0.0;
    if (fell || drift->power_change_low_w > 0.0) {
        struct cause *cause =
            causes_add(test->arena, &test->reading->because, fell ? "eased-off" : "picked-up");
        cause_number(cause, "power_change_w", drift->power_change_w);
        cause_number(cause, "low_w", drift->power_change_low_w);
        cause_number(cause, "high_w", drift->power_change_high_w);
        cause_number(cause, "plain_bpm", drift->plain_bpm);
        cause_number(cause, "drift_bpm", drift->drift_bpm);
    }
}

/* Nobody knows how warm it was or whether air moved, and the verdict isn't a pass. */
static void add_conditions(const struct test *test)
{
    const struct rider_facts *facts = test->facts;
    const bool told = facts->fan_known || facts->day.hot || facts->day.no_fan;
    const enum verdict verdict = test->reading->verdict;
    if (test->recording->value[CHANNEL_TEMPERATURE] != NULL || told ||
        (verdict != VERDICT_NOT_PASSED && verdict != VERDICT_ON_THE_LINE)) {
        return;
    }
    const enum ride_place place =
        facts->place != PLACE_UNKNOWN ? facts->place : test->recording->place;
    const bool outdoors = place == PLACE_OUTDOORS;
    causes_add(test->arena, &test->reading->because,
               outdoors ? "weather-unknown" : "conditions-unknown");
    settle(test, outdoors ? "ask-weather" : "ask-fan");
}

static void add_evidence(const struct test *test, const struct causes *up,
                         const struct causes *down)
{
    struct reading *reading = test->reading;
    const struct drift *drift = &test->ride->drift;
    if (drift->known) {
        add_drift(test);
    }
    if (!isnan(test->pct)) {
        struct cause *cause = causes_add(test->arena, &reading->because, "intensity");
        cause_number(cause, "mean_power_w", test->mean_w);
        cause_number(cause, "pct_of_threshold", test->pct);
    }
    if (drift->known) {
        add_power_change(test);
    }
    for (int side = 0; side < 2; side++) {
        const struct causes *pushes = side == 0 ? up : down;
        for (size_t i = 0; i < pushes->count; i++) {
            if (causes_find(&reading->cannot_because, pushes->items[i].code) == NULL) {
                *causes_add(test->arena, &reading->because, pushes->items[i].code) =
                    pushes->items[i];
            }
        }
    }
    add_conditions(test);
    if (test->facts->day.hard_day_before) {
        causes_add(test->arena, &reading->because, "hard-day-before");
    }
    if (recording_finding(test->recording, "high") != NULL) {
        causes_add(test->arena, &reading->because, "high");
    }
    if (test->facts->heart_medicine) {
        causes_add(test->arena, &reading->because, "heart-medicine");
    }
    if (!isnan(drift->late_bpm_per_h)) {
        cause_number(causes_add(test->arena, &reading->because, "late-drift"), "bpm_per_h",
                     drift->late_bpm_per_h);
    }
}

/* ---- the reading ---- */

static void fill_numbers(const struct test *test)
{
    const struct drift *drift = &test->ride->drift;
    struct reading *reading = test->reading;
    reading->limit_value = limit(test, LIMIT_BASE_DRIFT_BPM);
    reading->limit_source = limits_row(LIMIT_BASE_DRIFT_BPM)->source;
    reading->unit = "bpm";
    if (!drift->known) {
        return;
    }
    reading->estimate = drift->drift_bpm;
    reading->low = drift->low_bpm;
    reading->high = drift->high_bpm;
    static const enum limit_id used[] = {
        LIMIT_STEADY_TAU_S,          LIMIT_STEADY_BAND_PCT,   LIMIT_STEADY_IN_BAND_RATIO,
        LIMIT_STEADY_COASTING_RATIO, LIMIT_STEADY_STOP_S,     LIMIT_DRIFT_SETTLE_S,
        LIMIT_DRIFT_LAST_S,          LIMIT_DRIFT_GAIN_BPM,    LIMIT_DRIFT_GAIN_SD_BPM,
        LIMIT_DRIFT_BOW_SD_BPM,      LIMIT_DRIFT_FORM_SD_BPM,
    };
    for (size_t i = 0; i < sizeof used / sizeof used[0]; i++) {
        (void)limit(test, used[i]);
    }
}

static void fill_spans(const struct test *test)
{
    const struct span span =
        test->ride->drift.known ? test->ride->drift.fitted : test->ride->steady.span;
    if (span.to_s > span.from_s) {
        test->reading->spans = ARENA_ARRAY(test->arena, struct span, 1);
        test->reading->spans[0] = span;
        test->reading->n_spans = 1;
    }
}

static void say(struct arena *arena, struct causes *causes)
{
    for (size_t i = 0; i < causes->count; i++) {
        causes->items[i].text = words_base_cause(arena, &causes->items[i]);
    }
}

static void read_ride(struct test *test)
{
    struct causes up = { 0 };
    struct causes down = { 0 };
    if (check_channels(test)) {
        check_span(test);
        if (test->span_s + limit(test, LIMIT_STEADY_EDGE_S) >=
            limit(test, LIMIT_DRIFT_SHORTEST_S)) {
            check_intensity(test);
            check_either_way(test);
            find_pushes_up(test, &up);
            find_pushes_down(test, &down);
        } else if (isnan(test->facts->threshold_w)) {
            settle(test, "give-threshold");
        }
        if (test->reading->cannot_because.count == 0) {
            judge(test, &up, &down);
        }
        fill_numbers(test);
        fill_spans(test);
        add_evidence(test, &up, &down);
    }
}

/* By whose response the drift was fitted. */
static const char *response_of(const struct test *test)
{
    if (!test->ride->steady.found || !facts_read_heart(test->facts) ||
        causes_find(&test->reading->cannot_because, "no-steady-span") != NULL) {
        return NULL;
    }
    const char *own = reading_own_response(test->arena, test->facts);
    const double *v = test->limits->value;
    return own != NULL ? own
                       : arena_format(test->arena, "usual of riders: lag %.0f s",
                                      v[LIMIT_STEADY_TAU_S] + v[LIMIT_DRIFT_DEAD_TIME_S]);
}

void aerobic_base_read(struct arena *arena, const struct recording *recording,
                       const struct rider_facts *facts, const struct limits *limits,
                       struct ride_readings *out)
{
    struct reading *reading = readings_add(arena, out, QUESTION_BASE);
    const struct drift *drift = &out->drift;
    struct test test = {
        .arena = arena,
        .recording = recording,
        .facts = facts,
        .limits = limits,
        .ride = out,
        .reading = reading,
        .span_s = length_of(&out->steady),
        .mean_w = drift->known ? drift->mean_power_w : out->steady.mean_power_w,
    };
    test.pct = 100.0 * test.mean_w / facts->threshold_w;
    reading->basis.threshold_w = facts->threshold_w;
    reading->basis.threshold_known_by =
        isnan(facts->threshold_w) ? NULL : facts->threshold_known_by;
    reading->basis.intent = facts->kind == KIND_BASE_TEST ? "asked: base-test" : NULL;
    if (facts->pregnant) {
        causes_add(arena, &reading->cannot_because, "pregnant");
    } else {
        read_ride(&test);
    }
    reading->basis.response = response_of(&test);
    say(arena, &reading->because);
    say(arena, &reading->cannot_because);
    say(arena, &reading->settle_by);
    reading->text = words_base(arena, reading, out);
}
