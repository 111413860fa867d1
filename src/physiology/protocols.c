/* physiology/protocols.c: the list of tests, their estimates, and the peak of heart rate. */
#include "physiology/protocols_parts.h"

#include "maths/distributions.h"
#include "maths/summary.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const struct {
    const char *name;
    enum protocol_gives gives;
} rows[PROTOCOL_COUNT] = {
    [PROTOCOL_HOUR] = { "60-minute test", GIVES_THRESHOLD },
    [PROTOCOL_TWENTY_AFTER] = { "20-minute test after a hard effort", GIVES_THRESHOLD },
    [PROTOCOL_TWENTY] = { "20-minute test", GIVES_THRESHOLD },
    [PROTOCOL_TWO_EIGHTS] = { "2 x 8-minute test", GIVES_THRESHOLD },
    [PROTOCOL_RAMP] = { "ramp test", GIVES_THRESHOLD },
    [PROTOCOL_MANY] = { "several all-out efforts", GIVES_CRITICAL_POWER },
    [PROTOCOL_ALL_OUT] = { "3-minute all-out test", GIVES_CRITICAL_POWER },
};

const char *protocol_name(enum protocol protocol)
{
    return rows[protocol].name;
}

enum protocol_gives protocol_gives(enum protocol protocol)
{
    return rows[protocol].gives;
}

/* ---- what the parts share ---- */

static int32_t inside(const struct protocols_ride *ride, int32_t t)
{
    return t < 0 ? 0 : t > ride->n ? ride->n : t;
}

double protocols_mean(const struct protocols_ride *ride, int32_t from_s, int32_t to_s)
{
    const int32_t from = inside(ride, from_s);
    const int32_t to = inside(ride, to_s);
    const int32_t known = to > from ? ride->known[to] - ride->known[from] : 0;
    return known == 0 ? (double)NAN : (ride->sum_w[to] - ride->sum_w[from]) / known;
}

double protocols_known(const struct protocols_ride *ride, int32_t from_s, int32_t to_s)
{
    const int32_t from = inside(ride, from_s);
    const int32_t to = inside(ride, to_s);
    return to <= from ? 0.0 : (double)(ride->known[to] - ride->known[from]) / (to - from);
}

bool protocols_touches(struct span span, const struct span others[], size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (span.from_s < others[i].to_s && others[i].from_s < span.to_s) {
            return true;
        }
    }
    return false;
}

bool protocols_best(const struct protocols_ride *ride, int32_t length_s, const struct span taken[],
                    size_t n_taken, struct span *out)
{
    double best = -1.0;
    for (int32_t from = 0; from + length_s <= ride->n; from++) {
        const struct span window = { from, from + length_s };
        const double mean = protocols_mean(ride, window.from_s, window.to_s);
        if (!(mean > best) ||
            protocols_known(ride, window.from_s, window.to_s) < ride->v[LIMIT_EFFORT_KNOWN_RATIO]) {
            continue;
        }
        if (!protocols_touches(window, taken, n_taken)) {
            best = mean;
            *out = window;
        }
    }
    return best > 0.0;
}

struct span protocols_widen(const struct protocols_ride *ride, struct span window)
{
    const double line =
        ride->v[LIMIT_TEST_EDGE_RATIO] * protocols_mean(ride, window.from_s, window.to_s);
    const int32_t edge = (int32_t)ride->v[LIMIT_TEST_EDGE_S];
    struct span span = window;
    while (span.from_s > 0 && protocols_mean(ride, span.from_s - edge, span.from_s) >= line) {
        span.from_s--;
    }
    while (span.to_s < ride->n && protocols_mean(ride, span.to_s, span.to_s + edge) >= line) {
        span.to_s++;
    }
    return span;
}

struct test_effort protocols_effort(const struct protocols_ride *ride, struct span span)
{
    const int32_t end_s = (int32_t)ride->v[LIMIT_EFFORT_END_S];
    struct test_effort effort = { span, protocols_mean(ride, span.from_s, span.to_s), (double)NAN };
    if (ride->heart_bpm != NULL && span.to_s - span.from_s >= end_s) {
        const double *last = ride->heart_bpm + (span.to_s - end_s);
        const double known = (double)summary_count(last, (size_t)end_s);
        if (known >= ride->v[LIMIT_EFFORT_KNOWN_RATIO] * end_s) {
            effort.heart_end_bpm = summary_mean(last, (size_t)end_s);
        }
    }
    return effort;
}

bool protocols_was_meant(const struct protocols_ride *ride, const struct test_effort *effort,
                         double threshold_w)
{
    const double known_w = ride->facts->threshold_w;
    const double ratio = effort->heart_end_bpm / ride->facts->max_heart_rate_bpm;
    const bool is_strong = threshold_w >= ride->v[LIMIT_TEST_THRESHOLD_SEEN_RATIO] * known_w;
    if (isnan(ratio)) {
        return is_strong;
    }
    return ratio >= ride->v[LIMIT_TEST_HEART_SEEN_RATIO] && (is_strong || isnan(known_w));
}

void protocols_add_reason(struct protocol_test *test, const char *code, double value, double limit)
{
    if (test->n_reasons < TEST_REASONS) {
        test->reasons[test->n_reasons++] = (struct test_reason){ code, value, limit };
    }
}

void protocols_check_heart(const struct protocols_ride *ride, const struct test_effort *effort,
                           struct protocol_test *test)
{
    const double max_bpm = ride->facts->max_heart_rate_bpm;
    const double limit = ride->v[LIMIT_TEST_HEART_RATIO];
    test->heart_end_ratio = effort->heart_end_bpm / max_bpm;
    if (isnan(effort->heart_end_bpm)) {
        protocols_add_reason(test, "no-heart", (double)NAN, (double)NAN);
    } else if (isnan(max_bpm)) {
        protocols_add_reason(test, "no-maximal", (double)NAN, (double)NAN);
    } else if (test->heart_end_ratio < limit) {
        protocols_add_reason(test, "not-maximal", 100.0 * test->heart_end_ratio, 100.0 * limit);
    }
}

struct ranged protocols_estimate(const struct protocols_ride *ride, double mean_w, double low,
                                 double high, double sd_pct)
{
    const double middle = (low + high) / 2.0;
    const double even = (high - low) / middle / sqrt(12.0); /* sd of an even spread */
    const double sd = hypot(hypot(sd_pct, ride->v[LIMIT_METER_PRECISION_PCT]) / 100.0, even);
    const double half = distributions_normal_quantile(0.95) * sd;
    const double value = middle * mean_w;
    return (struct ranged){ value, value * (1.0 - half), value * (1.0 + half) };
}

/* ---- the list ---- */

static struct protocols_ride look_at(struct arena *arena, const struct recording *recording,
                                     const struct rider_facts *facts, const struct limits *limits)
{
    const size_t n = recording->n_seconds;
    double *power = recording_series(arena, recording, CHANNEL_POWER);
    double *sum = ARENA_ARRAY(arena, double, n + 1);
    int32_t *known = ARENA_ARRAY(arena, int32_t, n + 1);
    for (size_t i = 0; i < n; i++) {
        power[i] = recording->paused[i] != 0 ? 0.0 : power[i];
        sum[i + 1] = sum[i] + (isnan(power[i]) ? 0.0 : power[i]);
        known[i + 1] = known[i] + (isnan(power[i]) ? 0 : 1);
    }
    const bool reads_heart = !facts->heart_medicine && !facts->pregnant;
    return (struct protocols_ride){
        .arena = arena,
        .recording = recording,
        .facts = facts,
        .limits = limits,
        .v = limits->value,
        .n = (int32_t)n,
        .power_w = power,
        .heart_bpm = reads_heart ? recording_series(arena, recording, CHANNEL_HEART_RATE) : NULL,
        .sum_w = sum,
        .known = known,
    };
}

static int by_time(const void *left, const void *right)
{
    const struct protocol_test *a = left;
    const struct protocol_test *b = right;
    return (a->span.from_s > b->span.from_s) - (a->span.from_s < b->span.from_s);
}

struct protocol_tests protocols_find(struct arena *arena, const struct recording *recording,
                                     const struct rider_facts *facts, const struct limits *limits)
{
    /* What holds more of the ride is asked first. */
    static protocols_finder *const finders[] = {
        protocols_find_hour,   protocols_find_many, protocols_find_twenty,
        protocols_find_eights, protocols_find_ramp, protocols_find_all_out,
    };
    enum { FINDERS = sizeof finders / sizeof finders[0] };
    struct protocol_tests tests = { 0 };
    struct span taken[FINDERS];
    if (!recording->is_ride || recording->value[CHANNEL_POWER] == NULL) {
        return tests;
    }
    tests.items = ARENA_ARRAY(arena, struct protocol_test, FINDERS);
    const struct protocols_ride ride = look_at(arena, recording, facts, limits);
    for (size_t i = 0; i < FINDERS; i++) {
        struct protocol_test test = { .w_prime_kj = (double)NAN, .heart_end_ratio = (double)NAN };
        if (finders[i](&ride, taken, tests.count, &test)) {
            test.valid = test.n_reasons == 0;
            taken[tests.count] = test.span;
            tests.items[tests.count++] = test;
        }
    }
    qsort(tests.items, tests.count, sizeof tests.items[0], by_time);
    return tests;
}

/* ---- the peak of heart rate ---- */

/* The hardest mean of that length ending anywhere; unknown seconds count as nothing ridden. */
static double hardest(const double sums[], int32_t n, int32_t length)
{
    double most = 0.0;
    for (int32_t end = length; end <= n; end++) {
        most = fmax(most, (sums[end] - sums[end - length]) / length);
    }
    return most;
}

/* The median of a few seconds; NAN unless all are known. */
static double clean_median(const double values[], size_t n)
{
    double sorted[32] = { 0 };
    for (size_t i = 0; i < n; i++) {
        if (isnan(values[i])) {
            return (double)NAN;
        }
        size_t k = i;
        for (; k > 0 && sorted[k - 1] > values[i]; k--) {
            sorted[k] = sorted[k - 1];
        }
        sorted[k] = values[i];
    }
    return n % 2 == 1 ? sorted[n / 2] : (sorted[n / 2 - 1] + sorted[n / 2]) / 2.0;
}

struct heart_peak protocols_heart_peak(struct arena *arena, const struct recording *recording,
                                       double threshold_w, const struct limits *limits)
{
    const double *v = limits->value;
    const int32_t n = (int32_t)recording->n_seconds;
    const int32_t length = (int32_t)v[LIMIT_PEAK_HEART_POWER_S];
    const int32_t few = (int32_t)v[LIMIT_PEAK_HEART_S];
    const double *heart = recording_series(arena, recording, CHANNEL_HEART_RATE);
    const double *power = recording_series(arena, recording, CHANNEL_POWER);
    struct heart_peak peak = { (double)NAN, 0 };
    if (heart == NULL || power == NULL || few < 1 || few > 30) {
        return peak;
    }
    double *sums = ARENA_ARRAY(arena, double, (size_t)n + 1);
    for (int32_t i = 0; i < n; i++) {
        sums[i + 1] = sums[i] + (isnan(power[i]) ? 0.0 : power[i]);
    }
    const double line = v[LIMIT_PEAK_HEART_POWER_RATIO] *
                        (isnan(threshold_w) ? hardest(sums, n, length) : threshold_w);
    for (int32_t t = length; t + few <= n; t++) {
        /* Most seconds are far below the highest so far. */
        if (heart[t] < peak.bpm || (sums[t] - sums[t - length]) / length < line || line <= 0.0) {
            continue;
        }
        const double bpm = clean_median(heart + t, (size_t)few);
        if (bpm > peak.bpm || (isnan(peak.bpm) && !isnan(bpm))) {
            peak = (struct heart_peak){ bpm, t };
        }
    }
    return peak;
}
