/* bench/reread.c: what one changed threshold costs: the rides that it touches, and not those that
 * it doesn't.  Real imports of 20-minute rides, read again from their originals. */
#include "bench.h"

#include "base/dates.h"
#include "base/text.h"
#include "maths/maths.h"
#include "roster/facts.h"
#include "roster/import.h"
#include "roster/rereading.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <time.h>

enum { FIRST_DAY = 20454, RIDE_S = 1200, TURNS = 5 };

static const struct roster_now now = { 1788177600, "bench" };

struct setting {
    struct roster *roster;
    const char *place;
    struct rider rider;
    size_t n; /* rides, one a day */
    int turn;
};

static const char *day_of(struct arena *arena, size_t ride)
{
    char day[11];
    dates_format_day(FIRST_DAY + (int64_t)ride, day);
    return arena_string(arena, day);
}

static void write_ride(struct arena *arena, const char *path, size_t ride)
{
    struct text out = text_begin(arena, 200000);
    struct error err = { 0 };
    uint32_t state = (uint32_t)ride;
    const char *day = day_of(arena, ride);
    text_add(&out, "time,power,heart_rate,cadence\n");
    for (int i = 0; i < RIDE_S; i++) {
        state = state * 1664525u + 1013904223u;
        text_add_format(&out, "%sT09:%02d:%02dZ,%d,%d,88\n", day, i / 60, i % 60,
                        170 + (int)(state >> 26), 125 + i / 90);
    }
    bench_must(files_write(path, (struct bytes){ (const uint8_t *)out.bytes, out.length }, &err),
               &err);
}

static struct setting make(struct arena *arena, size_t n)
{
    struct setting setting = { .n = n, .rider = { .name = "Maren Oslund", .zone_name = "UTC" } };
    struct error err = { 0 };
    struct import_sum sum = { 0 };
    setting.place = bench_file(arena, arena_format(arena, "reread-%zu", n), "", 0);
    const char *folder = arena_format(arena, "%s-rides", setting.place);
    if (mkdir(folder, 0700) != 0) {
        exit(1);
    }
    for (size_t i = 0; i < n; i++) {
        struct arena *scratch = arena_open();
        write_ride(scratch, arena_format(scratch, "%s/%05zu.csv", folder, i), i);
        arena_close(scratch);
    }
    bench_must(roster_open(setting.place, ROSTER_CREATE, now, &setting.roster, &err), &err);
    bench_must(riders_add(setting.roster, arena, now, &setting.rider, &err), &err);
    const struct import_call call = { .roster = setting.roster,
                                      .place = setting.place,
                                      .now = now,
                                      .rider = &setting.rider,
                                      .n_threads = 1 };
    bench_must(import_paths(arena, &call, &folder, 1, &sum, &err), &err);
    return setting;
}

static void set_threshold(struct setting *setting, struct arena *arena, size_t ride, double watts)
{
    struct error err = { 0 };
    struct fact fact = {
        .day = day_of(arena, ride), .value = watts, .low = (double)NAN, .high = (double)NAN
    };
    bench_must(facts_set(setting->roster, arena, now, &setting->rider, FACT_THRESHOLD, &fact, &err),
               &err);
}

static size_t keep_true(struct setting *setting, struct arena *arena)
{
    struct rereading_jobs jobs = { 0 };
    struct rereading_sum sum = { 0 };
    struct error err = { 0 };
    const struct rereading_call call = {
        .roster = setting->roster, .place = setting->place, .now = now, .n_threads = 1
    };
    bench_must(rereading_look(setting->roster, arena, now, &jobs, &err), &err);
    bench_must(rereading_run(arena, &call, &jobs, &sum, &err), &err);
    return sum.done;
}

static double processor_s(void)
{
    struct timespec at = { 0 };
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &at);
    return (double)at.tv_sec + (double)at.tv_nsec / 1e9;
}

/* Seconds for one threshold that holds from the tenth ride on for `touched` days: the change, the
 * look, the reading again.  The median of some turns. */
static double threshold_s(struct setting *setting, size_t touched)
{
    double seconds[TURNS];
    struct arena *arena = arena_open();
    set_threshold(setting, arena, 0, 200.0);
    set_threshold(setting, arena, 10, 200.0);
    set_threshold(setting, arena, 10 + touched, 201.0 + (double)touched);
    (void)keep_true(setting, arena);
    for (int i = 0; i < TURNS; i++) {
        const double begun = processor_s();
        set_threshold(setting, arena, 10, 210.0 + (double)setting->turn++);
        const size_t done = keep_true(setting, arena);
        seconds[i] = processor_s() - begun;
        if (done != touched) {
            fprintf(stderr, "bench_reread: %zu rides read, not %zu\n", done, touched);
            exit(1);
        }
    }
    struct error err = { 0 };
    bench_must(facts_remove(setting->roster, arena, now, &setting->rider, FACT_THRESHOLD,
                            day_of(arena, 10 + touched), 0, &err),
               &err);
    (void)keep_true(setting, arena);
    arena_close(arena);
    return bench_spread_of(seconds, TURNS).middle;
}

int main(int argc, char **argv)
{
    maths_begin();
    bench_begin();
    (void)argv;
    if (argc > 1) {
        return 2;
    }
    struct arena *arena = arena_open();
    bench_title("One changed threshold (roster/rereading): rides of 20 min");
    struct setting many = make(arena, 1000);
    const double ten = threshold_s(&many, 10);
    const double hundred = threshold_s(&many, 100);
    bench_counts("law", "a threshold, 100 / 10 of 1000 rides touched", "10 rides", hundred, ten,
                 "s", BENCH_AT_MOST, 10.5);
    roster_close(many.roster);
    struct setting few = make(arena, 125);
    bench_counts("law", "a threshold, 10 of 1000 / of 125 rides touched", "of 125 rides", ten,
                 threshold_s(&few, 10), "s", BENCH_AT_MOST, 1.2);
    roster_close(few.roster);
    arena_close(arena);
    return 0;
}
