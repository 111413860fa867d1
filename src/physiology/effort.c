/* physiology/effort.c: was a best ridden all-out? */
#include "physiology/effort.h"

#include "maths/summary.h"

#include <math.h>

static const int32_t durations[EFFORT_DURATIONS] = { 10, 15, 60, 300, 600, 1200 };

const int32_t *effort_durations(size_t *count)
{
    *count = sizeof durations / sizeof durations[0];
    return durations;
}

/* The mean of a span's known seconds, NAN unless at least the share `known` of them is. */
static double mean_of(const double values[], int32_t from_s, int32_t to_s, double known)
{
    const size_t n = (size_t)(to_s - from_s);
    if (values == NULL || n == 0 || (double)summary_count(values + from_s, n) < known * (double)n) {
        return (double)NAN;
    }
    return summary_mean(values + from_s, n);
}

/* Heart rate at the end of an effort; NAN where it may not be read. */
static double heart_end(const double heart_bpm[], const struct effort *effort,
                        const struct rider_facts *facts, const struct limits *limits)
{
    const int32_t end_s = effort->start_s + effort->duration_s;
    const int32_t last_s = (int32_t)limits->value[LIMIT_EFFORT_END_S];
    if (facts->heart_medicine || facts->pregnant || last_s > effort->duration_s) {
        return (double)NAN;
    }
    return mean_of(heart_bpm, end_s - last_s, end_s, limits->value[LIMIT_EFFORT_KNOWN_RATIO]);
}

/* Last quarter against first. */
static double fall(const double power_w[], const struct effort *effort)
{
    const int32_t quarter = effort->duration_s / 4;
    const int32_t end_s = effort->start_s + effort->duration_s;
    if (quarter < 2) {
        return (double)NAN;
    }
    const double first = mean_of(power_w, effort->start_s, effort->start_s + quarter, 1.0);
    const double last = mean_of(power_w, end_s - quarter, end_s, 1.0);
    return first > 0.0 ? last / first : (double)NAN;
}

/* Seconds whose mean of ten, centred, is below a power. */
static double easy_seconds(const double power_w[], const struct effort *effort, double below_w)
{
    enum { HALF = 5 };
    const int32_t end_s = effort->start_s + effort->duration_s;
    double seconds = 0.0;
    for (int32_t t = effort->start_s; t < end_s; t++) {
        const int32_t from = t - HALF < effort->start_s ? effort->start_s : t - HALF;
        const int32_t to = t + HALF > end_s ? end_s : t + HALF;
        seconds += mean_of(power_w, from, to, 1.0) < below_w ? 1.0 : 0.0;
    }
    return seconds;
}

static bool is_whole(const double power_w[], const struct effort *effort,
                     const struct limits *limits)
{
    const double *v = limits->value;
    const int32_t quarter = effort->duration_s / 4;
    for (int32_t i = 0; i < 4; i++) {
        const int32_t from = effort->start_s + i * quarter;
        if (mean_of(power_w, from, from + quarter, 1.0) <
            v[LIMIT_EFFORT_QUARTER_RATIO] * effort->power_w) {
            return false;
        }
    }
    return easy_seconds(power_w, effort, v[LIMIT_EFFORT_EASY_RATIO] * effort->power_w) <=
           v[LIMIT_EFFORT_EASY_SHARE] * effort->duration_s;
}

static double watts(const double power_w[], int32_t t)
{
    return isnan(power_w[t]) ? 0.0 : power_w[t];
}

/* The mean of [from, to); what lies outside the ride, is paused or unknown counts as zero. */
static double mean_or_zero(const double power_w[], int32_t n_seconds, int32_t from, int32_t to)
{
    double sum = 0.0;
    for (int32_t t = from < 0 ? 0 : from; t < to && t < n_seconds; t++) {
        sum += watts(power_w, t);
    }
    return sum / (double)(to - from);
}

/* The best of its duration, and yet a part of something longer: the quarter of its length before
 * it, or behind, is as hard.  The best 5 min of an all-out 20 weren't all-out. */
static bool is_part(const double power_w[], int32_t n_seconds, const struct effort *effort,
                    const struct limits *limits)
{
    const int32_t quarter = effort->duration_s / 4;
    const int32_t end_s = effort->start_s + effort->duration_s;
    const double least = limits->value[LIMIT_EFFORT_QUARTER_RATIO] * effort->power_w;
    return mean_or_zero(power_w, n_seconds, effort->start_s - quarter, effort->start_s) >= least ||
           mean_or_zero(power_w, n_seconds, end_s, end_s + quarter) >= least;
}

/* Ridden nearly as hard a second time: something was kept back the first time. */
static bool is_again(const double power_w[], int32_t n_seconds, const struct effort *effort,
                     const struct limits *limits)
{
    const int32_t length = effort->duration_s;
    const int32_t end_s = effort->start_s + length;
    const double least = limits->value[LIMIT_EFFORT_AGAIN_RATIO] * effort->power_w * (double)length;
    double sum = 0.0;
    int32_t known = 0; /* seconds in sum: those since the start, or since the effort's end */
    for (int32_t t = 0; t < n_seconds; t++) {
        if (t == effort->start_s) {
            sum = 0.0;
            known = 0;
            t = end_s - 1;
            continue;
        }
        sum += watts(power_w, t) - (known == length ? watts(power_w, t - length) : 0.0);
        known += known < length ? 1 : 0;
        if (known == length && sum >= least) {
            return true;
        }
    }
    return false;
}

/* All that tells from 3 min on whether the coach's word or the heart can speak for it. */
static bool stands_alone(const double power_w[], int32_t n_seconds, const struct effort *effort,
                         const struct limits *limits)
{
    return effort->is_whole && !is_part(power_w, n_seconds, effort, limits) &&
           !is_again(power_w, n_seconds, effort, limits);
}

static unsigned evidence_of(const double power_w[], int32_t n_seconds, const struct effort *effort,
                            const struct rider_facts *facts, const struct limits *limits,
                            bool marked)
{
    const double *v = limits->value;
    const bool is_short = effort->duration_s < v[LIMIT_EFFORT_HEART_LEAST_S];
    /* An unknown number is never below anything. */
    const bool is_sprint =
        !(100.0 * effort->power_w < v[LIMIT_EFFORT_SHORT_PCT] * facts->threshold_w);
    unsigned evidence = marked && (!is_short || is_sprint) ? EFFORT_MARKED : 0;
    /* Nor at least anything. */
    if (!is_short &&
        effort->heart_end_bpm >= v[LIMIT_EFFORT_HEART_RATIO] * facts->max_heart_rate_bpm) {
        evidence |= EFFORT_HEART;
    }
    if (!is_short && evidence != 0 && !stands_alone(power_w, n_seconds, effort, limits)) {
        evidence = 0;
    }
    if (is_short && effort->fall_ratio <= v[LIMIT_EFFORT_FALL_RATIO] &&
        100.0 * effort->power_w >= v[LIMIT_EFFORT_SHORT_PCT] * facts->threshold_w) {
        evidence |= EFFORT_FADED;
    }
    return evidence;
}

static bool is_asked(int32_t duration_s)
{
    for (size_t i = 0; i < sizeof durations / sizeof durations[0]; i++) {
        if (durations[i] == duration_s) {
            return true;
        }
    }
    return false;
}

size_t efforts_of(struct arena *arena, const struct recording *recording, const struct bests *bests,
                  const struct rider_facts *facts, const struct limits *limits, bool marked,
                  struct effort out[])
{
    size_t n = 0;
    if (!recording->is_ride || bests->count == 0) {
        return 0;
    }
    const double *power_w = recording_series(arena, recording, CHANNEL_POWER);
    const double *heart_bpm = recording_series(arena, recording, CHANNEL_HEART_RATE);
    for (size_t i = 0; i < bests->count; i++) {
        const struct best *best = &bests->items[i];
        if (!is_asked(best->duration_s) || best->at_least || best->touches_mask) {
            continue;
        }
        struct effort *effort = &out[n++];
        *effort = (struct effort){ .duration_s = best->duration_s,
                                   .power_w = best->power_w,
                                   .start_s = best->start_s };
        effort->heart_end_bpm = heart_end(heart_bpm, effort, facts, limits);
        effort->is_whole = effort->duration_s >= 8 && is_whole(power_w, effort, limits);
        effort->fall_ratio = fall(power_w, effort);
        effort->evidence =
            evidence_of(power_w, (int32_t)recording->n_seconds, effort, facts, limits, marked);
    }
    return n;
}
