/* bench/table.c: reading a table of comma-separated values against pandas. */
#include "peer.h"
#include "rides.h"

#include "maths/maths.h"
#include "recording/csv_read.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { COLUMNS = 2 }; /* compared: power and heart rate */

struct run {
    struct rides_file file;
    struct limits limits;
    double answer[2 * COLUMNS]; /* count and sum */
};

/* The reader of tables whole: rows, times, columns, pauses, the grid. */
static void by_reader(void *with)
{
    static const enum channel channels[COLUMNS] = { CHANNEL_POWER, CHANNEL_HEART_RATE };
    struct run *run = with;
    struct arena *arena = arena_open();
    struct recordings out = { 0 };
    struct error err = { 0 };
    const struct read_options options = { .file = run->file.name };
    if (!csv_read(arena, run->file.bytes, &options, &run->limits, &out, &err)) {
        abort();
    }
    memset(run->answer, 0, sizeof run->answer);
    for (size_t r = 0; r < out.count; r++) {
        const struct samples *samples = &out.items[r]->samples;
        for (size_t c = 0; c < COLUMNS; c++) {
            const int32_t *value = samples->value[channels[c]];
            for (size_t i = 0; value != NULL && i < samples->count; i++) {
                run->answer[2 * c] += value[i] != RECORDING_MISSING;
                run->answer[2 * c + 1] += value[i] != RECORDING_MISSING ? value[i] : 0;
            }
        }
    }
    arena_close(arena);
}

static void by_copy(void *with)
{
    const struct run *run = with;
    struct arena *arena = arena_open();
    arena_copy(arena, run->file.bytes.at, run->file.bytes.size);
    arena_close(arena);
}

static struct run make_run(struct rides_file file)
{
    return (struct run){ .file = file, .limits = limits_default() };
}

static void print_file(const char *what, struct run *run, const char *power, const char *heart)
{
    struct arena *arena = arena_open();
    bench_note("%s: %.0f kB", run->file.name, (double)run->file.bytes.size / 1e3);
    struct bench_peer *pandas = bench_peer_open(
        arena, "table.py", (const char *const[]){ run->file.path, power, heart, NULL });
    bench_against(&(struct bench_with_peer){ .goal = "2",
                                             .what = what,
                                             .ours = { by_reader, run },
                                             .answer = run->answer,
                                             .n = COUNT(run->answer),
                                             /* ours are rounded to 1 W and 1 bpm */
                                             .tolerance = 1e-5,
                                             .floor = 1,
                                             .wanted = 10 },
                  pandas, "pandas");
    bench_within(
        "", what, "copying the bytes",
        bench_pair((struct bench_way){ by_reader, run }, (struct bench_way){ by_copy, run }),
        (double)NAN);
    bench_peer_close(pandas);
    arena_close(arena);
}

static int run_once(const char *way, double hours)
{
    struct arena *arena = arena_open();
    struct run run = make_run(rides_table(arena, hours));
    if (strcmp(way, "read") == 0) {
        by_reader(&run);
    }
    arena_close(arena);
    return 0;
}

int main(int argc, char **argv)
{
    maths_begin();
    bench_begin();
    if (argc == 4 && strcmp(argv[1], "once") == 0) {
        return run_once(argv[2], strtod(argv[3], NULL));
    }
    struct arena *arena = arena_open();
    bench_title("CSV tables (csv_read), with grid and trust");
    struct rides_file file;
    if (rides_real(arena, "csv-ride-2020-08-18-power-hr.csv", &file)) {
        struct run real = make_run(file);
        print_file("a table as exported", &real, "power", "heart-rate");
    }
    struct run simulated = make_run(rides_table(arena, 6.5));
    print_file("six columns and a time", &simulated, "power", "heart_rate");
    bench_counts("law", "table, 12 h / 3 h of bytes", "3 h", bench_instructions("read", 12),
                 bench_instructions("read", 3), "instructions", BENCH_AT_MOST, 4.3);
    arena_close(arena);
    return 0;
}
