/* tests/roster/test_store_schema.c: from nothing, or an older store, to the newest schema. */
#include "roster/store.h"

#include "base/dates.h"
#include "roster/roster.h"
#include "roster/zone.h"

#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

static const struct roster_now now = { 1773480413, "tester" };

static int64_t one_integer(struct db *db, const char *sql)
{
    struct arena *arena = arena_open();
    struct db_rows rows = { 0 };
    struct error err = { 0 };
    if (!db_query(db, arena, sql, "i", DB_NONE, &rows, &err)) {
        print_error("# %s\n", err.message);
        check(false);
    }
    const int64_t value = rows.count == 1 ? db_integer_at(&rows, 0, 0) : -1;
    arena_close(arena);
    return value;
}

static void test_roster__is_made_once_and_found_again(void **state)
{
    (void)state;
    const char *place = store_place();
    struct roster *roster = NULL;
    struct error err = { 0 };
    check(!roster_open(place, ROSTER_OPEN, now, &roster, &err));
    check_integer("kind", err.kind, ERROR_NOT_FOUND);
    check(roster_open(place, ROSTER_CREATE, now, &roster, &err));
    check_integer("from", roster_schema(roster)->from, 0);
    check_integer("to", roster_schema(roster)->to, (int64_t)schema_migrations.count);
    roster_close(roster);
    check(roster_open(place, ROSTER_CREATE, now, &roster, &err));
    check_integer("from", roster_schema(roster)->from, (int64_t)schema_migrations.count);
    check_integer("made", one_integer(roster_db(roster), "SELECT made_utc_s FROM roster_state"),
                  now.utc_s);
    roster_close(roster);
}

static void test_roster__is_for_nobody_but_its_owner(void **state)
{
    (void)state;
    if (!store_is_file()) {
        return; /* a server has its own rights */
    }
    const char *place = store_path("new/folder/r.plumbline");
    struct roster *roster = NULL;
    struct error err = { 0 };
    check(roster_open(place, ROSTER_CREATE, now, &roster, &err));
    struct stat status = { 0 };
    check(stat(place, &status) == 0);
    check_integer("file", status.st_mode & 0777, 0600);
    check(stat(store_path("new/folder/r.plumbline-wal"), &status) == 0);
    check_integer("-wal", status.st_mode & 0777, 0600);
    check(stat(store_path("new/folder"), &status) == 0);
    check_integer("folder", status.st_mode & 0777, 0700);
    roster_close(roster);
}

static void test_roster__place_is_the_given_then_the_data_home(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct error err = { 0 };
    const char *out = NULL;
    check(roster_place(arena, "x", "/d", "/h", &out, &err));
    check_text("given", out, "x");
    check(roster_place(arena, "", "/d", "/h", &out, &err));
    check_text("data home", out, "/d/plumbline/roster.plumbline");
    check(roster_place(arena, NULL, NULL, "/h", &out, &err));
    check_text("home", out, "/h/.local/share/plumbline/roster.plumbline");
    check(!roster_place(arena, NULL, "", NULL, &out, &err));
    check_integer("none", err.kind, ERROR_USAGE);
    arena_close(arena);
}

/* ---- migrations: the real first one, and two that are invented ---- */

static const char *const second[] = {
    "CREATE TABLE later (id {ID}, words {TEXT} NOT NULL) {STRICT}",
    "INSERT INTO later (words) SELECT name FROM rider",
    NULL,
};
static const char *const broken[] = {
    "CREATE TABLE half (id {ID}) {STRICT}",
    "INSERT INTO no_such_table (id) VALUES (1)",
    NULL,
};

static struct db *open_with_rider(const char **place)
{
    struct roster *roster = NULL;
    struct error err = { 0 };
    *place = store_place();
    check(roster_open(*place, ROSTER_CREATE, now, &roster, &err));
    store_run(roster_db(roster), "INSERT INTO rider (name, name_folded, is_away) VALUES "
                                 "('Ada Berg', 'ada berg', FALSE)");
    roster_close(roster);
    struct db *db = NULL;
    check(db_open(*place, &db, &err));
    return db;
}

static void test_schema__an_older_store_is_copied_then_changed(void **state)
{
    (void)state;
    const char *place = NULL;
    struct db *db = open_with_rider(&place);
    const struct migration two[] = { schema_migrations.items[0], { second } };
    const struct migrations newer = { two, 2 };
    struct schema_done done = { 0 };
    struct error err = { 0 };
    check(schema_open(db, &newer, false, now.utc_s + 5, &done, &err));
    check_integer("from", done.from, 1);
    check_integer("to", done.to, 2);
    check_integer("rows moved", one_integer(db, "SELECT COUNT(*) FROM later"), 1);
    if (store_is_file()) {
        struct db *copy = NULL;
        check(strstr(done.backup, ".before-schema-002-20260314T092658Z") != NULL);
        check(db_open(done.backup, &copy, &err));
        check_integer("copy", one_integer(copy, "SELECT schema_number FROM roster_state"), 1);
        check_integer("copy", one_integer(copy, "SELECT COUNT(*) FROM rider"), 1);
        db_close(copy);
    }
    db_close(db);
    /* This program knows less than the store now. */
    struct roster *roster = NULL;
    check(!roster_open(place, ROSTER_CREATE, now, &roster, &err));
    check_integer("kind", err.kind, ERROR_CONFLICT);
    check(strstr(err.message, "newer Plumbline (schema 2, this one knows 1)") != NULL);
}

static void test_schema__a_migration_that_fails_leaves_the_store_as_it_was(void **state)
{
    (void)state;
    const char *place = NULL;
    struct db *db = open_with_rider(&place);
    const struct migration three[] = { schema_migrations.items[0], { broken } };
    const struct migrations newer = { three, 2 };
    struct schema_done done = { 0 };
    struct error err = { 0 };
    check(!schema_open(db, &newer, false, now.utc_s, &done, &err));
    check_integer("schema", one_integer(db, "SELECT schema_number FROM roster_state"), 1);
    check_integer("riders", one_integer(db, "SELECT COUNT(*) FROM rider"), 1);
    struct arena *arena = arena_open();
    struct db_rows rows = { 0 };
    check(!db_query(db, arena, "SELECT id FROM half", "i", DB_NONE, &rows, &err));
    arena_close(arena);
    db_close(db);
}

static void test_schema__the_newest_two_copies_are_kept(void **state)
{
    (void)state;
    if (!store_is_file()) {
        return; /* a server's copies are its keeper's */
    }
    const char *place = NULL;
    struct db *db = open_with_rider(&place);
    const struct migration two[] = { schema_migrations.items[0], { second } };
    const struct migrations newer = { two, 2 };
    char names[4][256];
    for (int i = 0; i < 4; i++) {
        struct schema_done done = { 0 };
        struct error err = { 0 };
        check(schema_open(db, &newer, false, now.utc_s + i, &done, &err));
        snprintf(names[i], sizeof names[i], "%s", done.backup);
        store_run(db, "DROP TABLE later");
        store_run(db, "UPDATE roster_state SET schema_number = 1");
    }
    for (int i = 0; i < 4; i++) {
        check_integer(names[i], access(names[i], F_OK) == 0, i >= 2);
    }
    db_close(db);
}

static void test_schema__tables_of_others_are_left_alone(void **state)
{
    (void)state;
    struct db *db = store_open_empty();
    store_run(db, "CREATE TABLE shopping (id INTEGER)");
    struct schema_done done = { 0 };
    struct error err = { 0 };
    check(!schema_open(db, &schema_migrations, true, now.utc_s, &done, &err));
    check(strstr(err.message, "no roster of Plumbline") != NULL);
    db_close(db);
}

static void test_schema__types_and_references_are_enforced(void **state)
{
    (void)state;
    const char *place = NULL;
    struct db *db = open_with_rider(&place);
    static const char *const refused[] = {
        "INSERT INTO weight (rider, day, value_kg) VALUES (99, '2026-03-14', 60)",
        "INSERT INTO weight (rider, day, value_kg) VALUES (1, '14 March', 60)",
        "INSERT INTO weight (rider, day, value_kg) VALUES (1, '2026-03-14', -1)",
        "INSERT INTO rider (name, name_folded, is_away) VALUES ('Ada', 'ada berg', FALSE)",
        "INSERT INTO event (rider, day, name, priority) VALUES (1, '2026-05-01', 'x', 'D')",
        "DELETE FROM rider WHERE id = 1 AND EXISTS (SELECT 1 FROM weight WHERE rider = 1)",
    };
    store_run(db, "INSERT INTO weight (rider, day, value_kg) VALUES (1, '2026-03-14', 60)");
    for (size_t i = 0; i < COUNT(refused); i++) {
        struct error err = { 0 };
        if (db_run(db, refused[i], DB_NONE, &err)) {
            check_text(refused[i], "taken", "refused");
        }
        check_integer(refused[i], err.kind, ERROR_CONFLICT);
    }
    db_close(db);
}

/* The page must outlive the program: it names every table and every column of it. */
static void test_schema__the_page_names_every_column(void **state)
{
    (void)state;
    if (!store_is_file()) {
        return; /* the tables are the same */
    }
    const char *place = NULL;
    struct db *db = open_with_rider(&place);
    struct arena *arena = arena_open();
    struct error err = { 0 };
    struct bytes page = { 0 };
    struct db_rows rows = { 0 };
    check(files_read(arena, PLUMBLINE_SOURCE "/docs/roster-file.md", 200000, &page, &err));
    const char *text = arena_format(arena, "%.*s", (int)page.size, (const char *)page.at);
    check(db_query(db, arena,
                   "SELECT s.name, c.name FROM sqlite_schema s JOIN pragma_table_info(s.name) c "
                   "WHERE s.type = 'table' AND s.name NOT LIKE 'sqlite_%' ORDER BY s.name, c.cid",
                   "tt", DB_NONE, &rows, &err));
    check(rows.count > 250);
    for (size_t i = 0; i < rows.count; i++) {
        const char *table = arena_format(arena, "\n| `%s` |", db_text_at(&rows, i, 0));
        const char *line = strstr(text, table);
        if (line == NULL) {
            check_text(table, "not on the page", "a line of it");
            continue;
        }
        const char *end = strchr(line + 1, '\n');
        const char *column = strstr(line, arena_format(arena, "`%s`", db_text_at(&rows, i, 1)));
        if (column == NULL || column > end) {
            check_text(table, db_text_at(&rows, i, 1), "named on its line");
        }
    }
    arena_close(arena);
    db_close(db);
}

/* ---- days ---- */

/* Outside reference: the C library's strftime %G-%V-%u, on every day of 1900 to 2100. */
static void test_dates__iso_weeks_are_those_of_the_c_library(void **state)
{
    (void)state;
    const int64_t from = dates_days_from_civil(1900, 1, 1);
    const int64_t to = dates_days_from_civil(2100, 12, 31);
    for (int64_t day = from; day <= to; day++) {
        const time_t at = (time_t)(day * 86400 + 43200);
        struct tm tm = { 0 };
        char want[32];
        char got[32];
        char text[11];
        int64_t back = 0;
        gmtime_r(&at, &tm);
        strftime(want, sizeof want, "%G-%V-%u", &tm);
        const struct iso_week week = dates_iso_week(day);
        snprintf(got, sizeof got, "%lld-%02d-%d", (long long)week.year, week.week, week.weekday);
        dates_format_day(day, text);
        check_text(text, got, want);
        check(dates_parse_day(text, &back) && back == day);
    }
    static const char *const no_days[] = {
        "2026-02-29",  "2026-13-01",  "2026-1-01", "26-01-01",
        "2026-01-01T", "2026-01-01 ", "",          "0000-01-01"
    };
    for (size_t i = 0; i < COUNT(no_days); i++) {
        int64_t days = 0;
        check_integer(no_days[i], dates_parse_day(no_days[i], &days), false);
    }
}

/* Changes of the clock from the IANA data: Berlin 2026-03-29 01:00 UTC and 2026-10-25 01:00 UTC;
 * Kathmandu is 5:45 ahead. */
static void test_zone__days_follow_the_clock_on_the_wall(void **state)
{
    (void)state;
    static const struct {
        const char *zone;
        const char *utc;
        int32_t offset_s;
        const char *day;
    } rows[] = {
        { "Europe/Berlin", "2026-03-29T00:59:59Z", 3600, "2026-03-29" },
        { "Europe/Berlin", "2026-03-29T01:00:00Z", 7200, "2026-03-29" },
        { "Europe/Berlin", "2026-10-25T00:59:59Z", 7200, "2026-10-25" },
        { "Europe/Berlin", "2026-10-25T01:00:00Z", 3600, "2026-10-25" },
        { "Europe/Berlin", "2026-06-30T22:30:00Z", 7200, "2026-07-01" },
        { "Asia/Kathmandu", "2026-01-01T18:14:59Z", 20700, "2026-01-01" },
        { "Asia/Kathmandu", "2026-01-01T18:15:00Z", 20700, "2026-01-02" },
        { "America/New_York", "2026-01-01T03:00:00Z", -18000, "2025-12-31" },
        { "UTC", "1969-12-31T23:59:59Z", 0, "1969-12-31" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct zone *zone = NULL;
        struct error err = { 0 };
        int64_t utc_s = 0;
        bool has_offset = false;
        int32_t offset_s = 0;
        char day[11];
        check(zone_open(rows[i].zone, &zone, &err));
        check(dates_parse_iso(rows[i].utc, &utc_s, NULL, &has_offset, &offset_s));
        check_integer(rows[i].utc, zone_offset_s(zone, utc_s), rows[i].offset_s);
        zone_day(zone, utc_s, day);
        check_text(rows[i].utc, day, rows[i].day);
        zone_close(zone);
    }
    static const char *const refused[] = { "",          "+01:00",         "../../../etc/passwd",
                                           "Mars/Base", "/etc/localtime", "Europe//Berlin" };
    for (size_t i = 0; i < COUNT(refused); i++) {
        struct zone *zone = NULL;
        struct error err = { 0 };
        if (zone_open(refused[i], &zone, &err)) {
            check_text(refused[i], "taken", "refused");
        }
    }
}

int main(int argc, char *argv[])
{
    if (!store_begin(argc, argv)) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_roster__is_made_once_and_found_again),
        cmocka_unit_test(test_roster__is_for_nobody_but_its_owner),
        cmocka_unit_test(test_roster__place_is_the_given_then_the_data_home),
        cmocka_unit_test(test_schema__an_older_store_is_copied_then_changed),
        cmocka_unit_test(test_schema__a_migration_that_fails_leaves_the_store_as_it_was),
        cmocka_unit_test(test_schema__the_newest_two_copies_are_kept),
        cmocka_unit_test(test_schema__tables_of_others_are_left_alone),
        cmocka_unit_test(test_schema__types_and_references_are_enforced),
        cmocka_unit_test(test_schema__the_page_names_every_column),
        cmocka_unit_test(test_dates__iso_weeks_are_those_of_the_c_library),
        cmocka_unit_test(test_zone__days_follow_the_clock_on_the_wall),
    };
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
