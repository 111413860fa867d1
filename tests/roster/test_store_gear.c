/* tests/roster/test_store_gear.c: notes, zones, limits and equipment, and what readings take of
 * them. */
#include "roster/store.h"

#include "roster/changes.h"
#include "roster/day_notes.h"
#include "roster/equipment.h"
#include "roster/overrides.h"
#include "roster/readings.h"
#include "roster/zone_tables.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static struct arena *arena;
static struct roster *roster;
static struct rider ada;
static struct rider bo;
static const struct roster_now now = { 1773480413, "tester" };

static struct rider add_rider(const char *name)
{
    struct rider rider = { .name = name };
    struct error err = { 0 };
    must(riders_add(roster, arena, now, &rider, &err), &err);
    return rider;
}

static int begin(void **state)
{
    (void)state;
    struct error err = { 0 };
    arena = arena_open();
    if (!roster_open(store_place(), ROSTER_CREATE, now, &roster, &err)) {
        return 1;
    }
    ada = add_rider("Ada Berg");
    bo = add_rider("Bo Lind");
    return 0;
}

static int end(void **state)
{
    (void)state;
    roster_close(roster);
    arena_close(arena);
    return 0;
}

/* A ride without series, enough for what hangs on it; timer_s of riding. */
static int64_t add_ride(const struct rider *rider, const char *day, int timer_s, int64_t same_as)
{
    struct db *db = roster_db(roster);
    struct db_rows rows = { 0 };
    struct error err = { 0 };
    static int64_t made = 0;
    uint8_t sum[32] = { 0 };
    made++;
    memcpy(sum, &made, sizeof made);
    const struct bytes sha256 = { sum, sizeof sum };
    const struct bytes content = { (const uint8_t *)"x", 1 };
    must(db_run(db,
                "INSERT INTO original (sha256, name, size, packing, content, taken_utc_s) VALUES "
                "($1, 'a.fit', 1, 'none', $2, 0)",
                DB_ARGS(db_blob(sha256), db_blob(content)), &err),
         &err);
    must(db_query(db, arena, "SELECT id FROM original WHERE sha256 = $1", "i",
                  DB_ARGS(db_blob(sha256)), &rows, &err),
         &err);
    const int64_t original = db_integer_at(&rows, 0, 0);
    must(db_run(db,
                "INSERT INTO recording (rider, original, part, parts, same_as, same_by_hand, "
                "format, method, sport, is_ride, place, local_day, n_seconds, timer_s, version) "
                "VALUES ($1, $2, 1, 1, $3, FALSE, 'FIT', 'recording/1', 'cycling', TRUE, "
                "'unknown', $4, $5, $5, 1)",
                DB_ARGS(db_integer(rider->id), db_integer(original),
                        same_as == 0 ? db_null(DB_INTEGER) : db_integer(same_as), db_text(day),
                        db_integer(timer_s)),
                &err),
         &err);
    must(db_query(db, arena, "SELECT id FROM recording WHERE original = $1", "i",
                  DB_ARGS(db_integer(original)), &rows, &err),
         &err);
    return db_integer_at(&rows, 0, 0);
}

/* offset 0: none recorded */
static void add_sensor(int64_t ride, int place, const char *kind, int64_t serial, int offset)
{
    struct error err = { 0 };
    must(db_run(roster_db(roster),
                "INSERT INTO sensor (recording, place, kind, maker, product, serial, zero_offset) "
                "VALUES ($1, $2, $3, 'maker', 'product', $4, $5)",
                DB_ARGS(db_integer(ride), db_integer(place), db_text(kind), db_integer(serial),
                        offset == 0 ? db_null(DB_INTEGER) : db_integer(offset)),
                &err),
         &err);
}

static struct rider_facts of_ride(const struct rider *rider, const char *day, int64_t ride)
{
    struct rider_facts facts = facts_unknown();
    struct error err = { 0 };
    const struct ride_facts query = { .rider = rider->id, .day = day, .recording = ride };
    must(facts_of_ride(roster, arena, &query, &facts, &err), &err);
    return facts;
}

static void undo_newest(void)
{
    struct change_line line = { 0 };
    struct error err = { 0 };
    must(changes_undo(roster, arena, now, 0, &line, &err), &err);
}

/* ---- notes ---- */

static struct day_note add_note(const char *day, int64_t ride, enum answer answer, double value)
{
    struct day_note note = { .day = day, .recording = ride, .answers = answers_none() };
    struct error err = { 0 };
    note.answers.value[answer] = value;
    must(day_notes_add(roster, arena, now, &ada, &note, &err), &err);
    return note;
}

static void test_notes__every_answer_comes_back_as_it_was_said(void **state)
{
    (void)state;
    struct error err = { 0 };
    for (int a = 0; a < ANSWERS; a++) {
        const struct answer_row *row = answer_row((enum answer)a);
        const double values[] = { row->lowest, row->highest };
        for (size_t i = 0; i < COUNT(values); i++) {
            const struct day_note note = add_note("2026-03-14", 0, (enum answer)a, values[i]);
            struct day_note got = { 0 };
            must(day_notes_find(roster, arena, &ada, note.id, &got, &err), &err);
            for (int b = 0; b < ANSWERS; b++) {
                /* "no" where the store has no "not said" */
                const bool lost = row->unsaid_is_no && values[i] == 0.0;
                check_near(answer_row((enum answer)b)->name, got.answers.value[b],
                           a == b && !lost ? values[i] : (double)NAN, 0.0);
            }
        }
    }
}

static void test_notes__of_a_ride_stand_on_those_of_its_day(void **state)
{
    (void)state;
    const int64_t morning = add_ride(&ada, "2026-03-14", 3600, 0);
    const int64_t evening = add_ride(&ada, "2026-03-14", 3600, 0);
    const int64_t second_device = add_ride(&ada, "2026-03-14", 3600, morning);
    add_note(NULL, morning, ANSWER_FAN, 0.0);
    add_note("2026-03-14", 0, ANSWER_FAN, 1.0);
    add_note("2026-03-14", 0, ANSWER_CAFFEINE, 1.0);
    add_note(NULL, evening, ANSWER_ILL, 1.0);
    add_note(NULL, morning, ANSWER_TEMPERATURE, 27.0); /* limit hot_mean_c */
    add_note("2026-03-14", 0, ANSWER_TEMPERATURE, 26.9);
    add_note(NULL, evening, ANSWER_EFFORT, 8.0);
    add_note("2026-03-14", 0, ANSWER_EFFORT, 5.0);
    const struct {
        const char *name;
        int64_t ride;
        struct day_marks want;
    } rows[] = {
        { "the day", 0, { .caffeine_out_of_habit = true } },
        { "morning", morning, { .caffeine_out_of_habit = true, .no_fan = true, .hot = true } },
        { "its second device",
          second_device,
          { .caffeine_out_of_habit = true, .no_fan = true, .hot = true } },
        { "evening", evening, { .caffeine_out_of_habit = true, .ill = true } },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct rider_facts got = of_ride(&ada, "2026-03-14", rows[i].ride);
        check_integer(rows[i].name, got.fan_known, true);
        check_integer(rows[i].name, got.day.no_fan, rows[i].want.no_fan);
        check_integer(rows[i].name, got.day.hot, rows[i].want.hot);
        check_integer(rows[i].name, got.day.ill, rows[i].want.ill);
        check_integer(rows[i].name, got.day.caffeine_out_of_habit,
                      rows[i].want.caffeine_out_of_habit);
        check_integer(rows[i].name, got.day.dehydrated, false);
        check_integer(rows[i].name, got.day.hard_day_before, false);
        check_near(rows[i].name, got.effort_0_10, rows[i].ride == evening ? 8.0 : 5.0, 0.0);
    }
    check(isnan(of_ride(&ada, "2026-03-15", 0).effort_0_10));
    check(!of_ride(&ada, "2026-03-15", 0).day.caffeine_out_of_habit);
    check(!of_ride(&bo, "2026-03-14", 0).fan_known);
}

static void test_notes__keep_the_riders_words_whole(void **state)
{
    (void)state;
    struct error err = { 0 };
    struct day_note note = { .day = "2026-03-14",
                             .answers = answers_none(),
                             .words = "  legs were heavy \r\n\r\nslept 6h;  badly\n\n" };
    must(day_notes_add(roster, arena, now, &ada, &note, &err), &err);
    struct day_note got = { 0 };
    must(day_notes_find(roster, arena, &ada, note.id, &got, &err), &err);
    check_text("words", got.words, "  legs were heavy\n\nslept 6h;  badly");
    check_text("said", note.said, "Note of Ada Berg, 2026-03-14: \"  legs were heavy...\"");
}

static void test_notes__are_edited_removed_and_taken_back(void **state)
{
    (void)state;
    struct error err = { 0 };
    struct day_note note = add_note("2026-03-14", 0, ANSWER_LEGS, 2.0);
    note.answers.value[ANSWER_LEGS] = 4.0;
    note.answers.value[ANSWER_ILL] = 1.0;
    must(day_notes_edit(roster, arena, now, &ada, &note, &err), &err);
    check_text("said", note.said, "Note of Ada Berg, 2026-03-14: legs 4 of 5, ill yes (edited)");
    check(of_ride(&ada, "2026-03-14", 0).day.ill);
    undo_newest();
    struct day_note got = { 0 };
    must(day_notes_find(roster, arena, &ada, note.id, &got, &err), &err);
    check_near("legs", got.answers.value[ANSWER_LEGS], 2.0, 0.0);
    check(!of_ride(&ada, "2026-03-14", 0).day.ill);
    must(day_notes_remove(roster, arena, now, &ada, note.id, &got, &err), &err);
    check(!day_notes_find(roster, arena, &ada, note.id, &got, &err));
    undo_newest();
    must(day_notes_find(roster, arena, &ada, note.id, &got, &err), &err);
    /* seen by two coaches, edited by the first */
    struct day_note first = got;
    struct day_note second = got;
    first.answers.value[ANSWER_LEGS] = 3.0;
    second.answers.value[ANSWER_LEGS] = 5.0;
    must(day_notes_edit(roster, arena, now, &ada, &first, &err), &err);
    check(!day_notes_edit(roster, arena, now, &ada, &second, &err));
    check_integer("kind", err.kind, ERROR_CONFLICT);
}

static void test_notes__refuse_what_can_not_be(void **state)
{
    (void)state;
    const int64_t of_bo = add_ride(&bo, "2026-03-14", 3600, 0);
    const int64_t of_ada = add_ride(&ada, "2026-03-14", 3600, 0);
    const int64_t undated = add_ride(&ada, NULL, 3600, 0);
    const struct {
        const char *words;
        const char *day;
        int64_t ride;
        enum answer answer;
        double value;
    } rows[] = {
        { "legs 6: must be a whole number, 1 to 5", "2026-03-14", 0, ANSWER_LEGS, 6 },
        { "legs 2.5: must be a whole number, 1 to 5", "2026-03-14", 0, ANSWER_LEGS, 2.5 },
        { "effort 11: must be 0 to 10", "2026-03-14", 0, ANSWER_EFFORT, 11 },
        { "the note says nothing", "2026-03-14", 0, ANSWER_EFFORT, (double)NAN },
        { "2026-02-30 is no day", "2026-02-30", 0, ANSWER_LEGS, 2 },
        { "is another rider's", NULL, of_bo, ANSWER_LEGS, 2 },
        { "is of 2026-03-14, not of 2026-03-15", "2026-03-15", of_ada, ANSWER_LEGS, 2 },
        { "doesn't know its day", NULL, undated, ANSWER_LEGS, 2 },
        { "recording", NULL, 999, ANSWER_LEGS, 2 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct day_note note = { .day = rows[i].day,
                                 .recording = rows[i].ride,
                                 .answers = answers_none() };
        struct error err = { 0 };
        note.answers.value[rows[i].answer] = rows[i].value;
        check_integer(rows[i].words, day_notes_add(roster, arena, now, &ada, &note, &err), false);
        if (strstr(err.message, rows[i].words) == NULL && rows[i].ride != 999) {
            check_text(rows[i].words, err.message, rows[i].words);
        }
    }
    struct day_note note = add_note("2026-03-16", 0, ANSWER_LEGS, 2);
    struct day_note got = { 0 };
    struct error err = { 0 };
    check(!day_notes_remove(roster, arena, now, &bo, note.id, &got, &err));
}

/* ---- zones ---- */

static struct zones power_zones(const struct rider *rider, const char *day)
{
    return of_ride(rider, day, 0).zones;
}

static struct zone_table three_from(const char *day)
{
    struct zone_table table = { 0 };
    check(zone_tables_offer("three-domains", &table));
    table.day = day;
    return table;
}

static void test_zones__the_riders_own_win_over_the_rosters_and_both_hold_from_their_day(
    void **state)
{
    (void)state;
    struct error err = { 0 };
    struct zone_table whole = three_from("2026-02-01");
    must(zone_tables_set(roster, arena, now, NULL, &whole, &err), &err);
    struct zone_table own = {
        .day = "2026-01-15",
        .name = "two",
        .zones = { 2, { 90, (double)INFINITY }, { "easy", "hard" } },
    };
    must(zone_tables_set(roster, arena, now, &ada, &own, &err), &err);
    const struct {
        const struct rider *rider;
        const char *day;
        size_t count;
    } rows[] = {
        { &ada, "2026-01-14", 7 }, { &ada, "2026-01-15", 2 }, { &ada, "2026-03-01", 2 },
        { &bo, "2026-01-31", 7 },  { &bo, "2026-02-01", 3 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        check_integer(rows[i].day, (int64_t)power_zones(rows[i].rider, rows[i].day).count,
                      (int64_t)rows[i].count);
    }
    const struct zones got = power_zones(&ada, "2026-03-01");
    check_text("name", got.name[1], "hard");
    check_near("edge", got.upper_pct[0], 90.0, 0.0);
    check(isinf(got.upper_pct[1]));
}

static void test_zones__replaced_and_taken_away_come_back(void **state)
{
    (void)state;
    struct error err = { 0 };
    const char *said = NULL;
    struct zone_table first = three_from("2026-01-01");
    must(zone_tables_set(roster, arena, now, &ada, &first, &err), &err);
    struct zone_table second = three_from("2026-01-01");
    second.zones.upper_pct[0] = 70;
    must(zone_tables_set(roster, arena, now, &ada, &second, &err), &err);
    check_text("said", second.said,
               "Power zones of Ada Berg: three domains, 3 zones, from 2026-01-01 (replaced)");
    check_near("replaced", power_zones(&ada, "2026-01-01").upper_pct[0], 70, 0.0);
    undo_newest();
    check_near("back", power_zones(&ada, "2026-01-01").upper_pct[0], 80, 0.0);
    must(
        zone_tables_remove(roster, arena, now, &ada, ZONES_OF_THRESHOLD, "2026-01-01", &said, &err),
        &err);
    check_integer("gone", (int64_t)power_zones(&ada, "2026-01-01").count, 7);
    undo_newest();
    check_near("back again", power_zones(&ada, "2026-01-01").upper_pct[0], 80, 0.0);
    check(!zone_tables_remove(roster, arena, now, NULL, ZONES_OF_THRESHOLD, "2026-01-01", &said,
                              &err));
    check_text("refused", err.message,
               "the whole roster has no zones by threshold dated 2026-01-01");
}

static void test_zones__of_heart_rate_reserve_leave_power_zones_alone(void **state)
{
    (void)state;
    struct error err = { 0 };
    struct zone_table table = { 0 };
    check(zone_tables_offer("reserve", &table));
    table.day = "2026-01-01";
    table.zones.upper_pct[3] = 85;
    must(zone_tables_set(roster, arena, now, &ada, &table, &err), &err);
    check_integer("power", (int64_t)power_zones(&ada, "2026-03-01").count, 7);
    struct zone_table got = { 0 };
    must(zone_tables_in_force(roster_db(roster), arena, ada.id, ZONES_OF_HEART_RESERVE,
                              "2026-03-01", &got, &err),
         &err);
    check_near("own", got.zones.upper_pct[3], 85, 0.0);
    table.zones.upper_pct[3] = 110;
    check(!zone_tables_set(roster, arena, now, &ada, &table, &err));
    check(!zone_tables_offer("seven", &table));
}

/* ---- equipment ---- */

static struct equipment meter(const char *name, int64_t serial, const char *sides)
{
    return (struct equipment){
        .kind = "power-meter",
        .name = name,
        .serial = serial,
        .position = "crank",
        .sides = sides,
        .accuracy_pct = 1.5,
        .charge_hours = 100,
        .from_day = "2026-01-01",
    };
}

static void add_item(struct equipment *item)
{
    struct error err = { 0 };
    must(equipment_add(roster, arena, now, &ada, item, &err), &err);
}

static void charge(const struct equipment *item, const char *day)
{
    struct error err = { 0 };
    const char *said = NULL;
    struct care care = { .kind = "charge", .day = day, .value = (double)NAN };
    must(equipment_care_add(roster, arena, now, item, &care, &said, &err), &err);
}

static struct wear wear_of(const struct equipment *item, const char *until)
{
    struct wear wear = { 0 };
    struct error err = { 0 };
    must(equipment_wear(roster_db(roster), arena, item, until, &wear, &err), &err);
    return wear;
}

/* Expected hours: by hand from the rides below. */
static void test_equipment__hours_since_a_charge_are_the_rides_with_that_serial(void **state)
{
    (void)state;
    struct equipment item = meter("race bike", 42, "both");
    add_item(&item);
    const struct {
        const struct rider *rider;
        const char *day;
        int timer_s;
        const char *kind;
        int64_t serial;
    } rides[] = {
        { &ada, "2025-12-31", 36000, "power", 42 }, /* before it was in use */
        { &ada, "2026-01-02", 3600, "power", 42 },
        { &ada, "2026-02-01", 7200, "power", 42 }, /* the day of the charge */
        { &ada, "2026-02-03", 5400, "power", 42 },
        { &ada, "2026-02-04", 9000, "power", 43 },      /* another meter */
        { &ada, "2026-02-05", 9000, "heart-rate", 42 }, /* a strap of that serial */
        { &bo, "2026-02-06", 9000, "power", 42 },       /* another rider's */
        { &ada, "2026-03-01", 1800, "power", 42 },
    };
    for (size_t i = 0; i < COUNT(rides); i++) {
        const int64_t ride = add_ride(rides[i].rider, rides[i].day, rides[i].timer_s, 0);
        add_sensor(ride, 0, rides[i].kind, rides[i].serial, 0);
    }
    /* two devices on one ride, both with the meter: it ran once, as long as the longer says */
    const int64_t main = add_ride(&ada, "2026-02-10", 3600, 0);
    const int64_t second = add_ride(&ada, "2026-02-10", 3660, main);
    add_sensor(main, 0, "power", 42, 0);
    add_sensor(main, 1, "power", 42, 0);
    add_sensor(second, 0, "power", 42, 0);
    const struct wear before = wear_of(&item, "2026-02-20");
    check(before.known && before.charge_day == NULL);
    check_near("never charged", before.hours, (3600 + 7200 + 5400 + 3660) / 3600.0, 1e-9);
    charge(&item, "2026-01-15");
    charge(&item, "2026-02-01");
    charge(&item, "2026-05-01"); /* later than asked */
    const struct wear got = wear_of(&item, "2026-02-20");
    check_text("charge", got.charge_day, "2026-02-01");
    check_near("hours", got.hours, (7200 + 5400 + 3660) / 3600.0, 1e-9);
    check_integer("rides", got.rides, 3);
    check_text("first", got.first_day, "2026-01-02");
    check_text("last", got.last_day, "2026-02-10");
    check_near("March", wear_of(&item, "2026-03-31").hours, (7200 + 5400 + 3660 + 1800) / 3600.0,
               1e-9);
    const struct equipment unknown = meter("no serial", 0, NULL);
    check(!wear_of(&unknown, "2026-03-31").known);
}

static void test_equipment__zero_offsets_come_from_hand_and_from_devices(void **state)
{
    (void)state;
    struct error err = { 0 };
    struct equipment item = meter("race bike", 42, "both");
    const char *said = NULL;
    add_item(&item);
    const int64_t first = add_ride(&ada, "2026-02-01", 3600, 0);
    const int64_t other = add_ride(&ada, "2026-02-02", 3600, 0);
    const int64_t last = add_ride(&ada, "2026-02-05", 3600, 0);
    add_sensor(first, 0, "power", 42, 812);
    add_sensor(other, 0, "power", 43, 500);
    add_sensor(last, 0, "power", 42, -7);
    struct care care = { .kind = "zero-offset", .day = "2026-02-03", .value = 815 };
    must(equipment_care_add(roster, arena, now, &item, &care, &said, &err), &err);
    check_text("said", said, "Care of race bike: zero-offset 815 on 2026-02-03");
    charge(&item, "2026-02-04");
    struct care *list = NULL;
    size_t count = 0;
    must(equipment_care_list(roster_db(roster), arena, &item, "2026-02-28", &list, &count, &err),
         &err);
    const struct {
        const char *day;
        double value;
        int64_t recording;
    } rows[] = {
        { "2026-02-05", -7, last },
        { "2026-02-04", (double)NAN, 0 },
        { "2026-02-03", 815, 0 },
        { "2026-02-01", 812, first },
    };
    check_integer("count", (int64_t)count, (int64_t)COUNT(rows));
    for (size_t i = 0; i < COUNT(rows); i++) {
        check_text("day", list[i].day, rows[i].day);
        check_near(rows[i].day, list[i].value, rows[i].value, 0.0);
        check_integer(rows[i].day, list[i].recording, rows[i].recording);
    }
    must(equipment_care_remove(roster, arena, now, &ada, care.id, &said, &err), &err);
    check(!equipment_care_remove(roster, arena, now, &ada, care.id, &said, &err));
}

static struct rider_facts before_stored(const char *day, const char *kind, uint32_t serial)
{
    struct device device = { .serial = serial };
    struct rider_facts facts = facts_unknown();
    struct error err = { 0 };
    snprintf(device.kind, sizeof device.kind, "%s", kind);
    const struct ride_facts ride = {
        .rider = ada.id, .day = day, .sensors = &device, .n_sensors = 1
    };
    must(facts_of_ride(roster, arena, &ride, &facts, &err), &err);
    return facts;
}

static struct equipment heart(const char *name, int64_t serial, const char *position)
{
    return (struct equipment){ .kind = "heart-sensor",
                               .name = name,
                               .serial = serial,
                               .position = position,
                               .accuracy_pct = (double)NAN,
                               .charge_hours = (double)NAN };
}

static void test_equipment__is_said_of_a_ride_only_where_there_is_no_doubt(void **state)
{
    (void)state;
    struct equipment strap = heart("strap", 7, "chest");
    struct equipment watch = heart("watch", 0, "wrist");
    struct equipment left = meter("winter bike", 42, "left");
    struct equipment both = meter("race bike", 43, "both");
    watch.from_day = "2026-02-01";
    add_item(&strap);
    add_item(&watch);
    add_item(&left);
    add_item(&both);
    const struct {
        const char *name;
        const char *day;
        const char *kind;
        int64_t serial; /* 0: the ride lists no sensor */
        enum heart_at heart_at;
        enum meter_sides sides;
    } rows[] = {
        { "the strap's serial", "2026-03-01", "heart-rate", 7, HEART_AT_CHEST, SIDES_UNKNOWN },
        { "a serial that isn't listed: may be the watch", "2026-03-01", "heart-rate", 8,
          HEART_AT_WRIST, SIDES_UNKNOWN },
        { "no serial, two sensors", "2026-03-01", "power", 42, HEART_AT_UNKNOWN, SIDES_LEFT },
        { "no serial, one sensor in use", "2026-01-10", "power", 42, HEART_AT_CHEST, SIDES_LEFT },
        { "the other meter", "2026-01-10", "power", 43, HEART_AT_CHEST, SIDES_BOTH },
        { "a meter that isn't listed", "2026-01-10", "power", 44, HEART_AT_CHEST, SIDES_UNKNOWN },
        { "nothing recorded", "2026-01-10", NULL, 0, HEART_AT_CHEST, SIDES_UNKNOWN },
        { "before anything was in use", "2025-12-31", "heart-rate", 7, HEART_AT_CHEST,
          SIDES_UNKNOWN },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const int64_t ride = add_ride(&ada, rows[i].day, 3600, 0);
        struct rider_facts early = of_ride(&ada, rows[i].day, 0);
        if (rows[i].kind != NULL) {
            add_sensor(ride, 0, rows[i].kind, rows[i].serial, 0);
            early = before_stored(rows[i].day, rows[i].kind, (uint32_t)rows[i].serial);
        }
        const struct rider_facts got = of_ride(&ada, rows[i].day, ride);
        check_integer(rows[i].name, (int64_t)got.heart_at, (int64_t)rows[i].heart_at);
        check_integer(rows[i].name, (int64_t)got.meter_sides, (int64_t)rows[i].sides);
        check_integer(rows[i].name, (int64_t)early.heart_at, (int64_t)rows[i].heart_at);
        check_integer(rows[i].name, (int64_t)early.meter_sides, (int64_t)rows[i].sides);
    }
    check_integer("another rider", (int64_t)of_ride(&bo, "2026-03-01", 0).heart_at,
                  HEART_AT_UNKNOWN);
    struct equipment trainer = meter("club trainer", 50, "right");
    trainer.is_shared = true;
    trainer.position = "trainer";
    add_item(&trainer);
    const int64_t on_trainer = add_ride(&bo, "2026-03-01", 3600, 0);
    add_sensor(on_trainer, 0, "trainer", 50, 0);
    check_integer("a shared trainer", (int64_t)of_ride(&bo, "2026-03-01", on_trainer).meter_sides,
                  SIDES_RIGHT);
    check_near("its hours", wear_of(&trainer, "2026-03-01").hours, 1.0, 1e-9);
}

static void test_equipment__refuses_what_can_not_be(void **state)
{
    (void)state;
    struct equipment first = meter("race bike", 42, "both");
    add_item(&first);
    struct {
        const char *words;
        struct equipment item;
    } rows[] = {
        { "serial 42 is there already: 1, race bike", meter("another", 42, "both") },
        { "position chest: must be one of crank, spider, pedals, hub, trainer",
          meter("a", 1, "both") },
        { "sides top: must be one of both, left, right", meter("a", 1, "top") },
        { "give it a name", meter(" ", 1, "both") },
        { "the second day must come later", meter("a", 1, "both") },
        { "only a power meter measures sides", heart("a", 1, "chest") },
        { "accuracy 30", meter("a", 1, "both") },
        { "serial: must be", meter("a", -1, "both") },
    };
    rows[1].item.position = "chest";
    rows[4].item.to_day = "2026-01-01";
    rows[5].item.sides = "both";
    rows[6].item.accuracy_pct = 30;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct error err = { 0 };
        check_integer(rows[i].words, equipment_add(roster, arena, now, &ada, &rows[i].item, &err),
                      false);
        if (strstr(err.message, rows[i].words) == NULL) {
            check_text(rows[i].words, err.message, rows[i].words);
        }
    }
    /* sold, and another rider's own */
    struct error err = { 0 };
    first.to_day = "2026-03-01";
    must(equipment_edit(roster, arena, now, &ada, &first, &err), &err);
    struct equipment again = meter("bought back", 42, "both");
    again.from_day = "2026-03-01";
    add_item(&again);
}

static void test_equipment__taken_away_with_its_care_comes_back(void **state)
{
    (void)state;
    struct error err = { 0 };
    struct equipment item = meter("race bike", 42, "both");
    struct care *list = NULL;
    size_t count = 0;
    const char *said = NULL;
    add_item(&item);
    charge(&item, "2026-02-01");
    check(!equipment_remove(roster, arena, now, &bo, item.id, &said, &err));
    must(equipment_remove(roster, arena, now, &ada, item.id, &said, &err), &err);
    check_text("said", said, "Equipment of Ada Berg: power-meter race bike, taken away");
    struct equipment got = { 0 };
    check(!equipment_find(roster_db(roster), arena, &ada, item.id, &got, &err));
    undo_newest();
    must(equipment_find(roster_db(roster), arena, &ada, item.id, &got, &err), &err);
    check_text("sides", got.sides, "both");
    must(equipment_care_list(roster_db(roster), arena, &got, "2026-03-01", &list, &count, &err),
         &err);
    check_integer("care", (int64_t)count, 1);
}

static void test_equipment__seen_but_not_listed_is_told(void **state)
{
    (void)state;
    struct error err = { 0 };
    struct equipment item = meter("race bike", 42, "both");
    struct seen_sensor *seen = NULL;
    size_t count = 0;
    add_item(&item);
    const int64_t first = add_ride(&ada, "2026-01-02", 3600, 0);
    const int64_t second = add_ride(&ada, "2026-02-02", 3600, 0);
    add_sensor(first, 0, "power", 42, 0);
    add_sensor(first, 1, "heart-rate", 7, 0);
    add_sensor(second, 0, "power", 99, 0);
    add_sensor(second, 1, "heart-rate", 7, 0);
    add_sensor(second, 2, "cadence", 98, 0);
    add_sensor(second, 3, "trainer", 99, 0); /* the same, by its other name */
    must(equipment_seen(roster_db(roster), arena, ada.id, "2026-12-31", &seen, &count, &err), &err);
    check_integer("count", (int64_t)count, 2);
    check_text("kind", seen[0].kind, "power-meter");
    check_integer("serial", seen[0].serial, 99);
    check_text("kind", seen[1].kind, "heart-sensor");
    check_text("first", seen[1].first_day, "2026-01-02");
    check_integer("rides", seen[1].rides, 2);
}

/* ---- limits ---- */

static double limit_of(const struct rider *rider, enum limit_id id)
{
    struct limits limits;
    struct error err = { 0 };
    must(readings_limits(roster_db(roster), arena, rider->id, &limits, &err), &err);
    return limits.value[id];
}

static void test_limits__the_riders_own_win_over_the_rosters(void **state)
{
    (void)state;
    struct error err = { 0 };
    const char *said = NULL;
    const enum limit_id id = LIMIT_BASE_DRIFT_BPM;
    const double unchanged = limits_row(id)->value;
    must(overrides_set(roster, arena, now, NULL, id, 11, NULL, &said, &err), &err);
    must(overrides_set(roster, arena, now, &ada, id, 12, "starts cold", &said, &err), &err);
    check_text("said", said, "Limit base_drift_bpm of Ada Berg: 12 bpm (was 10, the default)");
    check_near("ada", limit_of(&ada, id), 12, 0.0);
    check_near("bo", limit_of(&bo, id), 11, 0.0);
    struct override *list = NULL;
    size_t count = 0;
    must(overrides_list(roster_db(roster), arena, ada.id, &list, &count, &err), &err);
    check_integer("count", (int64_t)count, 2);
    check_integer("the roster's first", list[0].rider, 0);
    check_text("who", list[1].who, "tester");
    check_text("note", list[1].note, "starts cold");
    check_integer("when", list[1].set_utc_s, now.utc_s);
    check(list[1].is_in_range && list[1].limit == id);
    /* set again: edited, not added */
    must(overrides_set(roster, arena, now, &ada, id, 13, NULL, &said, &err), &err);
    check_text("said", said, "Limit base_drift_bpm of Ada Berg: 13 bpm (was 12)");
    must(overrides_list(roster_db(roster), arena, ada.id, &list, &count, &err), &err);
    check_integer("count", (int64_t)count, 2);
    undo_newest();
    check_near("taken back", limit_of(&ada, id), 12, 0.0);
    must(overrides_remove(roster, arena, now, &ada, id, &said, &err), &err);
    check_near("the roster's again", limit_of(&ada, id), 11, 0.0);
    check(!overrides_remove(roster, arena, now, &ada, id, &said, &err));
    must(overrides_remove(roster, arena, now, NULL, id, &said, &err), &err);
    check_near("the default again", limit_of(&ada, id), unchanged, 0.0);
}

static void test_limits__keep_to_their_range_and_caps_stay(void **state)
{
    (void)state;
    const char *said = NULL;
    for (int i = 0; i < LIMITS_COUNT; i++) {
        const enum limit_id id = (enum limit_id)i;
        const struct limit_row *row = limits_row(id);
        const bool is_cap = strncmp(row->name, "cap_", 4) == 0;
        struct error err = { 0 };
        check(!overrides_set(roster, arena, now, &ada, id, row->highest + 1, NULL, &said, &err));
        check(!overrides_set(roster, arena, now, &ada, id, row->lowest - 1, NULL, &said, &err));
        check(!overrides_set(roster, arena, now, &ada, id, (double)NAN, NULL, &said, &err));
        check_integer(row->name, err.kind, is_cap ? ERROR_DENIED : ERROR_USAGE);
    }
    /* a row of another version is not in force, and doesn't stop the list */
    struct override *list = NULL;
    size_t count = 0;
    struct error err = { 0 };
    store_run(roster_db(roster), "INSERT INTO limit_override (name, value, version) VALUES "
                                 "('of_another_time', 3, 1), ('cap_file_bytes', 3, 1)");
    must(overrides_list(roster_db(roster), arena, ada.id, &list, &count, &err), &err);
    check_integer("count", (int64_t)count, 2);
    check(!list[0].is_in_range && !list[1].is_in_range);
    check_near("cap", limit_of(&ada, LIMIT_CAP_FILE_BYTES), limits_row(LIMIT_CAP_FILE_BYTES)->value,
               0.0);
}

/* ---- what readings rest on ---- */

static void test_basis__changes_with_equipment_where_a_reading_reads_it(void **state)
{
    (void)state;
    const struct reading_source source = { .part = 1 };
    const struct limits limits = limits_default();
    const struct rider_facts plain = facts_unknown();
    struct rider_facts wrist = plain;
    struct rider_facts left = plain;
    struct rider_facts zones = plain;
    wrist.heart_at = HEART_AT_WRIST;
    left.meter_sides = SIDES_LEFT;
    zones.zones = zones_three_domains();
    for (int q = QUESTION_TRUST; q < RIDE_QUESTIONS; q++) {
        uint8_t of_plain[BASIS_BYTES];
        uint8_t got[BASIS_BYTES];
        const bool reads = q == QUESTION_TRUST || q == QUESTION_HARD_WORK;
        const char *name = question_name((enum question)q);
        readings_basis((enum question)q, &source, &plain, &limits, of_plain);
        readings_basis((enum question)q, &source, &wrist, &limits, got);
        check_integer(name, memcmp(of_plain, got, BASIS_BYTES) != 0, reads);
        readings_basis((enum question)q, &source, &left, &limits, got);
        check_integer(name, memcmp(of_plain, got, BASIS_BYTES) != 0, reads);
        readings_basis((enum question)q, &source, &zones, &limits, got);
        check_integer(name, memcmp(of_plain, got, BASIS_BYTES) != 0, q == QUESTION_HARD_DAY);
    }
}

int main(int argc, char *argv[])
{
    if (!store_begin(argc, argv)) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_notes__every_answer_comes_back_as_it_was_said, begin,
                                        end),
        cmocka_unit_test_setup_teardown(test_notes__of_a_ride_stand_on_those_of_its_day, begin,
                                        end),
        cmocka_unit_test_setup_teardown(test_notes__keep_the_riders_words_whole, begin, end),
        cmocka_unit_test_setup_teardown(test_notes__are_edited_removed_and_taken_back, begin, end),
        cmocka_unit_test_setup_teardown(test_notes__refuse_what_can_not_be, begin, end),
        cmocka_unit_test_setup_teardown(
            test_zones__the_riders_own_win_over_the_rosters_and_both_hold_from_their_day, begin,
            end),
        cmocka_unit_test_setup_teardown(test_zones__replaced_and_taken_away_come_back, begin, end),
        cmocka_unit_test_setup_teardown(test_zones__of_heart_rate_reserve_leave_power_zones_alone,
                                        begin, end),
        cmocka_unit_test_setup_teardown(
            test_equipment__hours_since_a_charge_are_the_rides_with_that_serial, begin, end),
        cmocka_unit_test_setup_teardown(
            test_equipment__zero_offsets_come_from_hand_and_from_devices, begin, end),
        cmocka_unit_test_setup_teardown(
            test_equipment__is_said_of_a_ride_only_where_there_is_no_doubt, begin, end),
        cmocka_unit_test_setup_teardown(test_equipment__refuses_what_can_not_be, begin, end),
        cmocka_unit_test_setup_teardown(test_equipment__taken_away_with_its_care_comes_back, begin,
                                        end),
        cmocka_unit_test_setup_teardown(test_equipment__seen_but_not_listed_is_told, begin, end),
        cmocka_unit_test_setup_teardown(test_limits__the_riders_own_win_over_the_rosters, begin,
                                        end),
        cmocka_unit_test_setup_teardown(test_limits__keep_to_their_range_and_caps_stay, begin, end),
        cmocka_unit_test_setup_teardown(test_basis__changes_with_equipment_where_a_reading_reads_it,
                                        begin, end),
    };
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
