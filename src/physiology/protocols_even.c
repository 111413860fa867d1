/* physiology/protocols_even.c: efforts held evenly: an hour, 20 minutes, twice 8 minutes. */
#include "physiology/protocols_parts.h"

#include "maths/summary.h"

#include <math.h>

/* Whether the effort has the length of its protocol, and is hard from its first to its last. */
static bool has_length(const struct protocols_ride *ride, struct span window)
{
    const int32_t length = window.to_s - window.from_s;
    const struct span whole = protocols_widen(ride, window);
    const double slack = ride->v[LIMIT_TEST_LENGTH_RATIO] * length;
    const double line =
        ride->v[LIMIT_TEST_EDGE_RATIO] * protocols_mean(ride, window.from_s, window.to_s);
    const int32_t inner = (int32_t)(slack > 60.0 ? 60.0 : slack);
    return whole.to_s - whole.from_s - length <= slack &&
           protocols_mean(ride, window.from_s, window.from_s + inner) >= line &&
           protocols_mean(ride, window.to_s - inner, window.to_s) >= line;
}

/* Standard deviation of 30-s means over their mean. */
static double unevenness(const struct protocols_ride *ride, struct span span)
{
    enum { PIECE = 30 };
    const size_t n = (size_t)((span.to_s - span.from_s) / PIECE);
    double *means = ARENA_ARRAY(ride->arena, double, n);
    for (size_t i = 0; i < n; i++) {
        const int32_t from = span.from_s + PIECE * (int32_t)i;
        means[i] = protocols_mean(ride, from, from + PIECE);
    }
    return summary_sd(means, n) / protocols_mean(ride, span.from_s, span.to_s);
}

/* Share of seconds whose ten are easy against the whole. */
static double easy_share(const struct protocols_ride *ride, struct span span)
{
    enum { HALF = 5 };
    const double line =
        ride->v[LIMIT_TEST_EASY_RATIO] * protocols_mean(ride, span.from_s, span.to_s);
    int32_t easy = 0;
    for (int32_t t = span.from_s; t < span.to_s; t++) {
        const int32_t from = t - HALF < span.from_s ? span.from_s : t - HALF;
        const int32_t to = t + HALF > span.to_s ? span.to_s : t + HALF;
        easy += protocols_mean(ride, from, to) < line ? 1 : 0;
    }
    return (double)easy / (span.to_s - span.from_s);
}

static bool is_even(const struct protocols_ride *ride, struct span span)
{
    const double mean = protocols_mean(ride, span.from_s, span.to_s);
    const int32_t quarter = (span.to_s - span.from_s) / 4;
    for (int32_t i = 0; i < 4; i++) {
        const int32_t from = span.from_s + i * quarter;
        if (protocols_mean(ride, from, from + quarter) <
            ride->v[LIMIT_EFFORT_QUARTER_RATIO] * mean) {
            return false;
        }
    }
    return easy_share(ride, span) <= ride->v[LIMIT_TEST_EASY_SHARE];
}

/* Whether nothing else in the ride, for half as long, was near as hard: a hard effort of the
 * warm-up is shorter. */
static bool is_alone(const struct protocols_ride *ride, const struct span spans[], size_t n)
{
    struct span out[2];
    struct span other = { 0 };
    double mean = (double)INFINITY;
    const int32_t half = (spans[0].to_s - spans[0].from_s) / 2;
    for (size_t i = 0; i < n; i++) {
        out[i] = protocols_widen(ride, spans[i]);
        mean = fmin(mean, protocols_mean(ride, spans[i].from_s, spans[i].to_s));
    }
    return !protocols_best(ride, half, out, n, &other) ||
           protocols_mean(ride, other.from_s, other.to_s) < ride->v[LIMIT_TEST_ALONE_RATIO] * mean;
}

/* Seconds of standing, with the timer running or not. */
static int32_t stood(const struct protocols_ride *ride, struct span span)
{
    int32_t seconds = 0;
    for (int32_t t = span.from_s; t < span.to_s; t++) {
        seconds += ride->recording->paused[t] != 0 ? 1 : 0;
    }
    return seconds;
}

/* What holds for every effort that is to be held evenly. */
static void check_even(const struct protocols_ride *ride, struct span span,
                       struct protocol_test *test)
{
    const double uneven = unevenness(ride, span);
    const double known = protocols_known(ride, span.from_s, span.to_s);
    const int32_t still = stood(ride, span);
    if (uneven > ride->v[LIMIT_TEST_UNEVEN_RATIO]) {
        protocols_add_reason(test, "uneven", 100.0 * uneven,
                             100.0 * ride->v[LIMIT_TEST_UNEVEN_RATIO]);
    }
    if (still > 0) {
        protocols_add_reason(test, "stopped", still, 0.0);
    }
    if (known < ride->v[LIMIT_REPS_COVERAGE]) {
        protocols_add_reason(test, "power-missing", 100.0 * (1.0 - known),
                             100.0 * (1.0 - ride->v[LIMIT_REPS_COVERAGE]));
    }
}

static void check_halves(const struct protocols_ride *ride, struct span span,
                         struct protocol_test *test)
{
    const int32_t middle = (span.from_s + span.to_s) / 2;
    const double first = protocols_mean(ride, span.from_s, middle);
    const double second = protocols_mean(ride, middle, span.to_s);
    const double differ = 100.0 * fabs(first - second) / fmax(first, second);
    if (differ > ride->v[LIMIT_TEST_HALVES_PCT]) {
        protocols_add_reason(test, "halves", differ, ride->v[LIMIT_TEST_HALVES_PCT]);
    }
}

/* One even effort of that length, if it stands alone. */
static bool find_one(const struct protocols_ride *ride, int32_t length_s, const struct span taken[],
                     size_t n_taken, struct protocol_test *out)
{
    struct span window = { 0 };
    if (!protocols_best(ride, length_s, NULL, 0, &window) ||
        protocols_touches(window, taken, n_taken) || !has_length(ride, window) ||
        !is_even(ride, window) || !is_alone(ride, &window, 1)) {
        return false;
    }
    out->span = window;
    out->n_efforts = 1;
    out->efforts[0] = protocols_effort(ride, window);
    out->mean_w = out->efforts[0].mean_w;
    check_even(ride, window, out);
    return true;
}

bool protocols_find_hour(const struct protocols_ride *ride, const struct span taken[],
                         size_t n_taken, struct protocol_test *out)
{
    struct protocol_test test = *out;
    if (!find_one(ride, 3600, taken, n_taken, &test) ||
        !protocols_was_meant(ride, &test.efforts[0], test.mean_w)) {
        return false;
    }
    test.protocol = PROTOCOL_HOUR;
    test.estimate_w =
        protocols_estimate(ride, test.mean_w, 1.0, 1.0, ride->v[LIMIT_TEST_HOUR_SD_PCT]);
    check_halves(ride, test.span, &test);
    /* Over an hour heart rate climbs to the end of what it has left, not to its maximum: seen is
     * enough (protocols_was_meant); without it nothing shows that it was all-out. */
    test.heart_end_ratio = test.efforts[0].heart_end_bpm / ride->facts->max_heart_rate_bpm;
    if (isnan(test.heart_end_ratio)) {
        protocols_check_heart(ride, &test.efforts[0], &test);
    }
    *out = test;
    return true;
}

/* A hard effort in the warm-up: as hard as the 20 minutes or harder. */
static bool was_hard_before(const struct protocols_ride *ride, const struct protocol_test *test)
{
    const int32_t length = (int32_t)ride->v[LIMIT_TEST_BEFORE_S];
    const int32_t first = test->span.from_s - (int32_t)ride->v[LIMIT_TEST_BEFORE_WITHIN_S];
    for (int32_t from = first < 0 ? 0 : first; from + length <= test->span.from_s; from++) {
        if (protocols_mean(ride, from, from + length) >= test->mean_w) {
            return true;
        }
    }
    return false;
}

bool protocols_find_twenty(const struct protocols_ride *ride, const struct span taken[],
                           size_t n_taken, struct protocol_test *out)
{
    const double high = ride->v[LIMIT_TEST_TWENTY_FACTOR];
    struct protocol_test test = *out;
    if (!find_one(ride, 1200, taken, n_taken, &test)) {
        return false;
    }
    const bool after = was_hard_before(ride, &test);
    const double low = after ? high : fmin(high, ride->v[LIMIT_TEST_TWENTY_FRESH_FACTOR]);
    test.protocol = after ? PROTOCOL_TWENTY_AFTER : PROTOCOL_TWENTY;
    test.estimate_w =
        protocols_estimate(ride, test.mean_w, low, high, ride->v[LIMIT_TEST_TWENTY_SD_PCT]);
    if (!protocols_was_meant(ride, &test.efforts[0], test.estimate_w.value)) {
        return false;
    }
    check_halves(ride, test.span, &test);
    protocols_check_heart(ride, &test.efforts[0], &test);
    *out = test;
    return true;
}

/* The two hardest that don't touch, in order of time. */
static bool find_pair(const struct protocols_ride *ride, struct span pair[2])
{
    enum { EIGHT_MINUTES = 480 };
    struct span one = { 0 };
    struct span two = { 0 };
    if (!protocols_best(ride, EIGHT_MINUTES, NULL, 0, &one)) {
        return false;
    }
    const struct span whole = protocols_widen(ride, one);
    if (!protocols_best(ride, EIGHT_MINUTES, &whole, 1, &two)) {
        return false;
    }
    const bool in_order = one.from_s < two.from_s;
    pair[0] = in_order ? one : two;
    pair[1] = in_order ? two : one;
    const int32_t rest = pair[1].from_s - pair[0].to_s;
    return rest >= ride->v[LIMIT_TEST_EIGHTS_REST_LOW_S] &&
           rest <= ride->v[LIMIT_TEST_EIGHTS_REST_HIGH_S];
}

bool protocols_find_eights(const struct protocols_ride *ride, const struct span taken[],
                           size_t n_taken, struct protocol_test *out)
{
    struct protocol_test test = *out;
    struct span pair[2];
    if (!find_pair(ride, pair)) {
        return false;
    }
    for (size_t i = 0; i < 2; i++) {
        if (protocols_touches(pair[i], taken, n_taken) || !has_length(ride, pair[i]) ||
            !is_even(ride, pair[i])) {
            return false;
        }
        test.efforts[i] = protocols_effort(ride, pair[i]);
        check_even(ride, pair[i], &test);
    }
    const double first = test.efforts[0].mean_w;
    const double second = test.efforts[1].mean_w;
    const double factor = ride->v[LIMIT_TEST_EIGHTS_FACTOR];
    test.protocol = PROTOCOL_TWO_EIGHTS;
    test.n_efforts = 2;
    test.span = (struct span){ pair[0].from_s, pair[1].to_s };
    test.mean_w = (first + second) / 2.0;
    test.estimate_w =
        protocols_estimate(ride, test.mean_w, factor, factor, ride->v[LIMIT_TEST_EIGHTS_SD_PCT]);
    if (second < ride->v[LIMIT_EFFORT_QUARTER_RATIO] * first || !is_alone(ride, pair, 2) ||
        !protocols_was_meant(ride, &test.efforts[1], test.estimate_w.value)) {
        return false;
    }
    if (100.0 * second < ride->v[LIMIT_TEST_EIGHTS_SECOND_PCT] * first) {
        protocols_add_reason(&test, "second-weaker", 100.0 * second / first,
                             ride->v[LIMIT_TEST_EIGHTS_SECOND_PCT]);
    }
    protocols_check_heart(ride, &test.efforts[1], &test);
    *out = test;
    return true;
}
