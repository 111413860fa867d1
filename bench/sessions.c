/* bench/sessions.c: the list of a rider's sessions with what came back of each, five years of three
 * a week, against a bare scan of the same rows; how it grows with years.
 *
 * Two rides are imported, and their rows written again for other days: efforts of 4 min, and an
 * easy hour.  Of seven rides one is missing, of five one was a day late, so that other days are
 * looked at. */
#include "bench.h"
#include "rows.h"

#include "base/dates.h"
#include "base/text.h"
#include "maths/maths.h"
#include "roster/came_back.h"
#include "roster/import.h"
#include "roster/riders.h"

#include <string.h>

static const struct roster_now now = { 1788177600, "bench" };
static const int64_t TODAY = 20696; /* 2026-08-31 */

enum { WEEK_DAYS = 7, A_WEEK = 3, WEEKS_A_YEAR = 52, YEARS = 5, KINDS = 2, DAY_S = 86400 };

struct setting {
    struct roster *roster;
    sqlite3 *bare;
    struct rider rider;
    size_t told; /* sessions */
    size_t ridden;
    size_t rows;
    double sum; /* so that nothing is left out */
};

static const char *const words[KINDS] = {
    "10 min at 50-60 %\n4 times (4 min at 106-112 %, rest 4 min at 50 %)", "60 min at 50-65 %"
};

/* An hour, second by second. */
static const char *write_ride(struct arena *arena, int kind)
{
    struct text out = text_begin(arena, 1000000);
    uint32_t noise = (uint32_t)kind + 7;
    text_add(&out, "time,power,heart_rate,cadence\n");
    for (int t = 0; t < 3600; t++) {
        noise = noise * 1664525u + 1013904223u;
        const bool hard = kind == 0 && t >= 600 && t < 2520 && (t - 600) % 480 < 240;
        text_add_format(&out, "2021-01-0%dT%02d:%02d:%02dZ,%d,%d,88\n", kind + 1, 9 + t / 3600,
                        t / 60 % 60, t % 60, (hard ? 273 : 140) + (int)(noise >> 28) - 8,
                        hard ? 165 : 130);
    }
    return bench_file(arena, arena_format(arena, "ride-%d.csv", kind), out.bytes, out.length);
}

static void import_rides(struct arena *arena, struct setting *setting, const char *place)
{
    struct error err = { 0 };
    struct import_sum sum = { 0 };
    const char *paths[KINDS] = { write_ride(arena, 0), write_ride(arena, 1) };
    const struct import_call call = { .roster = setting->roster,
                                      .place = place,
                                      .now = now,
                                      .rider = &setting->rider,
                                      .n_threads = 1 };
    bench_must(import_paths(arena, &call, paths, KINDS, &sum, &err), &err);
}

/* ---- the same rows for other days ---- */

struct copying {
    sqlite3_stmt *take;
    sqlite3_stmt *change;
    sqlite3_stmt *put;
    sqlite3_stmt *clear;
    sqlite3_stmt *series;
    sqlite3_stmt *session;
};

static struct copying copying_begin(sqlite3 *db)
{
    rows_run(db, "CREATE TEMP TABLE t AS SELECT * FROM recording WHERE 0;"
                 "CREATE TEMP TABLE s AS SELECT * FROM series WHERE 0");
    return (struct copying){
        .take = rows_prepare(db, "INSERT INTO t SELECT * FROM recording WHERE id = ?1"),
        .change = rows_prepare(db, "UPDATE t SET id = ?1, part = ?1, parts = ?1, start_utc_s = ?2, "
                                   "local_day = ?3"),
        .put = rows_prepare(db, "INSERT INTO recording SELECT * FROM t"),
        .clear = rows_prepare(db, "DELETE FROM t"),
        .series = rows_prepare(db, "INSERT INTO series (recording, channel, content, mask) SELECT "
                                   "?1, channel, content, mask FROM series WHERE recording = ?2"),
        .session = rows_prepare(db, "INSERT INTO session (rider, day, name, kind, words, state, "
                                    "version) VALUES (1, ?1, 'one', ?2, ?3, 'given', 1)"),
    };
}

static void add_ride(struct copying *copying, sqlite3_int64 id, int kind, int64_t day)
{
    char name[11];
    dates_format_day(day, name);
    sqlite3_bind_int64(copying->take, 1, kind + 1);
    rows_done(copying->take);
    sqlite3_bind_int64(copying->change, 1, id);
    sqlite3_bind_int64(copying->change, 2, day * DAY_S + 9 * 3600);
    sqlite3_bind_text(copying->change, 3, name, -1, SQLITE_TRANSIENT);
    rows_done(copying->change);
    rows_done(copying->put);
    rows_done(copying->clear);
    sqlite3_bind_int64(copying->series, 1, id);
    sqlite3_bind_int64(copying->series, 2, kind + 1);
    rows_done(copying->series);
}

static void add_session(struct copying *copying, int kind, int64_t day)
{
    char name[11];
    dates_format_day(day, name);
    sqlite3_bind_text(copying->session, 1, name, -1, SQLITE_TRANSIENT);
    sqlite3_bind_text(copying->session, 2, kind == 0 ? "vo2max" : "easy", -1, SQLITE_STATIC);
    sqlite3_bind_text(copying->session, 3, words[kind], -1, SQLITE_STATIC);
    rows_done(copying->session);
}

static void add_years(sqlite3 *db, size_t years)
{
    struct copying copying = copying_begin(db);
    const int64_t weeks = (int64_t)years * WEEKS_A_YEAR;
    sqlite3_int64 id = 100;
    rows_run(db, "BEGIN");
    for (int64_t i = 0; i < weeks * A_WEEK; i++) {
        const int64_t day = TODAY - weeks * WEEK_DAYS + i / A_WEEK * WEEK_DAYS + i % A_WEEK * 2;
        const int kind = i % A_WEEK == 1 ? 0 : 1;
        add_session(&copying, kind, day);
        if (i % 7 != 6) {
            add_ride(&copying, id++, kind, day + (i % 5 == 4 ? 1 : 0));
        }
    }
    rows_run(db, "COMMIT");
    sqlite3_finalize(copying.take);
    sqlite3_finalize(copying.change);
    sqlite3_finalize(copying.put);
    sqlite3_finalize(copying.clear);
    sqlite3_finalize(copying.series);
    sqlite3_finalize(copying.session);
}

static struct setting make(struct arena *arena, size_t years)
{
    struct setting setting = { .rider = { .name = "Ada Berg",
                                          .training_since_day = "2015-01-01" } };
    struct error err = { 0 };
    struct fact threshold = { .day = "2020-01-05", .value = 250, .low = 240, .high = 260 };
    const char *place = bench_file(arena, arena_format(arena, "sessions-%zu", years), "", 0);
    bench_must(roster_open(place, ROSTER_CREATE, now, &setting.roster, &err), &err);
    bench_must(riders_add(setting.roster, arena, now, &setting.rider, &err), &err);
    bench_must(
        facts_set(setting.roster, arena, now, &setting.rider, FACT_THRESHOLD, &threshold, &err),
        &err);
    import_rides(arena, &setting, place);
    setting.bare = rows_open(place);
    add_years(setting.bare, years);
    return setting;
}

static void drop(struct setting *setting)
{
    sqlite3_close(setting->bare);
    roster_close(setting->roster);
}

/* ---- the two ways ---- */

static void list(void *with)
{
    struct setting *setting = with;
    struct arena *arena = arena_open();
    struct error err = { 0 };
    struct came_session *came = NULL;
    struct came_weeks weeks;
    bench_must(came_back_list(setting->roster, arena, setting->rider.id, "2000-01-01", "2030-01-01",
                              "2026-08-31", &came, &setting->told, &weeks, &err),
               &err);
    setting->ridden = 0;
    for (size_t i = 0; i < setting->told; i++) {
        setting->ridden += came[i].came.ride != 0 ? 1 : 0;
    }
    arena_close(arena);
}

static void scan_all(struct setting *setting, const char *sql)
{
    sqlite3_stmt *rows = rows_prepare(setting->bare, sql);
    while (sqlite3_step(rows) == SQLITE_ROW) {
        setting->rows++;
        for (int c = 0; c < sqlite3_column_count(rows); c++) {
            const unsigned char *at = sqlite3_column_blob(rows, c);
            const int n = sqlite3_column_bytes(rows, c);
            for (int i = 0; i < n; i++) {
                setting->sum += at[i];
            }
        }
    }
    sqlite3_finalize(rows);
}

static void scan(void *with)
{
    struct setting *setting = with;
    setting->rows = 0;
    scan_all(setting, "SELECT * FROM session");
    scan_all(setting, "SELECT * FROM recording");
    scan_all(setting, "SELECT content, mask FROM series WHERE channel IN ('power_w', "
                      "'heart_rate_bpm', 'paused')");
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
    bench_title("The list of sessions, with what came back (roster/came_back)");
    struct setting all = make(arena, YEARS);
    const struct bench_pair pair =
        bench_pair((struct bench_way){ list, &all }, (struct bench_way){ scan, &all });
    const char *what = arena_format(arena, "%zu sessions of %d years, %zu with a ride", all.told,
                                    YEARS, all.ridden);
    bench_within("14", what, arena_format(arena, "bare scan of the same %zu rows", all.rows), pair,
                 100.0);
    struct setting young = make(arena, 1);
    const double young_s = bench_seconds((struct bench_way){ list, &young });
    bench_counts("law", arena_format(arena, "sessions listed, %d / 1 years", YEARS), "1 year",
                 pair.ours_s, young_s, "s", BENCH_AT_MOST, 1.1 * YEARS);
    drop(&all);
    drop(&young);
    arena_close(arena);
    return 0;
}
