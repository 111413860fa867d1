/* recording/trust_heart.c: heart rate that no heart made. */
#include "recording/trust_parts.h"

#include <math.h>
#include <stdlib.h>

static const enum channel HEART = CHANNEL_HEART_RATE;

/* ---- a value that stands still ---- */

enum { SMOOTH_S = 30 };

/* (highest - lowest) / mean of the 30-s mean powers that end inside the span; NAN where power isn't
 * known there. */
static double power_change_ratio(const struct recording *recording, struct span span)
{
    if (recording->value[CHANNEL_POWER] == NULL) {
        return (double)NAN;
    }
    const int32_t *power = recording->value[CHANNEL_POWER];
    const int32_t from = span.from_s < SMOOTH_S ? 0 : span.from_s - SMOOTH_S + 1;
    int64_t window_w = 0;
    int32_t usable_s = 0;
    double lowest = (double)NAN;
    double highest = (double)NAN;
    double sum = 0.0;
    double n = 0.0;
    for (int32_t t = from; t < span.to_s; t++) {
        if (trust_is_usable(recording, CHANNEL_POWER, (size_t)t)) {
            window_w += power[t];
            usable_s++;
        }
        const int32_t gone = t - SMOOTH_S;
        if (gone >= from && trust_is_usable(recording, CHANNEL_POWER, (size_t)gone)) {
            window_w -= power[gone];
            usable_s--;
        }
        if (usable_s == SMOOTH_S) {
            const double mean = (double)window_w / SMOOTH_S;
            lowest = isnan(lowest) ? mean : fmin(lowest, mean);
            highest = isnan(highest) ? mean : fmax(highest, mean);
            sum += mean;
            n += 1.0;
        }
    }
    return sum > 0.0 ? (highest - lowest) / (sum / n) : (double)NAN;
}

/* The run of one heart rate that begins at t. */
static struct span one_heart_rate(const struct recording *recording, int32_t t, int32_t *n_real)
{
    const int32_t n = (int32_t)recording->n_seconds;
    const int32_t *heart = recording->value[HEART];
    struct span run = { t, t };
    *n_real = 0;
    while (run.to_s < n && trust_is_usable(recording, HEART, (size_t)run.to_s) &&
           heart[run.to_s] == heart[t]) {
        *n_real += trust_is_real(recording, HEART, (size_t)run.to_s);
        run.to_s++;
    }
    return run;
}

/* The highest heart rate of the ride; 0 if none is usable. */
static int32_t highest_heart_rate(const struct recording *recording)
{
    int32_t highest = 0;
    for (size_t t = 0; t < recording->n_seconds; t++) {
        if (trust_is_usable(recording, HEART, t) && recording->value[HEART][t] > highest) {
            highest = recording->value[HEART][t];
        }
    }
    return highest;
}

void trust_heart_flat(struct arena *arena, struct recording *recording, const struct limits *limits)
{
    const int32_t n = (int32_t)recording->n_seconds;
    const double least_s = limits->value[LIMIT_FLAT_LEAST_S];
    const double alone_s = limits->value[LIMIT_FLAT_ALONE_S];
    const double change = limits->value[LIMIT_FLAT_POWER_CHANGE_PCT] / 100.0;
    const int32_t lag_s = (int32_t)limits->value[LIMIT_FLAT_LAG_S];
    /* at its top a heart stands still over ups and downs of the power: there, twice the change */
    const int32_t top_bpm = highest_heart_rate(recording) - 1;
    struct trust_run found =
        trust_run_begin(arena, recording, "heart-flat", HEART, EFFECT_MASKED, "at_bpm", limits);
    for (int32_t t = 0; t < n;) {
        if (!trust_is_real(recording, HEART, (size_t)t)) {
            t++;
            continue;
        }
        int32_t n_real = 0;
        const struct span run = one_heart_rate(recording, t, &n_real);
        /* n_real: a bridge between two equal values is flat by making */
        if ((double)n_real >= least_s) {
            /* what changed in the last seconds the heart hasn't answered yet */
            const double changed =
                power_change_ratio(recording, (struct span){ run.from_s, run.to_s - lag_s });
            const double needed = recording->value[HEART][t] >= top_bpm ? 2.0 * change : change;
            if (changed > needed || (isnan(changed) && (double)n_real >= alone_s)) {
                trust_mask(recording, HEART, run, MASK_STUCK);
                trust_run_add(&found, run, (double)recording->value[HEART][t]);
            }
        }
        t = run.to_s;
    }
    trust_run_end(&found);
}

/* ---- too low for the work ---- */

enum { LOW_WORK_S = 120 };

/* A sensor that has lost the skin writes 40 or 60 at full work.  Only what no heart can do is taken
 * here; what is low for this rider needs the rider's history. */
void trust_heart_low(struct arena *arena, struct recording *recording, const struct limits *limits)
{
    const int32_t *power = recording->value[CHANNEL_POWER];
    if (power == NULL) {
        return;
    }
    const int32_t n = (int32_t)recording->n_seconds;
    const double below_bpm = limits->value[LIMIT_LOW_BELOW_BPM];
    const double least_w = limits->value[LIMIT_LOW_POWER_W];
    const int32_t least_s = (int32_t)limits->value[LIMIT_LOW_LEAST_S];
    struct trust_run found =
        trust_run_begin(arena, recording, "heart-low", HEART, EFFECT_MASKED, "power_w", limits);
    int64_t work_w = 0; /* of the two minutes before t; unknown seconds count as none */
    struct span run = { 0, 0 };
    double most_w = 0.0;
    for (int32_t t = 0; t <= n; t++) {
        const bool low = t < n && trust_is_usable(recording, HEART, (size_t)t) &&
                         (double)recording->value[HEART][t] < below_bpm &&
                         (double)work_w >= least_w * LOW_WORK_S;
        if (low) {
            run.from_s = run.to_s == t && run.to_s > 0 ? run.from_s : t;
            most_w = run.from_s == t ? 0.0 : most_w;
            most_w = fmax(most_w, (double)work_w / LOW_WORK_S);
            run.to_s = t + 1;
        } else if (run.to_s == t && run.to_s - run.from_s >= least_s) {
            trust_mask(recording, HEART, run, MASK_ARTEFACT);
            trust_run_add(&found, run, most_w);
        }
        if (t < n && trust_is_usable(recording, CHANNEL_POWER, (size_t)t)) {
            work_w += power[t];
        }
        const int32_t gone = t - LOW_WORK_S;
        if (gone >= 0 && trust_is_usable(recording, CHANNEL_POWER, (size_t)gone)) {
            work_w -= power[gone];
        }
    }
    trust_run_end(&found);
}

/* ---- a jump and back ---- */

/* Whether a sprint lies in the last seconds before t: far above the power of the minute before it.
 * Then heart rate may climb fast for a good reason; but it sinks slowly, and a strap falls back. */
static bool follows_sprint(const struct recording *recording, int32_t t,
                           const struct limits *limits)
{
    const int32_t *power = recording->value[CHANNEL_POWER];
    if (power == NULL) {
        return false;
    }
    const int32_t near_s = (int32_t)limits->value[LIMIT_JUMP_SPRINT_S];
    int64_t before_w = 0;
    int32_t before_s = 0;
    int32_t most_w = 0;
    for (int32_t s = t - near_s - 60 < 0 ? 0 : t - near_s - 60; s <= t; s++) {
        if (!trust_is_usable(recording, CHANNEL_POWER, (size_t)s)) {
            continue;
        }
        if (s < t - near_s) {
            before_w += power[s];
            before_s++;
        } else if (power[s] > most_w) {
            most_w = power[s];
        }
    }
    return (double)most_w >= limits->value[LIMIT_JUMP_SPRINT_W] &&
           (double)most_w * before_s >= limits->value[LIMIT_JUMP_SPRINT_RATIO] * (double)before_w;
}

/* The last second before a jump at t: the value within the last seconds that lies farthest from
 * this one, if that is more than a heart can do; else -1.  Ties: the latest. */
static int32_t jump_base(const struct recording *recording, int32_t t, int32_t within_s,
                         int32_t above_bpm)
{
    const int32_t *heart = recording->value[HEART];
    int32_t base = -1;
    int32_t farthest = above_bpm;
    for (int32_t s = t - 1; s >= 0 && s >= t - within_s; s--) {
        if (!trust_is_usable(recording, HEART, (size_t)s)) {
            break;
        }
        const int32_t distance = abs(heart[t] - heart[s]);
        if (distance > farthest) {
            farthest = distance;
            base = s;
        }
    }
    return base;
}

/* Whether heart rate has just gone back by as much as no heart does: the other edge of a jump,
 * wherever the heart itself went meanwhile (an effort may have begun or ended under it). */
static bool jumps_back(const struct recording *recording, int32_t t, int32_t s, int32_t sign,
                       const struct limits *limits)
{
    const int32_t *heart = recording->value[HEART];
    const int32_t within_s = (int32_t)limits->value[LIMIT_JUMP_WITHIN_S];
    for (int32_t r = s - 1; r >= t && r >= s - within_s; r--) {
        if (trust_is_usable(recording, HEART, (size_t)r) &&
            (double)(sign * (heart[r] - heart[s])) > limits->value[LIMIT_JUMP_ABOVE_BPM]) {
            return true;
        }
    }
    return false;
}

/* The first second after t at which heart rate is back near its value at base, or beyond it (the
 * heart went on meanwhile), or jumps back; -1 if it isn't within the limit.  *far keeps how far it
 * had gone. */
static int32_t jump_end(const struct recording *recording, int32_t base, int32_t t,
                        const struct limits *limits, int32_t *far)
{
    const int32_t within_s = (int32_t)limits->value[LIMIT_JUMP_BACK_S];
    const int32_t near_bpm = (int32_t)limits->value[LIMIT_JUMP_NEAR_BPM];
    const int32_t n = (int32_t)recording->n_seconds;
    const int32_t *heart = recording->value[HEART];
    const int32_t sign = heart[t] > heart[base] ? 1 : -1;
    *far = 0;
    for (int32_t s = t; s < n && s <= base + within_s; s++) {
        if (!trust_is_usable(recording, HEART, (size_t)s)) {
            continue;
        }
        const int32_t distance = sign * (heart[s] - heart[base]);
        if (distance <= near_bpm || jumps_back(recording, t, s, sign, limits)) {
            return s;
        }
        *far = distance > *far ? distance : *far;
    }
    return -1;
}

void trust_heart_jump(struct arena *arena, struct recording *recording, const struct limits *limits)
{
    const int32_t n = (int32_t)recording->n_seconds;
    const int32_t within_s = (int32_t)limits->value[LIMIT_JUMP_WITHIN_S];
    const int32_t above_bpm = (int32_t)limits->value[LIMIT_JUMP_ABOVE_BPM];
    const int32_t near_bpm = (int32_t)limits->value[LIMIT_JUMP_NEAR_BPM];
    struct trust_run run =
        trust_run_begin(arena, recording, "heart-jump", HEART, EFFECT_MASKED, "most_bpm", limits);
    for (int32_t t = 1; t < n; t++) {
        if (!trust_is_real(recording, HEART, (size_t)t)) {
            continue;
        }
        const int32_t base = jump_base(recording, t, within_s, above_bpm);
        if (base < 0) {
            continue;
        }
        int32_t far = 0;
        const int32_t end = jump_end(recording, base, t, limits, &far);
        if (end < 0 || (follows_sprint(recording, t, limits) &&
                        jump_base(recording, end, within_s, near_bpm) < 0)) {
            continue;
        }
        const struct span span = { base + 1, end };
        trust_mask(recording, HEART, span, MASK_ARTEFACT);
        trust_run_add(&run, span, (double)far);
        t = end - 1;
    }
    trust_run_end(&run);
}

/* ---- cadence read as heart rate ---- */

/* The seconds that hold heart rate and, some seconds before, a turning cadence, in order. */
struct lock_pairs {
    const int32_t *heart;
    const int32_t *cadence;
    int32_t *second; /* [n] where heart rate stands on the grid */
    int32_t n;
    int32_t late_s;     /* cadence is that much earlier */
    int32_t within_bpm; /* near: no farther apart than that */
};

static void find_pairs(const struct recording *recording, struct lock_pairs *pairs,
                       double least_rpm)
{
    pairs->n = 0;
    for (size_t t = (size_t)pairs->late_s; t < recording->n_seconds; t++) {
        const size_t before = t - (size_t)pairs->late_s;
        /* while the legs rest there is no rhythm to be read */
        if (trust_is_usable(recording, CHANNEL_CADENCE, before) &&
            (double)pairs->cadence[before] >= least_rpm && trust_is_usable(recording, HEART, t)) {
            pairs->second[pairs->n++] = (int32_t)t;
        }
    }
}

static bool is_near(const struct lock_pairs *pairs, int32_t i)
{
    const int32_t t = pairs->second[i];
    return abs(pairs->cadence[t - pairs->late_s] - pairs->heart[t]) <= pairs->within_bpm;
}

/* Sums over a window of pairs, exact in whole numbers so that sliding it loses nothing. */
struct lock_sums {
    int64_t n;
    int64_t near;
    int64_t x; /* cadence */
    int64_t y; /* heart rate */
    int64_t xx;
    int64_t yy;
    int64_t xy;
};

/* Takes pair i in (sign 1) or out (sign -1). */
static void slide(struct lock_sums *sums, const struct lock_pairs *pairs, int32_t i, int64_t sign)
{
    const int64_t x = pairs->cadence[pairs->second[i] - pairs->late_s];
    const int64_t y = pairs->heart[pairs->second[i]];
    sums->n += sign;
    sums->near += is_near(pairs, i) ? sign : 0;
    sums->x += sign * x;
    sums->y += sign * y;
    sums->xx += sign * x * x;
    sums->yy += sign * y * y;
    sums->xy += sign * x * y;
}

/* Whether the window is a lock: close, moving, and moving together. */
static bool is_locked(const struct lock_sums *sums, const struct limits *limits)
{
    const double m = (double)sums->n;
    if ((double)sums->near < limits->value[LIMIT_LOCK_RATIO] * m) {
        return false;
    }
    const double x = (double)sums->x;
    const double y = (double)sums->y;
    const double xx = (double)sums->xx - x * x / m;
    const double yy = (double)sums->yy - y * y / m;
    const double xy = (double)sums->xy - x * y / m;
    const double least_sd = limits->value[LIMIT_LOCK_CADENCE_SD_RPM];
    const double least_r = limits->value[LIMIT_LOCK_R];
    return xx >= least_sd * least_sd * (m - 1.0) && yy > 0.0 && xy > least_r * sqrt(xx * yy);
}

/* The clock span of the pairs [a, b), without the strays that the share of 95 % lets in at its
 * ends. */
static struct span lock_span(const struct lock_pairs *pairs, int32_t a, int32_t b)
{
    while (a < b - 1 && !is_near(pairs, a)) {
        a++;
    }
    while (b > a + 1 && !is_near(pairs, b - 1)) {
        b--;
    }
    return (struct span){ pairs->second[a], pairs->second[b - 1] + 1 };
}

/* Marks the seconds of every window in which heart rate is cadence. */
static void mark_locks(const struct lock_pairs *pairs, uint8_t locked[],
                       const struct limits *limits)
{
    const int32_t least_s = (int32_t)limits->value[LIMIT_LOCK_LEAST_S];
    struct lock_sums sums = { 0 };
    int32_t marked_to = 0; /* windows overlap: each second is written once */
    for (int32_t b = 1; b <= pairs->n; b++) {
        const int32_t a = b - least_s;
        slide(&sums, pairs, b - 1, 1);
        if (a > 0) {
            slide(&sums, pairs, a - 1, -1);
        }
        /* a window torn by long rests is not one stretch of riding */
        if (a < 0 || pairs->second[b - 1] - pairs->second[a] >= 2 * least_s ||
            !is_locked(&sums, limits)) {
            continue;
        }
        const struct span span = lock_span(pairs, a, b);
        for (int32_t t = span.from_s > marked_to ? span.from_s : marked_to; t < span.to_s; t++) {
            locked[t] = 1;
        }
        marked_to = span.to_s > marked_to ? span.to_s : marked_to;
    }
}

void trust_cadence_lock(struct arena *arena, struct recording *recording,
                        const struct limits *limits)
{
    if (recording->value[CHANNEL_CADENCE] == NULL) {
        return;
    }
    const int32_t n = (int32_t)recording->n_seconds;
    uint8_t *locked = ARENA_ARRAY(arena, uint8_t, recording->n_seconds);
    struct lock_pairs pairs = {
        .heart = recording->value[HEART],
        .cadence = recording->value[CHANNEL_CADENCE],
        .second = ARENA_ARRAY(arena, int32_t, recording->n_seconds),
        .within_bpm = (int32_t)limits->value[LIMIT_LOCK_WITHIN_BPM],
    };
    /* straps that count strides say so a second or two later */
    for (; pairs.late_s <= (int32_t)limits->value[LIMIT_LOCK_LATE_S]; pairs.late_s++) {
        find_pairs(recording, &pairs, limits->value[LIMIT_LOCK_LEAST_RPM]);
        mark_locks(&pairs, locked, limits);
    }
    struct trust_run run =
        trust_run_begin(arena, recording, "cadence-lock", HEART, EFFECT_MASKED, NULL, limits);
    for (int32_t t = 0; t < n;) {
        const int32_t from = t;
        while (t < n && locked[t]) {
            t++;
        }
        if (t > from) {
            trust_mask(recording, HEART, (struct span){ from, t }, MASK_ARTEFACT);
            trust_run_add(&run, (struct span){ from, t }, 0.0);
        } else {
            t++;
        }
    }
    trust_run_end(&run);
}
