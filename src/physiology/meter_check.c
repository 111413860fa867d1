/* physiology/meter_check.c: two power meters on one ride, held against each other. */
#include "physiology/meter_check.h"

#include "maths/distributions.h"
#include "maths/summary.h"

#include <math.h>
#include <stdlib.h>

enum { BLOCK = 60, SMOOTH = 10 };

struct pair {
    const double *a;
    size_t n_a;
    const double *b;
    size_t n_b;
};

/* The second of b that belongs to second t of a; NAN outside. */
static double other(const struct pair *pair, size_t t, int32_t lag_s)
{
    const int64_t at = (int64_t)t + lag_s;
    return at < 0 || at >= (int64_t)pair->n_b ? (double)NAN : pair->b[at];
}

/* Means of the next `length` seconds of both, NAN where one is not wholly known. */
static void means(const struct pair *pair, size_t from, size_t length, int32_t lag_s, double *a,
                  double *b)
{
    double sum_a = 0.0;
    double sum_b = 0.0;
    for (size_t t = from; t < from + length; t++) {
        sum_a += pair->a[t];
        sum_b += other(pair, t, lag_s); /* one NAN makes it all NAN */
    }
    const double both = sum_a + sum_b;
    *a = isnan(both) ? (double)NAN : sum_a / (double)length;
    *b = isnan(both) ? (double)NAN : sum_b / (double)length;
}

/* ---- the lag ---- */

struct work {
    double *a;
    double *b;
};

static double correlation_at(const struct pair *pair, int32_t lag_s, const struct work *work,
                             size_t *known)
{
    size_t n = 0;
    *known = 0;
    for (size_t t = 0; t + SMOOTH <= pair->n_a; t += SMOOTH) {
        means(pair, t, SMOOTH, lag_s, &work->a[n], &work->b[n]);
        *known += isnan(work->a[n]) ? 0 : 1;
        n++;
    }
    return summary_correlation(work->a, work->b, n);
}

/* The nearer to the guess of equal ones. */
static void find_lag(const struct pair *pair, int32_t guess_s, const struct work *work,
                     const struct limits *limits, struct meter_check *check)
{
    const int32_t most = (int32_t)limits->value[LIMIT_METER_LAG_S];
    const double least_known = limits->value[LIMIT_METER_BLOCKS] * BLOCK / SMOOTH;
    check->correlation = -2.0;
    for (int32_t i = 0; i <= 2 * most; i++) {
        const int32_t lag = guess_s + (i % 2 == 0 ? i / 2 : -(i + 1) / 2);
        size_t known = 0;
        const double correlation = correlation_at(pair, lag, work, &known);
        check->shared_min = fmax(check->shared_min, (double)known * SMOOTH / 60.0);
        if ((double)known >= least_known && correlation > check->correlation) {
            check->correlation = correlation;
            check->lag_s = lag;
        }
    }
}

static double spread_pct(const double means[], size_t n)
{
    return 100.0 * summary_sd(means, n) / summary_mean(means, n);
}

/* ---- the offset ---- */

struct block {
    double mean_w; /* of both */
    double log_ratio;
};

static int by_mean(const void *x, const void *y)
{
    const double a = ((const struct block *)x)->mean_w;
    const double b = ((const struct block *)y)->mean_w;
    return (a > b) - (a < b);
}

/* In the order of the ride, so that neighbours that go together are seen as such. */
static size_t take_blocks(const struct pair *pair, int32_t lag_s, const struct limits *limits,
                          struct block blocks[])
{
    size_t n = 0;
    for (size_t t = 0; t + BLOCK <= pair->n_a; t += BLOCK) {
        double a = 0.0;
        double b = 0.0;
        means(pair, t, BLOCK, lag_s, &a, &b);
        if (a >= limits->value[LIMIT_METER_LEAST_W] && b >= limits->value[LIMIT_METER_LEAST_W]) {
            blocks[n++] = (struct block){ (a + b) / 2.0, log(b / a) };
        }
    }
    return n;
}

/* Minutes of one ride aren't independent (a meter warms up, and drifts): with their
 * autocorrelation r at lag 1 they are worth n (1 - r) / (1 + r) that are (Bayley and Hammersley
 * 1946, J R Stat Soc Suppl 8:184-197, from memory).  Of a short series r comes out too low, by
 * (1 + 3 r) / n (Kendall 1954, Biometrika 41:403-404, from memory): that is put back, or a meter
 * that wanders over minutes is believed too much. */
static struct meter_offset offset_of(struct arena *arena, const struct block blocks[], size_t n,
                                     double from_w, double to_w, const struct limits *limits)
{
    const double none = (double)NAN;
    struct meter_offset offset = { none, none, none, none, none, none, 0 };
    double *logs = ARENA_ARRAY(arena, double, n);
    double *watts = ARENA_ARRAY(arena, double, n);
    size_t used = 0;
    for (size_t i = 0; i < n; i++) {
        if (blocks[i].mean_w >= from_w && blocks[i].mean_w < to_w) {
            logs[used] = blocks[i].log_ratio;
            watts[used++] = blocks[i].mean_w;
        }
    }
    offset.minutes = used;
    if ((double)used < limits->value[LIMIT_METER_BLOCKS]) {
        return offset;
    }
    const double seen = summary_autocorrelation(logs, used);
    const double r = fmin(fmax(seen + (1.0 + 3.0 * seen) / (double)used, 0.0), 0.95);
    const double worth = fmax((double)used * (1.0 - r) / (1.0 + r), 2.0);
    const double mean = summary_mean(logs, used);
    const double se = summary_sd(logs, used) / sqrt(worth);
    const double half = distributions_t_quantile(0.95, worth - 1.0) * se;
    const double day = distributions_normal_quantile(0.95) * sqrt(2.0) *
                       limits->value[LIMIT_METER_PRECISION_PCT] / 100.0;
    const double any = sqrt(half * half + day * day);
    offset.pct = 100.0 * expm1(mean);
    offset.low = 100.0 * expm1(mean - half);
    offset.high = 100.0 * expm1(mean + half);
    offset.any_day_low = 100.0 * expm1(mean - any);
    offset.any_day_high = 100.0 * expm1(mean + any);
    offset.mean_w = summary_mean(watts, used);
    return offset;
}

struct meter_check meter_check(struct arena *arena, const double a[], size_t n_a, const double b[],
                               size_t n_b, int32_t guess_s, const struct limits *limits)
{
    const double none = (double)NAN;
    const struct meter_offset unknown = { none, none, none, none, none, none, 0 };
    struct meter_check check = {
        .correlation = none, .spread_pct = none, .all = unknown, .gentle = unknown, .hard = unknown
    };
    const struct pair pair = { a, n_a, b, n_b };
    const size_t n_smooth = n_a / SMOOTH + 1;
    const struct work work = { ARENA_ARRAY(arena, double, n_smooth),
                               ARENA_ARRAY(arena, double, n_smooth) };
    find_lag(&pair, guess_s, &work, limits, &check);
    if (check.correlation < -1.0) {
        /* Power that never changes has no correlation. */
        const double least_min = limits->value[LIMIT_METER_BLOCKS];
        check.correlation = none;
        check.state = check.shared_min < least_min ? METER_CHECK_APART : METER_CHECK_EVEN;
        check.spread_pct = check.state == METER_CHECK_EVEN ? 0.0 : none;
        return check;
    }
    size_t known = 0;
    (void)correlation_at(&pair, check.lag_s, &work, &known);
    const size_t n_means = n_a / SMOOTH;
    check.spread_pct = fmin(spread_pct(work.a, n_means), spread_pct(work.b, n_means));
    if (!(check.correlation >= limits->value[LIMIT_METER_CORRELATION])) {
        check.state = check.spread_pct < limits->value[LIMIT_METER_EVEN_PCT] ? METER_CHECK_EVEN
                                                                             : METER_CHECK_NO_MATCH;
        return check;
    }
    struct block *blocks = ARENA_ARRAY(arena, struct block, n_a / BLOCK + 1);
    const size_t n = take_blocks(&pair, check.lag_s, limits, blocks);
    struct block *sorted = arena_copy(arena, blocks, n * sizeof blocks[0]);
    qsort(sorted, n, sizeof sorted[0], by_mean);
    const double infinite = (double)INFINITY;
    const double middle_w = n == 0 ? 0.0 : sorted[n / 2].mean_w;
    check.all = offset_of(arena, blocks, n, 0.0, infinite, limits);
    check.gentle = offset_of(arena, blocks, n, 0.0, middle_w, limits);
    check.hard = offset_of(arena, blocks, n, middle_w, infinite, limits);
    check.state = isnan(check.all.pct) ? METER_CHECK_APART : METER_CHECK_KNOWN;
    return check;
}
