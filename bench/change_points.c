/* bench/change_points.c: functional pruning against the full programme (optimal partitioning) of
 * the same cost, both exact.
 * Goals: 60 times at n = 10,800; one segment of noise at most 3 x the time of a ride of many;
 * 3 h to 24 h at most 11 times. */
#include "bench.h"
#include "series.h"

#include "maths/change_points.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

struct run {
    size_t n;
    double *x;
    double penalty;
    size_t shortest;
    size_t *ends;
    size_t count;
};

/* As in best_means: the peer may use what the processor has. */
#if defined(__GNUC__) && !defined(__clang__) && defined(__x86_64__) &&                             \
    !defined(__SANITIZE_ADDRESS__)
#define PEER                                                                                       \
    __attribute__((optimize("O3"), target_clones("default", "arch=x86-64-v2", "arch=x86-64-v3")))
#else
#define PEER
#endif

enum { LANES = 8 };

/* Least total over all starts 0..starts-1 of a last segment that ends at `to`: eight lanes wide,
 * then the earliest start that has it. */
PEER static size_t best_start(const double *restrict before, const double *restrict s1,
                              const double *restrict s2, size_t starts, size_t to,
                              double *restrict total, double *least)
{
    double lane[LANES];
    for (int j = 0; j < LANES; j++) {
        lane[j] = (double)INFINITY;
    }
    const size_t whole = starts - starts % LANES;
    for (size_t a = 0; a < whole; a += LANES) {
        for (int j = 0; j < LANES; j++) {
            const size_t i = a + (size_t)j;
            const double first = s1[to] - s1[i];
            const double value = before[i] + (s2[to] - s2[i]) -
                                 first * first / ((double)(int32_t)to - (double)(int32_t)i);
            total[i] = value;
            lane[j] = value < lane[j] ? value : lane[j];
        }
    }
    double most = (double)INFINITY;
    for (int j = 0; j < LANES; j++) {
        most = lane[j] < most ? lane[j] : most;
    }
    for (size_t i = whole; i < starts; i++) {
        const double first = s1[to] - s1[i];
        total[i] = before[i] + (s2[to] - s2[i]) - first * first / ((double)to - (double)i);
        most = total[i] < most ? total[i] : most;
    }
    *least = most;
    size_t start = 0;
    while (start + 1 < starts && total[start] > most) {
        start++;
    }
    return start;
}

static void by_programme(void *with)
{
    struct run *run = with;
    struct arena *arena = arena_open();
    const size_t n = run->n;
    double *s1 = ARENA_ARRAY(arena, double, n + 1);
    double *s2 = ARENA_ARRAY(arena, double, n + 1);
    double *before = ARENA_ARRAY(arena, double, n + 1);
    double *total = ARENA_ARRAY(arena, double, n + 1);
    size_t *from = ARENA_ARRAY(arena, size_t, n + 1);
    double centre = 0;
    for (size_t i = 0; i < n; i++) {
        centre += run->x[i];
    }
    centre = rint(centre / (double)n);
    for (size_t i = 0; i < n; i++) {
        const double d = run->x[i] - centre;
        s1[i + 1] = s1[i] + d;
        s2[i + 1] = s2[i] + d * d;
    }
    for (size_t to = 1; to <= n; to++) {
        double least = (double)INFINITY;
        if (to >= run->shortest) {
            from[to] = best_start(before, s1, s2, to - run->shortest + 1, to, total, &least);
        }
        before[to] = least + run->penalty;
    }
    run->count = 0;
    for (size_t at = n; at > 0; at = from[at]) {
        run->ends[run->count++] = at;
    }
    for (size_t i = 0; i < run->count / 2; i++) {
        const size_t swap = run->ends[i];
        run->ends[i] = run->ends[run->count - 1 - i];
        run->ends[run->count - 1 - i] = swap;
    }
    arena_close(arena);
}

static void by_pruning(void *with)
{
    struct run *run = with;
    struct arena *arena = arena_open();
    run->count = change_points_find(arena, run->x, run->n, run->penalty, run->shortest, run->ends);
    arena_close(arena);
}

/* Penalty 10 s2 ln n, s2 from first differences; 1 where there is no noise. */
static struct run make_run(struct arena *arena, enum series series, size_t n, size_t shortest)
{
    struct run run = { n,        ARENA_ARRAY(arena, double, n), 0,
                       shortest, ARENA_ARRAY(arena, size_t, n), 0 };
    int32_t *power_w = ARENA_ARRAY(arena, int32_t, n);
    double s2 = 0;
    series_fill(series, power_w, n);
    for (size_t i = 0; i < n; i++) {
        run.x[i] = power_w[i];
        s2 += i > 0 ? (run.x[i] - run.x[i - 1]) * (run.x[i] - run.x[i - 1]) / 2 / (double)n : 0;
    }
    run.penalty = s2 > 0 ? 10 * s2 * log((double)n) : 1;
    return run;
}

int main(void)
{
    static const size_t shortest[] = { 1, 6 };
    struct arena *arena = arena_open();
    double ride_ms = (double)NAN;
    double noise_ms = (double)NAN;
    bench_title("change points, n = 10,800 (change_points)", "pruned", "programme");
    for (size_t k = 0; k < 2; k++) {
        for (int series = 0; series < SERIES_COUNT; series++) {
            struct run pruned = make_run(arena, (enum series)series, 10800, shortest[k]);
            struct run full = make_run(arena, (enum series)series, 10800, shortest[k]);
            const double pruned_ms = bench_ms(by_pruning, &pruned, 15);
            const double full_ms = bench_ms(by_programme, &full, 3);
            char name[80];
            snprintf(name, sizeof name, "%s, shortest %zu (%zu)", series_name((enum series)series),
                     shortest[k], pruned.count);
            bench_equal(name,
                        pruned.count == full.count &&
                            memcmp(pruned.ends, full.ends, full.count * sizeof full.ends[0]) == 0);
            bench_row(name, pruned_ms, full_ms, 60);
            ride_ms = series == SERIES_RIDE && k == 0 ? pruned_ms : ride_ms;
            noise_ms = series == SERIES_NOISE && k == 0 ? pruned_ms : noise_ms;
        }
    }
    bench_most("noise, one segment / ride, many", noise_ms / ride_ms, 3);
    struct run day = make_run(arena, SERIES_RIDE, 86400, 1);
    bench_most("ride, 24 h / 3 h", bench_ms(by_pruning, &day, 5) / ride_ms, 11);
    arena_close(arena);
    return 0;
}
