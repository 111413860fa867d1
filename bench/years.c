/* bench/years.c: a roster of many riders and years, as rows alone. */
#include "years.h"

#include "rows.h"

#include "base/dates.h"

#include <stdint.h>
#include <stdio.h>

enum { DAYS = 364, TODAY = 20696, SETS = 6 };

struct writing {
    sqlite3 *db;
    sqlite3_stmt *recording;
    sqlite3_stmt *reading;
    sqlite3_stmt *load;
    sqlite3_stmt *effort;
    sqlite3_stmt *sensor;
    sqlite3_stmt *asked;
    sqlite3_stmt *note;
    uint32_t state;
    sqlite3_int64 ride; /* the newest */
};

static double unit(struct writing *w)
{
    w->state = w->state * 1664525u + 1013904223u;
    return (double)(w->state >> 8) / 16777216.0;
}

static void begin(struct writing *w, const char *place)
{
    w->db = rows_open(place);
    rows_run(w->db, "PRAGMA synchronous=OFF; BEGIN");
    rows_run(w->db,
             "INSERT INTO original (sha256, name, size, packing, content, taken_utc_s) VALUES "
             "(zeroblob(32), 'ride.fit', 1, 'none', x'00', 0)");
    w->recording = rows_prepare(
        w->db, "INSERT INTO recording (id, rider, original, part, parts, same_by_hand, format, "
               "method, sport, is_ride, place, start_utc_s, utc_offset_s, local_day, n_seconds, "
               "timer_s, work_kj, version) VALUES (?1, ?2, (SELECT MIN(id) FROM original), ?1, 1, "
               "0, 'fit', 'recording/1', 'cycling', 1, 'outdoors', ?3, 0, ?4, 5400, 5400, ?5, 1)");
    w->reading = rows_prepare(
        w->db, "INSERT INTO reading (rider, question, subject_kind, subject, set_number, "
               "rep_number, day, verdict, estimate, low, high, unit, limit_value, method, "
               "basis_hash, content, made_utc_s) VALUES (?1, ?2, 'recording', ?3, ?4, ?4, ?5, ?6, "
               "?7, ?7 - 2, ?7 + 2, '%', 10, 'm/1', zeroblob(32), ?8, 0)");
    w->load = rows_prepare(
        w->db,
        "INSERT INTO ride_load (recording, hours, work_kj, impulse_low, impulse_high, session_rpe, "
        "above_threshold_s, zones, heart_zones, cautions, is_hilly) VALUES (?1, 1.5, ?2, 80, 90, "
        "?3, 60, '[[\"recovery\",900],[\"endurance\",3600],[\"tempo\",600],[\"threshold\",300],"
        "[\"vo2max\",0],[\"anaerobic\",0],[\"neuromuscular\",0]]', '[[\"light\",1800],"
        "[\"moderate\",3000],[\"vigorous\",600],[\"near maximal\",0]]', 0, 0)");
    w->effort = rows_prepare(
        w->db, "INSERT INTO effort (recording, duration_s, power_w, start_s, evidence, "
               "heart_end_bpm, fall_ratio) VALUES (?1, ?2, ?3, 600, ?4, 170, 0.97)");
    w->sensor =
        rows_prepare(w->db, "INSERT INTO sensor (recording, place, kind, serial) VALUES (?1, 0, "
                            "'power', ?2)");
    w->asked =
        rows_prepare(w->db, "INSERT INTO asked (recording, kind, was, version) VALUES (?1, ?2, "
                            "?3, 1)");
    w->note = rows_prepare(
        w->db, "INSERT INTO day_note (rider, day, recording, effort_0_10, legs_1_5, "
               "sleep_1_5, hot, dehydrated, ill, hard_day_before, words, version) VALUES "
               "(?1, ?2, ?3, ?4, 3, 3, 0, 0, 0, 0, 'went as planned, a little wind', 1)");
}

static void add_reading(struct writing *w, sqlite3_int64 rider, const char *day,
                        const char *question, int set, const char *verdict, double estimate)
{
    static char content[800];
    for (size_t i = 0; content[i] == '\0' && i + 1 < sizeof content; i++) {
        content[i] = 'x';
    }
    sqlite3_bind_int64(w->reading, 1, rider);
    sqlite3_bind_text(w->reading, 2, question, -1, SQLITE_TRANSIENT);
    sqlite3_bind_int64(w->reading, 3, w->ride);
    sqlite3_bind_int(w->reading, 4, set);
    sqlite3_bind_text(w->reading, 5, day, -1, SQLITE_TRANSIENT);
    sqlite3_bind_text(w->reading, 6, verdict, -1, SQLITE_TRANSIENT);
    sqlite3_bind_double(w->reading, 7, estimate);
    sqlite3_bind_text(w->reading, 8, content, -1, SQLITE_STATIC);
    rows_done(w->reading);
}

static void add_ride(struct writing *w, sqlite3_int64 rider, size_t k, const char *day,
                     int64_t day_number)
{
    static const int durations[] = { 10, 15, 60, 300, 600, 1200 };
    const bool is_hard = k % 3 == 0;
    const bool is_base = k % 12 == 1;
    const bool is_test = k % 18 == 0;
    const double work = 700.0 + 300.0 * unit(w);
    w->ride++;
    sqlite3_bind_int64(w->recording, 1, w->ride);
    sqlite3_bind_int64(w->recording, 2, rider);
    sqlite3_bind_int64(w->recording, 3, 86400 * day_number + 36000);
    sqlite3_bind_text(w->recording, 4, day, -1, SQLITE_TRANSIENT);
    sqlite3_bind_double(w->recording, 5, work);
    rows_done(w->recording);
    add_reading(w, rider, day, "trust", 0, "usable", 0.0);
    add_reading(w, rider, day, "hard day", 0, is_hard ? "hard day" : "no hard day", 0.0);
    if (is_base) {
        add_reading(w, rider, day, "base", 0, unit(w) < 0.6 ? "passed" : "not passed",
                    6.0 + 6.0 * unit(w));
    } else if (is_hard) {
        for (int set = 0; set < SETS; set++) {
            add_reading(w, rider, day, "hard work", set, unit(w) < 0.8 ? "done" : "faded", 110.0);
        }
    } else {
        add_reading(w, rider, day, "easy work", 0, unit(w) < 0.7 ? "easy enough" : "too hard",
                    8.0 * unit(w));
    }
    sqlite3_bind_int64(w->load, 1, w->ride);
    sqlite3_bind_double(w->load, 2, work);
    sqlite3_bind_double(w->load, 3, 90.0 * (is_hard ? 7.0 : 4.0));
    rows_done(w->load);
    for (size_t i = 0; i < sizeof durations / sizeof durations[0]; i++) {
        sqlite3_bind_int64(w->effort, 1, w->ride);
        sqlite3_bind_int(w->effort, 2, durations[i]);
        sqlite3_bind_double(w->effort, 3, 200.0 + 20000.0 / (60.0 + durations[i]) + 20.0 * unit(w));
        sqlite3_bind_int(w->effort, 4, is_test && i > 2 ? 1 : (unit(w) < 0.05 ? 2 : 0));
        rows_done(w->effort);
    }
    sqlite3_bind_int64(w->sensor, 1, w->ride);
    sqlite3_bind_int64(w->sensor, 2, 1000 + rider);
    rows_done(w->sensor);
    if (is_hard || is_base) {
        sqlite3_bind_int64(w->asked, 1, w->ride);
        sqlite3_bind_text(w->asked, 2,
                          is_base   ? "base-test"
                          : is_test ? "unknown"
                                    : "vo2max",
                          -1, SQLITE_STATIC);
        sqlite3_bind_text(w->asked, 3, is_test ? "test" : NULL, -1, SQLITE_STATIC);
        rows_done(w->asked);
        sqlite3_bind_int64(w->note, 1, rider);
        sqlite3_bind_text(w->note, 2, day, -1, SQLITE_TRANSIENT);
        sqlite3_bind_int64(w->note, 3, w->ride);
        sqlite3_bind_double(w->note, 4, is_hard ? 7.0 : 4.0);
        rows_done(w->note);
    }
}

static void add_rider(struct writing *w, sqlite3_int64 rider)
{
    char sql[400];
    snprintf(sql, sizeof sql,
             "INSERT INTO rider (id, name, name_folded, power_since_day, is_away, version) VALUES "
             "(%lld, 'Rider %lld', 'rider %lld', '2020-01-01', 0, 1)",
             (long long)rider, (long long)rider, (long long)rider);
    rows_run(w->db, sql);
    for (int year = 2021; year <= 2026; year++) {
        snprintf(sql, sizeof sql,
                 "INSERT INTO threshold (rider, day, value_w, protocol, version) VALUES (%lld, "
                 "'%d-02-01', 230, 'given', 1)",
                 (long long)rider, year);
        rows_run(w->db, sql);
        snprintf(sql, sizeof sql,
                 "INSERT INTO day_off (rider, kind, from_day, to_day, version) VALUES (%lld, "
                 "'ill', '%d-03-05', '%d-03-12', 1)",
                 (long long)rider, year, year);
        rows_run(w->db, sql);
    }
}

void years_write(const char *place, size_t riders, size_t years)
{
    struct writing w = { .state = 20260831 };
    begin(&w, place);
    for (size_t r = 1; r <= riders; r++) {
        add_rider(&w, (sqlite3_int64)r);
    }
    /* Day by day, as rides come in: a rider's rows lie apart. */
    const size_t n = years * YEARS_RIDES;
    for (size_t k = 0; k < n; k++) {
        const int64_t number = TODAY - (int64_t)((n - 1 - k) * DAYS / YEARS_RIDES);
        char day[11];
        dates_format_day(number, day);
        for (size_t r = 1; r <= riders; r++) {
            add_ride(&w, (sqlite3_int64)r, k, day, number);
        }
    }
    rows_run(w.db, "COMMIT");
    sqlite3_stmt *const statements[] = { w.recording, w.reading, w.load, w.effort,
                                         w.sensor,    w.asked,   w.note };
    for (size_t i = 0; i < sizeof statements / sizeof statements[0]; i++) {
        sqlite3_finalize(statements[i]);
    }
    sqlite3_close(w.db);
}

struct years_scan years_scan(void *sqlite)
{
    static const char *const tables[] = {
        "SELECT id, rider, local_day, start_utc_s, is_ride, work_kj, timer_s, effort_0_10, same_as "
        "FROM recording",
        "SELECT subject, rider, day, question, verdict, estimate, low, high FROM reading WHERE "
        "set_number = 0 AND rep_number = 0",
        "SELECT recording, hours, work_kj, impulse_low, impulse_high, session_rpe, "
        "above_threshold_s, zones, heart_zones, cautions, is_hilly FROM ride_load",
        "SELECT recording, duration_s, power_w, start_s, evidence, heart_end_bpm, fall_ratio FROM "
        "effort",
        "SELECT recording, kind, was, spoiled_by FROM asked",
        "SELECT recording, kind, serial FROM sensor",
        "SELECT rider, day, effort_0_10, legs_1_5, sleep_1_5, stress_1_5, soreness_1_5, ill, hot, "
        "words FROM day_note",
        "SELECT rider, kind, from_day, to_day FROM day_off",
        "SELECT rider, day, value_w FROM threshold",
    };
    struct years_scan scan = { 0 };
    for (size_t i = 0; i < sizeof tables / sizeof tables[0]; i++) {
        sqlite3_stmt *statement = rows_prepare(sqlite, tables[i]);
        const int columns = sqlite3_column_count(statement);
        while (sqlite3_step(statement) == SQLITE_ROW) {
            scan.rides += i == 0;
            scan.rows++;
            for (int c = 0; c < columns; c++) {
                scan.sum += sqlite3_column_type(statement, c) == SQLITE_TEXT
                                ? (double)sqlite3_column_text(statement, c)[0]
                                : sqlite3_column_double(statement, c);
            }
        }
        sqlite3_finalize(statement);
    }
    return scan;
}
