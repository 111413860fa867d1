/* physiology/protocols_shape.c: tests told by how power runs: a ramp, several efforts of differing
 * length, three minutes all-out. */
#include "physiology/protocols_parts.h"

#include "maths/regression.h"
#include "physiology/power_duration.h"

#include <math.h>

enum { MINUTE = 60, STEPS_MOST = 60 };

/* ---- a ramp ---- */

/* The line through the last n minutes up to end_s. */
static struct regression_line fit_minutes(const struct protocols_ride *ride, int32_t end_s, int n,
                                          double means[STEPS_MOST])
{
    double minutes[STEPS_MOST];
    for (int i = 0; i < n; i++) {
        const int32_t from = end_s - MINUTE * (n - i);
        minutes[i] = i;
        means[i] = protocols_mean(ride, from, from + MINUTE);
    }
    return regression_fit_line(minutes, means, (size_t)n);
}

/* Whether each minute rises by its share of a step: stairs of three minutes don't.  The last may be
 * the one in which the rider failed. */
static bool rises_every_minute(const struct protocols_ride *ride, const double means[], int n,
                               double step_w)
{
    for (int i = 1; i + 1 < n; i++) {
        if (means[i] - means[i - 1] < ride->v[LIMIT_TEST_RAMP_EVEN_RATIO] * step_w) {
            return false;
        }
    }
    return n >= 2 && means[n - 1] > means[n - 2];
}

/* The longest run of rising minutes that ends there; 0 if there is none. */
static int count_steps(const struct protocols_ride *ride, int32_t end_s, double *r2)
{
    double means[STEPS_MOST];
    /* Well below the limit it is no ramp; just below it is one with uneven steps. */
    const double seen = ride->v[LIMIT_TEST_RAMP_R2] - 0.03;
    int found = 0;
    for (int n = (int)ride->v[LIMIT_TEST_RAMP_STEPS]; n <= STEPS_MOST && n * MINUTE <= end_s; n++) {
        const struct regression_line line = fit_minutes(ride, end_s, n, means);
        if (line.slope < ride->v[LIMIT_TEST_RAMP_STEP_W] || !(line.r_squared >= seen) ||
            !rises_every_minute(ride, means, n, line.slope)) {
            continue;
        }
        if (found == 0 || line.r_squared >= fmin(*r2, ride->v[LIMIT_TEST_RAMP_R2])) {
            found = n;
            *r2 = line.r_squared;
        }
    }
    return found;
}

bool protocols_find_ramp(const struct protocols_ride *ride, const struct span taken[],
                         size_t n_taken, struct protocol_test *out)
{
    struct protocol_test test = *out;
    struct span best = { 0 };
    double r2 = (double)NAN;
    const double factor = ride->v[LIMIT_TEST_RAMP_FACTOR];
    if (!protocols_best(ride, MINUTE, NULL, 0, &best)) {
        return false;
    }
    const double top = protocols_mean(ride, best.from_s, best.to_s);
    /* The first seconds after failure are still in the legs' momentum. */
    const double after = protocols_mean(ride, best.to_s + 5, best.to_s + 5 + MINUTE);
    const int steps = count_steps(ride, best.to_s, &r2);
    if (steps == 0 || after > ride->v[LIMIT_TEST_RAMP_FAIL_RATIO] * top) {
        return false;
    }
    test.protocol = PROTOCOL_RAMP;
    test.span = (struct span){ best.to_s - MINUTE * steps, best.to_s };
    test.efforts[0] = protocols_effort(ride, test.span);
    test.n_efforts = 1;
    test.mean_w = top;
    test.estimate_w =
        protocols_estimate(ride, top, factor, factor, ride->v[LIMIT_TEST_RAMP_SD_PCT]);
    if (protocols_touches(test.span, taken, n_taken) ||
        !protocols_was_meant(ride, &test.efforts[0], test.estimate_w.value)) {
        return false;
    }
    if (r2 < ride->v[LIMIT_TEST_RAMP_R2]) {
        protocols_add_reason(&test, "uneven", r2, ride->v[LIMIT_TEST_RAMP_R2]);
    }
    protocols_check_heart(ride, &test.efforts[0], &test);
    *out = test;
    return true;
}

/* ---- several efforts ---- */

/* Runs in which the mean of half a minute is above the line, by time; more than fit: 0. */
static size_t find_runs(const struct protocols_ride *ride, double line_w, struct span runs[],
                        size_t most)
{
    enum { HALF = 15, SHORTEST = 60 };
    size_t n = 0;
    int32_t from = -1;
    for (int32_t t = 0; t <= ride->n; t++) {
        const bool above = t < ride->n && protocols_mean(ride, t - HALF, t + HALF) >= line_w;
        if (above && from < 0) {
            from = t;
        } else if (!above && from >= 0) {
            if (t - from >= SHORTEST) {
                if (n == most) {
                    return 0;
                }
                runs[n++] = (struct span){ from, t };
            }
            from = -1;
        }
    }
    return n;
}

static int32_t length_of(const struct test_effort *effort)
{
    return effort->span.to_s - effort->span.from_s;
}

/* By length, the shortest first. */
static void sort_by_length(const struct test_effort *sorted[], size_t n)
{
    for (size_t i = 1; i < n; i++) {
        const struct test_effort *one = sorted[i];
        size_t k = i;
        for (; k > 0 && length_of(sorted[k - 1]) > length_of(one); k--) {
            sorted[k] = sorted[k - 1];
        }
        sorted[k] = one;
    }
}

/* Lengths that differ, and power that falls with length: what intervals don't have. */
static bool are_of_a_curve(const struct protocols_ride *ride, const struct protocol_test *test)
{
    const struct test_effort *sorted[TEST_EFFORTS];
    const double *v = ride->v;
    for (size_t i = 0; i < test->n_efforts; i++) {
        sorted[i] = &test->efforts[i];
    }
    sort_by_length(sorted, test->n_efforts);
    const int32_t shortest = length_of(sorted[0]);
    const int32_t longest = length_of(sorted[test->n_efforts - 1]);
    if (shortest < v[LIMIT_TEST_MANY_LEAST_S] || longest > v[LIMIT_TEST_MANY_MOST_S] ||
        longest < v[LIMIT_TEST_MANY_LONGEST_S] ||
        longest < v[LIMIT_TEST_MANY_SPAN_RATIO] * shortest) {
        return false;
    }
    for (size_t i = 1; i < test->n_efforts; i++) {
        if (length_of(sorted[i]) < v[LIMIT_TEST_MANY_NEXT_RATIO] * length_of(sorted[i - 1]) ||
            sorted[i]->mean_w > v[LIMIT_TEST_MANY_FALL_RATIO] * sorted[i - 1]->mean_w) {
            return false;
        }
    }
    return true;
}

/* Critical power of the efforts, and the work above it; a reason where they don't tell it. */
static void fit_efforts(const struct protocols_ride *ride, struct protocol_test *test)
{
    struct duration_effort efforts[TEST_EFFORTS];
    for (size_t i = 0; i < test->n_efforts; i++) {
        efforts[i] = (struct duration_effort){ .duration_s = length_of(&test->efforts[i]),
                                               .mean_w = test->efforts[i].mean_w,
                                               .start_s = test->efforts[i].span.from_s,
                                               .is_maximal = true,
                                               .said_by = DURATION_SAID_TEST };
    }
    const struct power_duration curve =
        power_duration_read(ride->arena, efforts, test->n_efforts, ride->limits);
    test->estimate_w = (struct ranged){ curve.cp_w, curve.cp_low_w, curve.cp_high_w };
    test->w_prime_kj = curve.w_prime_j / 1000.0;
    if (curve.end != DURATION_KNOWN) {
        protocols_add_reason(test, "not-fitted", (double)NAN, (double)NAN);
    }
}

bool protocols_find_many(const struct protocols_ride *ride, const struct span taken[],
                         size_t n_taken, struct protocol_test *out)
{
    struct protocol_test test = *out;
    struct span best = { 0 };
    struct span runs[TEST_EFFORTS];
    const int32_t longest = (int32_t)ride->v[LIMIT_TEST_MANY_LONGEST_S];
    if (!protocols_best(ride, longest, NULL, 0, &best)) {
        return false;
    }
    const double line =
        ride->v[LIMIT_TEST_EDGE_RATIO] * protocols_mean(ride, best.from_s, best.to_s);
    test.n_efforts = find_runs(ride, line, runs, TEST_EFFORTS);
    if (test.n_efforts < 3) {
        return false;
    }
    for (size_t i = 0; i < test.n_efforts; i++) {
        test.efforts[i] = protocols_effort(ride, runs[i]);
        if ((i > 0 && runs[i].from_s - runs[i - 1].to_s < ride->v[LIMIT_TEST_MANY_REST_S]) ||
            protocols_touches(runs[i], taken, n_taken) ||
            !protocols_was_meant(ride, &test.efforts[i], test.efforts[i].mean_w)) {
            return false;
        }
    }
    if (!are_of_a_curve(ride, &test)) {
        return false;
    }
    test.protocol = PROTOCOL_MANY;
    test.span = (struct span){ runs[0].from_s, runs[test.n_efforts - 1].to_s };
    test.mean_w = (double)NAN;
    for (size_t i = 0; i < test.n_efforts && test.n_reasons == 0; i++) {
        protocols_check_heart(ride, &test.efforts[i], &test);
    }
    fit_efforts(ride, &test);
    *out = test;
    return true;
}

/* ---- three minutes all-out ---- */

enum { ALL_OUT = 180, PIECE = 30, PIECES = ALL_OUT / PIECE };

/* A sprint at its beginning, the highest of all; then power falls and never comes back. */
static bool is_all_out(const struct protocols_ride *ride, int32_t from, double mean)
{
    enum { SPRINT = 5 };
    const double *v = ride->v;
    const int32_t first = (int32_t)v[LIMIT_TEST_ALL_OUT_PEAK_S];
    double peak = 0.0;
    for (int32_t t = from; t + SPRINT <= from + first + SPRINT; t++) {
        peak = fmax(peak, protocols_mean(ride, t, t + SPRINT));
    }
    if (peak < v[LIMIT_TEST_ALL_OUT_PEAK_RATIO] * mean) {
        return false;
    }
    double least = (double)INFINITY;
    for (int32_t i = 0; i < PIECES; i++) {
        const double piece = protocols_mean(ride, from + i * PIECE, from + (i + 1) * PIECE);
        if (!(piece <= (1.0 + v[LIMIT_TEST_ALL_OUT_RISE_PCT] / 100.0) * least)) {
            return false;
        }
        least = fmin(least, piece);
    }
    for (int32_t t = from + first + SPRINT; t + SPRINT <= from + ALL_OUT; t++) {
        if (protocols_mean(ride, t, t + SPRINT) > peak) {
            return false;
        }
    }
    return least <= v[LIMIT_TEST_ALL_OUT_END_RATIO] * mean && least >= mean / 3.0;
}

/* Work above its end power in the first 150 s: Vanhatalo et al. 2007. */
static double work_above(const struct protocols_ride *ride, int32_t from, double end_w)
{
    enum { COUNTED = 150 };
    double joules = 0.0;
    for (int32_t t = from; t < from + COUNTED; t++) {
        joules += isnan(ride->power_w[t]) ? 0.0 : ride->power_w[t] - end_w;
    }
    return joules / 1000.0;
}

/* Where it begins: the second before which little was ridden. */
static bool find_start(const struct protocols_ride *ride, int32_t *start)
{
    double best = 0.0;
    for (int32_t from = 0; from + ALL_OUT <= ride->n; from++) {
        const double mean = protocols_mean(ride, from, from + ALL_OUT);
        /* The first second of power after little of it; compare with the second before. */
        const double first = protocols_mean(ride, from, from + 3);
        if (!(mean > best) || !(first >= mean) ||
            protocols_mean(ride, from - 3, from) > ride->v[LIMIT_TEST_EDGE_RATIO] * mean ||
            !is_all_out(ride, from, mean)) {
            continue;
        }
        best = mean;
        *start = from;
    }
    return best > 0.0;
}

bool protocols_find_all_out(const struct protocols_ride *ride, const struct span taken[],
                            size_t n_taken, struct protocol_test *out)
{
    struct protocol_test test = *out;
    struct span other = { 0 };
    int32_t start = 0;
    if (!find_start(ride, &start)) {
        return false;
    }
    const struct span span = { start, start + ALL_OUT };
    const double mean = protocols_mean(ride, span.from_s, span.to_s);
    const double end_w = protocols_mean(ride, span.to_s - PIECE, span.to_s);
    const double after = protocols_mean(ride, span.to_s + 5, span.to_s + 5 + PIECE);
    const double line = ride->v[LIMIT_TEST_ALONE_RATIO] * mean;
    if (protocols_touches(span, taken, n_taken) || after > ride->v[LIMIT_TEST_EDGE_RATIO] * end_w ||
        (protocols_best(ride, ALL_OUT, &span, 1, &other) &&
         protocols_mean(ride, other.from_s, other.to_s) >= line)) {
        return false;
    }
    test.protocol = PROTOCOL_ALL_OUT;
    test.span = span;
    test.n_efforts = 1;
    test.efforts[0] = protocols_effort(ride, span);
    test.mean_w = end_w;
    test.estimate_w = protocols_estimate(ride, end_w, 1.0, 1.0, ride->v[LIMIT_TEST_ALL_OUT_SD_PCT]);
    test.w_prime_kj = work_above(ride, start, end_w);
    test.heart_end_ratio = test.efforts[0].heart_end_bpm / ride->facts->max_heart_rate_bpm;
    if (test.heart_end_ratio < ride->v[LIMIT_TEST_HEART_SEEN_RATIO]) {
        return false;
    }
    const double known = protocols_known(ride, span.from_s, span.to_s);
    if (known < 1.0) {
        protocols_add_reason(&test, "power-missing", 100.0 * (1.0 - known), 0.0);
    }
    *out = test;
    return true;
}
