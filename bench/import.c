/* bench/import.c: an import with all readings against decoding alone, against a row a second in
 * SQLite, against a general-purpose decoder with pandas doing bests alone; by cores and by number.
 *
 * Whole processes, by their processor time; only where cores are compared by the clock.
 *
 * PLUMBLINE_BENCH_RIDES (60), PLUMBLINE_BENCH_TIMES (10: the growth is of so many times the rides)
 * and PLUMBLINE_BENCH_TURNS (5) make it larger: 2000, 10 and 1 take a quarter of an hour. */
#include "bench.h"
#include "rows.h"

#include "maths/maths.h"
#include "recording/recording.h"
#include "roster/facts.h"
#include "roster/import.h"
#include "simulated/season.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>

enum { RIDES = 60, TURNS_MOST = 16 };

static size_t turns_asked(void)
{
    return bench_asked("PLUMBLINE_BENCH_TURNS", 5, TURNS_MOST);
}

static const struct roster_now now = { 1788177600, "bench" };

struct setting {
    const char *folder; /* of the files */
    const char **paths; /* [n] */
    size_t n;
    unsigned threads;
    const char *synchronous; /* NULL = as it is */
    size_t turn;             /* each run has a roster of its own */
};

/* Rides of all riders in turn, as one rider's.  Nothing of a ride is kept in memory: twenty
 * thousand of them fill a machine, and then no peer can be started. */
static struct setting make_files(struct arena *arena, size_t n)
{
    struct setting setting = { .n = n, .threads = 1 };
    const char *mark = bench_file(arena, "mark", "", 0);
    char *folder = arena_string(arena, mark);
    *strrchr(folder, '/') = '\0';
    setting.folder = arena_format(arena, "%s/rides-%zu", folder, n);
    if (mkdir(setting.folder, 0700) != 0) {
        perror(setting.folder);
        exit(1);
    }
    setting.paths = ARENA_ARRAY(arena, const char *, n + 1);
    struct season_ride *rides[32] = { NULL };
    size_t counts[32] = { 0 };
    for (size_t s = 0; s < simulated_story_count; s++) {
        season_rides(arena, &simulated_stories[s], &rides[s], &counts[s]);
    }
    for (size_t i = 0; i < n; i++) {
        struct arena *scratch = arena_open();
        struct season_files files = { 0 };
        struct error err = { 0 };
        /* The same sixty again and again, each time with another day's luck. */
        const size_t like = i % RIDES;
        const size_t story = like % simulated_story_count;
        const size_t ride = (7 * (like / simulated_story_count)) % counts[story];
        struct season_ride one = rides[story][ride];
        one.seed += 100000 * i;
        one.day = (int)i; /* a day each: as one rider's they would be doubles */
        bench_must(season_write(scratch, &one, &files, &err), &err);
        setting.paths[i] = arena_format(arena, "%s/%06zu.fit", setting.folder, i);
        bench_must(files_write(setting.paths[i], files.bytes, &err), &err);
        arena_close(scratch);
    }
    return setting;
}

static void import(void *with)
{
    struct setting *setting = with;
    struct arena *arena = arena_open();
    struct roster *roster = NULL;
    struct error err = { 0 };
    struct import_sum sum = { 0 };
    struct rider rider = { .name = "Maren Oslund" };
    const char *place = arena_format(arena, "%s.roster-%zu", setting->folder, setting->turn++);
    bench_must(roster_open(place, ROSTER_CREATE, now, &roster, &err), &err);
    bench_must(riders_add(roster, arena, now, &rider, &err), &err);
    struct fact threshold = { .day = "2025-01-01", .value = 230.0, .low = 218.0, .high = 242.0 };
    struct fact highest = {
        .day = "2025-01-01", .value = 187.0, .low = (double)NAN, .high = (double)NAN
    };
    bench_must(facts_set(roster, arena, now, &rider, FACT_THRESHOLD, &threshold, &err), &err);
    bench_must(facts_set(roster, arena, now, &rider, FACT_MAX_HEART_RATE, &highest, &err), &err);
    if (setting->synchronous != NULL) {
        bench_must(db_run(roster_db(roster),
                          arena_format(arena, "PRAGMA synchronous=%s", setting->synchronous), NULL,
                          0, &err),
                   &err);
    }
    const struct import_call call = {
        .roster = roster, .place = place, .now = now, .rider = &rider, .n_threads = setting->threads
    };
    bench_must(import_paths(arena, &call, &setting->folder, 1, &sum, &err), &err);
    if (sum.files[IMPORT_TAKEN] != setting->n) {
        fprintf(stderr, "bench_import: %zu of %zu taken\n", sum.files[IMPORT_TAKEN], setting->n);
        exit(1);
    }
    roster_close(roster);
    (void)remove(place);
    arena_close(arena);
}

static void decode(void *with)
{
    const struct setting *setting = with;
    const struct limits limits = limits_default();
    for (size_t i = 0; i < setting->n; i++) {
        struct arena *arena = arena_open();
        struct recordings read = { 0 };
        struct bytes bytes = { 0 };
        struct error err = { 0 };
        const struct read_options options = { .file = setting->paths[i] };
        bench_must(files_read(arena, setting->paths[i], 1u << 30, &bytes, &err), &err);
        bench_must(recording_read(arena, bytes, &options, &limits, &read, &err), &err);
        arena_close(arena);
    }
}

/* Decoded, and a row a second into SQLite: WAL, FULL, twenty rides a transaction. */
static void import_rows(void *with)
{
    struct setting *setting = with;
    struct arena *place = arena_open();
    const struct limits limits = limits_default();
    const char *path = arena_format(place, "%s.rows-%zu", setting->folder, setting->turn++);
    sqlite3 *db = rows_open(path);
    rows_run(db, "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; CREATE TABLE sample (recording"
                 " INTEGER, second INTEGER, a, b, c, d, e, f, g, h, i, j, PRIMARY KEY (recording,"
                 " second)) WITHOUT ROWID");
    sqlite3_stmt *add = rows_prepare(db, "INSERT INTO sample VALUES (?,?,?,?,?,?,?,?,?,?,?,?)");
    for (size_t i = 0; i < setting->n; i++) {
        struct arena *arena = arena_open();
        struct recordings read = { 0 };
        struct bytes bytes = { 0 };
        struct error err = { 0 };
        const struct read_options options = { .file = setting->paths[i] };
        bench_must(files_read(arena, setting->paths[i], 1u << 30, &bytes, &err), &err);
        bench_must(recording_read(arena, bytes, &options, &limits, &read, &err), &err);
        if (i % 20 == 0) {
            rows_run(db, i > 0 ? "COMMIT; BEGIN" : "BEGIN");
        }
        rows_add_seconds(add, (sqlite3_int64)i, read.items[0]);
        arena_close(arena);
    }
    rows_run(db, "COMMIT");
    sqlite3_finalize(add);
    sqlite3_close(db);
    (void)remove(path);
    arena_close(place);
}

/* Processor time of this process's every thread, or the clock on the wall. */
static double clock_s(clockid_t which)
{
    struct timespec at = { 0 };
    clock_gettime(which, &at);
    return (double)at.tv_sec + (double)at.tv_nsec / 1e9;
}

/* Interleaved whole runs; the ratio is peer / ours. */
static struct bench_pair turns(struct bench_way ours, struct bench_way peer, clockid_t which)
{
    double a[TURNS_MOST];
    double b[TURNS_MOST];
    double ratio[TURNS_MOST];
    const size_t n = turns_asked();
    for (size_t i = 0; i < n; i++) {
        double begun = clock_s(which);
        ours.call(ours.with);
        a[i] = clock_s(which) - begun;
        begun = clock_s(which);
        peer.call(peer.with);
        b[i] = clock_s(which) - begun;
        ratio[i] = b[i] / a[i];
    }
    return (struct bench_pair){ bench_spread_of(a, n).middle, bench_spread_of(b, n).middle,
                                bench_spread_of(ratio, n) };
}

static double pandas_s(struct arena *arena, const struct setting *setting)
{
    const char *out = arena_format(arena, "%s.i32", setting->folder);
    const char **decoder = ARENA_ARRAY(arena, const char *, setting->n + 4);
    decoder[0] = "node";
    decoder[1] = PLUMBLINE_SOURCE "/bench/peers/bests.mjs";
    decoder[2] = out;
    size_t words = 3;
    for (size_t i = 0; i < setting->n; i++) {
        decoder[words++] = setting->paths[i];
    }
    const char *const bests[] = { "/usr/bin/python3",
                                  PLUMBLINE_SOURCE "/bench/peers/bests_pandas.py", out, NULL };
    const struct bench_usage first = bench_usage(decoder);
    const struct bench_usage second = bench_usage(bests);
    return first.ended_well && second.ended_well ? first.cpu_s + second.cpu_s : (double)NAN;
}

static void print_pandas(struct arena *arena, struct setting *setting)
{
    double ratio[3];
    double ours = 0.0;
    double theirs = 0.0;
    const size_t n = turns_asked() < COUNT(ratio) ? turns_asked() : COUNT(ratio);
    for (size_t i = 0; i < n; i++) {
        const double begun = clock_s(CLOCK_PROCESS_CPUTIME_ID);
        import(setting);
        ours = clock_s(CLOCK_PROCESS_CPUTIME_ID) - begun;
        theirs = pandas_s(arena, setting);
        ratio[i] = theirs / ours;
    }
    if (isnan(theirs)) {
        bench_absent("12", "import, all readings", "fitsdk and pandas, bests alone");
        return;
    }
    const struct bench_pair pair = { ours, theirs, bench_spread_of(ratio, n) };
    bench_faster("12", "import, all readings", "fitsdk and pandas, bests alone", pair, 30.0);
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
    const size_t n = bench_asked("PLUMBLINE_BENCH_RIDES", RIDES, 100000);
    const size_t times = bench_asked("PLUMBLINE_BENCH_TIMES", 10, 100);
    struct setting few = make_files(arena, n);
    struct setting normal = few;
    struct setting two = few;
    struct setting many = make_files(arena, times * n);
    normal.synchronous = "NORMAL";
    normal.turn = 1000;
    two.threads = 2;
    two.turn = 2000;
    const struct bench_way ours = { import, &few };
    bench_title(arena_format(
        arena, "Import (roster/import): %zu rides with all readings, originals kept", n));
    bench_within("12", "import, all readings", "decoding, grid and trust alone",
                 turns(ours, (struct bench_way){ decode, &few }, CLOCK_PROCESS_CPUTIME_ID), 4.0);
    bench_faster("12", "import, all readings", "decoded, a row a second in SQLite",
                 turns(ours, (struct bench_way){ import_rows, &few }, CLOCK_PROCESS_CPUTIME_ID),
                 6.0);
    print_pandas(arena, &few);
    bench_faster("12", "FULL", "NORMAL",
                 turns(ours, (struct bench_way){ import, &normal }, CLOCK_MONOTONIC), 0.9);
    bench_faster("law", "two threads, by the clock", "one thread",
                 turns((struct bench_way){ import, &two }, ours, CLOCK_MONOTONIC), 1.6);
    const struct bench_pair growth =
        turns(ours, (struct bench_way){ import, &many }, CLOCK_PROCESS_CPUTIME_ID);
    bench_counts("law", arena_format(arena, "import of %zu / %zu rides of one rider", times * n, n),
                 arena_format(arena, "%zu rides", n), growth.peer_s, growth.ours_s, "s",
                 BENCH_AT_MOST, 1.05 * (double)times);
    arena_close(arena);
    return 0;
}
