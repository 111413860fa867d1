/* physiology/steady.c: the part of a ride that was ridden at one power. */
#include "physiology/steady.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- power as heart rate answers it ---- */

void steady_filter(const double power_w[], const uint8_t paused[], size_t n, double tau_s,
                   size_t dead_s, double out[])
{
    /* The step answer of a first-order lag sampled each second; old = exp(-1 s / tau). */
    const double old = exp(-1.0 / tau_s);
    const double fresh = 1.0 - old;
    double sum = 0.0;
    double weight = 0.0; /* grows to 1: the filter begins at the ride's own first seconds */
    for (size_t t = 0; t < n; t++) {
        const size_t from = t < dead_s ? n : t - dead_s;
        const double now = from == n ? (double)NAN : paused[from] != 0 ? 0.0 : power_w[from];
        if (!isnan(now)) {
            sum = old * sum + fresh * now;
            weight = old * weight + fresh;
        }
        out[t] = weight > 0.0 ? sum / weight : (double)NAN;
    }
}

/* ---- seconds ---- */

/* True where the rider stood: the timer stood, or nothing moved.  Coasting downhill isn't it. */
static bool is_standing(const struct recording *recording, const double power_w[],
                        const double speed_ms[], const double cadence_rpm[], double stop_speed_ms,
                        size_t t)
{
    if (recording->paused[t] != 0) {
        return true;
    }
    const bool pushes = isnan(power_w[t]) || power_w[t] > 0.0;
    const bool turns = cadence_rpm != NULL && cadence_rpm[t] > 0.0;
    const bool moves = speed_ms != NULL && speed_ms[t] >= stop_speed_ms;
    return !pushes && !turns && !moves;
}

static struct steady_second *prepare(struct arena *arena, const struct recording *recording,
                                     const double power_w[], const struct limits *limits)
{
    const size_t n = recording->n_seconds;
    const double *speed_ms = recording_series(arena, recording, CHANNEL_SPEED);
    const double *cadence_rpm = recording_series(arena, recording, CHANNEL_CADENCE);
    double *filtered_w = ARENA_ARRAY(arena, double, n);
    steady_filter(power_w, recording->paused, n, limits->value[LIMIT_STEADY_TAU_S], 0, filtered_w);
    struct steady_second *seconds = ARENA_ARRAY(arena, struct steady_second, n);
    size_t standing = 0;
    for (size_t t = 0; t < n; t++) {
        const bool paused = recording->paused[t] != 0;
        seconds[t] = (struct steady_second){
            .filtered_cw = isnan(filtered_w[t]) ? -1 : (int32_t)(filtered_w[t] * 100.0 + 0.5),
            .known = paused || !isnan(power_w[t]),
            .coasting = paused || power_w[t] <= 0.0,
            .standing = is_standing(recording, power_w, speed_ms, cadence_rpm,
                                    limits->value[LIMIT_STEADY_STOP_SPEED_MS], t),
        };
        /* Once a stop is too long all of it ends the span: what came before it once, then each. */
        standing = seconds[t].standing ? standing + 1 : 0;
        const double longest = limits->value[LIMIT_STEADY_STOP_S];
        const size_t back = (double)standing <= longest         ? 0
                            : (double)standing <= longest + 1.0 ? standing
                                                                : 1;
        for (size_t s = t + 1 - back; s <= t; s++) {
            seconds[s].stopped = true;
        }
    }
    return seconds;
}

/* ---- what was found ---- */

static int64_t length_of(struct span span)
{
    return (int64_t)span.to_s - (int64_t)span.from_s;
}

static int by_size(const void *a, const void *b)
{
    const int32_t x = *(const int32_t *)a;
    const int32_t y = *(const int32_t *)b;
    return (x > y) - (x < y);
}

/* The median of filtered power over the span; the lower of two middles. */
static int32_t middle_cw(struct arena *arena, const struct steady_second seconds[],
                         struct span span)
{
    int32_t *sorted = ARENA_ARRAY(arena, int32_t, (size_t)length_of(span));
    size_t n = 0;
    for (int32_t t = span.from_s; t < span.to_s; t++) {
        sorted[n++] = seconds[t].filtered_cw;
    }
    qsort(sorted, n, sizeof sorted[0], by_size);
    return sorted[(n - 1) / 2];
}

static bool is_within(const struct steady_second *second, int32_t low_cw, int32_t high_cw)
{
    return second->known && second->filtered_cw >= low_cw && second->filtered_cw <= high_cw;
}

/* The first second (step 1) or the last (step -1) from which the body of the span is ridden: what
 * lies before is outside the band, or a piece inside it that is shorter than the gap which parts
 * it from the rest (heart rate and filter passing through on their way down, say). */
static int32_t body_end(const struct steady_second seconds[], struct span span, int step,
                        int32_t low_cw, int32_t high_cw)
{
    const int32_t stop = step > 0 ? span.to_s : span.from_s - 1;
    int32_t at = step > 0 ? span.from_s : span.to_s - 1;
    int32_t body = at;
    while (at != stop) {
        while (at != stop && !is_within(&seconds[at], low_cw, high_cw)) {
            at += step;
        }
        body = at;
        while (at != stop && is_within(&seconds[at], low_cw, high_cw)) {
            at += step;
        }
        const int32_t piece = (at - body) * step;
        int32_t gap = 0;
        while (at != stop && !is_within(&seconds[at], low_cw, high_cw)) {
            at += step;
            gap++;
        }
        if (piece > gap) {
            break;
        }
    }
    return body;
}

/* Cuts a warm-up or cool-down off that lay inside the wide band. */
static struct span cut_ends(struct arena *arena, const struct steady_second seconds[],
                            struct span span, const struct limits *limits)
{
    const int32_t middle = middle_cw(arena, seconds, span);
    const double band = limits->value[LIMIT_STEADY_BAND_PCT] / 100.0;
    int32_t low_cw = 0;
    int32_t high_cw = 0;
    steady_band(middle, band, &low_cw, &high_cw);
    struct span cut = { body_end(seconds, span, 1, low_cw, high_cw),
                        body_end(seconds, span, -1, low_cw, high_cw) + 1 };
    steady_band(middle, band / 2.0, &low_cw, &high_cw);
    while (cut.from_s < cut.to_s && !is_within(&seconds[cut.from_s], low_cw, high_cw)) {
        cut.from_s++;
    }
    while (cut.to_s > cut.from_s && !is_within(&seconds[cut.to_s - 1], low_cw, high_cw)) {
        cut.to_s--;
    }
    return (double)length_of(cut) >= limits->value[LIMIT_STEADY_WHOLE_S] ? cut : span;
}

/* Mean power of the half minute around t, where at least half of it is known; else NAN. */
static double half_minute_w(const struct recording *recording, const double power_w[], int32_t t)
{
    const int32_t last = (int32_t)recording->n_seconds - 1;
    double sum = 0.0;
    int known = 0;
    for (int32_t i = t - 15 < 0 ? 0 : t - 15; i <= t + 15 && i <= last; i++) {
        const double now = recording->paused[i] != 0 ? 0.0 : power_w[i];
        sum += isnan(now) ? 0.0 : now;
        known += !isnan(now);
    }
    return known > 15 ? sum / known : (double)NAN;
}

enum { EDGE_S = 30 }; /* half the window in which a step of power is looked for */

/* The second at which power steps between the span's level and another, within half a minute of
 * edge: the split with the least squares.  The edge itself where there is no such step. */
static int32_t step_near(const struct recording *recording, const double power_w[], int32_t edge,
                         double middle_w, double half_w, bool rising_into)
{
    const int32_t n = (int32_t)recording->n_seconds;
    const int32_t from = edge - EDGE_S < 0 ? 0 : edge - EDGE_S;
    const int32_t to = edge + EDGE_S > n ? n : edge + EDGE_S;
    double sum[2] = { 0.0, 0.0 }; /* before the split, from it on */
    double known[2] = { 0.0, 0.0 };
    for (int32_t t = from; t < to; t++) {
        const double now = recording->paused[t] != 0 ? 0.0 : power_w[t];
        sum[1] += isnan(now) ? 0.0 : now;
        known[1] += !isnan(now);
    }
    int32_t best = edge;
    double most = 0.0;
    for (int32_t t = from; t < to; t++) {
        if (known[0] > 0.0 && known[1] > 0.0) {
            const double mean[2] = { sum[0] / known[0], sum[1] / known[1] };
            const double inside = mean[rising_into ? 1 : 0];
            const double outside = mean[rising_into ? 0 : 1];
            /* Least squares within = most squares between. */
            const double between = known[0] * known[1] * (inside - outside) * (inside - outside);
            if (between > most && fabs(inside - middle_w) <= half_w &&
                fabs(outside - middle_w) > half_w) {
                most = between;
                best = t;
            }
        }
        const double now = recording->paused[t] != 0 ? 0.0 : power_w[t];
        if (!isnan(now)) {
            sum[0] += now;
            sum[1] -= now;
            known[0] += 1.0;
            known[1] -= 1.0;
        }
    }
    return best;
}

/* The filter comes late: a block ridden from standing is in its band two minutes after it began.
 * Moves both ends to where power itself came to the span's middle and left it: the start back over
 * at most three time constants, the end back to the last half minute at that power, and then each
 * onto the step if there is one. */
static struct span move_ends(struct arena *arena, const struct recording *recording,
                             const double power_w[], const struct steady_second seconds[],
                             struct span span, const struct limits *limits)
{
    const double middle_w = (double)middle_cw(arena, seconds, span) / 100.0;
    const double half_w = middle_w * limits->value[LIMIT_STEADY_BAND_PCT] / 200.0;
    const int32_t most = (int32_t)(3.0 * limits->value[LIMIT_STEADY_TAU_S]);
    struct span moved = span;
    while (moved.from_s > 0 && span.from_s - moved.from_s < most &&
           !seconds[moved.from_s - 1].stopped &&
           fabs(half_minute_w(recording, power_w, moved.from_s - 1) - middle_w) <= half_w) {
        moved.from_s--;
    }
    while (moved.to_s > moved.from_s + 1 && span.to_s - moved.to_s < most &&
           !(fabs(half_minute_w(recording, power_w, moved.to_s - 1) - middle_w) <= half_w)) {
        moved.to_s--;
    }
    moved.to_s = span.to_s - moved.to_s < most ? moved.to_s : span.to_s;
    const struct span stepped = {
        step_near(recording, power_w, moved.from_s, middle_w, half_w, true),
        step_near(recording, power_w, moved.to_s, middle_w, half_w, false),
    };
    return stepped.to_s > stepped.from_s ? stepped : moved;
}

/* Standard deviation of the means of whole 30 s, n - 1; NAN under two of them. */
static double sd_of_30s(const double power_w[], struct span span)
{
    double sum = 0.0;
    double squares = 0.0;
    double count = 0.0;
    double first = (double)NAN; /* taken off before squaring: no cancellation */
    for (int32_t from = span.from_s; from + 30 <= span.to_s; from += 30) {
        double block = 0.0;
        int known = 0;
        for (int32_t t = from; t < from + 30; t++) {
            block += isnan(power_w[t]) ? 0.0 : power_w[t];
            known += !isnan(power_w[t]);
        }
        if (known < 15) {
            continue;
        }
        first = isnan(first) ? block / known : first;
        const double mean = block / known - first;
        sum += mean;
        squares += mean * mean;
        count += 1.0;
    }
    return count < 2.0 ? (double)NAN : sqrt(fmax(0.0, squares - sum * sum / count) / (count - 1.0));
}

/* Fills what the span holds. */
static void describe(const struct recording *recording, const double power_w[],
                     const double heart_bpm[], const struct steady_second seconds[],
                     const struct limits *limits, struct steady *steady)
{
    int32_t low_cw = 0;
    int32_t high_cw = 0;
    steady_band((int32_t)lround(steady->level_w * 100.0),
                limits->value[LIMIT_STEADY_BAND_PCT] / 100.0, &low_cw, &high_cw);
    double sum_w = 0.0;
    int32_t running = 0;
    int32_t power = 0;
    int32_t heart = 0;
    int32_t inside = 0;
    int32_t coasting = 0;
    int32_t still = 0;
    for (int32_t t = steady->span.from_s; t < steady->span.to_s; t++) {
        const struct steady_second *s = &seconds[t];
        const bool paused = recording->paused[t] != 0;
        running += !paused;
        if (!paused && !isnan(power_w[t])) {
            sum_w += power_w[t];
            power++;
        }
        heart += !paused && heart_bpm != NULL && !isnan(heart_bpm[t]);
        inside += s->known && s->filtered_cw >= low_cw && s->filtered_cw <= high_cw;
        coasting += s->coasting;
        still = s->standing ? still + 1 : 0;
        steady->longest_stop_s = still > steady->longest_stop_s ? still : steady->longest_stop_s;
    }
    const double length = (double)length_of(steady->span);
    steady->mean_power_w = sum_w / power;
    steady->in_band_ratio = inside / length;
    steady->coasting_ratio = coasting / length;
    steady->power_coverage = (double)power / running;
    steady->heart_coverage = (double)heart / running;
    steady->sd_30s_w = sd_of_30s(power_w, steady->span);
}

struct steady steady_find_between(struct arena *arena, const struct recording *recording,
                                  double low_w, double high_w, const struct limits *limits)
{
    const double unknown = (double)NAN;
    struct steady steady = {
        .level_w = unknown,
        .mean_power_w = unknown,
        .sd_30s_w = unknown,
        .in_band_ratio = unknown,
        .coasting_ratio = unknown,
        .power_coverage = unknown,
        .heart_coverage = unknown,
    };
    (void)arena; /* numbers only go out; the work goes with its own arena */
    struct arena *scratch = arena_open();
    const double *power_w = recording_series(scratch, recording, CHANNEL_POWER);
    if (power_w != NULL) {
        const double *heart_bpm = recording_series(scratch, recording, CHANNEL_HEART_RATE);
        const struct steady_second *seconds = prepare(scratch, recording, power_w, limits);
        steady.span =
            steady_longest(seconds, recording->n_seconds, low_w, high_w, limits, &steady.level_w);
        if (length_of(steady.span) > 0) {
            steady.span = cut_ends(scratch, seconds, steady.span, limits);
            steady.span = move_ends(scratch, recording, power_w, seconds, steady.span, limits);
            describe(recording, power_w, heart_bpm, seconds, limits, &steady);
        }
        steady.found = (double)length_of(steady.span) >= limits->value[LIMIT_STEADY_SHORTEST_S];
    }
    arena_close(scratch);
    return steady;
}

struct steady steady_find(struct arena *arena, const struct recording *recording,
                          const struct limits *limits)
{
    return steady_find_between(arena, recording, 0.0, (double)INFINITY, limits);
}
