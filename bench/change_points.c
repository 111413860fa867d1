/* bench/change_points.c: functional pruning against the full programme (optimal partitioning) of
 * the same cost, both exact, and against pruned search in numpy. */
#include "peer.h"
#include "series.h"

#include "maths/change_points.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
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

enum { LANES = 8, HOURS_3 = 10800 };

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

static bool is_same(const struct run *a, const struct run *b)
{
    return a->count == b->count && memcmp(a->ends, b->ends, b->count * sizeof b->ends[0]) == 0;
}

static void print_programme(struct arena *arena, enum series series, size_t shortest)
{
    struct run pruned = make_run(arena, series, HOURS_3, shortest);
    struct run full = make_run(arena, series, HOURS_3, shortest);
    char what[80];
    by_pruning(&pruned);
    by_programme(&full);
    snprintf(what, sizeof what, "%s, shortest %zu: %zu segments", series_name(series), shortest,
             pruned.count);
    if (!is_same(&pruned, &full)) {
        bench_differs("8", what, "the full programme", "not the same change points");
        return;
    }
    bench_faster("8", what, "full programme in C",
                 bench_pair((struct bench_way){ by_pruning, &pruned },
                            (struct bench_way){ by_programme, &full }),
                 60);
}

static void print_numpy(struct arena *arena)
{
    struct run run = make_run(arena, SERIES_RIDE, HOURS_3, 1);
    double *answer = ARENA_ARRAY(arena, double, HOURS_3);
    by_pruning(&run);
    for (size_t i = 0; i < run.count; i++) {
        answer[i] = (double)run.ends[i];
    }
    const char *const words[] = { bench_file(arena, "x.f64", run.x, run.n * sizeof run.x[0]),
                                  arena_format(arena, "%.17g", run.penalty), NULL };
    struct bench_peer *numpy = bench_peer_open(arena, "change_points.py", words);
    bench_against(&(struct bench_with_peer){ .goal = "8",
                                             .what = "ride, shortest 1",
                                             .ours = { by_pruning, &run },
                                             .answer = answer,
                                             .n = run.count,
                                             .wanted = 80 },
                  numpy, "numpy");
    bench_peer_close(numpy);
}

static int run_once(const char *way, size_t n)
{
    struct arena *arena = arena_open();
    struct run run = make_run(arena, SERIES_RIDE, n, 1);
    if (strcmp(way, "pruned") == 0) {
        by_pruning(&run);
    } else if (strcmp(way, "programme") == 0) {
        by_programme(&run);
    }
    arena_close(arena);
    return 0;
}

int main(int argc, char **argv)
{
    bench_begin();
    if (argc == 4 && strcmp(argv[1], "once") == 0) {
        return run_once(argv[2], (size_t)strtoul(argv[3], NULL, 10));
    }
    struct arena *arena = arena_open();
    bench_title("Change points, n = 10,800 (change_points)");
    for (int series = 0; series < SERIES_COUNT; series++) {
        print_programme(arena, (enum series)series, 1);
    }
    print_programme(arena, SERIES_RIDE, 6);
    print_programme(arena, SERIES_NOISE, 6);
    print_numpy(arena);
    struct run ride = make_run(arena, SERIES_RIDE, HOURS_3, 1);
    struct run noise = make_run(arena, SERIES_NOISE, HOURS_3, 1);
    bench_within("8", "noise, one segment", "ride, many segments",
                 bench_pair((struct bench_way){ by_pruning, &noise },
                            (struct bench_way){ by_pruning, &ride }),
                 3);
    const double pruned = bench_instructions("pruned", HOURS_3);
    bench_counts("8", "ride, shortest 1", "full programme in C", pruned,
                 bench_instructions("programme", HOURS_3), "instructions", BENCH_AT_LEAST, 80);
    bench_counts("law", "change points, 24 h / 3 h", "3 h",
                 bench_instructions("pruned", 8 * (size_t)HOURS_3), pruned, "instructions",
                 BENCH_AT_MOST, 11);
    arena_close(arena);
    return 0;
}
