/* bench/best_means.c: the whole curve of bests by bounded tiles, and a few durations, against
 * numpy, pandas and every window looked at (the register-blocked scan of the same file, compiled
 * for the same processors).  Prefix sums and memory are in every figure. */
#include "peer.h"
#include "rides.h"
#include "series.h"

#include "maths/best_means.h"
#include "recording/recording.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { NINE = 9, SOME = 60, HOUR = 3600 };

struct run {
    size_t n;
    int32_t *power_w;
    int64_t *sums;
    size_t *starts; /* NULL: not wanted */
    double *answer; /* [n] the sums */
    double some[SOME];
    double nine[NINE];
};

static const size_t nine_s[NINE] = { 5, 15, 30, 60, 300, 600, 1200, 1800, 3600 };

static void by_tiles(void *with)
{
    const struct run *run = with;
    struct arena *arena = arena_open();
    best_means_all(arena, run->power_w, run->n, run->sums, run->starts);
    arena_close(arena);
}

static void by_scan(void *with)
{
    const struct run *run = with;
    struct arena *arena = arena_open();
    best_means_scan(arena, run->power_w, run->n, run->sums);
    arena_close(arena);
}

static void by_nine(void *with)
{
    const struct run *run = with;
    struct arena *arena = arena_open();
    best_means_few(arena, run->power_w, run->n, nine_s, NINE, run->sums, NULL);
    arena_close(arena);
}

static struct run make_run(struct arena *arena, const int32_t power_w[], size_t n)
{
    struct run run = { .n = n,
                       .power_w = arena_copy(arena, power_w, n * sizeof power_w[0]),
                       .sums = ARENA_ARRAY(arena, int64_t, n),
                       .answer = ARENA_ARRAY(arena, double, n) };
    by_tiles(&run);
    for (size_t i = 0; i < n; i++) {
        run.answer[i] = (double)run.sums[i];
    }
    return run;
}

static struct run make_series(struct arena *arena, enum series series, size_t n)
{
    int32_t *power_w = ARENA_ARRAY(arena, int32_t, n);
    series_fill(series, power_w, n);
    return make_run(arena, power_w, n);
}

/* ---- against others ---- */

/* Sixty lengths spread over all of them, as pandas is too slow for all. */
static size_t some_length(size_t n, size_t i)
{
    return 1 + i * (n - 1) / (SOME - 1);
}

static struct bench_peer *open_peer(struct arena *arena, const char *which, const struct run *run,
                                    const size_t lengths[], size_t count)
{
    const char *words[SOME + 3] = { which, bench_file(arena, "power.i32", run->power_w,
                                                      run->n * sizeof run->power_w[0]) };
    for (size_t i = 0; i < count; i++) {
        words[i + 2] = arena_format(arena, "%zu", lengths[i]);
    }
    return bench_peer_open(arena, "best_means.py", words);
}

static void print_peers(const char *name, struct run *run)
{
    struct arena *arena = arena_open();
    char what[80];
    size_t lengths[SOME];
    for (size_t i = 0; i < SOME; i++) {
        lengths[i] = some_length(run->n, i);
        run->some[i] = run->answer[lengths[i] - 1];
    }
    for (size_t i = 0; i < NINE; i++) {
        run->nine[i] = run->answer[nine_s[i] - 1];
    }
    struct bench_peer *numpy = open_peer(arena, "numpy", run, NULL, 0);
    struct bench_peer *pandas = open_peer(arena, "pandas", run, lengths, SOME);
    struct bench_peer *numpy_nine = open_peer(arena, "numpy", run, nine_s, NINE);
    struct bench_peer *pandas_nine = open_peer(arena, "pandas", run, nine_s, NINE);
    const struct bench_way tiles = { by_tiles, run };
    const struct bench_way nine = { by_nine, run };
    snprintf(what, sizeof what, "%s, whole curve", name);
    bench_against(&(struct bench_with_peer){ "4", what, tiles, run->answer, run->n, 0, 1, 60, 0 },
                  numpy, "numpy");
    /* Rolling means gather rounding as they roll. */
    bench_against(&(struct bench_with_peer){ "4", what, tiles, run->some, SOME, 1e-9, 1, 5000,
                                             SOME / (double)run->n },
                  pandas, "pandas");
    snprintf(what, sizeof what, "%s, nine durations", name);
    bench_against(&(struct bench_with_peer){ "6", what, nine, run->nine, NINE, 0, 1, 6, 0 },
                  numpy_nine, "numpy");
    bench_against(&(struct bench_with_peer){ "6", what, nine, run->nine, NINE, 1e-9, 1, 250, 0 },
                  pandas_nine, "pandas");
    bench_within("6", what, "whole curve", bench_pair(nine, tiles), 1.0 / 30);
    bench_peer_close(numpy);
    bench_peer_close(pandas);
    bench_peer_close(numpy_nine);
    bench_peer_close(pandas_nine);
    arena_close(arena);
}

/* Power of the long real ride on its grid, unknown as 0. */
static bool real_power(struct arena *arena, struct run *run, struct rides_file *file)
{
    const struct limits limits = limits_default();
    struct recordings out = { 0 };
    struct error err = { 0 };
    const struct read_options options = { .file = "" };
    if (!rides_real(arena, "long-ride-6h-power-hr-balance-b.fit", file) ||
        !recording_read(arena, file->bytes, &options, &limits, &out, &err)) {
        return false;
    }
    int32_t *power_w = out.items[0]->value[CHANNEL_POWER];
    for (size_t i = 0; i < out.items[0]->n_seconds; i++) {
        power_w[i] = power_w[i] == RECORDING_MISSING ? 0 : power_w[i];
    }
    *run = make_run(arena, power_w, out.items[0]->n_seconds);
    return true;
}

/* ---- against the full scan ---- */

static void print_instructions(void)
{
    static const struct {
        const char *what;
        size_t n;
        double wanted;
    } rows[] = { { "ride, 1 h, whole curve", HOUR, 3 },
                 { "ride, 3 h, whole curve", 3 * HOUR, 7 },
                 { "ride, 6 h, whole curve", 6 * HOUR, 12 },
                 { "ride, 24 h, whole curve", 24 * HOUR, 25 } };
    double tiles[COUNT(rows)];
    for (size_t i = 0; i < COUNT(rows); i++) {
        tiles[i] = bench_instructions("tiles", rows[i].n);
        bench_counts("4", rows[i].what, "every window, 8 at once", tiles[i],
                     bench_instructions("scan", rows[i].n), "instructions", BENCH_AT_LEAST,
                     rows[i].wanted);
    }
    bench_counts("6", "ride, 3 h, nine durations", "whole curve",
                 bench_instructions("nine", 3 * HOUR), tiles[1], "instructions", BENCH_AT_MOST,
                 1.0 / 30);
    bench_counts("law", "whole curve, 24 h / 1 h", "1 h", tiles[3], tiles[0], "instructions",
                 BENCH_AT_MOST, 160);
}

static void print_hard(struct arena *arena)
{
    for (int s = 0; s < SERIES_COUNT; s++) {
        struct run tiles = make_series(arena, (enum series)s, 3 * HOUR);
        struct run scan = make_series(arena, (enum series)s, 3 * HOUR);
        char what[80];
        snprintf(what, sizeof what, "%s, 3 h", series_name((enum series)s));
        by_scan(&scan);
        if (memcmp(tiles.sums, scan.sums, tiles.n * sizeof scan.sums[0]) != 0) {
            bench_differs("5", what, "every window", "not the same sums");
            continue;
        }
        bench_within("5", what, "every window, 8 at once",
                     bench_pair((struct bench_way){ by_tiles, &tiles },
                                (struct bench_way){ by_scan, &scan }),
                     1.4);
    }
}

/* ---- the same bits on every path ---- */

#ifdef BENCH_PATHS
typedef void best_means_path(struct arena *, const int32_t[], size_t, int64_t[], size_t[]);
best_means_path best_means_all_v1;
best_means_path best_means_all_v2;
best_means_path best_means_all_v3;

static bool may_run_v3(void)
{
    return __builtin_cpu_supports("avx2") && __builtin_cpu_supports("bmi2") &&
           __builtin_cpu_supports("fma");
}

static void print_paths(struct arena *arena)
{
    static best_means_path *const paths[] = { best_means_all_v1, best_means_all_v2,
                                              best_means_all_v3 };
    const size_t n = 3 * HOUR;
    size_t different = 0;
    size_t compared = 0;
    for (int s = 0; s < SERIES_COUNT; s++) {
        struct run run = make_series(arena, (enum series)s, n);
        size_t *starts = ARENA_ARRAY(arena, size_t, n);
        int64_t *sums = ARENA_ARRAY(arena, int64_t, n);
        run.starts = ARENA_ARRAY(arena, size_t, n);
        by_tiles(&run);
        for (size_t p = 0; p < (may_run_v3() ? COUNT(paths) : 2); p++) {
            paths[p](arena, run.power_w, n, sums, starts);
            different += memcmp(sums, run.sums, n * sizeof sums[0]) != 0 ||
                         memcmp(starts, run.starts, n * sizeof starts[0]) != 0;
            compared++;
        }
    }
    bench_note("%zu curves with their starts, compiled for x86-64-v1, -v2%s", compared,
               may_run_v3() ? " and -v3" : "; this processor has no -v3");
    bench_agrees("5", "curves that differ between the paths", "this build's own path",
                 (double)different, 0);
}
#else
static void print_paths(struct arena *arena)
{
    (void)arena;
    bench_absent("5", "curves that differ between the paths", "an x86-64 processor");
}
#endif

static int run_once(const char *way, size_t n)
{
    static const struct {
        const char *name;
        void (*call)(void *with);
    } ways[] = { { "tiles", by_tiles }, { "scan", by_scan }, { "nine", by_nine } };
    struct arena *arena = arena_open();
    struct run run = { .n = n,
                       .power_w = ARENA_ARRAY(arena, int32_t, n),
                       .sums = ARENA_ARRAY(arena, int64_t, n) };
    series_fill(SERIES_RIDE, run.power_w, n);
    for (size_t i = 0; i < COUNT(ways); i++) {
        if (strcmp(ways[i].name, way) == 0) {
            ways[i].call(&run);
        }
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
    bench_title("The greatest mean of every duration (best_means)");
    struct run ride = make_series(arena, SERIES_RIDE, 3 * HOUR);
    print_peers("ride, 3 h", &ride);
    struct run real;
    struct rides_file file;
    if (real_power(arena, &real, &file)) {
        bench_note("real: %s, power on %zu s", file.name, real.n);
        print_peers("real", &real);
    }
    print_instructions();
    print_hard(arena);
    print_paths(arena);
    struct run with_starts = ride;
    with_starts.starts = ARENA_ARRAY(arena, size_t, ride.n);
    bench_within("", "ride, 3 h, curve with starts", "without",
                 bench_pair((struct bench_way){ by_tiles, &with_starts },
                            (struct bench_way){ by_tiles, &ride }),
                 (double)NAN);
    arena_close(arena);
    return 0;
}
