/* physiology/reps_find.c: from power to runs of work. */
#include "physiology/reps_parts.h"

#include "maths/change_points.h"

#include <math.h>
#include <stdlib.h>

/* Width of a mean that change points are sought on, and the shortest segment of them: the
 * method's own grain, fixed with it (minimum 6 s). */
enum { BIN_S = 3, SHORTEST_BINS = 2 };

/* Levels are counted in hundredths of the scale up to 1.6 of it. */
enum { CLASSES = 161 };

/* 1 / z(3/4), z the standard normal quantile: mathematics. */
static const double MAD_TO_SD = 1.482602218505602;

double reps_mean(const double x[], int32_t from_s, int32_t to_s, size_t *known)
{
    double sum = 0.0;
    size_t n = 0;
    for (int32_t t = from_s; t < to_s; t++) {
        if (!isnan(x[t])) {
            sum += x[t];
            n++;
        }
    }
    if (known != NULL) {
        *known = n;
    }
    return n == 0 ? (double)NAN : sum / (double)n;
}

static int by_value(const void *a, const void *b)
{
    const double x = *(const double *)a;
    const double y = *(const double *)b;
    return (x > y) - (x < y);
}

double reps_middle(double values[], size_t n)
{
    qsort(values, n, sizeof values[0], by_value);
    return n % 2 == 1 ? values[n / 2] : 0.5 * (values[n / 2 - 1] + values[n / 2]);
}

/* Scatter of the means: from first differences, so that levels don't count. */
static double bin_noise(struct arena *arena, const double bins[], size_t n, double floor)
{
    double *steps = ARENA_ARRAY(arena, double, n);
    size_t count = 0;
    for (size_t i = 1; i < n; i++) {
        const double step = bins[i] - bins[i - 1];
        if (!isnan(step)) {
            steps[count++] = step;
        }
    }
    if (count == 0) {
        return floor;
    }
    qsort(steps, count, sizeof steps[0], by_value);
    const double middle = steps[count / 2];
    for (size_t i = 0; i < count; i++) {
        steps[i] = fabs(steps[i] - middle);
    }
    qsort(steps, count, sizeof steps[0], by_value);
    return fmax(floor, MAD_TO_SD * steps[count / 2] / sqrt(2.0));
}

struct bins {
    double *mean; /* [count] NAN = no known second */
    size_t count;
    double noise;
};

static struct bins make_bins(struct arena *arena, const struct reps_ride *ride)
{
    struct bins bins = { .count = (ride->n + BIN_S - 1) / BIN_S };
    bins.mean = ARENA_ARRAY(arena, double, bins.count);
    const double most = ride->limits->value[LIMIT_REPS_CLIP_RATIO] * ride->scale_w;
    for (size_t i = 0; i < bins.count; i++) {
        const size_t end = (i + 1) * BIN_S < ride->n ? (i + 1) * BIN_S : ride->n;
        const double mean = reps_mean(ride->effort_w, (int32_t)(i * BIN_S), (int32_t)end, NULL);
        bins.mean[i] = mean > most ? most : mean;
    }
    bins.noise = bin_noise(arena, bins.mean, bins.count,
                           ride->limits->value[LIMIT_REPS_NOISE_FLOOR_RATIO] * ride->scale_w);
    return bins;
}

/* Segments of even level; `factor` times noise^2 ln n is what a change must earn. */
static struct levels cut(struct arena *arena, const struct reps_ride *ride, const struct bins *bins,
                         double factor)
{
    const double penalty = factor * bins->noise * bins->noise * log((double)bins->count);
    size_t *ends = ARENA_ARRAY(arena, size_t, bins->count / SHORTEST_BINS + 1);
    struct levels levels = { 0 };
    levels.count = change_points_find(arena, bins->mean, bins->count, penalty, SHORTEST_BINS, ends);
    levels.items = ARENA_ARRAY(arena, struct level, levels.count);
    size_t from = 0;
    for (size_t i = 0; i < levels.count; i++) {
        const size_t to = ends[i] * BIN_S < ride->n ? ends[i] * BIN_S : ride->n;
        levels.items[i] =
            (struct level){ (int32_t)from, (int32_t)to,
                            reps_mean(ride->effort_w, (int32_t)from, (int32_t)to, NULL) };
        from = to;
    }
    return levels;
}

/* Sums over classes: seconds, and seconds x level. */
struct tally {
    double seconds[CLASSES + 1]; /* before class i */
    double sum[CLASSES + 1];
};

static struct tally count_levels(const struct reps_ride *ride, const struct levels *levels)
{
    double seconds[CLASSES] = { 0 };
    for (size_t i = 0; i < levels->count; i++) {
        const struct level *level = &levels->items[i];
        if (!isnan(level->mean_w)) {
            const double share = fmin(level->mean_w / ride->scale_w, 1.6);
            seconds[(size_t)(share * 100.0 + 0.5)] += (double)(level->to_s - level->from_s);
        }
    }
    struct tally tally = { 0 };
    for (size_t i = 0; i < CLASSES; i++) {
        tally.seconds[i + 1] = tally.seconds[i] + seconds[i];
        tally.sum[i + 1] = tally.sum[i] + seconds[i] * (double)i / 100.0;
    }
    return tally;
}

/* Mean level of classes from .. to; the squared sum over seconds is what a split gains. */
static double class_mean(const struct tally *tally, size_t from, size_t to)
{
    const double seconds = tally->seconds[to] - tally->seconds[from];
    return seconds > 0.0 ? (tally->sum[to] - tally->sum[from]) / seconds : (double)NAN;
}

static double class_gain(const struct tally *tally, size_t from, size_t to)
{
    const double seconds = tally->seconds[to] - tally->seconds[from];
    const double sum = tally->sum[to] - tally->sum[from];
    return seconds > 0.0 ? sum * sum / seconds : -1e300;
}

/* The two classes whose means explain most; ties: the lowest cut.  False with one level only. */
static bool split_two(const struct tally *tally, double *low, double *high)
{
    double best = -1e299;
    size_t at = 0;
    for (size_t i = 1; i < CLASSES; i++) {
        const double gain = class_gain(tally, 0, i) + class_gain(tally, i, CLASSES);
        if (gain > best) {
            best = gain;
            at = i;
        }
    }
    if (at == 0) {
        return false;
    }
    *low = class_mean(tally, 0, at);
    *high = class_mean(tally, at, CLASSES);
    return true;
}

static bool split_three(const struct tally *tally, double least_s, double *middle, double *top)
{
    double best = -1e299;
    size_t at[2] = { 0, 0 };
    for (size_t i = 1; i + 1 < CLASSES; i++) {
        const double lowest = class_gain(tally, 0, i);
        for (size_t j = i + 1; lowest > -1e299 && j < CLASSES; j++) {
            const double gain = lowest + class_gain(tally, i, j) + class_gain(tally, j, CLASSES);
            if (gain > best) {
                best = gain;
                at[0] = i;
                at[1] = j;
            }
        }
    }
    if (at[0] == 0) {
        return false;
    }
    *middle = class_mean(tally, at[0], at[1]);
    *top = class_mean(tally, at[1], CLASSES);
    return tally->seconds[CLASSES] - tally->seconds[at[1]] >= least_s;
}

/* What parts work from rest, in watts; NAN = nothing stands out.  *rest_line_w: the line of two
 * classes, at or under the other. */
static double work_line(const struct reps_ride *ride, const struct levels *levels,
                        double *rest_line_w)
{
    const double *v = ride->limits->value;
    const struct tally tally = count_levels(ride, levels);
    double low = (double)NAN;
    double high = (double)NAN;
    const bool two = split_two(&tally, &low, &high);
    if (!ride->has_threshold) {
        const bool apart = two && high >= v[LIMIT_REPS_CLASSES_RATIO] * low;
        *rest_line_w = apart ? 0.5 * (low + high) * ride->scale_w : (double)NAN;
        return *rest_line_w;
    }
    /* A range that was asked pulls the line under its lower edge: tempo begins at 76 %. */
    double lowest = v[LIMIT_REPS_LINE_LOW_RATIO];
    double highest = v[LIMIT_REPS_LINE_HIGH_RATIO];
    if (ride->asked_low_w > 0.0) {
        const double asked = ride->asked_low_w / ride->scale_w;
        lowest = fmin(lowest, v[LIMIT_REPS_LINE_ASKED_LOW_RATIO] * asked);
        highest = fmin(highest, v[LIMIT_REPS_LINE_ASKED_HIGH_RATIO] * asked);
    }
    double line = two ? 0.5 * (low + high) : lowest;
    line = fmin(fmax(line, lowest), highest);
    *rest_line_w = line * ride->scale_w;
    double middle = (double)NAN;
    double top = (double)NAN;
    if (split_three(&tally, v[LIMIT_REPS_THREE_TOP_S], &middle, &top) &&
        top - middle >= v[LIMIT_REPS_THREE_APART_RATIO] && middle < v[LIMIT_REPS_LINE_HIGH_RATIO] &&
        top >= v[LIMIT_REPS_THREE_TOP_RATIO]) {
        line = 0.5 * (middle + top);
        if (ride->asked_low_w > 0.0) {
            line =
                fmin(line, v[LIMIT_REPS_LINE_ASKED_HIGH_RATIO] * ride->asked_low_w / ride->scale_w);
        }
    }
    return line * ride->scale_w;
}

void reps_add_effort(struct arena *arena, struct efforts *efforts, int32_t from_s, int32_t to_s)
{
    efforts->items = arena_grow(arena, efforts->items, efforts->count, &efforts->capacity,
                                sizeof efforts->items[0]);
    efforts->items[efforts->count++] = (struct effort){ .from_s = from_s, .to_s = to_s };
}

/* Neighbouring levels on the same side of the line become one: work, rest, work, ... */
static struct efforts runs_of(struct arena *arena, const struct levels *levels, double line_w)
{
    struct efforts runs = { 0 };
    bool open = false;
    for (size_t i = 0; i < levels->count; i++) {
        const struct level *level = &levels->items[i];
        const bool work = level->mean_w >= line_w;
        if (work && open) {
            runs.items[runs.count - 1].to_s = level->to_s;
        } else if (work) {
            reps_add_effort(arena, &runs, level->from_s, level->to_s);
        }
        open = work;
    }
    return runs;
}

/* Power that fades within a rep may sink under the line before the rep ends: pieces that follow a
 * run at once belong to it while they lie above rest_line_w, when all of them together aren't much
 * longer than the run and power then drops by as much as parts work from rest. */
static void take_fades(const struct reps_ride *ride, const struct levels *levels,
                       double rest_line_w, struct efforts *runs)
{
    const double *v = ride->limits->value;
    const double drop_w = v[LIMIT_REPS_CONTRAST_RATIO] * ride->scale_w;
    size_t i = 0;
    for (size_t r = 0; r < runs->count; r++) {
        struct effort *run = &runs->items[r];
        const double most = v[LIMIT_REPS_FADE_RATIO] * (double)(run->to_s - run->from_s);
        while (i < levels->count && levels->items[i].from_s < run->to_s) {
            i++;
        }
        size_t k = i;
        while (k + 1 < levels->count && levels->items[k].mean_w >= rest_line_w &&
               levels->items[k].mean_w < ride->line_w &&
               (double)(levels->items[k].to_s - run->to_s) <= most) {
            k++;
        }
        if (k > i && levels->items[k].mean_w <= levels->items[k - 1].mean_w - drop_w) {
            run->to_s = levels->items[k - 1].to_s;
        }
    }
}

/* A rest that is no rest: a junction, a corner, a look back. */
static bool is_no_rest(const struct reps_ride *ride, const struct effort *a, const struct effort *b)
{
    const double *v = ride->limits->value;
    const double rest = (double)(b->from_s - a->to_s);
    const double first = (double)(a->to_s - a->from_s);
    const double second = (double)(b->to_s - b->from_s);
    if (rest > v[LIMIT_REPS_MERGE_RATIO] * (first + second) || rest >= fmin(first, second)) {
        return false;
    }
    /* A shallow dip, downhill or into a headwind's end, may last longer than a stop. */
    const double mean_w = reps_mean(ride->effort_w, a->to_s, b->from_s, NULL);
    return rest <= v[LIMIT_REPS_MERGE_S] ||
           (rest <= v[LIMIT_REPS_MERGE_SHALLOW_S] &&
            mean_w >= v[LIMIT_REPS_MERGE_SHALLOW_RATIO] * ride->line_w);
}

/* Left to right, until nothing changes: a merged effort may swallow the next rest. */
static void merge_rests(const struct reps_ride *ride, struct efforts *efforts)
{
    for (bool merged = true; merged;) {
        merged = false;
        size_t kept = 0;
        for (size_t i = 1; i < efforts->count; i++) {
            struct effort *last = &efforts->items[kept];
            if (is_no_rest(ride, last, &efforts->items[i])) {
                last->to_s = efforts->items[i].to_s;
                merged = true;
            } else {
                efforts->items[++kept] = efforts->items[i];
            }
        }
        efforts->count = efforts->count == 0 ? 0 : kept + 1;
    }
}

struct efforts reps_find_efforts(struct arena *arena, struct reps_ride *ride, struct levels *levels)
{
    const struct bins bins = make_bins(arena, ride);
    *levels = cut(arena, ride, &bins, ride->limits->value[LIMIT_REPS_PENALTY_FACTOR]);
    double rest_line_w = (double)NAN;
    ride->line_w = work_line(ride, levels, &rest_line_w);
    if (isnan(ride->line_w)) {
        return (struct efforts){ 0 };
    }
    struct efforts efforts = runs_of(arena, levels, ride->line_w);
    take_fades(ride, levels, rest_line_w, &efforts);
    merge_rests(ride, &efforts);
    const struct levels fine =
        cut(arena, ride, &bins, ride->limits->value[LIMIT_REPS_MICRO_PENALTY_FACTOR]);
    const double fine_line_w = work_line(ride, &fine, &rest_line_w);
    if (isnan(fine_line_w)) {
        return efforts;
    }
    const struct efforts runs = runs_of(arena, &fine, fine_line_w);
    return reps_rescue_rows(arena, ride, &runs, rest_line_w, efforts);
}

void reps_drop_weak(const struct reps_ride *ride, struct efforts *efforts)
{
    const double *v = ride->limits->value;
    const int32_t reach = (int32_t)v[LIMIT_REPS_REST_S];
    size_t kept = 0;
    for (size_t i = 0; i < efforts->count; i++) {
        struct effort *e = &efforts->items[i];
        const int32_t last = i == 0 ? 0 : efforts->items[i - 1].to_s;
        const int32_t next =
            i + 1 < efforts->count ? efforts->items[i + 1].from_s : (int32_t)ride->n;
        const int32_t from = e->from_s - last > reach ? e->from_s - reach : last;
        const int32_t to = next - e->to_s > reach ? e->to_s + reach : next;
        e->mean_w = reps_mean(ride->effort_w, e->from_s, e->to_s, NULL);
        e->before_w = reps_mean(ride->effort_w, from, e->from_s, NULL);
        e->after_w = reps_mean(ride->effort_w, e->to_s, to, NULL);
    }
    for (size_t i = 0; i < efforts->count; i++) {
        const struct effort e = efforts->items[i];
        const double length = (double)(e.to_s - e.from_s);
        double rest = isnan(e.before_w)  ? e.after_w
                      : isnan(e.after_w) ? e.before_w
                                         : 0.5 * (e.before_w + e.after_w);
        rest = isnan(rest) ? 0.0 : rest; /* nothing beside it: the rider stood */
        const bool weak = length < v[LIMIT_REPS_SHORTEST_S] || isnan(e.mean_w) ||
                          e.mean_w - rest < v[LIMIT_REPS_CONTRAST_RATIO] * ride->scale_w ||
                          (length < v[LIMIT_REPS_BRIEF_S] &&
                           e.mean_w < v[LIMIT_REPS_BRIEF_RATIO] * ride->scale_w &&
                           !reps_has_laps(ride, e.from_s, e.to_s));
        if (!weak || e.laid != NOT_LAID) {
            efforts->items[kept++] = e;
        }
    }
    efforts->count = kept;
}
