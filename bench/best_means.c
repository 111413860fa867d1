/* bench/best_means.c: the whole curve of bests by bounded tiles against every window looked at
 * (the register-blocked scan of the same file, compiled for the same processors).
 * Goals: 3, 7 and 12 times fewer instructions at 1, 3 and 6 h of a ride; never more than 1.4 x the
 * time on hard series; nine lengths in 1/30 of the curve; growth 1 h to 24 h at most 160 times.
 *
 * What is printed is time, prefix sums and memory included.  Instructions are counted by
 *     valgrind --tool=callgrind bench_best_means once tiles 10800
 * (or scan; less what `once none 10800` takes). */
#include "bench.h"
#include "series.h"

#include "maths/best_means.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct run {
    size_t n;
    int32_t *power_w;
    int64_t *sums;
    size_t *starts; /* NULL: not wanted */
};

static const size_t nine[] = { 5, 15, 30, 60, 300, 600, 1200, 1800, 3600 };

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
    best_means_few(arena, run->power_w, run->n, nine, sizeof nine / sizeof nine[0], run->sums,
                   NULL);
    arena_close(arena);
}

struct times {
    double tiles_ms;
    double scan_ms;
};

static struct times measure(struct arena *arena, enum series series, size_t n, size_t rounds)
{
    struct run tiles = { n, ARENA_ARRAY(arena, int32_t, n), ARENA_ARRAY(arena, int64_t, n), NULL };
    struct run scan = { n, tiles.power_w, ARENA_ARRAY(arena, int64_t, n), NULL };
    series_fill(series, tiles.power_w, n);
    const struct times times = { bench_ms(by_tiles, &tiles, rounds),
                                 bench_ms(by_scan, &scan, rounds) };
    bench_equal(series_name(series), memcmp(tiles.sums, scan.sums, n * sizeof scan.sums[0]) == 0);
    return times;
}

static void print_growth(struct arena *arena)
{
    struct run hour = { 3600, ARENA_ARRAY(arena, int32_t, 86400),
                        ARENA_ARRAY(arena, int64_t, 86400), ARENA_ARRAY(arena, size_t, 86400) };
    series_fill(SERIES_RIDE, hour.power_w, 86400);
    struct run day = hour;
    day.n = 86400;
    const double hour_ms = bench_ms(by_tiles, &hour, 21);
    bench_most("ride, 24 h / 1 h, with starts", bench_ms(by_tiles, &day, 3) / hour_ms, 160);
    struct run three = hour;
    three.n = 10800;
    const double with_ms = bench_ms(by_tiles, &three, 21);
    const double nine_ms = bench_ms(by_nine, &three, 21);
    three.starts = NULL;
    const double without_ms = bench_ms(by_tiles, &three, 21);
    bench_most("ride, 3 h, with starts / without", with_ms / without_ms, 2);
    bench_most("ride, 3 h, nine lengths / whole curve", nine_ms / without_ms, 1.0 / 30);
}

/* One call of one way, for a counter of instructions. */
static int run_once(const char *way, const char *length)
{
    const size_t n = (size_t)strtoul(length, NULL, 10);
    struct arena *arena = arena_open();
    struct run run = { n, ARENA_ARRAY(arena, int32_t, n), ARENA_ARRAY(arena, int64_t, n), NULL };
    series_fill(SERIES_RIDE, run.power_w, n);
    if (strcmp(way, "none") != 0) {
        (strcmp(way, "scan") == 0 ? by_scan : by_tiles)(&run);
    }
    arena_close(arena);
    return 0;
}

int main(int argc, char **argv)
{
    if (argc == 4 && strcmp(argv[1], "once") == 0) {
        return run_once(argv[2], argv[3]);
    }
    static const struct {
        const char *name;
        size_t n;
        double goal;
    } hours[] = { { "ride, 1 h", 3600, 3 }, { "ride, 3 h", 10800, 7 }, { "ride, 6 h", 21600, 12 } };
    struct arena *arena = arena_open();
    bench_title("best means of every length (best_means)", "tiles", "every window");
    for (size_t i = 0; i < sizeof hours / sizeof hours[0]; i++) {
        const struct times times = measure(arena, SERIES_RIDE, hours[i].n, 15);
        bench_row(hours[i].name, times.tiles_ms, times.scan_ms, hours[i].goal);
    }
    for (int series = SERIES_RIDE + 1; series < SERIES_COUNT; series++) {
        const struct times times = measure(arena, (enum series)series, 10800, 15);
        char name[64];
        snprintf(name, sizeof name, "%s, 3 h", series_name((enum series)series));
        bench_row(name, times.tiles_ms, times.scan_ms, 1 / 1.4);
    }
    print_growth(arena);
    arena_close(arena);
    return 0;
}
