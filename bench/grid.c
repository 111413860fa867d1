/* bench/grid.c: samples onto one place a second against pandas, and against copying the grids; how
 * the grid and the search for a steady span grow with the ride. */
#include "peer.h"
#include "rides.h"

#include "maths/maths.h"
#include "physiology/steady.h"
#include "recording/grid.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { CHANNELS = 5 };

static const enum channel channels[CHANNELS] = { CHANNEL_POWER, CHANNEL_HEART_RATE, CHANNEL_CADENCE,
                                                 CHANNEL_SPEED, CHANNEL_ALTITUDE };

struct run {
    struct recording recording; /* samples only: times rise, no pauses, heart rate 0 missing */
    struct limits limits;
    size_t n_seconds;
    int32_t *from; /* [CHANNELS x n_seconds] */
    int32_t *to;
    double answer[2 * CHANNELS]; /* cells known or bridged, their sum */
    bool found;
};

static void by_grid(void *with)
{
    struct run *run = with;
    struct arena *arena = arena_open();
    struct recording recording = run->recording;
    grid_fill(arena, &recording, &run->limits);
    run->n_seconds = recording.n_seconds;
    arena_close(arena);
}

static void take_answer(struct run *run)
{
    struct arena *arena = arena_open();
    struct recording recording = run->recording;
    grid_fill(arena, &recording, &run->limits);
    memset(run->answer, 0, sizeof run->answer);
    for (size_t c = 0; c < CHANNELS; c++) {
        const int32_t *value = recording.value[channels[c]];
        for (size_t t = 0; value != NULL && t < recording.n_seconds; t++) {
            run->answer[2 * c] += value[t] != RECORDING_MISSING;
            run->answer[2 * c + 1] += value[t] != RECORDING_MISSING ? value[t] : 0;
        }
    }
    arena_close(arena);
}

static void by_copy(void *with)
{
    struct run *run = with;
    memcpy(run->to, run->from, CHANNELS * run->n_seconds * sizeof run->to[0]);
}

static void by_steady(void *with)
{
    struct run *run = with;
    struct arena *arena = arena_open();
    run->found = steady_find(arena, &run->recording, &run->limits).found;
    arena_close(arena);
}

/* Rows whose time rises, five channels, as both sides can take them. */
static struct run *make_run(struct arena *arena, const struct samples *samples)
{
    struct run *run = ARENA_ARRAY(arena, struct run, 1);
    struct samples *kept = &run->recording.samples;
    run->limits = limits_default();
    kept->time_s = ARENA_ARRAY(arena, int32_t, samples->count);
    for (size_t c = 0; c < CHANNELS; c++) {
        kept->value[channels[c]] = ARENA_ARRAY(arena, int32_t, samples->count);
    }
    for (size_t i = 0; i < samples->count; i++) {
        if (kept->count > 0 && samples->time_s[i] <= kept->time_s[kept->count - 1]) {
            continue;
        }
        kept->time_s[kept->count] = samples->time_s[i];
        for (size_t c = 0; c < CHANNELS; c++) {
            const int32_t *value = samples->value[channels[c]];
            const bool known = value != NULL && value[i] != RECORDING_MISSING &&
                               !(channels[c] == CHANNEL_HEART_RATE && value[i] == 0);
            kept->value[channels[c]][kept->count] = known ? value[i] : RECORDING_MISSING;
        }
        kept->count++;
    }
    by_grid(run);
    run->from = ARENA_ARRAY(arena, int32_t, CHANNELS * run->n_seconds);
    run->to = ARENA_ARRAY(arena, int32_t, CHANNELS * run->n_seconds);
    memset(run->from, 1, CHANNELS * run->n_seconds * sizeof run->from[0]);
    memset(run->to, 1, CHANNELS * run->n_seconds * sizeof run->to[0]);
    take_answer(run);
    return run;
}

static struct bench_peer *open_pandas(struct arena *arena, const struct run *run)
{
    const struct samples *samples = &run->recording.samples;
    const size_t rows = samples->count;
    int32_t *table = ARENA_ARRAY(arena, int32_t, (CHANNELS + 1) * rows);
    const char *words[CHANNELS + 3] = { NULL };
    memcpy(table, samples->time_s, rows * sizeof table[0]);
    for (size_t c = 0; c < CHANNELS; c++) {
        memcpy(table + (c + 1) * rows, samples->value[channels[c]], rows * sizeof table[0]);
        words[c + 2] = arena_format(
            arena, "%.0f",
            run->limits.value[channels[c] == CHANNEL_HEART_RATE ? LIMIT_BRIDGE_HEART_RATE_S
                                                                : LIMIT_BRIDGE_OTHER_S]);
    }
    words[0] = bench_file(arena, "samples.i32", table, (CHANNELS + 1) * rows * sizeof table[0]);
    words[1] = arena_format(arena, "%zu", rows);
    return bench_peer_open(arena, "grid.py", words);
}

static struct samples real_samples(struct arena *arena, const char **name)
{
    const struct rides_file file = rides_fit(arena, "long-ride-6h-power-hr-balance-b.fit", 6.5);
    const struct limits limits = limits_default();
    const struct read_options options = { .file = file.name };
    struct recordings out = { 0 };
    struct error err = { 0 };
    if (!recording_read(arena, file.bytes, &options, &limits, &out, &err)) {
        abort();
    }
    *name = file.name;
    return out.items[0]->samples;
}

static int run_once(const char *way, double hours)
{
    struct arena *arena = arena_open();
    const struct samples samples = rides_samples(arena, hours);
    struct run *run = make_run(arena, &samples);
    /* what the steady span is looked for on, made for every way */
    grid_fill(arena, &run->recording, &run->limits);
    if (strcmp(way, "grid") == 0) {
        by_grid(run);
    } else if (strcmp(way, "steady") == 0) {
        by_steady(run);
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
    const char *name = NULL;
    bench_title("One place a second, short gaps filled (grid), five channels");
    const struct samples samples = real_samples(arena, &name);
    struct run *run = make_run(arena, &samples);
    bench_note("%s: %zu rows on %zu s", name, run->recording.samples.count, run->n_seconds);
    struct bench_peer *pandas = open_pandas(arena, run);
    const struct bench_way ours = { by_grid, run };
    bench_against(&(struct bench_with_peer){ .goal = "3",
                                             .what = "grid and gaps",
                                             .ours = ours,
                                             .answer = run->answer,
                                             .n = COUNT(run->answer),
                                             /* halves, which fractions only nearly meet */
                                             .tolerance = 1e-5,
                                             .floor = 1,
                                             .wanted = 80 },
                  pandas, "pandas");
    bench_peer_close(pandas);
    bench_within("3", "grid, gaps and masks", "copying the grids",
                 bench_pair(ours, (struct bench_way){ by_copy, run }), 15);
    bench_counts("law", "grid, 24 h / 3 h", "3 h", bench_instructions("grid", 24),
                 bench_instructions("grid", 3), "instructions", BENCH_AT_MOST, 10);
    bench_counts("law", "steady span, 24 h / 3 h", "3 h", bench_instructions("steady", 24),
                 bench_instructions("steady", 3), "instructions", BENCH_AT_MOST, 10);
    arena_close(arena);
    return 0;
}
