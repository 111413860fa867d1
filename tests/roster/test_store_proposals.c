/* tests/roster/test_store_proposals.c: what a history of rides lets propose: accepted together,
 * taken back together, declined for good; and the page of a handover. */
#include "roster/store.h"

#include "base/text.h"
#include "maths/maths.h"
#include "roster/changes.h"
#include "roster/handover.h"
#include "roster/import.h"
#include "roster/proposals.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

static struct arena *arena;
static struct roster *roster;
static const char *place;
static const char *folder;
static struct rider ada;
static struct rider ben;
static struct limits limits;
static const struct roster_now now = { 1773480413, "tester" };

static int begin(void **state)
{
    (void)state;
    static int n;
    char name[32];
    struct error err = { 0 };
    snprintf(name, sizeof name, "history-%d", n++);
    arena = arena_open();
    folder = store_path(name);
    limits = limits_default();
    check(mkdir(folder, 0700) == 0);
    place = store_place();
    must(roster_open(place, ROSTER_CREATE, now, &roster, &err), &err);
    ada = (struct rider){ .name = "Ada Berg", .training_since_day = "2025-01-15" };
    ben = (struct rider){ .name = "Ben Lind" };
    must(riders_add(roster, arena, now, &ada, &err), &err);
    must(riders_add(roster, arena, now, &ben, &err), &err);
    return 0;
}

static int end(void **state)
{
    (void)state;
    roster_close(roster);
    arena_close(arena);
    return 0;
}

/* ---- rides ---- */

struct piece {
    int seconds;
    double watts;
};

enum { PIECES = 8 };

/* Heart rate follows power (time constant 60 s) from 70 towards max_bpm at full_w. */
static void write_ride(const char *name, const char *day, int hour, const struct piece pieces[],
                       double max_bpm, double full_w, double latitude)
{
    struct text out = text_begin(arena, 10000000);
    struct error err = { 0 };
    double bpm = 90.0;
    uint32_t seed = 7;
    int t = 0;
    text_add_format(&out, "time,power,heart_rate%s\n",
                    isnan(latitude) ? "" : ",latitude,longitude");
    for (int p = 0; p < PIECES && pieces[p].seconds > 0; p++) {
        for (int i = 0; i < pieces[p].seconds; i++, t++) {
            seed = seed * 1664525u + 1013904223u;
            const double watts = pieces[p].watts + (double)(seed >> 29) - 3.5;
            bpm += (70.0 + fmin(1.0, watts / full_w) * (max_bpm - 70.0) - bpm) / 60.0;
            text_add_format(&out, "%sT%02d:%02d:%02dZ,%.0f,%.0f", day, hour + t / 3600, t / 60 % 60,
                            t % 60, watts, bpm);
            if (!isnan(latitude)) {
                text_add_format(&out, ",%.5f,10.0", latitude);
            }
            text_add(&out, "\n");
        }
    }
    must(files_write(arena_format(arena, "%s/%s", folder, name),
                     (struct bytes){ (const uint8_t *)out.bytes, out.length }, &err),
         &err);
}

static const struct piece easy[PIECES] = { { 2400, 150 } };
static const struct piece hard[PIECES] = { { 900, 140 }, { 480, 285 }, { 600, 120 } };
static const struct piece test_of_20[PIECES] = { { 900, 140 }, { 1200, 275 }, { 600, 100 } };

static void import_for(const struct rider *rider)
{
    struct import_sum sum = { 0 };
    struct error err = { 0 };
    const struct import_call call = {
        .roster = roster, .place = place, .now = now, .rider = rider, .n_threads = 1
    };
    must(import_paths(arena, &call, &folder, 1, &sum, &err), &err);
}

static struct scan_call call_of(const struct rider *rider)
{
    return (struct scan_call){
        .roster = roster, .rider = rider, .today = "2026-04-01", .limits = &limits
    };
}

static struct proposals page_of(const struct rider *rider)
{
    const struct scan_call call = call_of(rider);
    struct proposals page = { 0 };
    struct error err = { 0 };
    must(proposals_make(arena, &call, &page, &err), &err);
    return page;
}

static const struct proposal *of_kind(const struct proposals *page, enum proposal_kind kind,
                                      size_t place_of)
{
    size_t n = 0;
    for (size_t i = 0; i < page->count; i++) {
        if (page->items[i].kind == kind && n++ == place_of) {
            return &page->items[i];
        }
    }
    return NULL;
}

static int64_t number(const char *sql)
{
    struct db_rows rows = { 0 };
    struct error err = { 0 };
    must(db_query(roster_db(roster), arena, sql, "I", DB_NONE, &rows, &err), &err);
    return db_integer_at(&rows, 0, 0);
}

static void accept(const struct rider *rider, const struct proposals *page, const size_t numbers[],
                   size_t n)
{
    const struct scan_call call = call_of(rider);
    const char *said = NULL;
    struct error err = { 0 };
    must(proposals_accept(arena, &call, now, page, numbers, n, &said, &err), &err);
    check(said != NULL && strstr(said, rider->name) != NULL);
}

static void decline(const struct rider *rider, const struct proposals *page, const size_t numbers[],
                    size_t n)
{
    const struct scan_call call = call_of(rider);
    const char *said = NULL;
    struct error err = { 0 };
    must(proposals_decline(arena, &call, now, page, numbers, n, &said, &err), &err);
}

static void undo(void)
{
    struct change_line undone = { 0 };
    struct error err = { 0 };
    must(changes_undo(roster, arena, now, 0, &undone, &err), &err);
}

/* Two months of easy rides, two hard ones that reach the same heart rate, and a test. */
static void write_season(void)
{
    for (int i = 0; i < 10; i++) {
        write_ride(arena_format(arena, "easy-%d.csv", i),
                   arena_format(arena, "2026-02-%02d", 1 + 2 * i), 8, easy, 190, 270, (double)NAN);
    }
    write_ride("hard-1.csv", "2026-02-20", 8, hard, 190, 270, (double)NAN);
    write_ride("hard-2.csv", "2026-03-22", 8, hard, 189, 270, (double)NAN);
    write_ride("test.csv", "2026-03-14", 8, test_of_20, 186, 270, (double)NAN);
}

/* ---- the tests ---- */

static void test_proposals__a_test_and_a_maximum_are_accepted_as_one_change(void **state)
{
    (void)state;
    write_season();
    import_for(&ada);
    const struct proposals page = page_of(&ada);
    const struct proposal *threshold = of_kind(&page, PROPOSAL_THRESHOLD, 0);
    check(threshold != NULL && of_kind(&page, PROPOSAL_THRESHOLD, 1) == NULL);
    check_text("day", threshold->day, "2026-03-14");
    check_text("protocol", threshold->fact.protocol, "20-minute test");
    /* 0.925 of 275 W, by hand */
    check_near("value", threshold->fact.value, 254, 1);
    check(threshold->fact.low < 240 && threshold->fact.high > 270);
    const struct proposal *first = of_kind(&page, PROPOSAL_MAX_HEART_RATE, 0);
    check(first != NULL && first->fact.at_least);
    const struct proposal *settled = of_kind(&page, PROPOSAL_MAX_HEART_RATE, 1);
    check(settled != NULL && !settled->fact.at_least);
    check_near("maximal", settled->fact.value, 189, 1);
    /* nothing holds yet */
    check_integer("thresholds", number("SELECT COUNT(*) FROM threshold"), 0);
    const int64_t changes = number("SELECT COUNT(*) FROM change");
    accept(&ada, &page, NULL, 0);
    check_integer("one change", number("SELECT COUNT(*) FROM change"), changes + 1);
    check_integer("thresholds", number("SELECT COUNT(*) FROM threshold"), 1);
    check_integer("its ride", number("SELECT recording FROM threshold"), threshold->recording);
    struct rider_facts facts;
    struct error err = { 0 };
    must(facts_on(roster, arena, ada.id, "2026-03-31", &facts, &err), &err);
    check_near("in force", facts.threshold_w, threshold->fact.value, 0);
    check_text("known by", facts.threshold_known_by, "20-minute test of 2026-03-14");
    /* not proposed again */
    const struct proposals after = page_of(&ada);
    check(of_kind(&after, PROPOSAL_THRESHOLD, 0) == NULL);
    check(of_kind(&after, PROPOSAL_MAX_HEART_RATE, 0) == NULL);
    check(strcmp(after.mark, page.mark) != 0);
    /* taken back as a whole, and proposed again */
    undo();
    check_integer("undone", number("SELECT COUNT(*) FROM threshold"), 0);
    check_integer("undone", number("SELECT COUNT(*) FROM max_heart_rate"), 0);
    const struct proposals again = page_of(&ada);
    check_text("the same page", again.mark, page.mark);
}

/* Two within four weeks are one entry, the later; accepted, neither comes again. */
static void test_proposals__maxima_close_together_are_one(void **state)
{
    (void)state;
    write_season();
    write_ride("hard-0.csv", "2026-02-18", 8, hard, 190, 270, (double)NAN);
    import_for(&ada);
    const struct proposals page = page_of(&ada);
    const struct proposal *one = of_kind(&page, PROPOSAL_MAX_HEART_RATE, 0);
    check(one != NULL && of_kind(&page, PROPOSAL_MAX_HEART_RATE, 1) == NULL);
    check_text("day", one->day, "2026-02-20");
    check(!one->fact.at_least);
    accept(&ada, &page, NULL, 0);
    const struct proposals after = page_of(&ada);
    check(of_kind(&after, PROPOSAL_MAX_HEART_RATE, 0) == NULL);
}

static void test_proposals__what_is_declined_is_not_shown_again(void **state)
{
    (void)state;
    write_season();
    import_for(&ada);
    struct proposals page = page_of(&ada);
    const struct proposal *threshold = of_kind(&page, PROPOSAL_THRESHOLD, 0);
    check(threshold != NULL);
    const size_t numbers[] = { threshold->number };
    const size_t count = page.count;
    decline(&ada, &page, numbers, 1);
    page = page_of(&ada);
    check_integer("one less", (int64_t)page.count, (int64_t)count - 1);
    check(of_kind(&page, PROPOSAL_THRESHOLD, 0) == NULL);
    for (size_t i = 0; i < page.count; i++) {
        check_integer("numbers", (int64_t)page.items[i].number, (int64_t)i + 1);
    }
    undo();
    page = page_of(&ada);
    check_integer("back", (int64_t)page.count, (int64_t)count);
}

/* A maximal heart rate that is declined is no ground for another. */
static void test_proposals__a_declined_maximum_is_left_out_of_the_next(void **state)
{
    (void)state;
    write_season();
    write_ride("strap.csv", "2026-03-25", 8, hard, 214, 270, (double)NAN);
    import_for(&ada);
    struct proposals page = page_of(&ada);
    const struct proposal *one = NULL;
    for (size_t i = 0; of_kind(&page, PROPOSAL_MAX_HEART_RATE, i) != NULL; i++) {
        one = of_kind(&page, PROPOSAL_MAX_HEART_RATE, i);
    }
    check(one != NULL && one->fact.value > 205 && one->fact.at_least);
    const size_t numbers[] = { one->number };
    decline(&ada, &page, numbers, 1);
    page = page_of(&ada);
    one = of_kind(&page, PROPOSAL_MAX_HEART_RATE, 0);
    for (size_t i = 1; one != NULL; i++) {
        check(one->fact.value < 195);
        one = of_kind(&page, PROPOSAL_MAX_HEART_RATE, i);
    }
}

static void test_proposals__a_spoiled_test_is_none(void **state)
{
    (void)state;
    write_season();
    import_for(&ada);
    store_run(roster_db(roster), "INSERT INTO asked (recording, kind, spoiled_by) SELECT id, "
                                 "'unknown', 'rain' FROM recording WHERE local_day = '2026-03-14'");
    const struct proposals page = page_of(&ada);
    check(of_kind(&page, PROPOSAL_THRESHOLD, 0) == NULL);
    const struct proposal *test = of_kind(&page, PROPOSAL_TEST, 0);
    check(test != NULL && !test->can_accept);
    check_text("reason", test->test.reasons[0].code, "spoiled");
}

/* Medicine that alters the heart rate: no maximum, and nothing shows that a test was all-out. */
static void test_proposals__say_nothing_of_a_heart_under_medicine(void **state)
{
    (void)state;
    write_season();
    store_run(roster_db(roster), "INSERT INTO flag (rider, kind, from_day) VALUES (1, "
                                 "'heart-medicine', '2026-01-01')");
    import_for(&ada);
    const struct proposals page = page_of(&ada);
    check(of_kind(&page, PROPOSAL_MAX_HEART_RATE, 0) == NULL);
    check(of_kind(&page, PROPOSAL_THRESHOLD, 0) == NULL);
}

static void test_proposals__numbers_that_cannot_be_are_refused(void **state)
{
    (void)state;
    write_season();
    write_ride("old.csv", "1999-11-30", 8, easy, 190, 270, (double)NAN);
    import_for(&ada);
    const struct proposals page = page_of(&ada);
    const struct scan_call call = call_of(&ada);
    const struct proposal *day = of_kind(&page, PROPOSAL_DAY, 0);
    const char *said = NULL;
    struct error err = { 0 };
    check(day != NULL);
    const size_t wrong[] = { page.count + 1 };
    check(!proposals_accept(arena, &call, now, &page, wrong, 1, &said, &err));
    check_integer("kind", err.kind, ERROR_USAGE);
    const size_t evidence[] = { day->number };
    check(!proposals_accept(arena, &call, now, &page, evidence, 1, &said, &err));
    check(strstr(err.message, "nothing to accept") != NULL);
    check_integer("nothing done", number("SELECT COUNT(*) FROM threshold"), 0);
}

static void test_proposals__impossible_dates_are_said(void **state)
{
    (void)state;
    static const struct {
        const char *file;
        const char *day;
        const char *code;
    } rows[] = {
        { "a.csv", "1999-11-30", "before-2000" },
        { "b.csv", "2031-05-01", "future" },
        { "c.csv", "2024-12-24", "before-training" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        write_ride(rows[i].file, rows[i].day, 8, easy, 190, 270, (double)NAN);
    }
    import_for(&ada);
    const struct proposals page = page_of(&ada);
    for (size_t i = 0; i < COUNT(rows); i++) {
        bool found = false;
        for (size_t k = 0; k < page.count; k++) {
            const struct proposal *one = &page.items[k];
            found = found || (one->kind == PROPOSAL_DAY && strcmp(one->day, rows[i].day) == 0 &&
                              strcmp(one->evidence[0].code, rows[i].code) == 0);
        }
        check(found);
    }
}

static const struct proposal_evidence *find_evidence(const struct proposals *page, const char *day,
                                                     const char *code)
{
    for (size_t i = 0; i < page->count; i++) {
        const struct proposal *one = &page->items[i];
        for (size_t k = 0; one->kind == PROPOSAL_OTHER && k < one->n_evidence; k++) {
            if (strcmp(one->day, day) == 0 && strcmp(one->evidence[k].code, code) == 0) {
                return &one->evidence[k];
            }
        }
    }
    return NULL;
}

static void test_proposals__rides_like_someone_elses_are_named_with_their_evidence(void **state)
{
    (void)state;
    const struct piece strong[PIECES] = { { 2400, 380 } };
    write_season();
    /* far stronger than all others at the same heart rate, and one whose heart beats faster */
    write_ride("strong.csv", "2026-03-02", 8, strong, 215, 480, (double)NAN);
    write_ride("fast.csv", "2026-03-03", 8, easy, 216, 150, (double)NAN);
    /* two at once, 11 km apart: half an hour in common of forty minutes each */
    write_ride("here.csv", "2026-03-05", 8, easy, 190, 270, 47.0);
    const struct piece longer[PIECES] = { { 4800, 150 } };
    write_ride("there.csv", "2026-03-05", 8, longer, 190, 270, 47.1);
    import_for(&ada);
    /* Ben rides with a meter that recorded one ride of Ada's */
    store_run(roster_db(roster), "UPDATE recording SET device_serial = 4711 WHERE local_day = "
                                 "'2026-02-05'");
    for (int i = 0; i < 6; i++) {
        char sql[400];
        snprintf(sql, sizeof sql,
                 "INSERT INTO recording (rider, original, part, parts, format, method, sport, "
                 "is_ride, place, local_day, n_seconds, timer_s, device_serial, same_by_hand) "
                 "VALUES (%lld, 1, %d, 1, 'csv', 'recording/1', 'cycling', TRUE, 'unknown', "
                 "'2026-01-0%d', 5, 5, 4711, FALSE)",
                 (long long)ben.id, i + 1, i + 1);
        store_run(roster_db(roster), sql);
    }
    const struct proposals page = page_of(&ada);
    const struct proposal_evidence *serial = find_evidence(&page, "2026-02-05", "serial");
    check(serial != NULL);
    check_text("whose", serial->name, "Ben Lind");
    check_near("of Ben", serial->than, 6, 0);
    const struct proposal_evidence *power = find_evidence(&page, "2026-03-02", "watts-a-beat");
    check(power != NULL);
    /* by hand: towards 70 + 380 / 480 x 145 = 184.8 from 90 with 60 s, so 182.4 on average of 2400
     * s */
    check_near("watts a beat", power->value, 380.0 / (182.4 - 60.0), 0.04);
    /* a test and a hard ride are no one else's */
    check(find_evidence(&page, "2026-03-14", "watts-a-beat") == NULL);
    check(find_evidence(&page, "2026-02-20", "watts-a-beat") == NULL);
    check(find_evidence(&page, "2026-03-03", "heart-level") != NULL);
    const struct proposal_evidence *apart = find_evidence(&page, "2026-03-05", "apart");
    check(apart != NULL);
    /* a tenth of a degree of latitude: 11.1 km (WGS 84 meridian, 111.2 km a degree) */
    check_near("apart", apart->value, 11120, 60);
    /* and the others are left alone */
    check(find_evidence(&page, "2026-02-03", "watts-a-beat") == NULL);
    check(find_evidence(&page, "2026-03-14", "heart-level") == NULL);
}

static void test_proposals__meters_seen_become_equipment_and_thresholds_name_theirs(void **state)
{
    (void)state;
    write_season();
    import_for(&ada);
    store_run(roster_db(roster),
              "INSERT INTO sensor (recording, place, kind, maker, product, serial) SELECT id, 0, "
              "'power', 'stagekit', 'crank', 41877 FROM recording WHERE local_day >= '2026-02-15'");
    store_run(roster_db(roster),
              "INSERT INTO sensor (recording, place, kind, serial) SELECT id, 1, 'heart-rate', "
              "4294967295 FROM recording");
    const struct proposals page = page_of(&ada);
    const struct proposal *meter = of_kind(&page, PROPOSAL_EQUIPMENT, 0);
    check(meter != NULL && of_kind(&page, PROPOSAL_EQUIPMENT, 1) == NULL);
    check_integer("serial", meter->sensor.serial, 41877);
    check_text("first", meter->sensor.first_day, "2026-02-15");
    check_text("last", meter->sensor.last_day, "2026-03-22");
    accept(&ada, &page, NULL, 0);
    check_integer("equipment", number("SELECT serial FROM equipment"), 41877);
    check_integer("meter", number("SELECT t.meter - e.id FROM threshold t, equipment e"), 0);
    const struct proposals after = page_of(&ada);
    check(of_kind(&after, PROPOSAL_EQUIPMENT, 0) == NULL);
}

/* ---- handover ---- */

static void test_handover__months_hold_what_the_rides_hold(void **state)
{
    (void)state;
    struct handover page = { 0 };
    struct error err = { 0 };
    const struct scan_call call = call_of(&ada);
    write_season();
    struct fact weight = {
        .day = "2026-03-01", .value = 60, .low = (double)NAN, .high = (double)NAN
    };
    struct fact threshold = {
        .day = "2026-03-14", .value = 250, .low = (double)NAN, .high = (double)NAN
    };
    must(facts_set(roster, arena, now, &ada, FACT_WEIGHT, &weight, &err), &err);
    must(facts_set(roster, arena, now, &ada, FACT_THRESHOLD, &threshold, &err), &err);
    import_for(&ada);
    must(handover_make(arena, &call, &page, &err), &err);
    check_integer("rides", (int64_t)page.n_rides, 13);
    check_integer("months", (int64_t)page.n_months, 2);
    /* by hand: ten of 2400 s and one of 1980 s; 1980 and 2700 s */
    check_text("first", page.months[0].month, "2026-02");
    check_near("hours", page.months[0].hours, 25980 / 3600.0, 1e-9);
    check_near("hours", page.months[1].hours, 4680 / 3600.0, 1e-9);
    check_near("power", page.months[0].power_ratio, 1, 0);
    /* nothing could be judged before the threshold; then the test and no eight minutes */
    check_integer("hard", (int64_t)page.months[0].hard_days, 0);
    check(page.months[0].hard_days_unknown);
    check_integer("hard", (int64_t)page.months[1].hard_days, 1);
    check(!page.months[1].hard_days_unknown);
    /* bests: 20 min of the test, with the weight of then */
    check_integer("seasons", (int64_t)page.n_seasons, 1);
    check_text("season", page.seasons[0].year, "2026");
    bool found = false;
    for (size_t i = 0; i < page.seasons[0].n_bests; i++) {
        const struct handover_best *best = &page.seasons[0].bests[i];
        if (best->duration_s == 1200) {
            found = true;
            check_near("20 min", best->power_w, 275, 1);
            check_near("W/kg", best->w_per_kg, best->power_w / 60, 1e-9);
            check_text("day", best->day, "2026-03-14");
        }
    }
    check(found);
    /* 2026-02-20 to 2026-03-14, and none from 2026-03-22 to the first of April */
    check_integer("gaps", (int64_t)page.n_gaps, 2);
    check_text("from", page.gaps[0].from_day, "2026-02-21");
    check_integer("days", page.gaps[0].days, 21);
    check(page.gaps[1].goes_on);
    check_integer("days", page.gaps[1].days, 10);
    /* the threshold on file and the test of that day are one entry */
    check_integer("tests", (int64_t)page.n_tests, 1);
    check(page.tests[0].threshold != NULL && page.tests[0].test != NULL);
    check_text("open", page.open[0].code, "threshold-from");
}

static void test_handover__without_rides_says_so(void **state)
{
    (void)state;
    struct handover page = { 0 };
    struct error err = { 0 };
    const struct scan_call call = call_of(&ben);
    must(handover_make(arena, &call, &page, &err), &err);
    check_integer("months", (int64_t)page.n_months, 0);
    check_text("open", page.open[0].code, "no-rides");
}

int main(int argc, char *argv[])
{
    maths_begin();
    if (!store_begin(argc, argv)) {
        return 0;
    }
#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)
    const struct CMUnitTest tests[] = {
        TEST(test_proposals__a_test_and_a_maximum_are_accepted_as_one_change),
        TEST(test_proposals__maxima_close_together_are_one),
        TEST(test_proposals__what_is_declined_is_not_shown_again),
        TEST(test_proposals__a_declined_maximum_is_left_out_of_the_next),
        TEST(test_proposals__a_spoiled_test_is_none),
        TEST(test_proposals__say_nothing_of_a_heart_under_medicine),
        TEST(test_proposals__numbers_that_cannot_be_are_refused),
        TEST(test_proposals__impossible_dates_are_said),
        TEST(test_proposals__rides_like_someone_elses_are_named_with_their_evidence),
        TEST(test_proposals__meters_seen_become_equipment_and_thresholds_name_theirs),
        TEST(test_handover__months_hold_what_the_rides_hold),
        TEST(test_handover__without_rides_says_so),
    };
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
