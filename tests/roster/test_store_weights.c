/* tests/roster/test_store_weights.c: weights that ride files have, proposed where they change what
 * is in force; never applied by themselves. */
#include "roster/store.h"

#include "base/dates.h"
#include "base/text.h"
#include "maths/maths.h"
#include "recording/fit_write.h"
#include "roster/changes.h"
#include "roster/import.h"
#include "roster/proposals.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

static struct arena *arena;
static struct roster *roster;
static const char *place;
static struct rider ada;
static struct rider ben;
static struct limits limits;
static const struct roster_now now = { 1773480413, "tester" };

static int begin(void **state)
{
    (void)state;
    struct error err = { 0 };
    arena = arena_open();
    limits = limits_default();
    place = store_place();
    must(roster_open(place, ROSTER_CREATE, now, &roster, &err), &err);
    ada = (struct rider){ .name = "Ada Berg" };
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

/* Days from 2025-01-01, a ride each at 8 UTC; 0 kg = none in the file. */
struct ride {
    int day;
    uint32_t device;
    double set_kg;
    double weighed_kg;
};

enum { RIDES_MOST = 40, SECONDS = 60 };

static const char *day_of(int day)
{
    char text[11];
    dates_format_day(dates_days_from_civil(2025, 1, 1) + day, text);
    return arena_string(arena, text);
}

static void import_rides(const struct rider *rider, const struct ride rides[], size_t n)
{
    static int n_folders;
    char name[32];
    struct error err = { 0 };
    struct import_sum sum = { 0 };
    int32_t times[SECONDS];
    int32_t watts[SECONDS];
    snprintf(name, sizeof name, "weights-%d", n_folders++);
    const char *folder = store_path(name);
    check(mkdir(folder, 0700) == 0);
    for (int t = 0; t < SECONDS; t++) {
        times[t] = t;
        watts[t] = 150 + t % 7;
    }
    for (size_t i = 0; i < n; i++) {
        struct bytes bytes = { 0 };
        struct fit_activity activity = {
            .start_utc = (dates_days_from_civil(2025, 1, 1) + rides[i].day) * 86400 + 8 * 3600 +
                         7200 * (int64_t)(rides[i].device % 4),
            .sport = SPORT_CYCLING,
            .serial = rides[i].device,
            .weight_kg = rides[i].set_kg,
            .weighed_kg = rides[i].weighed_kg,
        };
        activity.samples.count = SECONDS;
        activity.samples.time_s = times;
        activity.samples.value[CHANNEL_POWER] = watts;
        must(fit_write(arena, &activity, &bytes, &err), &err);
        must(files_write(arena_format(arena, "%s/%03zu.fit", folder, i), bytes, &err), &err);
    }
    const struct import_call call = {
        .roster = roster, .place = place, .now = now, .rider = rider, .n_threads = 1
    };
    must(import_paths(arena, &call, &folder, 1, &sum, &err), &err);
    check_integer("taken", (int64_t)sum.files[IMPORT_TAKEN], (int64_t)n);
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

static void set_weight(const char *day, double kg)
{
    struct error err = { 0 };
    struct fact fact = { .day = day, .value = kg, .low = (double)NAN, .high = (double)NAN };
    must(facts_set(roster, arena, now, &ada, FACT_WEIGHT, &fact, &err), &err);
}

/* "0: 72.0; 30: 70.2 scale": the weights on the page by their day. */
static const char *weights_of(const struct proposals *page)
{
    struct text out = text_begin(arena, 2000);
    for (size_t i = 0; i < page->count; i++) {
        const struct proposal *one = &page->items[i];
        int64_t days = 0;
        if (one->kind != PROPOSAL_WEIGHT) {
            continue;
        }
        check(one->can_accept && dates_parse_day(one->day, &days));
        text_add_format(&out, "%s%d: %.1f%s", out.length > 0 ? "; " : "",
                        (int)(days - dates_days_from_civil(2025, 1, 1)), one->fact.value,
                        one->weighed ? " scale" : "");
    }
    return out.bytes;
}

static const struct proposal *weight_at(const struct proposals *page, size_t place_of)
{
    size_t n = 0;
    for (size_t i = 0; i < page->count; i++) {
        if (page->items[i].kind == PROPOSAL_WEIGHT && n++ == place_of) {
            return &page->items[i];
        }
    }
    check(false);
}

static int64_t number(const char *sql)
{
    struct db_rows rows = { 0 };
    struct error err = { 0 };
    must(db_query(roster_db(roster), arena, sql, "I", DB_NONE, &rows, &err), &err);
    return db_integer_at(&rows, 0, 0);
}

/* ---- the tests ---- */

/* By hand, from the rule as docs/measures.md has it. */
static void test_weights__are_proposed_where_they_change_what_is_in_force(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        struct ride rides[6];
        struct {
            int day;
            double kg;
        } on_file[2];
        const char *want;
    } rows[] = {
        { "nothing in force", { { 0, 4, 72.0, 0 }, { 9, 4, 72.0, 0 } }, { { 0, 0 } }, "0: 72.0" },
        { "no weight in the files", { { 0, 4, 0, 0 }, { 9, 4, 0, 0 } }, { { 0, 0 } }, "" },
        { "a change of the setting, too small, then enough",
          { { 0, 4, 72.0, 0 }, { 9, 4, 73.0, 0 }, { 19, 4, 73.5, 0 }, { 29, 4, 73.6, 0 } },
          { { 0, 0 } },
          "0: 72.0; 29: 73.6" },
        { "as on file", { { 10, 4, 72.0, 0 } }, { { 5, 70.5 } }, "" },
        { "off what is on file", { { 10, 4, 72.0, 0 } }, { { 5, 70.4 } }, "10: 72.0" },
        { "on file from a later day", { { 10, 4, 72.0, 0 } }, { { 11, 72.0 } }, "10: 72.0" },
        { "on file of that very day", { { 10, 4, 72.0, 0 } }, { { 10, 60.0 } }, "" },
        { "a setting that stayed, whatever the coach wrote down meanwhile",
          { { 0, 4, 72.0, 0 }, { 20, 4, 72.0, 0 }, { 40, 4, 72.0, 0 } },
          { { 0, 72.0 }, { 10, 66.0 } },
          "" },
        { "and is changed then",
          { { 0, 4, 72.0, 0 }, { 20, 4, 72.0, 0 }, { 40, 4, 69.0, 0 } },
          { { 0, 72.0 }, { 10, 66.0 } },
          "40: 69.0" },
        { "two devices in turn",
          { { 0, 4, 72.0, 0 },
            { 1, 8, 69.0, 0 },
            { 2, 4, 72.0, 0 },
            { 3, 8, 69.0, 0 },
            { 4, 4, 71.9, 0 } },
          { { 0, 0 } },
          "0: 72.0; 1: 69.0; 4: 71.9" },
        { "a scale's each time",
          { { 0, 4, 72.0, 70.0 }, { 1, 4, 72.0, 71.4 }, { 2, 4, 72.0, 71.6 }, { 3, 4, 72.0, 0 } },
          { { 0, 0 } },
          "0: 70.0 scale; 2: 71.6 scale" },
        { "of one day the scale's",
          { { 0, 4, 0, 70.0 }, { 0, 5, 74.0, 0 } },
          { { 0, 0 } },
          "0: 70.0 scale" },
        { "of one day the later",
          { { 0, 4, 70.0, 0 }, { 0, 5, 74.0, 0 } },
          { { 0, 0 } },
          "0: 74.0" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        size_t n = 0;
        while (n < 6 && (n == 0 || rows[i].rides[n].device != 0)) {
            n++;
        }
        import_rides(&ada, rows[i].rides, n);
        for (size_t k = 0; k < 2 && rows[i].on_file[k].kg > 0; k++) {
            set_weight(day_of(rows[i].on_file[k].day), rows[i].on_file[k].kg);
        }
        const struct proposals page = page_of(&ada);
        check_text(rows[i].name, weights_of(&page), rows[i].want);
        end(state);
        begin(state);
    }
}

static void test_weights__are_accepted_as_one_change_and_taken_back(void **state)
{
    (void)state;
    static const struct ride rides[] = { { 0, 4, 72.0, 0 },
                                         { 20, 4, 69.3, 0 },
                                         { 40, 4, 69.3, 0 } };
    const struct scan_call call = call_of(&ada);
    const char *said = NULL;
    struct error err = { 0 };
    struct change_line undone = { 0 };
    struct rider_facts facts;
    import_rides(&ada, rides, COUNT(rides));
    const struct proposals page = page_of(&ada);
    check_text("page", weights_of(&page), "0: 72.0; 20: 69.3");
    check(isnan(weight_at(&page, 0)->in_force));
    check_near("in force then", weight_at(&page, 1)->in_force, 72.0, 0);
    check_text("from", weight_at(&page, 1)->in_force_from, "2025-01-01");
    check_integer("rides", (int64_t)page.n_weights, 3);
    check_integer("left out", (int64_t)page.n_weights_left_out, 0);
    /* nothing holds by itself */
    must(facts_on(roster, arena, ada.id, "2025-02-28", &facts, &err), &err);
    check(isnan(facts.weight_kg));
    const int64_t changes = number("SELECT COUNT(*) FROM change");
    must(proposals_accept(arena, &call, now, &page, NULL, 0, &said, &err), &err);
    check(strstr(said, "weight 72.0 kg from 2025-01-01; weight 69.3 kg from 2025-01-21") != NULL);
    check_integer("one change", number("SELECT COUNT(*) FROM change"), changes + 1);
    must(facts_on(roster, arena, ada.id, "2025-01-20", &facts, &err), &err);
    check_near("first", facts.weight_kg, 72.0, 0);
    must(facts_on(roster, arena, ada.id, "2025-02-28", &facts, &err), &err);
    check_near("then", facts.weight_kg, 69.3, 0);
    struct fact *list = NULL;
    size_t n = 0;
    must(facts_list(roster, arena, ada.id, FACT_WEIGHT, NULL, &list, &n, &err), &err);
    check_text("known by", list[0].note, "as set in the device, ride 2");
    const struct proposals after = page_of(&ada);
    check_text("not again", weights_of(&after), "");
    must(changes_undo(roster, arena, now, 0, &undone, &err), &err);
    check_integer("undone", number("SELECT COUNT(*) FROM weight"), 0);
    const struct proposals again = page_of(&ada);
    check_text("the same page", again.mark, page.mark);
}

/* One that is declined isn't shown again, nor taken as in force for the next. */
static void test_weights__declined_hold_nothing(void **state)
{
    (void)state;
    static const struct ride rides[] = { { 0, 4, 85.0, 0 },
                                         { 20, 4, 84.0, 0 },
                                         { 40, 4, 84.0, 0 } };
    const struct scan_call call = call_of(&ada);
    const char *said = NULL;
    struct error err = { 0 };
    import_rides(&ada, rides, COUNT(rides));
    const struct proposals page = page_of(&ada);
    check_text("page", weights_of(&page), "0: 85.0");
    const size_t numbers[] = { weight_at(&page, 0)->number };
    must(proposals_decline(arena, &call, now, &page, numbers, 1, &said, &err), &err);
    const struct proposals after = page_of(&ada);
    check_text("the next change of it", weights_of(&after), "20: 84.0");
}

/* Nine rides of 61 kg and one of 80; two at once on two devices; a device that is Ben's. */
static void test_weights__of_doubted_rides_are_left_out(void **state)
{
    (void)state;
    struct ride rides[12];
    for (int i = 0; i < 12; i++) {
        rides[i] = (struct ride){ i, 4, i == 7 ? 80.0 : 61.0, 0 };
    }
    rides[11].device = 8;
    rides[11].set_kg = 66.0;
    import_rides(&ada, rides, COUNT(rides));
    struct ride bens[6];
    for (int i = 0; i < 6; i++) {
        bens[i] = (struct ride){ 100 + i, 8, 66.0, 0 };
    }
    import_rides(&ben, bens, COUNT(bens));
    struct proposals page = page_of(&ada);
    check_text("page", weights_of(&page), "0: 61.0");
    check_integer("rides", (int64_t)page.n_weights, 12);
    check_integer("left out", (int64_t)page.n_weights_left_out, 2);
    const struct proposal *heavy = NULL;
    const struct proposal *lent = NULL;
    for (size_t i = 0; i < page.count; i++) {
        const struct proposal *one = &page.items[i];
        heavy = one->kind == PROPOSAL_OTHER && strcmp(one->day, "2025-01-08") == 0 ? one : heavy;
        lent = one->kind == PROPOSAL_OTHER && strcmp(one->day, "2025-01-12") == 0 ? one : lent;
    }
    check(heavy != NULL && lent != NULL);
    check_text("why", heavy->evidence[0].code, "weight");
    check_near("its weight", heavy->evidence[0].value, 80.0, 0);
    check_near("the nearest", heavy->evidence[0].than, 66.0, 0);
    check_text("why", lent->evidence[0].code, "serial");
    /* the coach says that both rides are Ada's: the device of one is Ben's all the same */
    const struct scan_call call = call_of(&ada);
    const size_t numbers[] = { heavy->number, lent->number };
    const char *said = NULL;
    struct error err = { 0 };
    must(proposals_decline(arena, &call, now, &page, numbers, 2, &said, &err), &err);
    page = page_of(&ada);
    check_text("page", weights_of(&page), "0: 61.0; 7: 80.0; 8: 61.0");
    check_integer("left out", (int64_t)page.n_weights_left_out, 1);
    /* and from Ben's side his rides say his weight */
    const struct proposals his = page_of(&ben);
    check_text("Ben's", weights_of(&his), "100: 66.0");
}

/* A clock that stood at 1999 makes no weight of that day. */
static void test_weights__of_impossible_days_are_left_out(void **state)
{
    (void)state;
    static const struct ride rides[] = { { -9200, 4, 72.0, 0 }, { 20, 4, 70.1, 0 } };
    import_rides(&ada, rides, COUNT(rides));
    const struct proposals page = page_of(&ada);
    check_text("page", weights_of(&page), "20: 70.1");
    check_integer("left out", (int64_t)page.n_weights_left_out, 1);
}

/* The nth ride's weight and where it is from: as it was read, and again from the file's bytes. */
static void test_weights__are_stored_as_read(void **state)
{
    (void)state;
    static const struct ride rides[] = { { 0, 4, 72.4, 0 }, { 1, 4, 72.4, 69.07 }, { 2, 4, 0, 0 } };
    static const struct {
        double kg;
        enum weight_source source;
    } want[] = { { 72.4, WEIGHT_SET }, { 69.07, WEIGHT_WEIGHED }, { (double)NAN, WEIGHT_UNKNOWN } };
    import_rides(&ada, rides, COUNT(rides));
    for (size_t i = 0; i < COUNT(rides); i++) {
        struct recording stored;
        struct recording *reread = NULL;
        struct ride_row row = { 0 };
        struct error err = { 0 };
        struct db *db = roster_db(roster);
        must(recordings_load(db, arena, (int64_t)i + 1, &stored, &err), &err);
        must(recordings_row(db, arena, (int64_t)i + 1, &row, &err), &err);
        must(recordings_reread(db, arena, &row, &limits, &reread, &err), &err);
        check_near("weight", stored.weight_kg, want[i].kg, 1e-9);
        check_integer("source", stored.weight_source, want[i].source);
        check(isnan(want[i].kg) || reread->weight_kg == stored.weight_kg);
        struct packed_recording packed;
        bool same = false;
        recordings_pack_grid(arena, reread, row.local_day, &packed);
        must(recordings_are_stored(db, arena, row.id, &packed, &same, &err), &err);
        check(same);
        packed.row.weight_kg = 50.0;
        must(recordings_are_stored(db, arena, row.id, &packed, &same, &err), &err);
        check(!same);
    }
}

int main(int argc, char *argv[])
{
    maths_begin();
    if (!store_begin(argc, argv)) {
        return 0;
    }
#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)
    const struct CMUnitTest tests[] = {
        TEST(test_weights__are_proposed_where_they_change_what_is_in_force),
        TEST(test_weights__are_accepted_as_one_change_and_taken_back),
        TEST(test_weights__declined_hold_nothing),
        TEST(test_weights__of_doubted_rides_are_left_out),
        TEST(test_weights__of_impossible_days_are_left_out),
        TEST(test_weights__are_stored_as_read),
    };
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
