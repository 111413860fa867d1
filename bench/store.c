/* bench/store.c: bests over a range against the plain maximum over every ride's curve, that maximum
 * against reading its bytes, and every second of a history from its samples; how small a ride is
 * kept and how fast it is read, against a row a second; what one new ride costs. */
#include "bench.h"
#include "series_rows.h"

#include "base/dates.h"
#include "maths/best_means.h"
#include "maths/maths.h"
#include "physiology/bests.h"
#include "roster/best_months.h"
#include "roster/import.h"
#include "roster/pack.h"
#include "roster/recordings.h"
#include "simulated/season.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { RIDES = 1250, DISTINCT = 25, STEP_DAYS = 2 };

static const struct roster_now now = { 1788177600, "bench" };

/* ---- 1,250 rides of one rider, made of 25 ---- */

struct history {
    struct arena *arena;
    struct roster *roster;
    const char *place;
    struct rider rider;
    struct recording *recordings[DISTINCT];
    struct bytes files[DISTINCT];
    struct packed_recording packed[DISTINCT];
    int32_t *curve[RIDES]; /* every second's greatest work: what a plain maximum reads */
    size_t length[RIDES];
    size_t seconds;
    size_t rides;
};

static const char *day_of(struct arena *arena, size_t ride)
{
    char day[11];
    dates_format_day(18000 + STEP_DAYS * (int64_t)ride, day);
    return arena_string(arena, day);
}

static void make_rides(struct history *h)
{
    struct season_ride *rides = NULL;
    size_t n = 0;
    const struct limits limits = limits_default();
    season_rides(h->arena, &simulated_stories[0], &rides, &n);
    for (size_t i = 0; i < DISTINCT; i++) {
        struct season_files files = { 0 };
        struct recordings read = { 0 };
        struct error err = { 0 };
        const struct read_options options = { .file = "ride.fit" };
        bench_must(season_write(h->arena, &rides[4 * i], &files, &err), &err);
        h->files[i] = files.bytes;
        bench_must(recording_read(h->arena, files.bytes, &options, &limits, &read, &err), &err);
        h->recordings[i] = read.items[0];
    }
}

struct storing {
    struct history *h;
    size_t from;
};

/* Fifty at a time. */
static bool store(struct db *db, void *context, struct error *err)
{
    const struct storing *storing = context;
    struct history *h = storing->h;
    for (size_t i = storing->from; i < h->rides && i < storing->from + 50; i++) {
        struct arena *arena = arena_open();
        struct packed_recording packed;
        struct packed_original original = { .name = "ride.fit",
                                            .size = 8,
                                            .packing = "none",
                                            .content = { (const uint8_t *)&i, sizeof i } };
        int64_t first = 0;
        int64_t recording = 0;
        const char *day = day_of(arena, i);
        memcpy(original.sha256, &i, sizeof i);
        packed = h->packed[i % DISTINCT];
        packed.row.local_day = day;
        packed.row.start_utc_s = 86400 * (18000 + STEP_DAYS * (int64_t)i);
        const bool done =
            recordings_store_original(db, arena, &original, now.utc_s, &first, err) &&
            recordings_store(db, arena, h->rider.id, first, &packed, &recording, err) &&
            best_months_add(db, arena, h->rider.id, arena_format(arena, "%.7s", day), recording,
                            packed.row.start_utc_s, &packed.curve, err);
        arena_close(arena);
        if (!done) {
            return false;
        }
    }
    return true;
}

static void make_history(struct arena *arena, struct history *h, size_t rides, const char *name)
{
    struct error err = { 0 };
    *h = (struct history){ .arena = arena, .rides = rides, .rider = { .name = "Maren Oslund" } };
    h->place = bench_file(arena, name, "", 0);
    make_rides(h);
    bench_must(roster_open(h->place, ROSTER_CREATE, now, &h->roster, &err), &err);
    bench_must(riders_add(h->roster, arena, now, &h->rider, &err), &err);
    for (size_t i = 0; i < DISTINCT; i++) {
        bench_must(recordings_pack(arena, h->recordings[i], "2020-01-01", &h->packed[i], &err),
                   &err);
    }
    for (size_t i = 0; i < rides; i += 50) {
        struct storing storing = { h, i };
        bench_must(db_write(roster_db(h->roster), store, &storing, &err), &err);
    }
}

/* ---- goal 7 ---- */

struct asking {
    struct history *h;
    const char *from;
    const char *to;
    size_t first;
    size_t last;
    struct best_envelope envelope;
    int32_t *best; /* of the plain maximum */
    size_t longest;
    int64_t sum; /* of every number of the curves: so that they are read */
};

static void by_months(void *with)
{
    struct asking *asking = with;
    struct arena *arena = arena_open();
    struct error err = { 0 };
    bench_must(best_months_range(roster_db(asking->h->roster), arena, asking->h->rider.id,
                                 asking->from, asking->to, &asking->envelope, &err),
               &err);
    arena_close(arena);
}

static void by_curves(void *with)
{
    struct asking *asking = with;
    memset(asking->best, 0, asking->longest * sizeof asking->best[0]);
    for (size_t i = asking->first; i < asking->last; i++) {
        const int32_t *curve = asking->h->curve[i];
        for (size_t d = 0; d < asking->h->length[i]; d++) {
            asking->best[d] = curve[d] > asking->best[d] ? curve[d] : asking->best[d];
        }
    }
}

/* The bytes that the plain maximum reads, for no more than that they were read. */
static void by_reading(void *with)
{
    struct asking *asking = with;
    int64_t sum = 0;
    for (size_t i = asking->first; i < asking->last; i++) {
        const int32_t *curve = asking->h->curve[i];
        uint32_t own = 0;
        for (size_t d = 0; d < asking->h->length[i]; d++) {
            own += (uint32_t)curve[d];
        }
        sum += own;
    }
    asking->sum = sum;
}

/* Each ride's curve lies in memory of its own, as it would. */
static void make_curves(struct history *h)
{
    for (size_t i = 0; i < RIDES; i++) {
        const struct recording *recording = h->recordings[i % DISTINCT];
        if (i >= DISTINCT) {
            h->length[i] = h->length[i % DISTINCT];
            h->curve[i] =
                arena_copy(h->arena, h->curve[i % DISTINCT], h->length[i] * sizeof h->curve[i][0]);
            continue;
        }
        const struct bests bests = bests_all(h->arena, recording);
        h->length[i] = bests.count;
        h->curve[i] = ARENA_ARRAY(h->arena, int32_t, bests.count + 1);
        for (size_t d = 0; d < bests.count; d++) {
            h->curve[i][d] = (int32_t)lround(bests.items[d].power_w * (double)(d + 1));
        }
    }
}

static double curves_differ(const struct asking *asking)
{
    int32_t durations[BEST_GRID_MOST];
    const size_t n = best_grid_durations(asking->longest, durations);
    double worst = 0.0;
    for (size_t i = 0; i < n && i < asking->envelope.count; i++) {
        const size_t d = (size_t)durations[i] - 1;
        worst = fmax(worst, fabs((double)asking->envelope.work_j[i] - asking->best[d]));
    }
    return worst;
}

static void print_ranges(struct history *h)
{
    static const struct {
        const char *what;
        size_t first, last;
    } rows[] = { { "1,250 rides, 7 years but some days", 3, 1247 },
                 { "180 rides, a year but some days", 700, 880 },
                 { "20 rides, five weeks", 900, 920 } };
    make_curves(h);
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct asking *asking = ARENA_ARRAY(h->arena, struct asking, 1);
        asking->h = h;
        asking->first = rows[i].first;
        asking->last = rows[i].last;
        asking->from = day_of(h->arena, rows[i].first);
        asking->to = day_of(h->arena, rows[i].last);
        for (size_t r = 0; r < RIDES; r++) {
            asking->longest = h->length[r] > asking->longest ? h->length[r] : asking->longest;
        }
        asking->best = ARENA_ARRAY(h->arena, int32_t, asking->longest);
        by_months(asking);
        by_curves(asking);
        const double off = curves_differ(asking);
        if (off > 0.0) {
            bench_differs("7", rows[i].what, "plain maximum of all curves",
                          arena_format(h->arena, "by %.0f J", off));
            continue;
        }
        bench_faster("7", rows[i].what, "plain maximum of all curves, in memory",
                     bench_pair((struct bench_way){ by_months, asking },
                                (struct bench_way){ by_curves, asking }),
                     i == 0 ? 10.0 : (double)NAN);
        if (i == 0) {
            bench_within("7", "plain maximum of all curves, in memory", "reading their bytes",
                         bench_pair((struct bench_way){ by_curves, asking },
                                    (struct bench_way){ by_reading, asking }),
                         2.0);
        }
    }
}

/* ---- every second of a history, with nothing kept but its samples ---- */

struct samples_run {
    int32_t *power_w[RIDES];
    size_t n[RIDES];
    size_t longest;
    int64_t *shared; /* [longest] */
    int64_t *each;   /* [longest] the greatest of separate curves */
    int64_t *own;    /* [longest] of one of them */
    int64_t sum;
};

/* Watts as bests count them: paused and unknown seconds are 0. */
static void take_power(struct arena *arena, const struct recording *recording,
                       struct samples_run *run, size_t i)
{
    const int32_t *value = recording->value[CHANNEL_POWER];
    const size_t n = value == NULL ? 0 : recording->n_seconds;
    run->n[i] = n;
    run->power_w[i] = ARENA_ARRAY(arena, int32_t, n + 1);
    for (size_t t = 0; t < n; t++) {
        const bool known =
            mask_is_usable(recording->mask[CHANNEL_POWER][t]) && recording->paused[t] == 0;
        run->power_w[i][t] = known ? value[t] : 0;
    }
    run->longest = n > run->longest ? n : run->longest;
}

/* One rider's season again and again, each ride with another day's luck: no two are the same. */
static struct samples_run *make_samples(struct arena *arena)
{
    struct samples_run *run = ARENA_ARRAY(arena, struct samples_run, 1);
    struct season_ride *rides = NULL;
    size_t count = 0;
    const struct limits limits = limits_default();
    season_rides(arena, &simulated_stories[0], &rides, &count);
    for (size_t i = 0; i < RIDES; i++) {
        struct arena *scratch = arena_open();
        struct season_files files = { 0 };
        struct recordings read = { 0 };
        struct error err = { 0 };
        const struct read_options options = { .file = "ride.fit" };
        struct season_ride one = rides[i % count];
        one.seed += 100000 * i;
        bench_must(season_write(scratch, &one, &files, &err), &err);
        bench_must(recording_read(scratch, files.bytes, &options, &limits, &read, &err), &err);
        take_power(arena, read.items[0], run, i);
        arena_close(scratch);
    }
    run->shared = ARENA_ARRAY(arena, int64_t, run->longest);
    run->each = ARENA_ARRAY(arena, int64_t, run->longest);
    run->own = ARENA_ARRAY(arena, int64_t, run->longest);
    return run;
}

static void forget_sums(int64_t sums[], size_t n)
{
    for (size_t d = 0; d < n; d++) {
        sums[d] = BEST_MEANS_NONE;
    }
}

static void by_shared_bests(void *with)
{
    struct samples_run *run = with;
    forget_sums(run->shared, run->longest);
    for (size_t i = 0; i < RIDES; i++) {
        struct arena *arena = arena_open();
        best_means_raise(arena, run->power_w[i], run->n[i], run->shared);
        arena_close(arena);
    }
}

static void by_separate_curves(void *with)
{
    struct samples_run *run = with;
    forget_sums(run->each, run->longest);
    for (size_t i = 0; i < RIDES; i++) {
        struct arena *arena = arena_open();
        best_means_all(arena, run->power_w[i], run->n[i], run->own, NULL);
        for (size_t d = 0; d < run->n[i]; d++) {
            run->each[d] = run->own[d] > run->each[d] ? run->own[d] : run->each[d];
        }
        arena_close(arena);
    }
}

static void by_reading_samples(void *with)
{
    struct samples_run *run = with;
    run->sum = 0;
    for (size_t i = 0; i < RIDES; i++) {
        uint32_t own = 0;
        for (size_t t = 0; t < run->n[i]; t++) {
            own += (uint32_t)run->power_w[i][t];
        }
        run->sum += own;
    }
}

static void print_from_samples(struct arena *arena)
{
    static const char what[] = "every second of 1,250 rides, from samples";
    struct samples_run *run = make_samples(arena);
    const struct bench_way ours = { by_shared_bests, run };
    by_shared_bests(run);
    by_separate_curves(run);
    if (memcmp(run->shared, run->each, run->longest * sizeof run->each[0]) != 0) {
        bench_differs("7", what, "a curve each, greatest of all", "at some durations");
        return;
    }
    bench_faster("7", what, "a curve each, greatest of all",
                 bench_pair(ours, (struct bench_way){ by_separate_curves, run }), 2.0);
    bench_within("7", what, "reading the samples",
                 bench_pair(ours, (struct bench_way){ by_reading_samples, run }), 25.0);
}

/* ---- goal 11 ---- */

struct keeping {
    struct history *h;
    struct series_rows *rows;
    int32_t *from;
    int32_t *to;
    size_t n;
};

static void by_unpacking(void *with)
{
    struct keeping *keeping = with;
    struct arena *arena = arena_open();
    struct error err = { 0 };
    keeping->n = 0;
    for (size_t i = 0; i < DISTINCT; i++) {
        const struct packed_recording *packed = &keeping->h->packed[i];
        for (size_t c = 0; c < packed->n_channels; c++) {
            int32_t *out = NULL;
            if (strcmp(packed->channels[c].name, "paused") != 0 &&
                strcmp(packed->channels[c].name, "pauses") != 0) {
                bench_must(pack_read_series(arena, packed->channels[c].content,
                                            packed->row.n_seconds, RECORDING_MISSING, &out, &err),
                           &err);
                keeping->n += packed->row.n_seconds;
            }
        }
    }
    arena_close(arena);
}

static void by_copying(void *with)
{
    struct keeping *keeping = with;
    memcpy(keeping->to, keeping->from, keeping->n * sizeof keeping->to[0]);
}

static void by_blobs(void *with)
{
    struct keeping *keeping = with;
    series_rows_by_blobs(keeping->rows);
}

static void by_rows(void *with)
{
    struct keeping *keeping = with;
    series_rows_by_rows(keeping->rows);
}

static void print_keeping(struct history *h)
{
    struct keeping *keeping = ARENA_ARRAY(h->arena, struct keeping, 1);
    double fit = 0.0;
    keeping->h = h;
    keeping->rows = series_rows_make(h->arena, h->recordings, h->packed, DISTINCT);
    for (size_t i = 0; i < DISTINCT; i++) {
        fit += (double)h->files[i].size;
    }
    by_unpacking(keeping);
    keeping->from = ARENA_ARRAY(h->arena, int32_t, keeping->n);
    keeping->to = ARENA_ARRAY(h->arena, int32_t, keeping->n);
    memset(keeping->from, 1, keeping->n * sizeof keeping->from[0]);
    memset(keeping->to, 1, keeping->n * sizeof keeping->to[0]);
    bench_counts("11", "25 rides kept, channels and masks", "a row a second in SQLite",
                 series_rows_blob_bytes(keeping->rows), series_rows_row_bytes(keeping->rows),
                 "bytes", BENCH_AT_MOST, 0.27);
    bench_counts("11", "25 rides kept, channels and masks", "the FIT files",
                 series_rows_blob_bytes(keeping->rows), fit, "bytes", BENCH_AT_MOST, 0.25);
    bench_absent("11", "25 rides kept, channels and masks", "Parquet (no library in Debian 12)");
    struct bench_way unpack = { by_unpacking, keeping };
    struct bench_way copy = { by_copying, keeping };
    bench_within("11", "every channel of 25 rides unpacked", "copying the numbers",
                 bench_pair(unpack, copy), 15.0);
    by_blobs(keeping);
    by_rows(keeping);
    if (series_rows_differ(keeping->rows)) {
        bench_differs("11", "3 columns of a ride", "rows in SQLite", "sums differ");
    } else {
        bench_faster("11", "3 columns of a ride", "rows in SQLite",
                     bench_pair((struct bench_way){ by_blobs, keeping },
                                (struct bench_way){ by_rows, keeping }),
                     12.0);
    }
}

/* ---- a new ride: once WAY RIDES ---- */

/* The history is made without callgrind, by the call for all rows; here it is opened. */
static int run_once(const char *way, const char *rides)
{
    struct arena *arena = arena_open();
    struct roster *roster = NULL;
    struct import_sum sum = { 0 };
    struct error err = { 0 };
    const char *folder = getenv("PLUMBLINE_BENCH_HISTORY");
    const char *place = arena_format(arena, "%s/history-%s-%s", folder, rides, way);
    bench_must(roster_open(place, ROSTER_OPEN, now, &roster, &err), &err);
    if (strcmp(way, "refresh") == 0) {
        struct rider rider = { 0 };
        const char *const paths[] = { arena_format(arena, "%s/newest.fit", folder) };
        bench_must(riders_find(roster, arena, "1", &rider, &err), &err);
        const struct import_call call = {
            .roster = roster, .place = place, .now = now, .rider = &rider, .n_threads = 1
        };
        bench_must(import_paths(arena, &call, paths, 1, &sum, &err), &err);
    }
    roster_close(roster);
    arena_close(arena);
    return 0;
}

static double new_ride(struct arena *arena, size_t rides)
{
    struct history *h = ARENA_ARRAY(arena, struct history, 1);
    struct error err = { 0 };
    make_history(arena, h, rides, arena_format(arena, "history-%zu", rides));
    char *folder = arena_string(arena, h->place);
    *strrchr(folder, '/') = '\0';
    const char *ways[] = { "none", "refresh" };
    for (size_t i = 0; i < COUNT(ways); i++) {
        bench_must(db_copy_to(roster_db(h->roster),
                              arena_format(arena, "%s/history-%zu-%s", folder, rides, ways[i]),
                              &err),
                   &err);
    }
    bench_must(
        files_write(arena_format(arena, "%s/newest.fit", folder), h->files[DISTINCT - 1], &err),
        &err);
    roster_close(h->roster);
    setenv("PLUMBLINE_BENCH_HISTORY", folder, 1);
    return bench_instructions("refresh", rides);
}

int main(int argc, char **argv)
{
    maths_begin();
    bench_begin();
    if (argc == 4 && strcmp(argv[1], "once") == 0) {
        return run_once(argv[2], argv[3]);
    }
    bench_title("The store (best_months, pack, import)");
    struct arena *arena = arena_open();
    struct history *h = ARENA_ARRAY(arena, struct history, 1);
    make_history(arena, h, RIDES, "history");
    print_ranges(h);
    print_from_samples(arena);
    print_keeping(h);
    roster_close(h->roster);
    bench_counts("law", "a new ride among 1,250 / 125 rides", "125 rides", new_ride(arena, 1250),
                 new_ride(arena, 125), "instructions", BENCH_AT_MOST, 1.2);
    arena_close(arena);
    return 0;
}
