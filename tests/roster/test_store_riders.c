/* tests/roster/test_store_riders.c: riders, their dated facts, and taking edits back. */
#include "roster/store.h"

#include "roster/changes.h"
#include "roster/facts.h"
#include "roster/tables.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static struct arena *arena;
static struct roster *roster;
static const struct roster_now now = { 1773480413, "tester" };

static int begin(void **state)
{
    (void)state;
    struct error err = { 0 };
    arena = arena_open();
    return roster_open(store_place(), ROSTER_CREATE, now, &roster, &err) ? 0 : 1;
}

static int end(void **state)
{
    (void)state;
    roster_close(roster);
    arena_close(arena);
    return 0;
}

static struct rider add_rider(const char *name)
{
    struct rider rider = { .name = name };
    struct error err = { 0 };
    must(riders_add(roster, arena, now, &rider, &err), &err);
    return rider;
}

static void set_fact(const struct rider *rider, enum fact_kind kind, const char *day, double value)
{
    struct fact fact = { .day = day, .value = value, .low = (double)NAN, .high = (double)NAN };
    struct error err = { 0 };
    must(facts_set(roster, arena, now, rider, kind, &fact, &err), &err);
}

static struct rider_facts on(const struct rider *rider, const char *day)
{
    struct rider_facts facts = facts_unknown();
    struct error err = { 0 };
    must(facts_on(roster, arena, rider->id, day, &facts, &err), &err);
    return facts;
}

static const char *undo(int64_t id)
{
    struct change_line line = { 0 };
    struct error err = { 0 };
    if (!changes_undo(roster, arena, now, id, &line, &err)) {
        return arena_format(arena, "! %s", err.message);
    }
    return line.words;
}

static int64_t newest_change(void)
{
    struct change_line *lines = NULL;
    size_t count = 0;
    struct error err = { 0 };
    must(changes_list(roster, arena, 1, &lines, &count, &err), &err);
    return count == 0 ? 0 : lines[0].id;
}

/* ---- riders ---- */

static void test_riders__are_found_by_number_name_or_its_start(void **state)
{
    (void)state;
    const struct rider zoe = add_rider("  Zoë Lind ");
    add_rider("Ada Berg");
    add_rider("Ada Bergstad");
    const struct {
        const char *word;
        const char *name; /* NULL = refused with words */
        const char *words;
    } rows[] = {
        { "zoe", "Zoë Lind", NULL },
        { "ZOË LIND", "Zoë Lind", NULL },
        { arena_format(arena, "%lld", (long long)zoe.id), "Zoë Lind", NULL },
        { "ada berg", "Ada Berg", NULL }, /* a whole name, though another begins with it */
        { "ada", NULL, "ada: which of them? Ada Berg, Ada Bergstad" },
        { "bob", NULL, "bob: no rider's name begins so" },
        { "999", NULL, "rider 999: there is none" },
        { "", NULL, "no rider's name begins so" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct rider got = { 0 };
        struct error err = { 0 };
        const bool found = riders_find(roster, arena, rows[i].word, &got, &err);
        check_text(rows[i].word, found ? got.name : NULL, rows[i].name);
        if (!found && strstr(err.message, rows[i].words) == NULL) {
            check_text(rows[i].word, err.message, rows[i].words);
        }
    }
}

static void test_riders__two_of_one_name_are_refused(void **state)
{
    (void)state;
    add_rider("Ada Berg");
    static const char *const refused[] = { "ada berg", "Áda Berg", "", "   ", "123" };
    for (size_t i = 0; i < COUNT(refused); i++) {
        struct rider rider = { .name = refused[i] };
        struct error err = { 0 };
        check_integer(refused[i], riders_add(roster, arena, now, &rider, &err), false);
    }
    struct rider rider = { .name = "Bo", .zone_name = "Mars/Base" };
    struct error err = { 0 };
    check(!riders_add(roster, arena, now, &rider, &err));
    rider = (struct rider){ .name = "Bo", .born_day = "2001-02-30" };
    check(!riders_add(roster, arena, now, &rider, &err));
}

static void test_riders__two_coaches_do_not_overwrite_each_other(void **state)
{
    (void)state;
    const struct rider seen = add_rider("Ada Berg");
    struct rider first = seen;
    struct rider second = seen;
    struct error err = { 0 };
    first.born_day = "2001-05-31";
    second.note = "likes hills";
    must(riders_edit(roster, arena, now, &first, &err), &err);
    check(!riders_edit(roster, arena, now, &second, &err));
    check_integer("kind", err.kind, ERROR_CONFLICT);
    struct rider now_is = { 0 };
    must(riders_find(roster, arena, "ada", &now_is, &err), &err);
    check_text("born", now_is.born_day, "2001-05-31");
    check_text("note", now_is.note, NULL);
}

/* ---- facts ---- */

static void test_facts__hold_from_their_day_until_the_next(void **state)
{
    (void)state;
    const struct rider rider = add_rider("Ada Berg");
    set_fact(&rider, FACT_THRESHOLD, "2026-03-14", 255);
    set_fact(&rider, FACT_THRESHOLD, "2026-01-10", 240); /* entered later, true earlier */
    set_fact(&rider, FACT_WEIGHT, "2026-02-01", 61.5);
    static const struct {
        const char *day;
        double threshold_w;
        double weight_kg;
        const char *known_by;
    } rows[] = {
        { "2026-01-09", (double)NAN, (double)NAN, NULL },
        { "2026-01-10", 240, (double)NAN, "given of 2026-01-10" },
        { "2026-03-13", 240, 61.5, "given of 2026-01-10" },
        { "2026-03-14", 255, 61.5, "given of 2026-03-14" },
        { "2030-01-01", 255, 61.5, "given of 2026-03-14" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct rider_facts facts = on(&rider, rows[i].day);
        check_near(rows[i].day, facts.threshold_w, rows[i].threshold_w, 0);
        check_near(rows[i].day, facts.weight_kg, rows[i].weight_kg, 0);
        check_text(rows[i].day, facts.threshold_known_by, rows[i].known_by);
        check(isnan(facts.max_heart_rate_bpm) && isnan(facts.threshold_low_w));
    }
}

static void test_facts__of_one_day_are_edited_not_doubled(void **state)
{
    (void)state;
    const struct rider rider = add_rider("Ada Berg");
    set_fact(&rider, FACT_MAX_HEART_RATE, "2026-03-14", 184);
    set_fact(&rider, FACT_MAX_HEART_RATE, "2026-03-14", 187);
    struct fact *facts = NULL;
    size_t count = 0;
    struct error err = { 0 };
    must(facts_list(roster, arena, rider.id, FACT_MAX_HEART_RATE, NULL, &facts, &count, &err),
         &err);
    check_integer("facts", (int64_t)count, 1);
    check_near("value", facts[0].value, 187, 0);
    check_integer("version", facts[0].version, 2);
    must(facts_list(roster, arena, rider.id, FACT_MAX_HEART_RATE, "2026-03-13", &facts, &count,
                    &err),
         &err);
    check_integer("before", (int64_t)count, 0);
    struct change_line *lines = NULL;
    must(changes_list(roster, arena, 1, &lines, &count, &err), &err);
    check_text("words", lines[0].words,
               "Maximal heart rate of Ada Berg: 187 bpm from 2026-03-14 (was 184 bpm)");
    check_text("who", lines[0].who, "tester");
}

static void test_facts__out_of_range_are_refused(void **state)
{
    (void)state;
    const struct rider rider = add_rider("Ada Berg");
    static const struct {
        enum fact_kind kind;
        struct fact fact;
    } rows[] = {
        { FACT_WEIGHT, { .day = "2026-03-14", .value = 24.9 } },
        { FACT_WEIGHT, { .day = "2026-03-14", .value = (double)NAN } },
        { FACT_THRESHOLD, { .day = "2026-03-32", .value = 240 } },
        { FACT_THRESHOLD, { .day = NULL, .value = 240 } },
        { FACT_THRESHOLD, { .day = "2026-03-14", .value = 240, .low = 250, .high = 260 } },
        { FACT_THRESHOLD, { .day = "2026-03-14", .value = 240, .low = 230, .high = (double)NAN } },
        { FACT_REST_HEART_RATE, { .day = "2026-03-14", .value = 50, .low = 45, .high = 55 } },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct fact fact = rows[i].fact;
        struct error err = { 0 };
        if (i < 4) {
            fact.low = fact.high = (double)NAN;
        }
        check(!facts_set(roster, arena, now, &rider, rows[i].kind, &fact, &err));
        check_integer("kind", err.kind, ERROR_USAGE);
    }
    check_integer("no change was recorded", newest_change(), 1);
}

static void test_facts__flags_and_notes_hold_on_their_days(void **state)
{
    (void)state;
    const struct rider rider = add_rider("Ada Berg");
    store_run(roster_db(roster),
              "INSERT INTO flag (rider, kind, from_day, to_day) VALUES (1, 'heart-medicine', "
              "'2026-03-01', '2026-03-10'), (1, 'pregnant', '2026-03-05', NULL)");
    store_run(roster_db(roster),
              "INSERT INTO day_note (rider, day, hot, dehydrated, ill, caffeine, hard_day_before) "
              "VALUES (1, '2026-03-09', TRUE, FALSE, FALSE, 'less', FALSE)");
    check(!on(&rider, "2026-02-28").heart_medicine);
    check(on(&rider, "2026-03-01").heart_medicine && !on(&rider, "2026-03-01").pregnant);
    check(on(&rider, "2026-03-09").heart_medicine && on(&rider, "2026-03-09").pregnant);
    check(!on(&rider, "2026-03-10").heart_medicine && on(&rider, "2026-03-10").pregnant);
    check(on(&rider, "2026-03-09").day.hot && on(&rider, "2026-03-09").day.caffeine_out_of_habit);
    check(!on(&rider, "2026-03-09").day.ill && !on(&rider, "2026-03-10").day.hot);
}

/* ---- taking back ---- */

static void test_undo__goes_back_edit_by_edit(void **state)
{
    (void)state;
    const struct rider rider = add_rider("Ada Berg");
    set_fact(&rider, FACT_THRESHOLD, "2026-03-14", 240);
    set_fact(&rider, FACT_THRESHOLD, "2026-03-14", 250);
    check_text("undo", undo(0), "Threshold of Ada Berg: 250 W from 2026-03-14 (was 240 W)");
    check_near("before", on(&rider, "2026-03-14").threshold_w, 240, 0);
    check_text("undo", undo(0), "Threshold of Ada Berg: 240 W from 2026-03-14");
    check_near("before", on(&rider, "2026-03-14").threshold_w, (double)NAN, 0);
    check_text("undo", undo(0), "Added the rider Ada Berg");
    check_text("undo", undo(0), "! there is no change to take back");
}

static void test_undo__of_an_undo_brings_the_edit_back(void **state)
{
    (void)state;
    const struct rider rider = add_rider("Ada Berg");
    set_fact(&rider, FACT_WEIGHT, "2026-03-14", 60.3);
    const int64_t change = newest_change();
    undo(0);
    const int64_t the_undo = newest_change();
    check_text("twice", arena_format(arena, "%.35s", undo(change)),
               "! change 2 was taken back already, ");
    check_text("undo", undo(the_undo), "Taken back: Weight of Ada Berg: 60.3 kg from 2026-03-14");
    check_near("weight", on(&rider, "2026-03-14").weight_kg, 60.3, 0);
    check_text("and again", undo(0), "Weight of Ada Berg: 60.3 kg from 2026-03-14");
    check_near("weight", on(&rider, "2026-03-14").weight_kg, (double)NAN, 0);
}

static void test_undo__refuses_where_a_later_change_stands(void **state)
{
    (void)state;
    struct rider rider = add_rider("Ada Berg");
    struct error err = { 0 };
    rider.version = 0;
    rider.note = "likes hills";
    must(riders_edit(roster, arena, now, &rider, &err), &err); /* change 2 */
    rider.born_day = "2001-05-31";
    must(riders_edit(roster, arena, now, &rider, &err), &err); /* 3: another column */
    rider.note = "likes sprints";
    must(riders_edit(roster, arena, now, &rider, &err), &err); /* 4: the column of 2 */
    check_text("2", undo(2),
               "! change 2 can't be taken back: change 4 came later on the same entry (Rider Ada "
               "Berg: note likes sprints (was likes hills)); take that back first");
    check_text("3 alone", undo(3), "Rider Ada Berg: born 2001-05-31 (was none)");
    must(riders_find(roster, arena, "ada", &rider, &err), &err);
    check_text("note kept", rider.note, "likes sprints");
    check_text("born gone", rider.born_day, NULL);
    /* A rider with facts can't be un-added. */
    set_fact(&rider, FACT_WEIGHT, "2026-03-14", 60);
    undo(4);
    undo(2);
    check_text("1", undo(1),
               "! this rider can't be taken away: later entries rest on it; take those away first");
    check_near("nothing was lost", on(&rider, "2026-03-14").weight_kg, 60, 0);
    check_text("unknown", undo(99), "! change 99: there is none; undo --list shows them");
}

static void test_undo__puts_a_removed_row_back_as_it_was(void **state)
{
    (void)state;
    const struct rider rider = add_rider("Ada Berg");
    struct fact fact = { .day = "2026-03-14",
                         .value = 251.25,
                         .low = 240.125,
                         .high = 262,
                         .protocol = "20-minute test",
                         .who = "coach",
                         .note = "windy" };
    struct error err = { 0 };
    must(facts_set(roster, arena, now, &rider, FACT_THRESHOLD, &fact, &err), &err);
    must(facts_remove(roster, arena, now, &rider, FACT_THRESHOLD, "2026-03-14", 0, &err), &err);
    check(!facts_remove(roster, arena, now, &rider, FACT_THRESHOLD, "2026-03-14", 0, &err));
    check_integer("kind", err.kind, ERROR_NOT_FOUND);
    check_text("undo", undo(0), "Threshold of Ada Berg: 251 W from 2026-03-14 taken away");
    struct fact *facts = NULL;
    size_t count = 0;
    must(facts_list(roster, arena, rider.id, FACT_THRESHOLD, NULL, &facts, &count, &err), &err);
    check_integer("facts", (int64_t)count, 1);
    check_integer("id", facts[0].id, fact.id);
    check_integer("version", facts[0].version, 2);
    check_near("value", facts[0].value, 251.25, 0);
    check_near("low", facts[0].low, 240.125, 0);
    check_text("protocol", facts[0].protocol, "20-minute test");
    check_text("note", facts[0].note, "windy");
}

/* One list of editable columns: it and the schema may not drift apart. */
static void test_tables__are_those_of_the_schema(void **state)
{
    (void)state;
    struct db_rows rows = { 0 };
    struct error err = { 0 };
    const char *sql =
        store_is_file()
            ? "SELECT s.name, c.name, CASE c.type WHEN 'TEXT' THEN 'T' WHEN 'REAL' THEN 'R' ELSE "
              "'I' END FROM sqlite_schema s JOIN pragma_table_info(s.name) c WHERE s.type = "
              "'table' AND EXISTS (SELECT 1 FROM pragma_table_info(s.name) v WHERE v.name = "
              "'version') ORDER BY s.name, c.cid"
            : "SELECT CAST(c.table_name AS TEXT), CAST(c.column_name AS TEXT), CASE c.data_type "
              "WHEN 'text' THEN 'T' WHEN 'double precision' THEN 'R' WHEN 'boolean' THEN 'B' ELSE "
              "'I' END FROM information_schema.columns c WHERE c.table_schema = 'public' AND "
              "EXISTS (SELECT 1 FROM information_schema.columns v WHERE v.table_name = "
              "c.table_name AND v.column_name = 'version') ORDER BY 1, c.ordinal_position";
    must(db_query(roster_db(roster), arena, sql, "ttt", DB_NONE, &rows, &err), &err);
    size_t own = 0;
    for (size_t i = 0; i < rows.count; i++) {
        const char *column = db_text_at(&rows, i, 1);
        /* Of a recording, only which one counts is the coach's to say. */
        if (strcmp(column, "id") == 0 || strcmp(column, "version") == 0 ||
            (strcmp(db_text_at(&rows, i, 0), "recording") == 0 &&
             strncmp(column, "same_", 5) != 0)) {
            continue;
        }
        const struct editable_table *table = tables_find(db_text_at(&rows, i, 0));
        check(table != NULL);
        const struct table_column *found = tables_column(table, column);
        if (found == NULL) {
            check_text(table->name, NULL, column);
            continue;
        }
        /* SQLite keeps truth as an integer. */
        const char letter = store_is_file() && found->letter == 'B' ? 'I' : found->letter;
        check_integer(column, letter, db_text_at(&rows, i, 2)[0]);
        own++;
    }
    size_t listed = 0;
    for (size_t i = 0; i < n_editable_tables; i++) {
        listed += tables_column_count(&editable_tables[i]);
    }
    check_integer("columns", (int64_t)own, (int64_t)listed);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)

int main(int argc, char *argv[])
{
    if (!store_begin(argc, argv)) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        TEST(test_riders__are_found_by_number_name_or_its_start),
        TEST(test_riders__two_of_one_name_are_refused),
        TEST(test_riders__two_coaches_do_not_overwrite_each_other),
        TEST(test_facts__hold_from_their_day_until_the_next),
        TEST(test_facts__of_one_day_are_edited_not_doubled),
        TEST(test_facts__out_of_range_are_refused),
        TEST(test_facts__flags_and_notes_hold_on_their_days),
        TEST(test_undo__goes_back_edit_by_edit),
        TEST(test_undo__of_an_undo_brings_the_edit_back),
        TEST(test_undo__refuses_where_a_later_change_stands),
        TEST(test_undo__puts_a_removed_row_back_as_it_was),
        TEST(test_tables__are_those_of_the_schema),
    };
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
