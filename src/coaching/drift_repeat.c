/* coaching/drift_repeat.c: how a base test repeats. */
#include "coaching/drift_repeat.h"

#include "coaching/words/rider_words.h"
#include "maths/distributions.h"
#include "maths/mixed_model.h"

#include <math.h>
#include <stdlib.h>

static const double INTERVAL = 0.90;
static const double WEEK_DAYS = 7.0;

static void say_worth(struct drift_repeat *repeat)
{
    const double share = distributions_normal_cdf(-repeat->half_bpm / repeat->sd_bpm);
    repeat->pass_pct = 100.0 * share;
    repeat->twice_pct = 100.0 * share * share;
}

struct drift_repeat drift_repeat_assumed(const struct limits *limits)
{
    const double none = (double)NAN;
    const double half = limits->value[LIMIT_REPEAT_HALF_BPM];
    const double own = limits->value[LIMIT_REPEAT_SD_BPM];
    /* The assumed scatter is the rider's; what a test shows has its own error on top. */
    const double error = half / distributions_normal_quantile(0.5 + 0.5 * INTERVAL);
    struct drift_repeat repeat = { .sd_bpm = own,
                                   .low_bpm = none,
                                   .high_bpm = none,
                                   .trend_bpm = none,
                                   .trend_low_bpm = none,
                                   .trend_high_bpm = none,
                                   .half_bpm = half };
    repeat.sd_bpm = sqrt(own * own + error * error);
    say_worth(&repeat);
    repeat.sd_bpm = own;
    return repeat;
}

/* ---- stretches ---- */

struct rows {
    size_t n;
    size_t groups;
    double *y;
    double *x; /* [n x 2] 1, weeks into the stretch */
    double *z; /* [n] ones */
    size_t *group;
};

static struct rows rows_of(struct arena *arena, const struct repeat_test tests[], size_t n,
                           const struct limits *limits, struct drift_repeat *repeat)
{
    const int64_t apart = (int64_t)limits->value[LIMIT_REPEAT_DAYS];
    const int64_t longest = (int64_t)limits->value[LIMIT_STATE_OLD_DAYS];
    struct rows rows = { .y = ARENA_ARRAY(arena, double, n),
                         .x = ARENA_ARRAY(arena, double, 2 * n),
                         .z = ARENA_ARRAY(arena, double, n),
                         .group = ARENA_ARRAY(arena, size_t, n) };
    int64_t rider = 0;
    for (size_t from = 0; from < n;) {
        size_t to = from + 1;
        while (to < n && tests[to].rider == tests[from].rider &&
               tests[to].day - tests[to - 1].day <= apart &&
               tests[to].day - tests[from].day <= longest) {
            to++;
        }
        if (to - from > 1) { /* a test alone says nothing of how one repeats */
            repeat->n_pairs += to - from - 1;
            repeat->n_tests += to - from;
            repeat->n_riders += repeat->n_riders == 0 || rider != tests[from].rider ? 1 : 0;
            rider = tests[from].rider;
            for (size_t i = from; i < to; i++) {
                rows.y[rows.n] = tests[i].drift_bpm;
                rows.x[2 * rows.n] = 1.0;
                rows.x[2 * rows.n + 1] = (double)(tests[i].day - tests[from].day) / WEEK_DAYS;
                rows.z[rows.n] = 1.0;
                rows.group[rows.n++] = rows.groups;
            }
            rows.groups++;
        }
        from = to;
    }
    return rows;
}

static int by_value(const void *a, const void *b)
{
    const double x = *(const double *)a;
    const double y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median_half(struct arena *arena, const struct repeat_test tests[], size_t n)
{
    double *halves = ARENA_ARRAY(arena, double, n);
    size_t known = 0;
    for (size_t i = 0; i < n; i++) {
        const double half = 0.5 * (tests[i].high_bpm - tests[i].low_bpm);
        if (isfinite(half)) {
            halves[known++] = half;
        }
    }
    if (known == 0) {
        return (double)NAN;
    }
    qsort(halves, known, sizeof halves[0], by_value);
    return 0.5 * (halves[known / 2] + halves[(known - 1) / 2]);
}

/* The quantile of chi-square over its degrees of freedom, at the normal quantile z: Wilson and
 * Hilferty 1931, Proc Natl Acad Sci 17:684; right to 0.2 % from 19 degrees on.  A profile of the
 * likelihood says the same and costs a hundred fits, at every look at a rider. */
static double chi_square_ratio(double freedom, double z)
{
    return pow(1.0 - 2.0 / (9.0 * freedom) + z * sqrt(2.0 / (9.0 * freedom)), 3.0);
}

struct drift_repeat drift_repeat_of(struct arena *arena, const struct repeat_test tests[], size_t n,
                                    const struct limits *limits)
{
    struct drift_repeat repeat = drift_repeat_assumed(limits);
    if (n == 0) {
        return repeat;
    }
    const struct rows rows = rows_of(arena, tests, n, limits, &repeat);
    if ((double)repeat.n_pairs < limits->value[LIMIT_REPEAT_PAIRS]) {
        return repeat;
    }
    const struct mixed_problem problem = { .n = rows.n,
                                           .k = 2,
                                           .q = 1,
                                           .groups = rows.groups,
                                           .y = rows.y,
                                           .x = rows.x,
                                           .z = rows.z,
                                           .group = rows.group };
    struct mixed_fit fit;
    const double half = median_half(arena, tests, n);
    if (mixed_model_fit(arena, &problem, &fit) != MIXED_FITTED || !(fit.residual > 0.0) ||
        !isfinite(half)) {
        return repeat;
    }
    repeat.is_own = true;
    repeat.sd_bpm = sqrt(fit.residual);
    /* What is left within the stretches after their levels and the slope. */
    const double freedom = (double)rows.n - (double)rows.groups - 1.0;
    const double edge = distributions_normal_quantile(0.5 + 0.5 * INTERVAL);
    repeat.low_bpm = repeat.sd_bpm / sqrt(chi_square_ratio(freedom, edge));
    repeat.high_bpm = repeat.sd_bpm / sqrt(chi_square_ratio(freedom, -edge));
    repeat.trend_bpm = fit.fixed[1];
    repeat.trend_low_bpm = fit.low[1];
    repeat.trend_high_bpm = fit.high[1];
    repeat.half_bpm = half;
    say_worth(&repeat);
    return repeat;
}

size_t drift_repeat_tests(int64_t rider, const struct rider_history *history,
                          const struct limits *limits, struct repeat_test out[])
{
    const int64_t since = history->today - (int64_t)limits->value[LIMIT_REPEAT_SINCE_DAYS];
    size_t n = 0;
    for (size_t i = history_ride_from(history, since); i < history->n_rides; i++) {
        const struct past_ride *ride = &history->rides[i];
        if (ride->base.is_asked && !ride->spoiled && ride->base.verdict != VERDICT_CANNOT_TELL &&
            isfinite(ride->base.estimate)) {
            out[n++] = (struct repeat_test){ rider, ride->day, ride->base.estimate, ride->base.low,
                                             ride->base.high };
        }
    }
    return n;
}

void drift_repeat_beside(struct arena *arena, const struct drift_repeat *repeat,
                         const struct limits *limits, struct reading *reading)
{
    if (reading->question != QUESTION_BASE || reading->verdict == VERDICT_CANNOT_TELL ||
        !isfinite(reading->estimate)) {
        return;
    }
    const double needed = reading_limit(reading, limits, LIMIT_REPEAT_PAIRS);
    struct cause *cause =
        causes_add(arena, &reading->because, repeat->is_own ? "test-repeats" : "repeat-unknown");
    cause_number(cause, "repeat_pairs", (double)repeat->n_pairs);
    cause_number(cause, "needed", needed);
    if (repeat->is_own) {
        cause_number(cause, "sd_bpm", repeat->sd_bpm);
        cause_number(cause, "low_bpm", repeat->low_bpm);
        cause_number(cause, "high_bpm", repeat->high_bpm);
    }
    cause->text = words_test_repeats(arena, cause, repeat->is_own);
    if (repeat->is_own) {
        reading->text = arena_format(arena, "%s %s", reading->text, cause->text);
    }
}
