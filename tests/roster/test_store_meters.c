/* tests/roster/test_store_meters.c: meter checks that are kept, and what they change.  The offset
 * is known, because it was put in. */
#include "roster/store.h"

#include "base/dates.h"
#include "maths/random.h"
#include "physiology/made_ride.h"
#include "roster/facts.h"
#include "roster/forget.h"
#include "roster/meter_checks.h"
#include "roster/past.h"
#include "roster/rereading.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static struct arena *arena;
static struct roster *roster;
static struct rider ada;
static struct rider bo;
static const struct roster_now now = { 1773480413, "tester" };

enum { SECONDS = 2400, CRANK = 1, PEDALS = 2, TRAINER = 3, OF_BO = 4 };

static int begin(void **state)
{
    (void)state;
    struct error err = { 0 };
    arena = arena_open();
    ada = (struct rider){ .name = "Ada Berg" };
    bo = (struct rider){ .name = "Bo Lind" };
    if (!roster_open(store_place(), ROSTER_CREATE, now, &roster, &err) ||
        !riders_add(roster, arena, now, &ada, &err) || !riders_add(roster, arena, now, &bo, &err)) {
        return 1;
    }
    store_run(roster_db(roster),
              "INSERT INTO equipment (rider, kind, name, serial) VALUES (1, 'power-meter', "
              "'crank', 310), (1, 'power-meter', 'pedals', 420), (NULL, 'power-meter', 'club "
              "trainer', 530), (2, 'power-meter', 'spider', 640)");
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

struct taking {
    int64_t rider;
    const struct packed_original *original;
    const struct packed_recording *packed;
    int64_t id;
};

static bool take(struct db *db, void *context, struct error *err)
{
    struct taking *taking = context;
    int64_t original = 0;
    return recordings_store_original(db, arena, taking->original, now.utc_s, &original, err) &&
           recordings_store(db, arena, taking->rider, original, taking->packed, &taking->id, err);
}

/* What a meter shows of one and the same ride: a ratio, and scatter of its own. */
static struct recording *ride_by(double ratio, uint64_t seed)
{
    struct recording *ride = by_hand(arena, SECONDS);
    struct random legs = random_begin(77);
    struct random own = random_begin(seed);
    double level = 150;
    for (size_t t = 0; t < SECONDS; t++) {
        if (t % 120 == 0) {
            level = 120.0 + 160.0 * random_uniform(&legs);
        }
        const double watts = level + 20.0 * random_normal(&legs);
        by_hand_set(arena, ride, CHANNEL_POWER, t,
                    fmax(round(watts * ratio + 4.0 * random_normal(&own)), 0.0));
    }
    return ride;
}

static int64_t store_ride(int64_t rider, const char *day, const struct recording *made,
                          const char *kind, uint32_t serial)
{
    struct recording *ride = arena_copy(arena, made, sizeof *made);
    struct device *sensor = ARENA_ARRAY(arena, struct device, 1);
    struct packed_original original;
    struct packed_recording packed;
    struct error err = { 0 };
    int64_t days = 0;
    *sensor = (struct device){ .serial = serial };
    snprintf(sensor->kind, sizeof sensor->kind, "%s", kind);
    ride->sensors = sensor;
    ride->n_sensors = serial == 0 ? 0 : 1;
    ride->effort_0_10 = (double)NAN;
    ride->feel_0_100 = (double)NAN;
    check(dates_parse_day(day, &days));
    ride->has_start_utc = true;
    ride->start_utc = days * 86400 + 36000;
    const char *content = arena_format(arena, "%s %s %u %lld", day, kind, serial, (long long)rider);
    recordings_pack_original(arena, "a.fit",
                             (struct bytes){ (const uint8_t *)content, strlen(content) }, NULL,
                             &original);
    must(recordings_pack(arena, ride, day, &packed, &err), &err);
    struct taking taking = { rider, &original, &packed, 0 };
    must(db_write(roster_db(roster), take, &taking, &err), &err);
    return taking.id;
}

/* The check of two stored rides as the command makes it; words of why it can't be kept. */
static const char *keep(int64_t a, int64_t b, struct kept_check *kept)
{
    const int64_t ids[2] = { a, b };
    struct recording recordings[2];
    struct error err = { 0 };
    const struct limits limits = limits_default();
    *kept = (struct kept_check){ .recordings = { a, b }, .method = "meters/1" };
    for (int i = 0; i < 2; i++) {
        struct ride_row row;
        struct equipment meter = { 0 };
        must(recordings_row(roster_db(roster), arena, ids[i], &row, &err), &err);
        must(recordings_load(roster_db(roster), arena, ids[i], &recordings[i], &err), &err);
        if (!meter_checks_meter(roster, arena, &ada, &row, NULL, &meter, &err)) {
            return arena_string(arena, err.message);
        }
        kept->meters[i] = meter.id;
    }
    const struct meters_ask ask = { { &recordings[0], &recordings[1] }, false };
    const struct reading reading = meters_read(arena, &ask, &limits, &kept->check);
    const char *said = NULL;
    if (!meter_checks_keep(roster, arena, now, &ada, kept, &said, &err)) {
        return arena_string(arena, err.message);
    }
    check(reading.verdict != VERDICT_CANNOT_TELL);
    return said;
}

static struct kept_check *list(const char *until, size_t *n)
{
    struct kept_check *checks = NULL;
    struct error err = { 0 };
    must(meter_checks_list(roster_db(roster), arena, ada.id, until, &checks, n, &err), &err);
    return checks;
}

static void undo(void)
{
    struct change_line line = { 0 };
    struct error err = { 0 };
    must(changes_undo(roster, arena, now, 0, &line, &err), &err);
}

/* ---- tests ---- */

static void test_meters__a_check_is_kept_taken_back_and_taken_away(void **state)
{
    (void)state;
    struct kept_check kept;
    size_t n = 0;
    const int64_t a = store_ride(ada.id, "2026-03-10", ride_by(1.0, 1), "power", 310);
    const int64_t b = store_ride(ada.id, "2026-03-10", ride_by(1.04, 2), "power", 420);
    const char *said = keep(a, b, &kept);
    check(strstr(said, "Meter check of Ada Berg on 2026-03-10: ") == said);
    check(strstr(said, "% more by the pedals (serial 420) than by the crank (serial 310)") != NULL);
    (void)list("2026-03-09", &n);
    check_integer("not known before", (int64_t)n, 0);
    const struct kept_check *checks = list("2026-03-14", &n);
    check_integer("kept", (int64_t)n, 1);
    check_integer("first", checks[0].meters[0], CRANK);
    check_integer("second", checks[0].meters[1], PEDALS);
    check_near("all", checks[0].check.all.pct, kept.check.all.pct, 1e-9);
    check_near("easy", checks[0].check.gentle.low, kept.check.gentle.low, 1e-9);
    check_near("hard", checks[0].check.hard.high, kept.check.hard.high, 1e-9);
    check_near("truth", checks[0].check.all.pct, 4.0, 0.5);
    /* The same again is an edit, and no second row. */
    check(strstr(keep(a, b, &kept), "compared again") != NULL);
    checks = list("2026-03-14", &n);
    check_integer("one", (int64_t)n, 1);
    undo();
    (void)list("2026-03-14", &n);
    check_integer("still", (int64_t)n, 1);
    undo();
    (void)list("2026-03-14", &n);
    check_integer("taken back", (int64_t)n, 0);
    (void)keep(a, b, &kept);
    struct error err = { 0 };
    checks = list("2026-03-14", &n);
    check_integer("kept anew", (int64_t)n, 1);
    const int64_t id = checks[0].id;
    check(!meter_checks_remove(roster, arena, now, &bo, id, &said, &err));
    check_integer("not Bo's", err.kind, ERROR_NOT_FOUND);
    must(meter_checks_remove(roster, arena, now, &ada, id, &said, &err), &err);
    check_text("said", said, "Meter check of Ada Berg on 2026-03-10, crank and pedals, taken away");
    (void)list("2026-03-14", &n);
    check_integer("taken away", (int64_t)n, 0);
    undo();
    (void)list("2026-03-14", &n);
    check_integer("and back", (int64_t)n, 1);
}

static void test_meters__refuses_what_is_no_check(void **state)
{
    (void)state;
    struct kept_check kept;
    struct error err = { 0 };
    const char *said = NULL;
    const struct recording *ride = ride_by(1.0, 1);
    const int64_t a = store_ride(ada.id, "2026-03-10", ride, "power", 310);
    const int64_t none = store_ride(ada.id, "2026-03-11", ride, "power", 0);
    const int64_t unlisted = store_ride(ada.id, "2026-03-12", ride, "power", 999);
    const int64_t of_bo = store_ride(bo.id, "2026-03-10", ride, "power", 640);
    const int64_t trainer = store_ride(ada.id, "2026-03-10", ride_by(0.98, 5), "trainer", 530);
    check(strstr(keep(a, none, &kept), "names no power meter") != NULL);
    check(strstr(keep(a, unlisted, &kept), "serial 999, isn't listed") != NULL);
    check(strstr(keep(a, trainer, &kept), "less by the club trainer (serial 530)") != NULL);
    kept.meters[1] = CRANK;
    check(!meter_checks_keep(roster, arena, now, &ada, &kept, &said, &err));
    check(strstr(err.message, "nothing to check") != NULL);
    kept.meters[1] = OF_BO;
    check(!meter_checks_keep(roster, arena, now, &ada, &kept, &said, &err));
    check_integer("Bo's meter", err.kind, ERROR_NOT_FOUND);
    kept.meters[1] = TRAINER;
    kept.recordings[1] = of_bo;
    check(!meter_checks_keep(roster, arena, now, &ada, &kept, &said, &err));
    check(strstr(err.message, "not of Ada Berg") != NULL);
    kept.recordings[1] = trainer;
    kept.check.state = METER_CHECK_NO_MATCH;
    check(!meter_checks_keep(roster, arena, now, &ada, &kept, &said, &err));
    check_text("nothing found", err.message, "nothing was found that could be kept");
    /* What a check names can't be taken away from under it. */
    const struct equipment item = { .id = TRAINER };
    check(!equipment_remove(roster, arena, now, &ada, item.id, &said, &err));
    check_integer("named", err.kind, ERROR_CONFLICT);
}

static void test_meters__the_history_carries_the_newest_check_and_what_changed_since(void **state)
{
    (void)state;
    struct kept_check kept;
    struct error err = { 0 };
    const char *said = NULL;
    size_t waiting = 0;
    struct rider_history history;
    const int64_t a = store_ride(ada.id, "2026-03-10", ride_by(1.0, 1), "power", 310);
    const int64_t b = store_ride(ada.id, "2026-03-10", ride_by(1.04, 2), "power", 420);
    const int64_t c = store_ride(ada.id, "2026-05-10", ride_by(1.0, 3), "power", 310);
    const int64_t d = store_ride(ada.id, "2026-05-10", ride_by(0.98, 4), "power", 420);
    (void)keep(a, b, &kept);
    (void)keep(d, c, &kept);
    must(past_load(roster_db(roster), arena, &ada, "2026-04-01", &history, &waiting, &err), &err);
    check_integer("one by then", (int64_t)history.n_links, 1);
    const struct meter_link *link = meter_link_find(history.links, history.n_links, PEDALS, CRANK);
    check(link != NULL);
    check_near("ratio", meter_link_ratio(link, PEDALS), log(1.04), 0.005);
    check_near("the other way", meter_link_ratio(link, CRANK), -log(1.04), 0.005);
    check(meter_link_find(history.links, history.n_links, PEDALS, TRAINER) == NULL);
    must(past_load(roster_db(roster), arena, &ada, "2026-06-01", &history, &waiting, &err), &err);
    check_integer("both", (int64_t)history.n_links, 2);
    link = meter_link_find(history.links, history.n_links, CRANK, PEDALS);
    check_near("the newest", meter_link_ratio(link, PEDALS), log(0.98), 0.005);
    check(link->changed_day == INT64_MIN);
    /* A zero offset and a charge are no change; a note of one is, from its day on. */
    struct equipment item = { 0 };
    must(equipment_find(roster_db(roster), arena, &ada, PEDALS, &item, &err), &err);
    const char *const kinds[] = { "zero-offset", "charge", "check", "change" };
    for (size_t i = 0; i < COUNT(kinds); i++) {
        struct care care = { .kind = kinds[i], .day = "2026-05-20", .value = (double)NAN };
        care.value = i == 0 ? 812 : (double)NAN;
        care.note = "new battery";
        must(equipment_care_add(roster, arena, now, &item, &care, &said, &err), &err);
        must(past_load(roster_db(roster), arena, &ada, "2026-06-01", &history, &waiting, &err),
             &err);
        link = meter_link_find(history.links, history.n_links, CRANK, PEDALS);
        check_integer(kinds[i], link->changed_day == dates_day_number("2026-05-20"), i == 3);
    }
    must(past_load(roster_db(roster), arena, &ada, "2026-05-19", &history, &waiting, &err), &err);
    link = meter_link_find(history.links, history.n_links, CRANK, PEDALS);
    check(link->changed_day == INT64_MIN);
}

/* The facts of a ride with the sensor of that serial. */
static struct rider_facts of_ride(const char *day, uint32_t serial)
{
    const struct device sensor = { .kind = "power", .serial = serial };
    const struct ride_facts ride = {
        .rider = ada.id, .day = day, .sensors = &sensor, .n_sensors = 1
    };
    struct rider_facts facts = facts_unknown();
    struct error err = { 0 };
    must(facts_of_ride(roster, arena, &ride, &facts, &err), &err);
    return facts;
}

static void test_meters__a_threshold_is_put_on_the_scale_of_the_rides_meter(void **state)
{
    (void)state;
    struct kept_check kept;
    struct error err = { 0 };
    struct fact fact = {
        .day = "2026-02-01", .value = 250, .low = 240, .high = 262, .meter = CRANK
    };
    must(facts_set(roster, arena, now, &ada, FACT_THRESHOLD, &fact, &err), &err);
    struct rider_facts facts = of_ride("2026-03-01", 310);
    check_near("its own", facts.threshold_w, 250, 0);
    check_near("its own", facts.threshold_low_w, 240, 0);
    facts = of_ride("2026-03-01", 420);
    check_near("unchecked", facts.threshold_w, 250, 0);
    const double trueness = 1.6449 * sqrt(2.0) * 0.032;
    check_near("unchecked", facts.threshold_low_w, 250 * exp(-hypot(log(250.0 / 240.0), trueness)),
               0.01);
    /* The check is of a later ride: it measured the meters, and holds for earlier rides too. */
    const int64_t a = store_ride(ada.id, "2026-03-10", ride_by(1.0, 1), "power", 310);
    const int64_t b = store_ride(ada.id, "2026-03-10", ride_by(1.04, 2), "power", 420);
    (void)keep(a, b, &kept);
    const double ratio = log1p(kept.check.hard.pct / 100.0);
    const double own = (log1p(kept.check.hard.high / 100.0) - ratio) / 1.6449;
    const double open = 1.6449 * sqrt(own * own + 2 * 0.012 * 0.012);
    for (int i = 0; i < 2; i++) {
        facts = of_ride(i == 0 ? "2026-03-01" : "2026-04-01", 420);
        check_near("checked", facts.threshold_w, 250 * exp(ratio), 0.01);
        check_near("low", facts.threshold_low_w, 250 * exp(ratio - hypot(log(250.0 / 240.0), open)),
                   0.02);
        check_near("high", facts.threshold_high_w,
                   250 * exp(ratio + hypot(log(262.0 / 250.0), open)), 0.02);
        check(strstr(facts.threshold_known_by, "% added by the check of 2026-03-10") != NULL);
    }
    check_near("its own still", of_ride("2026-03-01", 310).threshold_low_w, 240, 0);
    undo();
    check_near("taken back", of_ride("2026-03-01", 420).threshold_w, 250, 0);
}

static void test_meters__a_ride_with_both_is_offered_until_it_was_compared(void **state)
{
    (void)state;
    struct kept_check kept;
    struct possible_check *possible = NULL;
    size_t n = 0;
    struct error err = { 0 };
    const int64_t a = store_ride(ada.id, "2026-03-10", ride_by(1.0, 1), "power", 310);
    const int64_t b = store_ride(ada.id, "2026-03-10", ride_by(1.04, 2), "power", 420);
    must(meter_checks_possible(roster_db(roster), arena, ada.id, "2026-03-14", &possible, &n, &err),
         &err);
    check_integer("two rides", (int64_t)n, 0);
    store_run(roster_db(roster),
              arena_format(arena, "UPDATE recording SET same_as = %lld WHERE id = %lld",
                           (long long)a, (long long)b));
    must(meter_checks_possible(roster_db(roster), arena, ada.id, "2026-03-14", &possible, &n, &err),
         &err);
    check_integer("one ride twice", (int64_t)n, 1);
    check_integer("a", possible[0].recordings[0], a);
    check_integer("b", possible[0].recordings[1], b);
    check_text("name", possible[0].names[1], "pedals (serial 420)");
    (void)keep(b, a, &kept);
    must(meter_checks_possible(roster_db(roster), arena, ada.id, "2026-03-14", &possible, &n, &err),
         &err);
    check_integer("done", (int64_t)n, 0);
}

int main(int argc, char *argv[])
{
    if (!store_begin(argc, argv)) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)
        TEST(test_meters__a_check_is_kept_taken_back_and_taken_away),
        TEST(test_meters__refuses_what_is_no_check),
        TEST(test_meters__the_history_carries_the_newest_check_and_what_changed_since),
        TEST(test_meters__a_threshold_is_put_on_the_scale_of_the_rides_meter),
        TEST(test_meters__a_ride_with_both_is_offered_until_it_was_compared),
    };
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
