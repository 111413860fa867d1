/* tests/roster/test_store_forget.c: a forgotten rider leaves no row and no byte, others lose
 * nothing, and a trace that is left is found. */
#include "roster/small_roster.h"

#include "maths/maths.h"
#include "maths/random.h"
#include "roster/audit.h"
#include "roster/backup.h"
#include "roster/changes.h"
#include "roster/forget.h"
#include "roster/forget_needles.h"

#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static struct small_roster small;

/* A row of Ada's in every table that can hold one; test_forget__every_table_... looks whether that
 * is so.  Texts are such that nobody else has them. */
static const char *const rows_of_ada[] = {
    "UPDATE rider SET address = 'Gartenweg 17, 1010 Wien-Anywhere' WHERE id = 1",
    "INSERT INTO equipment (rider, kind, name, maker, product, serial, note) VALUES (1, "
    "'power-meter', 'left crank of the blue bike', 'maker one', 'model nine', 305419896, 'bought "
    "second hand from the club')",
    "INSERT INTO equipment_care (equipment, kind, day, value, note) VALUES (1, 'zero-offset', "
    "'2026-01-02', 12, 'cold garage, zeroed twice')",
    "INSERT INTO equipment (rider, kind, name) VALUES (1, 'power-meter', 'pedals of the same')",
    "INSERT INTO meter_check (rider, day, first_meter, second_meter, first_recording, "
    "second_recording, minutes, correlation, above_pct, above_low_pct, above_high_pct, mean_w, "
    "method, note) VALUES (1, '2026-01-14', (SELECT MIN(id) FROM equipment WHERE rider = 1), "
    "(SELECT MAX(id) FROM equipment WHERE rider = 1), 1, 2, 60, 0.98, 2.1, 1.5, 2.7, 180, "
    "'meter-check/1', 'both on the rollers, in the cellar')",
    "INSERT INTO max_heart_rate (rider, day, value_bpm, at_least, protocol, note) VALUES (1, "
    "'2026-01-02', 189, FALSE, 'ramp', 'saw stars at the very end')",
    "INSERT INTO rest_heart_rate (rider, day, value_bpm, protocol, note) VALUES (1, '2026-01-02', "
    "48, 'morning', 'measured lying in bed')",
    "INSERT INTO zone_table (rider, day, basis, name) VALUES (1, '2026-01-02', 'threshold', 'own')",
    "INSERT INTO zone_row (zone_table, place, name, low_pct) VALUES (1, 1, 'all', 0)",
    "INSERT INTO limit_override (rider, name, value, note) VALUES (1, 'some_limit', 1, 'as agreed "
    "with her doctor')",
    "INSERT INTO goal (rider, words, from_day) VALUES (1, 'to ride over the Glossary Pass', "
    "'2026-01-02')",
    "INSERT INTO event (rider, day, name, priority) VALUES (1, '2026-07-05', 'Tour of the Seven "
    "Invented Lakes', 'A')",
    "INSERT INTO day_off (rider, kind, from_day, note) VALUES (1, 'ill', '2026-02-01', 'fever "
    "since "
    "Sunday evening')",
    "INSERT INTO availability (rider, from_day, weekday, seconds, place) VALUES (1, '2026-01-02', "
    "1, 3600, 'either')",
    "INSERT INTO block (rider, name, from_day, to_day) VALUES (1, 'base until carnival', "
    "'2026-01-02', '2026-02-17')",
    "INSERT INTO session (rider, day, name, kind, words, state, why) VALUES (1, '2026-01-09', "
    "'Hills behind the old mill', 'other', '60 min at 50-65 % \"no phone, Ada\"', 'drafted', "
    "'because her goal is the pass')",
    "INSERT INTO screening (rider, day, heart_condition, chest_pain, fainting, "
    "sudden_death_in_family, medicine, pregnancy, new_and_over_45, cleared_by) VALUES (1, "
    "'2026-01-02', TRUE, FALSE, FALSE, FALSE, FALSE, FALSE, FALSE, 'Doctor Invented')",
    "INSERT INTO flag (rider, kind, from_day, note) VALUES (1, 'heart-medicine', '2026-01-02', 'a "
    "small white pill')",
    "INSERT INTO consent (rider, kind, words, given_day, given_by) VALUES (1, 'letters', 'yes, but "
    "not by post', '2026-01-02', 'her mother Maria')",
    "INSERT INTO contact (rider, day, words) VALUES (1, '2026-01-03', 'called, wants shorter "
    "rides')",
    "INSERT INTO day_note (rider, day, recording, hot, dehydrated, ill, hard_day_before, words) "
    "VALUES (1, '2026-01-14', 1, FALSE, FALSE, FALSE, FALSE, 'slept badly because of the storm')",
    "INSERT INTO asked (recording, kind) VALUES (1, 'easy')",
    "INSERT INTO lap (recording, place, start_s, end_s, by_hand) VALUES (1, 0, 0, 60, TRUE)",
    "INSERT INTO sensor (recording, place, kind, maker, product, serial) VALUES (1, 0, 'power', "
    "'maker one', 'model nine', 305419896)",
    "INSERT INTO sensor (recording, place, kind, serial) VALUES (1, 1, 'heart-rate', 3221225999)",
    "INSERT INTO attention_mark (rider, code, state, evidence, last_note, set_day, line) VALUES "
    "(1, "
    "'silent', 'asked', 0, 0, '2026-03-01', 'asked her how the knee is')",
    "INSERT INTO effort (recording, duration_s, power_w, start_s, evidence) VALUES (1, 7777, 200, "
    "0, "
    "0)",
    "INSERT INTO heart_day (recording, against_bpm, low_bpm, high_bpm, day_sd_bpm, line_bpm, "
    "rides) "
    "VALUES (1, 1, 0, 2, 4.5, 11, 9)",
    ("INSERT INTO heart_response (rider, day, outcome, rides, method, basis_hash, content, "
     "made_utc_s) SELECT 1, '2026-03-10', 'too-few', 2, 'today/1', sha256, '{}', 0 FROM original "
     "ORDER BY id LIMIT 1"),
    "INSERT INTO declined (rider, what) VALUES (1, 'threshold')",
    "INSERT INTO job (kind, subject_kind, subject, priority, tries, last_error, asked_utc_s) "
    "VALUES "
    "('read', 'recording', 1, 0, 1, 'could not read it', 0)",
    "INSERT INTO kept_copy (kind, path, rider, last_rider, made_utc_s) VALUES ('export', "
    "'/somewhere/of-her', 1, 1, 0)",
    "INSERT INTO kept_copy (kind, path, last_rider, made_utc_s) VALUES ('backup', "
    "'/somewhere/all', 2, 0)",
    "INSERT INTO failed_file (path, error_kind, message, tries, seen_utc_s) VALUES "
    "('/rides/ada-berg/broken.fit', 'input', 'broken', 1, 0)",
    "INSERT INTO failed_file (path, error_kind, message, tries, seen_utc_s) VALUES "
    "('/rides/ada-bergmann/broken.fit', 'input', 'broken', 1, 0)",
};

static int begin(void **state)
{
    (void)state;
    struct error err = { 0 };
    struct rider like = { .name = "Ada Bergmann", .note = "no relation" };
    small = small_with_rides();
    must(riders_add(small.roster, small.arena, small_now, &like, &err), &err);
    const char *folder = small_path(&small, "of-ada");
    check(mkdir(folder, 0700) == 0);
    small_import(&small, &small.ada,
                 small_write_ride(&small, "of-ada/four.csv", "2026-04-01", 9, 2000, 150));
    for (size_t i = 0; i < COUNT(rows_of_ada); i++) {
        small_run(&small, rows_of_ada[i]);
    }
    small_run(&small, "INSERT INTO folder (path, rider) VALUES ('/rides/kept for her', 1)");
    return 0;
}

static int end(void **state)
{
    (void)state;
    small_end(&small);
    return 0;
}

static void (*planted)(struct db *db);

static struct forget_done forget_ada(void)
{
    struct forget_done done = { 0 };
    struct error err = { 0 };
    const struct forget_call call = { .roster = small.roster,
                                      .rider = &small.ada,
                                      .between = planted };
    must(forget_run(small.arena, &call, &done, &err), &err);
    planted = NULL;
    return done;
}

static const char *remains_as_text(const struct forget_done *done)
{
    return done->n_remains == 0 ? ""
                                : arena_format(small.arena, "%s in %s", done->remains[0].what,
                                               done->remains[0].where);
}

static struct bytes file_bytes(const char *path)
{
    struct bytes bytes = { 0 };
    struct error err = { 0 };
    must(files_read(small.arena, path, 100000000, &bytes, &err), &err);
    return bytes;
}

static bool holds(struct bytes bytes, const void *what, size_t size)
{
    return memmem(bytes.at, bytes.size, what, size) != NULL;
}

/* The search again by the C library, for words written down here by hand. */
static const char *const words_of_ada[] = {
    "Ada Berg\x01",        "likes long climbs",    "after a week of rest",
    "Gartenweg 17",        "second hand",          "cold garage",
    "saw stars",           "lying in bed",         "with her doctor",
    "Glossary Pass",       "Seven Invented Lakes", "fever since",
    "base until carnival", "Doctor Invented",      "small white pill",
    "her mother Maria",    "wants shorter rides",  "because of the storm",
    "/rides/ada-berg/",    "kept for her",         "four.csv",
    "\x12\x34\x56\x78",
};

static void test_forget__leaves_no_byte_and_takes_nothing_of_others(void **state)
{
    (void)state;
    const int64_t changes_of_ben =
        small_number(&small, "SELECT COUNT(*) FROM change WHERE words LIKE '%Ben Lind%'");
    struct db_rows sums = { 0 };
    struct error err = { 0 };
    must(db_query(roster_db(small.roster), small.arena,
                  "SELECT DISTINCT o.sha256 FROM original o JOIN recording r ON r.original = "
                  "o.id WHERE r.rider = 1",
                  "x", DB_NONE, &sums, &err),
         &err);
    check_integer("files", (int64_t)sums.count, 4);
    const struct forget_done done = forget_ada();
    check_text("remains", remains_as_text(&done), "");
    check_integer("riders", small_number(&small, "SELECT COUNT(*) FROM rider"), 2);
    check_integer("rides", small_number(&small, "SELECT COUNT(*) FROM recording"), 1);
    check_integer("originals", small_number(&small, "SELECT COUNT(*) FROM original"), 1);
    check_integer("failed", small_number(&small, "SELECT COUNT(*) FROM failed_file"), 1);
    check_integer("copies kept", small_number(&small, "SELECT COUNT(*) FROM kept_copy"), 1);
    check_integer("copies named", (int64_t)done.n_copies, 2);
    check_integer("changes of Ben",
                  small_number(&small, "SELECT COUNT(*) FROM change WHERE words LIKE '%Ben Lind%'"),
                  changes_of_ben);
    check_integer(
        "changes of a like name",
        small_number(&small, "SELECT COUNT(*) FROM change WHERE words LIKE '%Ada Bergmann%'"), 1);
    struct audit_sum audit = { 0 };
    const struct audit_call call = { .roster = small.roster, .all = true };
    must(audit_run(small.arena, &call, &audit, &err), &err);
    check_text("audit", audit.n_listed > 0 ? audit.list[0].what : "", "");
    if (!store_is_file()) {
        check(!done.was_searched);
        return;
    }
    check(done.was_searched && done.n_needles > 40);
    const struct bytes file = file_bytes(small.place);
    for (size_t i = 0; i < COUNT(words_of_ada); i++) {
        check_text(words_of_ada[i],
                   holds(file, words_of_ada[i], strlen(words_of_ada[i])) ? "there" : "gone",
                   "gone");
    }
    for (size_t i = 0; i < sums.count; i++) {
        check(!holds(file, db_blob_at(&sums, i, 0).at, 32));
    }
    check(holds(file, "no relation", 11) && holds(file, "Ben Lind", 8));
}

/* Each table with a column for a rider or a recording held a row of Ada's, and holds none. */
static void test_forget__every_table_of_the_schema_is_reached(void **state)
{
    (void)state;
    if (!store_is_file()) {
        return;
    }
    struct db_rows tables = { 0 };
    struct error err = { 0 };
    must(db_query(roster_db(small.roster), small.arena,
                  "SELECT t.name, c.name FROM sqlite_schema t, pragma_table_info(t.name) c "
                  "WHERE t.type = 'table' AND c.name IN ('rider', 'recording') ORDER BY "
                  "t.name, c.name",
                  "tt", DB_NONE, &tables, &err),
         &err);
    const char **questions = ARENA_ARRAY(small.arena, const char *, tables.count);
    for (size_t i = 0; i < tables.count; i++) {
        const char *table = db_text_at(&tables, i, 0);
        const char *column = db_text_at(&tables, i, 1);
        const bool is_rider = strcmp(column, "rider") == 0;
        questions[i] =
            arena_format(small.arena, "SELECT COUNT(*) FROM %s WHERE %s IN (%s)", table, column,
                         is_rider ? "1" : "SELECT id FROM recording WHERE rider = 1");
        /* Facts, and proposals declined, name a ride only sometimes. */
        const bool may_be_none =
            !is_rider && (strcmp(table, "threshold") == 0 || strcmp(table, "max_heart_rate") == 0 ||
                          strcmp(table, "declined") == 0);
        check_text(questions[i],
                   may_be_none || small_number(&small, questions[i]) > 0 ? "" : "no row to forget",
                   "");
        if (!is_rider) { /* the ids are gone afterwards */
            questions[i] = arena_format(
                small.arena, "SELECT COUNT(*) FROM %s WHERE %s IN (1, 2, 3, 5)", table, column);
        }
    }
    check(tables.count > 30);
    forget_ada();
    for (size_t i = 0; i < tables.count; i++) {
        check_integer(questions[i], small_number(&small, questions[i]), 0);
    }
}

/* ---- the search can fail ---- */

static void plant_in_note(struct db *db)
{
    store_run(db, "UPDATE rider SET note = 'often rides with Ada Berg' WHERE name = 'Ben Lind'");
}

static void plant_in_change(struct db *db)
{
    store_run(db, "INSERT INTO change (words, made_utc_s) VALUES ('slept badly because of the "
                  "storm', 0)");
}

static void plant_in_reading(struct db *db)
{
    store_run(db,
              "UPDATE reading SET content = '{\"file\": \"four.csv\", \"words\": \"to ride over "
              "the Glossary Pass\"}' WHERE id = (SELECT MIN(id) FROM reading)");
}

static void plant_serial(struct db *db)
{
    store_run(db,
              "INSERT INTO finding (recording, place, code, effect, numbers, detail) SELECT id, "
              "99, 'x', 'noted', '{}', 'meter 305419896 seen' FROM recording");
}

static void plant_stored_serial(struct db *db)
{
    store_run(db,
              "INSERT INTO sensor (recording, place, kind, serial) SELECT id, 99, 'heart-rate', "
              "3221225999 FROM recording");
}

static void test_forget__a_planted_trace_is_found_where_it_is(void **state)
{
    (void)state;
    static const struct {
        void (*plant)(struct db *db);
        const char *what;
        const char *where;
    } leaks[] = {
        { plant_in_note, "the name", "note of rider 2" },
        { plant_in_change, "a day's words", "words of change" },
        { plant_in_reading, "a goal", "content of reading" },
        { plant_serial, "a serial", "detail of finding" },
        { plant_stored_serial, "a serial", "in no row's text" },
    };
    for (size_t i = 0; i < COUNT(leaks) && store_is_file(); i++) {
        end(NULL);
        begin(NULL);
        planted = leaks[i].plant;
        const struct forget_done done = forget_ada();
        bool found = false;
        for (size_t k = 0; k < done.n_remains; k++) {
            found = found || (strcmp(done.remains[k].what, leaks[i].what) == 0 &&
                              strstr(done.remains[k].where, leaks[i].where) != NULL);
        }
        check_text(leaks[i].where, found ? "found" : remains_as_text(&done), "found");
    }
}

/* A copy that lies beside from before a new schema holds all of it: each kind of trace is found
 * there, and in a log that could not be emptied. */
static void test_forget__what_lies_beside_is_searched(void **state)
{
    (void)state;
    if (!store_is_file()) {
        return;
    }
    static const char *const kinds[] = {
        "the name",
        "the address",
        "a note",
        "a goal",
        "an event",
        "a block",
        "a consent",
        "who consented",
        "a contact",
        "a day's words",
        "a folder",
        "a serial",
        "who cleared the rider",
        "a file's checksum",
    };
    struct error err = { 0 };
    const char *copy =
        arena_format(small.arena, "%s.before-schema-002-20260314T092653Z", small.place);
    must(db_copy_to(roster_db(small.roster), copy, &err), &err);
    const struct forget_done done = forget_ada();
    for (size_t i = 0; i < COUNT(kinds); i++) {
        bool found = false;
        for (size_t k = 0; k < done.n_remains; k++) {
            found = found || (strcmp(done.remains[k].what, kinds[i]) == 0 &&
                              strstr(done.remains[k].where, "before-schema") != NULL);
        }
        check_text(kinds[i], found ? "found" : "not found", "found");
    }
}

/* A backup that is written down is named, and not called a trace. */
static void test_forget__known_backups_are_named_not_searched(void **state)
{
    (void)state;
    if (!store_is_file()) {
        return;
    }
    struct error err = { 0 };
    struct backup_about about = { 0 };
    const char *path = NULL;
    const struct backup_call call = {
        .roster = small.roster,
        .now = small_now,
        .path = arena_format(small.arena, "%s.backup", small.place),
    };
    must(backup_make(small.arena, &call, &path, &about, &err), &err);
    const struct bytes before = file_bytes(path);
    const struct forget_done done = forget_ada();
    check_text("remains", remains_as_text(&done), "");
    bool named = false;
    for (size_t i = 0; i < done.n_copies; i++) {
        named = named || strcmp(done.copies[i].path, path) == 0;
    }
    check(named);
    const struct bytes after = file_bytes(path);
    check(before.size == after.size && memcmp(before.at, after.at, after.size) == 0);
}

/* A text that another rider has too is no trace; a name too short is said to be. */
static void test_forget__what_others_have_or_is_too_short_is_said(void **state)
{
    (void)state;
    struct error err = { 0 };
    small_run(&small, "INSERT INTO contact (rider, day, words) VALUES (2, '2026-01-03', 'called, "
                      "wants shorter rides')");
    const struct forget_done done = forget_ada();
    check_text("remains", remains_as_text(&done), "");
    check(!store_is_file() || done.n_of_others >= 1);
    struct rider al = { .name = "Al", .note = "x" };
    struct rider alma = { .name = "Alma Also", .note = "rides at dawn" };
    must(riders_add(small.roster, small.arena, small_now, &al, &err), &err);
    must(riders_add(small.roster, small.arena, small_now, &alma, &err), &err);
    struct forget_done short_one = { 0 };
    const struct forget_call call = { .roster = small.roster, .rider = &al };
    must(forget_run(small.arena, &call, &short_one, &err), &err);
    check_text("remains", remains_as_text(&short_one), "");
    check(!store_is_file() || short_one.n_too_short >= 2);
    check_integer(
        "Alma's change",
        small_number(&small, "SELECT COUNT(*) FROM change WHERE words LIKE '%Alma Also%'"), 1);
    check_integer("Al's",
                  small_number(&small, "SELECT COUNT(*) FROM change WHERE words LIKE '% Al'"), 0);
}

/* What is left of the log can still be taken back. */
static void test_forget__others_changes_can_still_be_undone(void **state)
{
    (void)state;
    struct error err = { 0 };
    struct change_line undone = { 0 };
    forget_ada();
    must(changes_undo(small.roster, small.arena, small_now, 0, &undone, &err), &err);
    check_text("newest", undone.words, "Added the rider Ada Bergmann");
    must(changes_undo(small.roster, small.arena, small_now, 0, &undone, &err), &err);
    check_text("before", undone.words, "Threshold of Ben Lind: 280 W from 2026-01-01");
}

static void test_forget__looking_changes_nothing(void **state)
{
    (void)state;
    struct forget_done done = { 0 };
    struct error err = { 0 };
    must(forget_look(small.roster, small.arena, &small.ada, &done, &err), &err);
    check_integer("recordings", done.counts[0].n, 4);
    check_integer("files", done.counts[1].n, 4);
    check_integer("copies", (int64_t)done.n_copies, 2);
    check_integer("riders", small_number(&small, "SELECT COUNT(*) FROM rider"), 3);
}

/* ---- needles ---- */

/* Source: https://www.sqlite.org/fileformat2.html, section 2.1, serial types 1 to 6; by hand. */
static void test_needles__numbers_are_written_as_the_file_format_says(void **state)
{
    (void)state;
    static const struct {
        int64_t value;
        size_t size;
        uint8_t bytes[8];
    } rows[] = {
        { 5, 1, { 5 } },
        { 127, 1, { 127 } },
        { 128, 2, { 0, 128 } },
        { -1, 1, { 0xFF } },
        { 32768, 3, { 0, 0x80, 0 } },
        { 8388608, 4, { 0, 0x80, 0, 0 } },
        { 305419896, 4, { 0x12, 0x34, 0x56, 0x78 } },
        { 2147483648, 6, { 0, 0, 0x80, 0, 0, 0 } },
        { 4294967295, 6, { 0, 0, 0xFF, 0xFF, 0xFF, 0xFF } },
        { INT64_MAX, 8, { 0x7F, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF } },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        uint8_t out[8] = { 0 };
        check_integer("size", (int64_t)needles_stored_integer(rows[i].value, out),
                      (int64_t)rows[i].size);
        check(memcmp(out, rows[i].bytes, rows[i].size) == 0);
    }
}

struct hits {
    size_t n;
    size_t sum;
};

static void count_hit(void *context, struct needle *needle, size_t at)
{
    struct hits *hits = context;
    (void)needle;
    hits->n++;
    hits->sum += at;
}

/* Slow twin: memcmp at every place.  Two letters only, so that there are many near hits; and a
 * file larger than the pieces that it is read in. */
static void test_needles__finds_what_a_slow_search_finds(void **state)
{
    (void)state;
    enum { SIZE = 4300 * 1000 + 17 };
    struct error err = { 0 };
    if (!store_is_file()) {
        return; /* once is enough */
    }
    struct random random = random_begin(7);
    uint8_t *bytes = ARENA_RAW(small.arena, uint8_t, SIZE);
    struct needle items[40];
    struct needles needles = { .arena = small.arena, .items = items, .count = COUNT(items) };
    for (size_t i = 0; i < SIZE; i++) {
        bytes[i] = (uint8_t)('a' + random_below(&random, 3));
    }
    for (size_t i = 0; i < COUNT(items); i++) {
        const size_t size = 8 + i % 9;
        items[i] = (struct needle){ .what = "x",
                                    .bytes = { bytes + random_below(&random, SIZE - 20), size } };
    }
    /* One that lies across the end of the first piece, and one that ends the file. */
    items[0].bytes = (struct bytes){ bytes + 4000000 - 5, 12 };
    items[1].bytes = (struct bytes){ bytes + SIZE - 11, 11 };
    struct hits slow = { 0 };
    for (size_t i = 0; i < COUNT(items); i++) {
        for (size_t at = 0; at + items[i].bytes.size <= SIZE; at++) {
            if (memcmp(bytes + at, items[i].bytes.at, items[i].bytes.size) == 0) {
                slow.n++;
                slow.sum += at;
            }
        }
    }
    const char *path = small_path(&small, "haystack");
    struct hits fast = { 0 };
    struct hits of_file = { 0 };
    must(files_write(path, (struct bytes){ bytes, SIZE }, &err), &err);
    needles_search(&needles, (struct bytes){ bytes, SIZE }, count_hit, &fast);
    must(needles_search_file(&needles, path, count_hit, &of_file, &err), &err);
    check(slow.n > 500);
    check_integer("hits", (int64_t)fast.n, (int64_t)slow.n);
    check_integer("places", (int64_t)fast.sum, (int64_t)slow.sum);
    check_integer("hits of the file", (int64_t)of_file.n, (int64_t)slow.n);
    check_integer("places of the file", (int64_t)of_file.sum, (int64_t)slow.sum);
}

int main(int argc, char *argv[])
{
    if (!store_begin(argc, argv)) {
        return 0;
    }
    maths_begin();
#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)
    const struct CMUnitTest tests[] = {
        TEST(test_forget__leaves_no_byte_and_takes_nothing_of_others),
        TEST(test_forget__every_table_of_the_schema_is_reached),
        TEST(test_forget__a_planted_trace_is_found_where_it_is),
        TEST(test_forget__what_lies_beside_is_searched),
        TEST(test_forget__known_backups_are_named_not_searched),
        TEST(test_forget__what_others_have_or_is_too_short_is_said),
        TEST(test_forget__others_changes_can_still_be_undone),
        TEST(test_forget__looking_changes_nothing),
        TEST(test_needles__numbers_are_written_as_the_file_format_says),
        TEST(test_needles__finds_what_a_slow_search_finds),
    };
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
