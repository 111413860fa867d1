/* coaching/cautions.c: heart rate that must be asked about. */
#include "coaching/cautions.h"

#include <math.h>

/* A stretch of heart rate that somebody should ask about. */
struct episode {
    int32_t from_s;
    int32_t seconds;
    int32_t from_bpm; /* the level that it left */
    int32_t peak_bpm; /* of a leap: within its first minute, the rest may be work */
    double power_w;   /* NAN = unknown */
    int32_t count;
};

enum { PEAK_WITHIN_S = 60 };

/* What the device wrote, whatever trust made of it; 0 = nothing, or the line that bridges a gap. */
static int32_t *raw_heart(struct arena *arena, const struct recording *recording)
{
    int32_t *heart = ARENA_ARRAY(arena, int32_t, recording->n_seconds);
    const struct samples *samples = &recording->samples;
    for (size_t i = 0; i < samples->count; i++) {
        const int32_t t = samples->time_s[i];
        const int32_t value = samples->value[CHANNEL_HEART_RATE][i];
        const bool kept = samples->dropped == NULL || samples->dropped[i] == 0;
        if (kept && t >= 0 && (size_t)t < recording->n_seconds && value != RECORDING_MISSING) {
            heart[t] = value;
        }
    }
    return heart;
}

/* Keeps the longest; ties: the earliest. */
static void keep_longest(struct episode *longest, struct episode found)
{
    const int32_t count = longest->count + 1;
    if (longest->count == 0 || found.seconds > longest->seconds) {
        *longest = found;
    }
    longest->count = count;
}

/* ---- above the maximal heart rate on file ---- */

static struct episode find_above_max(const int32_t heart[], int32_t n, double line_bpm,
                                     int32_t least_s)
{
    struct episode longest = { 0 };
    for (int32_t t = 0; t < n;) {
        struct episode run = { .from_s = t, .power_w = (double)NAN };
        while (t < n && (double)heart[t] > line_bpm) {
            run.peak_bpm = heart[t] > run.peak_bpm ? heart[t] : run.peak_bpm;
            t++;
        }
        run.seconds = t - run.from_s;
        if (run.seconds >= least_s) {
            keep_longest(&longest, run);
        }
        t += run.seconds == 0;
    }
    return longest;
}

/* ---- a leap ---- */

/* The mean of the known seconds of power in [from, to); NAN if less than half are known. */
static double known_mean(const double power_w[], int32_t n, int32_t from, int32_t to)
{
    double sum = 0.0;
    int32_t known = 0;
    for (int32_t t = from < 0 ? 0 : from; t < to && t < n; t++) {
        if (!isnan(power_w[t])) {
            sum += power_w[t];
            known++;
        }
    }
    return 2 * known >= to - from ? sum / (double)known : (double)NAN;
}

/* Whether power over the ten seconds before and after the leap stayed near that of the minute
 * before.  A fall counts as unchanged: heart rate has no reason to leap then.  Where power isn't
 * known, it doesn't explain the leap either: better asked once too often (0 such leaps in 25 h of
 * real rides without power). */
static bool power_unchanged(const double power_w[], int32_t n, int32_t t,
                            const struct limits *limits, double *during_w)
{
    *during_w = (double)NAN;
    if (power_w == NULL) {
        return true;
    }
    const int32_t within_s = (int32_t)limits->value[LIMIT_CAUTION_LEAP_WITHIN_S];
    const double before_w = known_mean(power_w, n, t - 60, t - within_s);
    *during_w = known_mean(power_w, n, t - within_s, t + within_s);
    if (isnan(before_w) || isnan(*during_w)) {
        return true;
    }
    const double share = limits->value[LIMIT_CAUTION_POWER_PCT] / 100.0;
    const double allowed_w = fmax(share * before_w, limits->value[LIMIT_CAUTION_POWER_W]);
    return *during_w - before_w <= allowed_w;
}

/* The lowest heart rate written in the seconds before t; 0 = none. */
static int32_t lowest_before(const int32_t heart[], int32_t t, int32_t within_s)
{
    int32_t lowest = 0;
    for (int32_t s = t - within_s < 0 ? 0 : t - within_s; s < t; s++) {
        if (heart[s] > 0 && (lowest == 0 || heart[s] < lowest)) {
            lowest = heart[s];
        }
    }
    return lowest;
}

/* Whether heart rate at t is also that far above the mean of the minute before the last seconds: a
 * strap that read low for a while and comes back makes no leap of the heart. */
static bool is_above_before(const int32_t heart[], int32_t t, int32_t within_s, int32_t leap_bpm)
{
    int64_t sum = 0;
    int64_t known = 0;
    for (int32_t s = t - 60 < 0 ? 0 : t - 60; s < t - within_s; s++) {
        sum += heart[s];
        known += heart[s] != 0;
    }
    return known > 0 && ((int64_t)heart[t] - leap_bpm) * known > sum;
}

/* The stretch from t on that stays more than `above` over the base; seconds that the device left
 * out are skipped, not counted. */
static struct episode stretch_above(const int32_t heart[], int32_t n, int32_t t, int32_t line_bpm)
{
    struct episode run = { .from_s = t };
    for (int32_t s = t; s < n && (heart[s] == 0 || heart[s] > line_bpm); s++) {
        run.seconds += heart[s] != 0;
        if (s - t < PEAK_WITHIN_S && heart[s] > run.peak_bpm) {
            run.peak_bpm = heart[s];
        }
    }
    return run;
}

static struct episode find_leaps(const int32_t heart[], const double power_w[], int32_t n,
                                 const struct limits *limits)
{
    const int32_t within_s = (int32_t)limits->value[LIMIT_CAUTION_LEAP_WITHIN_S];
    const int32_t leap_bpm = (int32_t)limits->value[LIMIT_CAUTION_LEAP_BPM];
    const int32_t least_s = (int32_t)limits->value[LIMIT_CAUTION_LEAP_LASTS_S];
    struct episode longest = { 0 };
    for (int32_t t = 1; t < n; t++) {
        if (heart[t] == 0) {
            continue;
        }
        const int32_t base = lowest_before(heart, t, within_s);
        if (base == 0 || heart[t] - base <= leap_bpm) {
            continue;
        }
        /* it has begun with the full leap; it lasts while two thirds of it are left.  Judged once,
         * where it begins: later its own seconds would be the minute before */
        struct episode run = stretch_above(heart, n, t, base + 2 * leap_bpm / 3);
        run.from_bpm = base;
        if (run.seconds >= least_s && is_above_before(heart, t, within_s, leap_bpm) &&
            power_unchanged(power_w, n, t, limits, &run.power_w)) {
            keep_longest(&longest, run);
        }
        t += run.seconds;
    }
    return longest;
}

static struct cause *add(struct arena *arena, struct causes *cautions, const char *code,
                         const struct episode *episode)
{
    struct cause *cause = causes_add(arena, cautions, code);
    cause_number(cause, "peak_bpm", (double)episode->peak_bpm);
    cause_number(cause, "seconds", (double)episode->seconds);
    cause_number(cause, "from_s", (double)episode->from_s);
    cause_number(cause, "count", (double)episode->count);
    return cause;
}

void cautions_find(struct arena *arena, const struct recording *recording,
                   const struct rider_facts *facts, const struct limits *limits,
                   struct causes *cautions)
{
    if (recording->samples.value[CHANNEL_HEART_RATE] == NULL || recording->n_seconds == 0) {
        return;
    }
    const int32_t n = (int32_t)recording->n_seconds;
    const int32_t *heart = raw_heart(arena, recording);
    const double *power_w = recording_series(arena, recording, CHANNEL_POWER);
    const struct episode leap = find_leaps(heart, power_w, n, limits);
    if (leap.count > 0) {
        struct cause *cause = add(arena, cautions, "heart-leap", &leap);
        cause_number(cause, "from_bpm", (double)leap.from_bpm);
        cause_number(cause, "peak_within_s", PEAK_WITHIN_S);
        if (!isnan(leap.power_w)) {
            cause_number(cause, "power_w", leap.power_w);
        }
    }
    if (!isnan(facts->max_heart_rate_bpm)) {
        const struct episode above = find_above_max(
            heart, n, facts->max_heart_rate_bpm + limits->value[LIMIT_CAUTION_ABOVE_MAX_BPM],
            (int32_t)limits->value[LIMIT_CAUTION_ABOVE_MAX_S]);
        if (above.count > 0) {
            struct cause *cause = add(arena, cautions, "heart-far-above-max", &above);
            cause_number(cause, "max_bpm", facts->max_heart_rate_bpm);
        }
    }
}
