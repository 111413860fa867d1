/* tests/roster/test_rosters.c: one small roster of every released schema, opened by this program.
 *
 * tests/rosters/schema-N.plumbline.gz were made by the program that first had schema N:
 *     build/tests/test_rosters make FILE && gzip -9n FILE
 * Their content is what make() says below, whatever the schema. */
#include "check.h"

#include "base/text.h"
#include "roster/changes.h"
#include "roster/facts.h"
#include "roster/pack.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

static const struct roster_now now = { 1773480413, "Mika Stern" };
static const int32_t power[] = { 150, 151, INT32_MIN, 160, 161 };

static bool set(struct roster *roster, struct arena *arena, const struct rider *rider,
                enum fact_kind kind, struct fact fact, struct error *err)
{
    fact.low = fact.low > 0 ? fact.low : (double)NAN;
    fact.high = fact.high > 0 ? fact.high : (double)NAN;
    return facts_set(roster, arena, now, rider, kind, &fact, err);
}

/* A rider with facts, an edit taken back, and a packed series. */
static bool make(const char *path, struct error *err)
{
    struct arena *arena = arena_open();
    struct roster *roster = NULL;
    struct rider ada = { .name = "Ada Berg",
                         .born_day = "2001-05-31",
                         .zone_name = "Europe/Berlin" };
    struct rider zoe = { .name = "Zoë Lind", .note = "away in winter", .is_away = true };
    struct change_line line = { 0 };
    const struct bytes packed = pack_series(arena, power, COUNT(power), INT32_MIN);
    bool made = roster_open(path, ROSTER_CREATE, now, &roster, err) &&
                riders_add(roster, arena, now, &ada, err) &&
                riders_add(roster, arena, now, &zoe, err) &&
                set(roster, arena, &ada, FACT_WEIGHT,
                    (struct fact){ .day = "2026-01-05", .value = 61.5 }, err) &&
                set(roster, arena, &ada, FACT_THRESHOLD,
                    (struct fact){ .day = "2026-01-10",
                                   .value = 240,
                                   .low = 228,
                                   .high = 252,
                                   .protocol = "20-minute test",
                                   .who = "Mika Stern" },
                    err) &&
                set(roster, arena, &ada, FACT_MAX_HEART_RATE,
                    (struct fact){ .day = "2026-01-10", .value = 189, .at_least = true }, err) &&
                set(roster, arena, &ada, FACT_REST_HEART_RATE,
                    (struct fact){ .day = "2026-01-05", .value = 48 }, err) &&
                set(roster, arena, &ada, FACT_THRESHOLD,
                    (struct fact){ .day = "2026-01-10", .value = 999.0 / 4 }, err) &&
                changes_undo(roster, arena, now, 0, &line, err);
    const char *const rows[] = {
        "INSERT INTO original (sha256, name, size, packing, content, taken_utc_s) VALUES "
        "(zeroblob(32), 'ride.csv', 0, 'none', zeroblob(0), 1773480413)",
        "INSERT INTO recording (rider, original, part, parts, format, method, sport, is_ride, "
        "place, start_utc_s, utc_offset_s, local_day, n_seconds, timer_s, same_by_hand) VALUES (1, "
        "1, 1, 1, 'csv', 'recording/1', 'cycling', TRUE, 'indoors', 1773480413, 3600, "
        "'2026-03-14', 5, 5, FALSE)",
    };
    for (size_t i = 0; made && i < COUNT(rows); i++) {
        made = db_run(roster_db(roster), rows[i], DB_NONE, err);
    }
    made = made && db_run(roster_db(roster),
                          "INSERT INTO series (recording, channel, content) VALUES (1, 'power_w', "
                          "$1)",
                          DB_ARGS(db_blob(packed)), err);
    roster_close(roster);
    arena_close(arena);
    return made;
}

static void check_content(struct arena *arena, struct roster *roster)
{
    struct error err = { 0 };
    const char *problem = NULL;
    must(db_check(roster_db(roster), arena, &problem, &err), &err);
    check_text("integrity", problem, NULL);
    struct rider rider = { 0 };
    must(riders_find(roster, arena, "zoe", &rider, &err), &err);
    check(rider.is_away);
    check_text("note", rider.note, "away in winter");
    must(riders_find(roster, arena, "ada", &rider, &err), &err);
    check_text("born", rider.born_day, "2001-05-31");
    check_text("zone", rider.zone_name, "Europe/Berlin");
    struct rider_facts facts;
    must(facts_on(roster, arena, rider.id, "2026-03-14", &facts, &err), &err);
    check_near("threshold", facts.threshold_w, 240, 0);
    check_near("low", facts.threshold_low_w, 228, 0);
    check_text("known by", facts.threshold_known_by, "20-minute test of 2026-01-10");
    check_near("weight", facts.weight_kg, 61.5, 0);
    check_near("max", facts.max_heart_rate_bpm, 189, 0);
    check_near("rest", facts.rest_heart_rate_bpm, 48, 0);
    struct change_line *lines = NULL;
    size_t count = 0;
    must(changes_list(roster, arena, 100, &lines, &count, &err), &err);
    check_integer("changes", (int64_t)count, 8);
    check_text("newest", lines[0].words,
               "Taken back: Threshold of Ada Berg: 250 W from 2026-01-10 (was 240 W)");
    struct db_rows rows = { 0 };
    int32_t *values = NULL;
    must(db_query(roster_db(roster), arena,
                  "SELECT s.content, r.n_seconds FROM series s JOIN recording r ON r.id = "
                  "s.recording ORDER BY s.id",
                  "xi", DB_NONE, &rows, &err),
         &err);
    check_integer("series", (int64_t)rows.count, 1);
    must(pack_read_series(arena, db_blob_at(&rows, 0, 0), (size_t)db_integer_at(&rows, 0, 1),
                          INT32_MIN, &values, &err),
         &err);
    check(memcmp(values, power, sizeof power) == 0);
}

static void test_rosters__of_every_schema_open_and_hold_what_they_held(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    char folder[] = "/tmp/pl-rosters.XXXXXX";
    check(mkdtemp(folder) != NULL);
    for (size_t schema = 1; schema <= schema_migrations.count; schema++) {
        const char *packed =
            arena_format(arena, PLUMBLINE_SOURCE "/tests/rosters/schema-%zu.plumbline.gz", schema);
        const char *path = arena_format(arena, "%s/%zu.plumbline", folder, schema);
        struct bytes bytes = { 0 };
        const char *damaged = NULL;
        struct error err = { 0 };
        struct roster *roster = NULL;
        must(files_read(arena, packed, 10000000, &bytes, &err), &err);
        must(files_gunzip(arena, bytes, 10000000, &bytes, &damaged, &err), &err);
        check_text("gzip", damaged, NULL);
        must(files_write(path, bytes, &err), &err);
        must(roster_open(path, ROSTER_OPEN, now, &roster, &err), &err);
        check_integer("found", roster_schema(roster)->from, (int64_t)schema);
        check_integer("now", roster_schema(roster)->to, (int64_t)schema_migrations.count);
        check_content(arena, roster);
        roster_close(roster);
    }
    const char *command = arena_format(arena, "rm -rf %s", folder);
    check(system(command) == 0);
    arena_close(arena);
}

/* The newest fixture is what this program makes: else the schema changed and kept its number. */
static void test_rosters__the_newest_has_the_tables_of_today(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    char folder[] = "/tmp/pl-rosters.XXXXXX";
    check(mkdtemp(folder) != NULL);
    struct error err = { 0 };
    struct bytes bytes = { 0 };
    const char *damaged = NULL;
    const char *text[2] = { NULL, NULL };
    const char *fixture = arena_format(arena, "%s/fixture", folder);
    const char *made = arena_format(arena, "%s/made", folder);
    const char *packed = arena_format(
        arena, PLUMBLINE_SOURCE "/tests/rosters/schema-%zu.plumbline.gz", schema_migrations.count);
    must(files_read(arena, packed, 10000000, &bytes, &err), &err);
    must(files_gunzip(arena, bytes, 10000000, &bytes, &damaged, &err), &err);
    must(files_write(fixture, bytes, &err), &err);
    must(make(made, &err), &err);
    for (int i = 0; i < 2; i++) {
        struct roster *roster = NULL;
        struct db_rows rows = { 0 };
        must(roster_open(i == 0 ? fixture : made, ROSTER_OPEN, now, &roster, &err), &err);
        must(db_query(roster_db(roster), arena,
                      "SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY name", "t",
                      DB_NONE, &rows, &err),
             &err);
        struct text all = text_begin(arena, 200000);
        for (size_t k = 0; k < rows.count; k++) {
            text_add_format(&all, "%s\n", db_text_at(&rows, k, 0));
        }
        text[i] = all.bytes;
        roster_close(roster);
    }
    check_text("tables", text[0], text[1]);
    const char *command = arena_format(arena, "rm -rf %s", folder);
    check(system(command) == 0);
    arena_close(arena);
}

int main(int argc, char *argv[])
{
    if (argc == 3 && strcmp(argv[1], "make") == 0) {
        struct error err = { 0 };
        const bool made = make(argv[2], &err);
        printf("%s\n", made ? argv[2] : err.message);
        return made ? 0 : 1;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_rosters__of_every_schema_open_and_hold_what_they_held),
        cmocka_unit_test(test_rosters__the_newest_has_the_tables_of_today),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
