/* tests/roster/test_store_rereading.c: readings kept true, whatever was changed and taken back. */
#include "roster/kept_true.h"

#include "base/text.h"
#include "maths/maths.h"
#include "roster/asked.h"
#include "roster/changes.h"
#include "roster/facts.h"
#include "roster/same_ride.h"
#include "roster/tables.h"
#include "roster/touched.h"
#include "roster/zone_tables.h"

#include <math.h>
#include <string.h>

/* ---- random histories ---- */

static uint32_t seed;

static uint32_t below(uint32_t n)
{
    seed = seed * 1664525u + 1013904223u;
    return (seed >> 8) % n;
}

static const char *const days[] = { "2026-02-01", "2026-02-10", "2026-02-28", "2026-03-01",
                                    "2026-03-05", "2026-03-06", "2026-03-21", "2026-05-01" };

static const char *a_day(void)
{
    return days[below(COUNT(days))];
}

static int64_t a_ride(void)
{
    const struct db_rows rows = query("SELECT id FROM recording ORDER BY id", "i");
    return rows.count == 0 ? 0 : db_integer_at(&rows, below((uint32_t)rows.count), 0);
}

/* An entry of a table, as random as its columns allow. */
struct entry {
    const char *table;
    struct edit edits[9];
    size_t n;
};

static struct entry an_entry(uint32_t which)
{
    static const struct {
        const char *name;
        double values[3];
    } limits[] = {
        { "spike_above_w", { 300, 600, 900 } },        { "same_ride_overlap_pct", { 60, 80, 95 } },
        { "base_drift_bpm", { 8, 10, 12 } },           { "drift_settle_s", { 200, 360, 600 } },
        { "effort_heart_ratio", { 0.86, 0.9, 0.95 } }, { "hard_day_effort", { 4, 7, 9 } }
    };
    const struct db_value rider = db_integer(riders[below(2)].id);
    const struct db_value who = below(3) == 0 ? db_null(DB_INTEGER) : rider;
    const size_t limit = below(COUNT(limits));
    const int from = (int)below(6);
    const struct db_value to =
        below(2) == 0 ? db_null(DB_TEXT) : db_text(days[from + 1 + (int)below(2)]);
    switch (which) {
    case 0:
        return (struct entry){ "limit_override",
                               { { "rider", who },
                                 { "name", db_text(limits[limit].name) },
                                 { "value", db_real(limits[limit].values[below(3)]) } },
                               3 };
    case 1:
        return (struct entry){ "flag",
                               { { "rider", rider },
                                 { "kind", db_text(below(2) == 0 ? "heart-medicine" : "pregnant") },
                                 { "from_day", db_text(days[from]) },
                                 { "to_day", to } },
                               4 };
    case 2:
        return (struct entry){ "day_off",
                               { { "rider", rider },
                                 { "kind", db_text(below(2) == 0 ? "ill" : "away") },
                                 { "from_day", db_text(days[from]) },
                                 { "to_day", to } },
                               4 };
    case 3:
        return (struct entry){ "day_note",
                               { { "rider", rider },
                                 { "day", db_text(a_day()) },
                                 { "effort_0_10",
                                   below(2) == 0 ? db_null(DB_REAL) : db_real(1 + below(9)) },
                                 { "caffeine", db_text(below(3) == 0 ? "more" : "usual") },
                                 { "fan", db_bool(below(2) == 0) },
                                 { "hot", db_bool(below(2) == 0) },
                                 { "dehydrated", db_bool(below(2) == 0) },
                                 { "ill", db_bool(below(3) == 0) },
                                 { "hard_day_before", db_bool(below(2) == 0) } },
                               9 };
    case 4:
        return (
            struct entry){ "equipment",
                           { { "rider", who },
                             { "kind", db_text(below(2) == 0 ? "power-meter" : "heart-sensor") },
                             { "name", db_text("one") },
                             { "position", db_text(below(2) == 0 ? "crank" : "wrist") },
                             { "sides", db_text(below(2) == 0 ? "both" : "left") },
                             { "from_day", db_text(a_day()) } },
                           6 };
    case 5:
        return (struct entry){
            "session",
            { { "rider", rider },
              { "day", db_text(a_day()) },
              { "name", db_text("one") },
              { "kind", db_text(below(2) == 0 ? "easy" : "threshold") },
              { "words", db_text(below(2) == 0 ? "12 min at 40-70 %" : "12 min at 80-110 %") },
              { "state", db_text(below(2) == 0 ? "given" : "drafted") } },
            6
        };
    default:
        return (struct entry){ "goal",
                               { { "rider", rider },
                                 { "words", db_text("get fitter") },
                                 { "from_day", db_text(a_day()) } },
                               3 };
    }
}

enum { ENTRIES = 7 };

struct entry_work {
    struct entry entry;
    int64_t row; /* 0 = a new one */
    bool is_removal;
};

static bool write_entry(struct db *db, void *context, struct error *err)
{
    struct entry_work *work = context;
    const struct entry *entry = &work->entry;
    struct change change = { 0 };
    int64_t id = 0;
    if (!changes_begin(db, arena, now, entry->table, &change, err)) {
        return false;
    }
    if (work->is_removal) {
        return changes_remove(&change, entry->table, work->row, 0, err);
    }
    return work->row > 0
               ? changes_edit(&change, entry->table, work->row, 0, entry->edits, entry->n, err)
               : changes_add(&change, entry->table, entry->edits, entry->n, &id, err);
}

static bool change_entry(struct error *err)
{
    struct entry_work work = { .entry = an_entry(below(ENTRIES)) };
    const struct db_rows rows =
        query(arena_format(arena, "SELECT id FROM %s ORDER BY id", work.entry.table), "i");
    const uint32_t way = below(4);
    if (way > 1 && rows.count > 0) {
        work.row = db_integer_at(&rows, below((uint32_t)rows.count), 0);
        work.is_removal = way == 3;
    }
    return db_write(roster_db(roster), write_entry, &work, err);
}

/* One that may be the rider's; 0 = there is none. */
static int64_t a_meter(int64_t rider)
{
    const struct db_rows rows =
        query(arena_format(arena,
                           "SELECT id FROM equipment WHERE kind = 'power-meter' AND (rider IS NULL "
                           "OR rider = %lld) ORDER BY id",
                           (long long)rider),
              "i");
    return rows.count == 0 ? 0 : db_integer_at(&rows, below((uint32_t)rows.count), 0);
}

static bool change_fact(struct error *err)
{
    static const double values[FACT_KINDS][3] = { [FACT_WEIGHT] = { 60, 61, 62 },
                                                  [FACT_THRESHOLD] = { 220, 240, 260 },
                                                  [FACT_MAX_HEART_RATE] = { 180, 186, 192 },
                                                  [FACT_REST_HEART_RATE] = { 44, 48, 52 } };
    const enum fact_kind kind = (enum fact_kind)below(FACT_KINDS);
    const struct rider *rider = &riders[below(2)];
    struct fact fact = {
        .day = a_day(), .value = values[kind][below(3)], .low = (double)NAN, .high = (double)NAN
    };
    if (kind == FACT_THRESHOLD && below(2) == 0) {
        fact.meter = a_meter(rider->id);
    }
    return below(4) == 0 ? facts_remove(roster, arena, now, rider, kind, fact.day, fact.meter, err)
                         : facts_set(roster, arena, now, rider, kind, &fact, err);
}

static bool change_asked(struct error *err)
{
    struct ride_row row = { 0 };
    struct asked asked = asked_nothing();
    const char *said = NULL;
    const int64_t ride = a_ride();
    if (ride == 0) {
        return true;
    }
    must(recordings_row(roster_db(roster), arena, ride, &row, err), err);
    if (below(4) == 0) {
        return asked_remove(roster, arena, now, &row, &said, err);
    }
    asked.kind = (enum work_kind)(1 + below(KIND_COUNT - 1));
    if (below(2) == 0) {
        asked.target.low_pct = 100;
        asked.target.high_pct = 110 + below(2);
    }
    if (below(2) == 0) {
        asked.reps = 4;
        asked.rep_duration_s = 60;
    }
    return asked_set(roster, arena, now, &row, &asked, &said, err);
}

/* A test, a race, something that spoiled it, or none of them. */
static bool change_mark(struct error *err)
{
    static const char *const was[] = { NULL, "test", "race" };
    struct ride_row row = { 0 };
    struct asked asked = asked_nothing();
    const char *said = NULL;
    const int64_t ride = a_ride();
    if (ride == 0) {
        return true;
    }
    must(recordings_row(roster_db(roster), arena, ride, &row, err), err);
    asked.was = was[below(3)];
    asked.spoiled_by = below(3) == 0 ? "a puncture" : NULL;
    return asked_mark(roster, arena, now, &row, &asked, &said, err);
}

/* How it was, of a ride: that counts for its effort before the recording's own word. */
static bool write_note(struct db *db, void *context, struct error *err)
{
    const struct ride_row *row = context;
    const struct edit edits[] = { { "rider", db_integer(row->rider) },
                                  { "day", db_text(row->local_day) },
                                  { "recording", db_integer(row->id) },
                                  { "effort_0_10", db_real(1 + below(9)) },
                                  { "hot", db_bool(below(2) == 0) },
                                  { "dehydrated", db_bool(false) },
                                  { "ill", db_bool(false) },
                                  { "hard_day_before", db_bool(false) } };
    struct change change = { 0 };
    int64_t id = 0;
    return changes_begin(db, arena, now, "note", &change, err) &&
           changes_add(&change, "day_note", edits, COUNT(edits), &id, err);
}

static bool change_note_of_ride(struct error *err)
{
    struct ride_row row = { 0 };
    const int64_t ride = a_ride();
    if (ride == 0) {
        return true;
    }
    must(recordings_row(roster_db(roster), arena, ride, &row, err), err);
    return db_write(roster_db(roster), write_note, &row, err);
}

static bool change_zones(struct error *err)
{
    const enum zone_basis basis = below(2) == 0 ? ZONES_OF_THRESHOLD : ZONES_OF_HEART_RESERVE;
    const struct rider *rider = below(3) == 0 ? NULL : &riders[below(2)];
    const char *said = NULL;
    struct zone_table table = { 0 };
    const char *name = basis == ZONES_OF_HEART_RESERVE ? "reserve"
                       : below(2) == 0                 ? "three-domains"
                                                       : "seven-zones";
    const char *day = a_day();
    if (below(4) == 0) {
        return zone_tables_remove(roster, arena, now, rider, basis, day, &said, err);
    }
    check(zone_tables_offer(name, &table));
    table.day = day;
    return zone_tables_set(roster, arena, now, rider, &table, err);
}

static bool change_same(struct error *err)
{
    struct ride_row row = { 0 };
    const char *said = NULL;
    const int64_t ride = a_ride();
    if (ride == 0) {
        return true;
    }
    must(recordings_row(roster_db(roster), arena, ride, &row, err), err);
    return below(2) == 0 ? same_ride_choose(roster, arena, now, &row, &said, err)
                         : same_ride_split(roster, arena, now, &row, &said, err);
}

static bool change_zone(struct error *err)
{
    static const char *const zones[] = { "Europe/Berlin", "UTC", "America/New_York", "Asia/Tokyo" };
    struct rider rider = { 0 };
    const char *word = arena_format(arena, "%lld", (long long)riders[below(2)].id);
    must(riders_find(roster, arena, word, &rider, err), err);
    rider.zone_name = zones[below(COUNT(zones))];
    /* The formula of training impulse asks for it. */
    rider.sex = below(2) == 0 ? "female" : "male";
    rider.version = 0;
    return riders_edit(roster, arena, now, &rider, err);
}

/* The newest, or any; but not that the riders were added, by the first two. */
static bool take_back(struct error *err)
{
    struct change_line undone = { 0 };
    const int64_t last = number("SELECT COALESCE(MAX(id), 0) FROM change");
    const int64_t newest =
        number("SELECT COALESCE(MAX(id), 0) FROM change WHERE undoes IS NULL AND "
               "undone_by IS NULL");
    const int64_t id = below(3) > 0 || last < 3 ? newest : 3 + (int64_t)below((uint32_t)last - 2);
    return id < 3 || changes_undo(roster, arena, now, id, &undone, err);
}

static size_t n_imported;

static void step(void)
{
    struct error err = { 0 };
    bool done = true;
    const uint32_t what = below(20);
    if (what < 3 && n_imported < MADE_RIDES) {
        import_ride(&made[n_imported++]);
    } else if (what < 6) {
        done = change_fact(&err);
    } else if (what < 9) {
        done = change_entry(&err);
    } else if (what < 11) {
        done = change_asked(&err);
    } else if (what < 12) {
        done = change_same(&err);
    } else if (what < 13) {
        done = change_zone(&err);
    } else if (what < 15) {
        done = change_mark(&err);
    } else if (what < 16) {
        done = change_note_of_ride(&err);
    } else if (what < 17) {
        done = change_zones(&err);
    } else {
        done = take_back(&err);
    }
    /* What is refused has changed nothing. */
    if (!done && err.kind != ERROR_CONFLICT && err.kind != ERROR_NOT_FOUND) {
        must(done, &err);
    }
    now.utc_s += 60;
}

/* Without resting and maximal heart rate there is no training impulse. */
static void set_hearts(void)
{
    struct error err = { 0 };
    for (int i = 0; i < 2; i++) {
        struct fact highest = {
            .day = "2026-01-01", .value = 188, .low = (double)NAN, .high = (double)NAN
        };
        struct fact resting = highest;
        resting.value = 50;
        must(facts_set(roster, arena, now, &riders[i], FACT_MAX_HEART_RATE, &highest, &err), &err);
        must(facts_set(roster, arena, now, &riders[i], FACT_REST_HEART_RATE, &resting, &err), &err);
    }
}

/* PLUMBLINE_SEED and PLUMBLINE_STEPS look further than the suite does. */
static uint32_t wanted(const char *name, uint32_t otherwise)
{
    const char *text = getenv(name);
    return text == NULL ? otherwise : (uint32_t)strtoul(text, NULL, 10);
}

static void test_rereading__after_any_history_all_is_as_if_made_anew(void **state)
{
    (void)state;
    seed = wanted("PLUMBLINE_SEED", 2);
    n_imported = 0;
    for (uint32_t i = 0; i < 4; i++) {
        import_ride(&made[n_imported++]);
    }
    set_hearts();
    keep_true(1);
    const uint32_t steps = wanted("PLUMBLINE_STEPS", 120);
    for (uint32_t i = 0; i < steps; i++) {
        struct arena *whole = arena;
        arena = arena_open();
        step();
        look();
        check_jobs_are_what_differs();
        if (below(3) > 0 || i + 1 == steps) {
            keep_true(1 + below(2));
            check_all_made_again();
        }
        arena_close(arena);
        arena = whole;
    }
}

/* ---- what a change reaches ---- */

static void test_touched__every_table_that_can_be_edited_has_its_reach(void **state)
{
    (void)state;
    static const char *const unread[] = { "goal",           "event",      "availability",
                                          "block",          "consent",    "contact",
                                          "folder",         "declined",   "equipment_care",
                                          "attention_mark", "own_session" };
    for (size_t i = 0; i < n_editable_tables; i++) {
        bool is_unread = false;
        for (size_t k = 0; k < COUNT(unread); k++) {
            is_unread = is_unread || strcmp(unread[k], editable_tables[i].name) == 0;
        }
        check_integer(editable_tables[i].name, touched_matters(editable_tables[i].name),
                      !is_unread);
    }
}

static void set_threshold(const char *day, double watts)
{
    struct error err = { 0 };
    struct fact fact = { .day = day, .value = watts, .low = (double)NAN, .high = (double)NAN };
    must(facts_set(roster, arena, now, &riders[0], FACT_THRESHOLD, &fact, &err), &err);
}

static void test_rereading__a_threshold_reaches_from_its_day_to_the_next(void **state)
{
    (void)state;
    for (size_t i = 0; i < MADE_RIDES; i++) {
        import_ride(&made[i]);
    }
    keep_true(1);
    set_threshold("2026-01-01", 240);
    set_threshold("2026-03-10", 250);
    keep_true(2);
    set_threshold("2026-03-01", 245);
    const struct rereading_jobs jobs = look();
    check_integer("the rides of 1 to 5 March", (int64_t)jobs.count, 4);
    check_integer("all done", (int64_t)run_jobs(2).done, 4);
    set_threshold("2026-03-01", 245);
    check_integer("the same again is nothing", (int64_t)look().count, 0);
    check_all_made_again();
}

static void test_rereading__another_version_is_noticed_once(void **state)
{
    (void)state;
    struct error err = { 0 };
    bool is_newer = false;
    import_ride(&made[0]);
    import_ride(&made[1]);
    must(rereading_ask_if_newer(roster, arena, now, &is_newer, &err), &err);
    check(is_newer);
    check_integer("read by this version", (int64_t)look().count, 0);
    must(rereading_ask_if_newer(roster, arena, now, &is_newer, &err), &err);
    check(!is_newer);
    /* As an older program would have left them. */
    store_run(roster_db(roster), "UPDATE setting SET content = 'older' WHERE name = 'readings "
                                 "version'");
    store_run(roster_db(roster), "UPDATE reading SET method = 'base/0', basis_hash = (SELECT "
                                 "o.sha256 FROM original o ORDER BY o.id LIMIT 1)");
    must(rereading_ask_if_newer(roster, arena, now, &is_newer, &err), &err);
    check(is_newer);
    check_integer("both wait", (int64_t)look().count, 2);
    keep_true(2);
    check_all_made_again();
}

int main(int argc, char *argv[])
{
    if (!store_begin(argc, argv)) {
        return 0;
    }
    maths_begin();
    const struct CMUnitTest tests[] = {
#define TEST(name) cmocka_unit_test_setup_teardown(name, kept_begin, kept_end)
        TEST(test_rereading__after_any_history_all_is_as_if_made_anew),
        TEST(test_touched__every_table_that_can_be_edited_has_its_reach),
        TEST(test_rereading__a_threshold_reaches_from_its_day_to_the_next),
        TEST(test_rereading__another_version_is_noticed_once),
    };
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
