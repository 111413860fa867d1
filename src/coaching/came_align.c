/* coaching/came_align.c: the cheapest way to lay steps along a ride. */
#include "coaching/came_align.h"

#include <math.h>

/* Steps of work that a ride is worth: above it seconds are taken in twos, threes and so on. */
static const double CELLS_MOST = 1e7;

enum { MEAN_S = 10, SHORTEST_MEAN_S = 1 };

double *came_align_smooth(struct arena *arena, const struct came_want wants[], size_t n_wants,
                          const double power_w[], size_t n)
{
    int32_t width = MEAN_S;
    for (size_t j = 0; j < n_wants; j++) {
        if (wants[j].seconds > 0 && wants[j].seconds / 3 < width) {
            width = wants[j].seconds / 3 > SHORTEST_MEAN_S ? wants[j].seconds / 3 : SHORTEST_MEAN_S;
        }
    }
    double *smooth = ARENA_ARRAY(arena, double, n + 1);
    const int32_t before = width / 2;
    for (int32_t t = 0; t < (int32_t)n; t++) {
        double sum = 0.0;
        int32_t known = 0;
        for (int32_t k = t - before; k < t - before + width; k++) {
            if (k >= 0 && k < (int32_t)n && !isnan(power_w[k])) {
                sum += power_w[k];
                known++;
            }
        }
        smooth[t] = isnan(power_w[t]) ? (double)NAN : sum / (double)known;
    }
    return smooth;
}

/* What a second at this power costs a step: 0 within its range, 1 far from it. */
static double second_cost(const struct came_want *want, double power_w, double scale_w,
                          const struct limits *limits)
{
    if (isnan(power_w) || isnan(want->low_w)) {
        return 0.0;
    }
    const double below = want->is_hard ? want->low_w - power_w : 0.0;
    const double off = fmax(fmax(below, power_w - want->high_w), 0.0);
    return fmin(off / (limits->value[LIMIT_CAME_BACK_MISS_RATIO] * scale_w), 1.0);
}

/* What a length other than asked costs. */
static double length_cost(const struct came_want *want, int32_t seconds,
                          const struct limits *limits)
{
    const double each =
        limits->value[want->is_hard ? LIMIT_CAME_BACK_TIME_COST : LIMIT_CAME_BACK_EASY_COST];
    return want->seconds == 0 ? 0.0 : each * fabs((double)(seconds - want->seconds));
}

double came_align_cost(const struct came_want *want, const double smooth_w[], int32_t from_s,
                       int32_t to_s, double scale_w, const struct limits *limits)
{
    double cost = length_cost(want, to_s - from_s, limits);
    for (int32_t t = from_s; t < to_s; t++) {
        cost += second_cost(want, smooth_w[t], scale_w, limits);
    }
    return cost;
}

/* A second before, between or after the steps. */
static double outside_cost(size_t done, size_t n_wants, const struct limits *limits)
{
    return limits->value[done == 0 || done == n_wants ? LIMIT_CAME_BACK_EASY_COST
                                                      : LIMIT_CAME_BACK_BETWEEN_COST];
}

static double skip_cost(const struct came_want *want, const struct limits *limits)
{
    return limits->value[LIMIT_CAME_BACK_SKIP_COST] * (double)want->seconds;
}

/* The shortest and longest that a step may be, in bins of `bin` seconds. */
struct lengths {
    size_t least;
    size_t most;
};

static struct lengths lengths_of(const struct came_want *want, size_t n_bins, int32_t bin,
                                 const struct limits *limits)
{
    struct lengths l = { 1, n_bins };
    if (want->seconds > 0) {
        const double bins = (double)want->seconds / (double)bin;
        const double least = ceil(limits->value[LIMIT_CAME_BACK_LEAST_RATIO] * bins);
        l.least = least > 1.0 && !want->is_open ? (size_t)least : 1;
        l.most = (size_t)ceil(limits->value[LIMIT_CAME_BACK_MOST_RATIO] * bins);
        l.most = l.most < n_bins ? l.most : n_bins;
    }
    return l;
}

struct plan {
    const struct came_want *wants;
    size_t n_wants;
    const double *smooth_w;
    size_t n;      /* seconds */
    int32_t bin;   /* seconds */
    size_t n_bins; /* the last may be short */
    double scale_w;
    const struct limits *limits;
    double *sums;   /* [n_bins + 1] of the step in hand: cost of the bins before */
    uint32_t *from; /* [n_wants x (n_bins + 1)] where the step that ends here begins; the bin itself
                     * = not ridden */
    uint8_t *waits; /* [n_wants x (n_bins + 1)] 1 = the bin before belongs to no step */
};

static int32_t seconds_at(const struct plan *p, size_t bin)
{
    const size_t s = bin * (size_t)p->bin;
    return (int32_t)(s < p->n ? s : p->n);
}

static void sum_step(struct plan *p, const struct came_want *want)
{
    p->sums[0] = 0.0;
    for (size_t b = 0; b < p->n_bins; b++) {
        double cost = 0.0;
        for (int32_t t = seconds_at(p, b); t < seconds_at(p, b + 1); t++) {
            cost += second_cost(want, p->smooth_w[t], p->scale_w, p->limits);
        }
        p->sums[b + 1] = p->sums[b] + cost;
    }
}

/* One step more: from the least cost of having come to a bin (before[]) to that with it (after[]).
 */
static void add_step(struct plan *p, size_t j, const double before[], double after[])
{
    const struct came_want *want = &p->wants[j];
    const struct lengths l = lengths_of(want, p->n_bins, p->bin, p->limits);
    const double outside = outside_cost(j + 1, p->n_wants, p->limits);
    uint32_t *from = &p->from[j * (p->n_bins + 1)];
    uint8_t *waits = &p->waits[j * (p->n_bins + 1)];
    sum_step(p, want);
    for (size_t b = 0; b <= p->n_bins; b++) {
        double best = before[b] + skip_cost(want, p->limits);
        from[b] = (uint32_t)b;
        for (size_t k = l.least; k <= l.most && k <= b; k++) {
            const size_t a = b - k;
            const double cost = before[a] + p->sums[b] - p->sums[a] +
                                length_cost(want, seconds_at(p, b) - seconds_at(p, a), p->limits);
            if (cost < best) {
                best = cost;
                from[b] = (uint32_t)a;
            }
        }
        const double waited =
            b == 0 ? (double)INFINITY
                   : after[b - 1] + outside * (double)(seconds_at(p, b) - seconds_at(p, b - 1));
        /* Ties: the earliest. */
        waits[b] = waited <= best ? 1 : 0;
        after[b] = fmin(waited, best);
    }
}

static void trace_back(const struct plan *p, struct span spans[])
{
    size_t b = p->n_bins;
    for (size_t j = p->n_wants; j > 0; j--) {
        const uint32_t *from = &p->from[(j - 1) * (p->n_bins + 1)];
        const uint8_t *waits = &p->waits[(j - 1) * (p->n_bins + 1)];
        while (waits[b] != 0) {
            b--;
        }
        spans[j - 1] = (struct span){ seconds_at(p, from[b]), seconds_at(p, b) };
        b = from[b];
    }
}

/* Seconds of a bin: one, or more where the ride and the session are so long that the whole
 * programme would take too much. */
static int32_t bin_of(const struct came_want wants[], size_t n_wants, size_t n)
{
    double lengths = 0.0;
    for (size_t j = 0; j < n_wants; j++) {
        lengths += wants[j].seconds == 0 ? (double)n : 2.0 * (double)wants[j].seconds;
    }
    return (int32_t)fmax(1.0, ceil(sqrt((double)n * lengths / CELLS_MOST)));
}

/* An edge between a bin and its neighbours, put on its best second: what bins were coarser than a
 * second leave open.  Steps that touch share it. */
static void place_edge(const struct plan *p, struct span *left, const struct came_want *left_want,
                       struct span *right, const struct came_want *right_want)
{
    const int32_t lowest = left->from_s + 1;
    const int32_t highest = right->to_s - 1;
    const int32_t at = left->to_s;
    int32_t best_at = at;
    double best = (double)INFINITY;
    for (int32_t s = at - p->bin; s <= at + p->bin; s++) {
        if (s < lowest || s > highest) {
            continue;
        }
        const double cost =
            came_align_cost(left_want, p->smooth_w, left->from_s, s, p->scale_w, p->limits) +
            came_align_cost(right_want, p->smooth_w, s, right->to_s, p->scale_w, p->limits);
        if (cost < best) {
            best = cost;
            best_at = s;
        }
    }
    left->to_s = best_at;
    right->from_s = best_at;
}

static void place_edges(const struct plan *p, struct span spans[])
{
    for (size_t j = 0; j + 1 < p->n_wants; j++) {
        struct span *left = &spans[j];
        struct span *right = &spans[j + 1];
        if (left->to_s > left->from_s && right->to_s > right->from_s &&
            left->to_s == right->from_s) {
            place_edge(p, left, &p->wants[j], right, &p->wants[j + 1]);
        }
    }
}

double came_align(struct arena *arena, const struct came_want wants[], size_t n_wants,
                  const double power_w[], size_t n, double scale_w, const struct limits *limits,
                  struct span spans[])
{
    struct plan p = { .wants = wants,
                      .n_wants = n_wants,
                      .smooth_w = came_align_smooth(arena, wants, n_wants, power_w, n),
                      .n = n,
                      .bin = bin_of(wants, n_wants, n),
                      .scale_w = scale_w,
                      .limits = limits };
    p.n_bins = (n + (size_t)p.bin - 1) / (size_t)p.bin;
    const size_t row = p.n_bins + 1;
    p.sums = ARENA_ARRAY(arena, double, row);
    p.from = ARENA_ARRAY(arena, uint32_t, n_wants * row + 1);
    p.waits = ARENA_ARRAY(arena, uint8_t, n_wants * row + 1);
    double *before = ARENA_ARRAY(arena, double, row);
    double *after = ARENA_ARRAY(arena, double, row);
    for (size_t b = 0; b < row; b++) {
        before[b] = outside_cost(0, n_wants, limits) * (double)seconds_at(&p, b);
    }
    for (size_t j = 0; j < n_wants; j++) {
        add_step(&p, j, before, after);
        double *swap = before;
        before = after;
        after = swap;
    }
    trace_back(&p, spans);
    if (p.bin > 1) {
        place_edges(&p, spans);
    }
    return before[p.n_bins];
}
