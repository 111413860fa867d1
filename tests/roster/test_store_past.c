/* tests/roster/test_store_past.c: what is loaded of a rider's past is what was read of each ride.
 * Rides by hand, through the same packing and storing as an import's. */
#include "roster/store.h"

#include "base/dates.h"
#include "base/text.h"
#include "coaching/attention.h"
#include "physiology/made_ride.h"
#include "roster/asked.h"
#include "roster/facts.h"
#include "roster/past.h"
#include "roster/readings.h"
#include "roster/recordings.h"
#include "roster/roster.h"

#include <math.h>
#include <string.h>

static struct arena *arena;
static struct roster *roster;
static struct rider ada;
static const struct roster_now now = { 1773480413, "tester" };

static int begin(void **state)
{
    (void)state;
    struct error err = { 0 };
    arena = arena_open();
    ada = (struct rider){ .name = "Ada \"Quick\" Berg" };
    return roster_open(store_place(), ROSTER_CREATE, now, &roster, &err) &&
                   riders_add(roster, arena, now, &ada, &err)
               ? 0
               : 1;
}

static int end(void **state)
{
    (void)state;
    roster_close(roster);
    arena_close(arena);
    return 0;
}

struct taking {
    const char *day;
    const struct packed_original *original;
    const struct packed_recording *packed;
    const struct packed_readings *readings;
    int64_t id;
};

static bool take(struct db *db, void *context, struct error *err)
{
    struct taking *taking = context;
    int64_t original = 0;
    return recordings_store_original(db, arena, taking->original, now.utc_s, &original, err) &&
           recordings_store(db, arena, ada.id, original, taking->packed, &taking->id, err) &&
           readings_store(db, ada.id, taking->id, taking->day, taking->readings, now.utc_s, err);
}

static struct rider_facts some_facts(void)
{
    struct rider_facts facts = facts_unknown();
    facts.threshold_w = 200;
    facts.max_heart_rate_bpm = 190;
    facts.rest_heart_rate_bpm = 55;
    facts.kind = KIND_EASY;
    strcpy(facts.zones.name[0], "a \"soft\", one");
    return facts;
}

static struct reading *reading_of(struct ride_readings *readings, enum question question)
{
    for (size_t i = 0; i < readings->count; i++) {
        if (readings->items[i].question == question && readings->items[i].set == 0 &&
            readings->items[i].rep == 0) {
            return &readings->items[i];
        }
    }
    fail_msg("no reading %d", (int)question);
    return NULL;
}

/* As if it had been ridden on hills with a bad strap. */
static void make_odd(struct ride_readings *readings)
{
    struct reading *easy = reading_of(readings, QUESTION_EASY_WORK);
    if (easy != NULL) {
        causes_add(arena, &easy->because, "hilly")->text = "";
    }
    causes_add(arena, &readings->cautions, "heart-leap")->text = "";
    causes_add(arena, &readings->cautions, "heart-far-above-max")->text = "";
}

/* A ride of that day, read and stored; *out is what was read. */
static int64_t ride_on(const char *day, double hard_w, double effort, struct ride_readings *out)
{
    const struct piece pieces[] = { { 1800, 120, 0, false },
                                    { 900, hard_w, 0, false },
                                    { 900, 110, 0, false } };
    const struct limits limits = limits_default();
    const struct rider_facts facts = some_facts();
    struct recording *ride = made_ride(arena, pieces, 3, 4);
    struct packed_original original;
    struct packed_recording packed;
    struct error err = { 0 };
    int64_t days = 0;
    check(dates_parse_day(day, &days));
    ride->effort_0_10 = effort;
    ride->feel_0_100 = (double)NAN;
    ride->has_start_utc = true;
    ride->start_utc = days * 86400 + 36000;
    for (size_t t = 0; t < ride->n_seconds; t++) {
        by_hand_set(arena, ride, CHANNEL_HEART_RATE, t, t > 2200 && t < 2700 ? 186 : 140);
    }
    recordings_pack_original(arena, "a.fit", (struct bytes){ (const uint8_t *)day, 10 }, NULL,
                             &original);
    must(recordings_pack(arena, ride, day, &packed, &err), &err);
    must(reading_make(arena, ride, &facts, &limits, out, &err), &err);
    if (isnan(effort)) {
        make_odd(out);
    }
    const struct reading_source source = { .part = 1 };
    const struct packed_readings readings = readings_pack(arena, out, &source, &facts, &limits);
    struct taking taking = { day, &original, &packed, &readings, 0 };
    must(db_write(roster_db(roster), take, &taking, &err), &err);
    return taking.id;
}

static struct rider_history load(const char *today)
{
    struct rider_history history;
    struct error err = { 0 };
    size_t waiting = 99;
    must(past_load(roster_db(roster), arena, &ada, today, &history, &waiting, &err), &err);
    check_integer("waiting", (int64_t)waiting, 0);
    return history;
}

static void check_reading(const struct past_reading *got, struct ride_readings *readings,
                          enum question question)
{
    const struct reading *want = reading_of(readings, question);
    if (want == NULL) {
        return;
    }
    check(got->is_asked);
    check_text(question_name(question), verdict_name(got->verdict), verdict_name(want->verdict));
    check_near("estimate", got->estimate, want->estimate, 1e-9);
    check_near("low", got->low, want->low, 1e-9);
    check_near("high", got->high, want->high, 1e-9);
}

static void test_past__is_what_was_read_of_each_ride(void **state)
{
    (void)state;
    struct ride_readings easy;
    struct ride_readings hard;
    /* Stored in another order than ridden. */
    const int64_t second = ride_on("2026-03-12", 240, 8, &hard);
    const int64_t first = ride_on("2026-03-10", 150, (double)NAN, &easy);
    const struct rider_history history = load("2026-03-14");
    struct ride_readings *want[] = { &easy, &hard };
    check_integer("rides", (int64_t)history.n_rides, 2);
    check_integer("first", history.rides[0].id, first);
    check_integer("second", history.rides[1].id, second);
    check(!history.rides[0].is_hard_day && history.rides[1].is_hard_day);
    check(history.rides[0].hilly && !history.rides[1].hilly);
    check_integer("cautions", history.rides[0].cautions,
                  CAUTION_HEART_LEAP | CAUTION_HEART_ABOVE_MAX);
    check_integer("none", history.rides[1].cautions, 0);
    for (size_t i = 0; i < 2; i++) {
        const struct past_ride *ride = &history.rides[i];
        const struct ride_load *load_of_ride = &want[i]->load;
        check(ride->is_ride && ride->has_power);
        check_near("hours", ride->hours, load_of_ride->hours, 1e-12);
        check_near("kJ", ride->work_kj, load_of_ride->work_kj, 1e-9);
        check_near("low", ride->impulse_low, load_of_ride->impulse_low, 1e-9);
        check_near("high", ride->impulse_high, load_of_ride->impulse_high, 1e-9);
        check_near("rpe", ride->session_rpe, load_of_ride->session_rpe, 1e-9);
        check_near("above", ride->above_threshold_s, load_of_ride->above_threshold_s, 1e-9);
        for (size_t z = 0; z < 7; z++) {
            check_near("zone", ride->zone_s[z], load_of_ride->zone_s[z], 0.5);
        }
        for (size_t z = 0; z < HEART_ZONES; z++) {
            check_near("heart", ride->heart_zone_s[z], load_of_ride->heart_zone_s[z], 0.5);
        }
        check_integer("efforts", (int64_t)ride->n_efforts, (int64_t)want[i]->n_efforts);
        for (size_t k = 0; k < ride->n_efforts; k++) {
            check_integer("s", ride->efforts[k].duration_s, want[i]->efforts[k].duration_s);
            check_near("W", ride->efforts[k].power_w, want[i]->efforts[k].power_w, 1e-9);
            check_integer("evidence", ride->efforts[k].evidence, want[i]->efforts[k].evidence);
            check_near("end", ride->efforts[k].heart_end_bpm, want[i]->efforts[k].heart_end_bpm,
                       1e-9);
        }
        check_reading(&ride->trust, want[i], QUESTION_TRUST);
        check_reading(&ride->base, want[i], QUESTION_BASE);
        check_reading(&ride->easy, want[i], QUESTION_EASY_WORK);
        check(!ride->hard.is_asked);
    }
    check_near("effort", history.rides[1].effort_0_10, 8, 1e-9);
    check(isnan(history.rides[0].effort_0_10));
}

static void test_past__ends_with_today_and_knows_what_was_said(void **state)
{
    (void)state;
    struct ride_readings readings;
    struct ride_row row;
    struct error err = { 0 };
    const char *said = NULL;
    const int64_t id = ride_on("2026-03-12", 240, 8, &readings);
    check_integer("the day before", (int64_t)load("2026-03-11").n_rides, 0);
    check_integer("the day", (int64_t)load("2026-03-12").n_rides, 1);
    struct asked marks = asked_nothing();
    marks.was = "race";
    marks.spoiled_by = "a puncture";
    must(recordings_row(roster_db(roster), arena, id, &row, &err), &err);
    must(asked_mark(roster, arena, now, &row, &marks, &said, &err), &err);
    store_run(roster_db(roster),
              "INSERT INTO day_off (rider, kind, from_day, to_day) VALUES (1, 'ill', "
              "'2026-03-01', '2026-03-04'), (1, 'away', '2026-03-13', NULL), (1, 'away', "
              "'2026-04-01', NULL)");
    store_run(roster_db(roster),
              "INSERT INTO day_note (rider, day, legs_1_5, hot, dehydrated, ill, hard_day_before, "
              "words) VALUES (1, '2026-03-12', 2, TRUE, FALSE, FALSE, FALSE, 'so hot')");
    store_run(roster_db(roster), "UPDATE rider SET power_since_day = '2025-11-01'");
    store_run(roster_db(roster),
              "INSERT INTO equipment (rider, kind, name, serial) VALUES (1, 'power-meter', "
              "'crank', 42)");
    store_run(roster_db(roster),
              "INSERT INTO sensor (recording, place, kind, serial) VALUES (1, 0, 'power', 42)");
    check_integer("thresholds", (int64_t)load("2026-03-14").n_thresholds, 0);
    store_run(roster_db(roster),
              "INSERT INTO threshold (rider, day, value_w, protocol, version) VALUES (1, "
              "'2026-03-01', 246, 'test', 1), (1, '2025-11-01', 231, 'test', 1), (1, "
              "'2026-03-15', 300, 'test', 1)");
    const struct rider_history history = load("2026-03-14");
    check_integer("thresholds", (int64_t)history.n_thresholds, 2);
    check_near("first", history.thresholds[0].power_w, 231, 1e-9);
    check_near("second", history.thresholds[1].power_w, 246, 1e-9);
    check_integer("in force", history.threshold_day, history.thresholds[1].day);
    check(history.rides[0].marked && history.rides[0].race && history.rides[0].spoiled);
    check_integer("meter", history.rides[0].meter, 1);
    check_integer("off", (int64_t)history.n_off, 2);
    check_integer("ill", history.off[0].kind, OFF_ILL);
    check_integer("days", history.off[0].to_day - history.off[0].from_day, 3);
    check(history.off[1].to_day == INT64_MAX);
    check_integer("notes", (int64_t)history.n_notes, 1);
    check_integer("legs", history.notes[0].legs_1_5, 2);
    check(history.notes[0].hot);
    check_text("words", history.notes[0].words, "so hot");
    check(history_is_first_year(&history));
    /* A meter that nobody entered is told apart by its serial. */
    store_run(roster_db(roster), "UPDATE sensor SET serial = 43");
    check_integer("other", load("2026-03-14").rides[0].meter, -43);
}

/* A zero offset holds until the next one of its meter, by the device or by hand. */
static void test_past__knows_the_zero_offset_in_force(void **state)
{
    (void)state;
    static const struct {
        const char *day;
        int serial;
        const char *recorded;
        double in_force;
    } rows[] = {
        { "2026-02-01", 42, "NULL", (double)NAN }, /* none known yet */
        { "2026-02-03", 42, "812", 812 },          { "2026-02-05", 42, "NULL", 812 },
        { "2026-02-06", 43, "-77", -77 },  /* another meter, not listed */
        { "2026-02-08", 42, "NULL", 905 }, /* noted the day before */
        { "2026-02-10", 42, "640", 640 },  /* recorded on a day for which one is noted: it wins */
        { "2026-02-12", 42, "NULL", 640 },         { "2026-02-13", 43, "NULL", -77 },
        { "2026-02-14", 0, "NULL", (double)NAN }, /* no meter known */
    };
    struct ride_readings unused;
    store_run(roster_db(roster),
              "INSERT INTO equipment (rider, kind, name, serial) VALUES (1, 'power-meter', "
              "'crank', 42), (1, 'heart-sensor', 'strap', 42)");
    store_run(roster_db(roster),
              "INSERT INTO equipment_care (equipment, kind, day, value) VALUES (1, 'zero-offset', "
              "'2026-02-07', 905), (1, 'zero-offset', '2026-02-10', 333), (1, 'zero-offset', "
              "'2026-03-01', 444), (1, 'charge', '2026-02-11', 555), (2, 'zero-offset', "
              "'2026-02-11', 666)");
    for (size_t i = 0; i < COUNT(rows); i++) {
        const int64_t id = ride_on(rows[i].day, 150, 3, &unused);
        if (rows[i].serial != 0) {
            store_run(roster_db(roster),
                      arena_format(arena,
                                   "INSERT INTO sensor (recording, place, kind, serial, "
                                   "zero_offset) VALUES (%lld, 0, 'power', %d, %s)",
                                   (long long)id, rows[i].serial, rows[i].recorded));
        }
    }
    const struct rider_history history = load("2026-02-20");
    check_integer("rides", (int64_t)history.n_rides, (int64_t)COUNT(rows));
    for (size_t i = 0; i < COUNT(rows); i++) {
        check(isnan(history.rides[i].zero_offset) == isnan(rows[i].in_force));
        check(isnan(rows[i].in_force) ||
              fabs(history.rides[i].zero_offset - rows[i].in_force) < 1e-9);
    }
}

/* ---- recent years alone, against its twin that loads them all ---- */

static uint32_t seed;

static int below(int n)
{
    seed = seed * 1664525u + 1013904223u;
    return (int)((seed >> 8) % (uint32_t)n);
}

static const char *a_day(int64_t today, int most_back)
{
    char day[11];
    dates_format_day(today - below(most_back), day);
    return arena_string(arena, day);
}

/* A ride of rows alone, as random as can be: its readings, bests, and what the coach said. */
static void random_ride(int64_t model, int n, int64_t today)
{
    static const char *const verdicts[] = { "passed", "not passed", "on the line", "cannot tell" };
    static const char *const hard[] = { "done", "faded", "below" };
    /* Half of them within the last half year. */
    const char *day = a_day(today, below(2) == 0 ? 180 : 1500);
    const int64_t id = 1000 + n;
    store_run(roster_db(roster),
              arena_format(arena,
                           "INSERT INTO recording (id, rider, original, part, parts, same_by_hand, "
                           "format, method, sport, is_ride, place, start_utc_s, local_day, "
                           "n_seconds, timer_s, work_kj, same_as) SELECT %lld, rider, original, "
                           "%lld, parts, same_by_hand, format, method, sport, is_ride, place, "
                           "%lld, '%s', n_seconds, %d, %s, %s FROM recording WHERE id = %lld",
                           (long long)id, (long long)id, (long long)id, day, 1800 + below(9000),
                           below(6) == 0 ? "NULL" : "500", below(9) == 0 && n > 0 ? "1000" : "NULL",
                           (long long)model));
    const struct {
        const char *question;
        const char *verdict;
        int one_in;
    } readings[] = { { "trust", below(5) == 0 ? "not usable" : "usable", 1 },
                     { "base", verdicts[below(4)], 4 },
                     { "easy work", below(2) == 0 ? "too hard" : "easy enough", 3 },
                     { "hard work", hard[below(3)], 3 },
                     { "hard day", below(2) == 0 ? "hard day" : "no hard day", 1 } };
    for (size_t i = 0; i < COUNT(readings); i++) {
        if (below(readings[i].one_in) == 0) {
            store_run(roster_db(roster),
                      arena_format(arena,
                                   "INSERT INTO reading (rider, question, subject_kind, subject, "
                                   "set_number, rep_number, day, verdict, estimate, low, high, "
                                   "method, basis_hash, content, made_utc_s) SELECT rider, '%s', "
                                   "'recording', %lld, 0, 0, '%s', '%s', %d, 4, 16, method, "
                                   "basis_hash, content, made_utc_s FROM reading WHERE subject = "
                                   "%lld AND question = 'trust'",
                                   readings[i].question, (long long)id, day, readings[i].verdict,
                                   5 + below(10), (long long)model));
        }
    }
    store_run(roster_db(roster),
              arena_format(arena,
                           "INSERT INTO ride_load (recording, hours, work_kj, session_rpe, zones, "
                           "heart_zones, cautions, is_hilly) SELECT id, timer_s / 3600.0, work_kj, "
                           "%d, '[]', '[]', %d, FALSE FROM recording WHERE id = %lld",
                           100 + below(400), below(8) == 0 ? 1 : 0, (long long)id));
    for (int d = 0; d < 3; d++) {
        static const int durations[] = { 300, 600, 1200 };
        store_run(roster_db(roster),
                  arena_format(arena,
                               "INSERT INTO effort (recording, duration_s, power_w, start_s, "
                               "evidence) VALUES (%lld, %d, %d, 10, %d)",
                               (long long)id, durations[d], 260 - 20 * d + below(30), below(4)));
    }
    if (below(3) == 0) {
        static const char *const was[] = { "NULL", "'test'", "'race'" };
        store_run(roster_db(roster),
                  arena_format(arena,
                               "INSERT INTO asked (recording, kind, was, spoiled_by) VALUES (%lld, "
                               "'%s', %s, %s)",
                               (long long)id, below(2) == 0 ? "base-test" : "vo2max", was[below(3)],
                               below(6) == 0 ? "'rain'" : "NULL"));
    }
    store_run(roster_db(roster),
              arena_format(arena,
                           "INSERT INTO sensor (recording, place, kind, serial) VALUES (%lld, 0, "
                           "'power', %d)",
                           (long long)id, 1 + below(2)));
    if (below(4) == 0) {
        store_run(roster_db(roster),
                  arena_format(arena,
                               "INSERT INTO day_note (rider, day, legs_1_5, hot, dehydrated, ill, "
                               "hard_day_before, words) VALUES (1, '%s', %d, FALSE, FALSE, %s, "
                               "FALSE, 'fine')",
                               day, 1 + below(5), below(9) == 0 ? "TRUE" : "FALSE"));
    }
}

static void add_said(struct text *out, const struct reading *reading)
{
    text_add_format(out, "%s: %s %.6g %.6g %.6g: %s\n", question_name(reading->question),
                    verdict_name(reading->verdict), reading->estimate, reading->low, reading->high,
                    reading->text);
}

/* All that `who` makes of it. */
static const char *said_of(const struct rider_history *history)
{
    const struct limits limits = limits_default();
    struct text out = text_begin(arena, 100000);
    struct rider_readings all;
    struct attention attention;
    rider_readings_make(arena, history, 2, &limits, &all);
    const struct reading *const readings[] = {
        &all.how,       &all.comeback.reading, &all.base_state,     &all.easy_weeks,
        &all.load.last, &all.load.now,         &all.progress.joint, &all.progress.stalled
    };
    for (size_t i = 0; i < COUNT(readings); i++) {
        add_said(&out, readings[i]);
    }
    for (size_t i = 0; i < all.progress.n; i++) {
        add_said(&out, &all.progress.each[i]);
    }
    const struct attention_rider rider = { .id = 1,
                                           .name = "Ada",
                                           .history = history,
                                           .readings = &all,
                                           .has_plan_until_day = INT64_MIN,
                                           .last_contact_day = INT64_MIN };
    attention_read(arena, &rider, 1, NULL, 0, &limits, &attention);
    for (size_t i = 0; i < attention.count; i++) {
        const struct attention_item *item = &attention.items[i];
        text_add_format(&out, "%s %lld %lld: %s\n", item->why.code, (long long)item->ride,
                        (long long)item->evidence, item->why.text);
    }
    check(!out.cut);
    return out.bytes;
}

/* Of marked rides every effort, however old: how many tests there were tells a first retest. */
static void check_marked(const struct rider_history *recent, const struct rider_history *all)
{
    check_integer("rides", (int64_t)recent->n_rides, (int64_t)all->n_rides);
    for (size_t i = 0; i < all->n_rides; i++) {
        const struct past_ride *got = &recent->rides[i];
        const struct past_ride *want = &all->rides[i];
        if (!want->marked) {
            continue;
        }
        check_integer("efforts", (int64_t)got->n_efforts, (int64_t)want->n_efforts);
        for (size_t k = 0; k < want->n_efforts; k++) {
            check_integer("length", got->efforts[k].duration_s, want->efforts[k].duration_s);
            check_near("power", got->efforts[k].power_w, want->efforts[k].power_w, 0);
        }
    }
}

static void test_past__of_recent_years_says_what_all_years_say(void **state)
{
    (void)state;
    struct ride_readings unused;
    int64_t today = 0;
    check(dates_parse_day("2026-03-14", &today));
    const int64_t model = ride_on("2021-01-01", 150, 5, &unused);
    int n = 0;
    for (seed = 1; seed < 40;) {
        const uint32_t round = seed;
        for (int i = 0; i < 4; i++) {
            random_ride(model, n++, today);
        }
        struct arena *whole = arena;
        arena = arena_open();
        struct rider_history recent;
        struct error err = { 0 };
        size_t waiting = 0;
        must(
            past_load_recent(roster_db(roster), arena, &ada, "2026-03-14", &recent, &waiting, &err),
            &err);
        const struct rider_history all = load("2026-03-14");
        check_marked(&recent, &all);
        check_text(arena_format(arena, "round %u", round), said_of(&recent), said_of(&all));
        arena_close(arena);
        arena = whole;
        seed = round + 1;
    }
}

int main(int argc, char *argv[])
{
    if (!store_begin(argc, argv)) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_past__is_what_was_read_of_each_ride, begin, end),
        cmocka_unit_test_setup_teardown(test_past__ends_with_today_and_knows_what_was_said, begin,
                                        end),
        cmocka_unit_test_setup_teardown(test_past__knows_the_zero_offset_in_force, begin, end),
        cmocka_unit_test_setup_teardown(test_past__of_recent_years_says_what_all_years_say, begin,
                                        end),
    };
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
