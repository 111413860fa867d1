/* bench/rides.c: finding real rides, making simulated ones. */
#include "rides.h"

#include "recording/fit_write.h"
#include "simulated/ride.h"

#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const size_t MOST_BYTES = (size_t)64 << 20;
static const int64_t START_UTC = 1770000000;

static const char *real_folder(struct arena *arena)
{
    const char *shared = getenv("PLUMBLINE_SHARED");
    return shared != NULL ? arena_format(arena, "%s/recordings/real", shared)
                          : PLUMBLINE_SOURCE "/../shared/recordings/real";
}

/* Levels that change every few minutes, hills, coasting, junctions. */
static struct simulated_ride simulate(struct arena *arena, double hours)
{
    static const double levels_w[] = { 140, 185, 160, 235, 150, 170, 205, 130 };
    const size_t n = (size_t)(hours * 3600.0 / 300.0);
    struct simulated_block *blocks = ARENA_ARRAY(arena, struct simulated_block, n);
    for (size_t i = 0; i < n; i++) {
        const double power_w = levels_w[(i * 5 + i / 7) % COUNT(levels_w)];
        blocks[i] = (struct simulated_block){ .duration_s = 300,
                                              .power_w = power_w,
                                              .end_power_w = power_w,
                                              .cadence_rpm = (double)NAN };
    }
    const struct simulated_plan plan = { .blocks = blocks,
                                         .n_blocks = n,
                                         .outdoors = true,
                                         .hilliness = 0.35,
                                         .coasting_ratio = 0.07,
                                         .junctions_per_h = 7,
                                         .temperature_c = 11,
                                         .temperature_rise_c = 2,
                                         .start_utc = START_UTC,
                                         .seed = 20260117,
                                         .device = { .missing_per_h = 2 } };
    const struct simulated_rider rider = simulated_rider_default();
    return simulated_ride_make(arena, &rider, &plan);
}

struct samples rides_samples(struct arena *arena, double hours)
{
    return simulate(arena, hours).samples;
}

static struct rides_file make_file(struct arena *arena, double hours, const char *name,
                                   struct bytes bytes)
{
    return (struct rides_file){ bench_file(arena, name, bytes.at, bytes.size),
                                arena_format(arena, "simulated, %.3g h", hours), bytes };
}

struct rides_file rides_simulated(struct arena *arena, double hours)
{
    const struct fit_activity activity = { .start_utc = START_UTC,
                                           .sport = SPORT_CYCLING,
                                           .place = PLACE_OUTDOORS,
                                           .samples = rides_samples(arena, hours) };
    struct bytes bytes = { 0 };
    struct error err = { 0 };
    if (!fit_write(arena, &activity, &bytes, &err)) {
        fprintf(stderr, "%s\n", err.message);
        exit(1);
    }
    return make_file(arena, hours, arena_format(arena, "ride-%g-h.fit", hours), bytes);
}

bool rides_real(struct arena *arena, const char *name, struct rides_file *file)
{
    struct error err = { 0 };
    *file =
        (struct rides_file){ arena_format(arena, "%s/%s", real_folder(arena), name), name, { 0 } };
    return files_read(arena, file->path, MOST_BYTES, &file->bytes, &err);
}

struct rides_file rides_fit(struct arena *arena, const char *name, double hours)
{
    struct rides_file file;
    return rides_real(arena, name, &file) ? file : rides_simulated(arena, hours);
}

const char *const rides_table_columns[] = { "power",    "heart_rate",  "cadence", "speed",
                                            "distance", "temperature", NULL };

struct rides_file rides_table(struct arena *arena, double hours)
{
    static const enum channel channels[] = {
        CHANNEL_POWER, CHANNEL_HEART_RATE, CHANNEL_CADENCE,
        CHANNEL_SPEED, CHANNEL_DISTANCE,   CHANNEL_TEMPERATURE
    };
    enum { ROW = 128 };
    const struct samples samples = rides_samples(arena, hours);
    char *text = arena_alloc(arena, (samples.count + 1) * ROW, 1);
    size_t size = (size_t)sprintf(text, "seconds");
    for (size_t c = 0; rides_table_columns[c] != NULL; c++) {
        size += (size_t)sprintf(text + size, ",%s", rides_table_columns[c]);
    }
    for (size_t i = 0; i < samples.count; i++) {
        size += (size_t)sprintf(text + size, "\n%d", (int)samples.time_s[i]);
        for (size_t c = 0; c < COUNT(channels); c++) {
            const int32_t *value = samples.value[channels[c]];
            const struct channel_row *row = channel_row(channels[c]);
            if (value == NULL || value[i] == RECORDING_MISSING) {
                size += (size_t)sprintf(text + size, ",");
            } else {
                size += (size_t)sprintf(text + size, ",%.*f", row->decimals,
                                        (double)value[i] * row->step);
            }
        }
    }
    text[size++] = '\n';
    return make_file(arena, hours, arena_format(arena, "ride-%g-h.csv", hours),
                     (struct bytes){ (const uint8_t *)text, size });
}

static bool is_fit(const char *name)
{
    const size_t length = strlen(name);
    return length > 4 && strcmp(name + length - 4, ".fit") == 0;
}

const char **rides_batch(struct arena *arena, size_t at_least, size_t *count, const char **what)
{
    enum { MOST_FILES = 200, SIMULATED = 10 };
    const char **paths = ARENA_ARRAY(arena, const char *, MOST_FILES + at_least + 1);
    const char *folder = real_folder(arena);
    size_t n = 0;
    DIR *directory = opendir(folder);
    for (struct dirent *entry = directory != NULL ? readdir(directory) : NULL;
         entry != NULL && n < MOST_FILES; entry = readdir(directory)) {
        if (is_fit(entry->d_name)) {
            paths[n++] = arena_format(arena, "%s/%s", folder, entry->d_name);
        }
    }
    if (directory != NULL) {
        closedir(directory);
    }
    *what = "real";
    if (n == 0) {
        *what = "simulated";
        for (; n < SIMULATED; n++) {
            paths[n] = rides_simulated(arena, 0.75 + 0.25 * (double)n).path;
        }
    }
    const size_t different = n;
    while (n < at_least) {
        paths[n] = paths[n - different];
        n++;
    }
    *count = n;
    return paths;
}
