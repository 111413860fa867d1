/* Was the easy ride easy?  Rides built by hand; expected verdicts by hand from the rules in
 * coaching/easy_work.h. */
#include "check.h"

#include "coaching/easy_work.h"
#include "coaching/words/words.h"
#include "limits/limits.h"
#include "physiology/by_hand.h"

#include <math.h>
#include <string.h>

enum { THRESHOLD_W = 250, HOUR_S = 3600 };

/* An hour at 65 %, of which `above_s` at 85 % in blocks of 5 min, and `far_s` in one block at
 * 95 %. */
static struct recording *ride_of(struct arena *arena, size_t above_s, size_t far_s, size_t coast_s)
{
    struct recording *r = by_hand(arena, HOUR_S);
    by_hand_fill(arena, r, CHANNEL_POWER, 0, HOUR_S, 0.65 * THRESHOLD_W);
    by_hand_fill(arena, r, CHANNEL_HEART_RATE, 0, HOUR_S, 150.0);
    by_hand_fill(arena, r, CHANNEL_POWER, 300, 300 + above_s, 0.85 * THRESHOLD_W);
    by_hand_fill(arena, r, CHANNEL_POWER, 1800, 1800 + far_s, 0.95 * THRESHOLD_W);
    by_hand_fill(arena, r, CHANNEL_POWER, HOUR_S - coast_s, HOUR_S, 0.0);
    return r;
}

static struct rider_facts facts_asked(enum work_kind kind)
{
    struct rider_facts facts = facts_unknown();
    facts.threshold_w = THRESHOLD_W;
    facts.kind = kind;
    return facts;
}

static const struct reading *read_ride(struct arena *arena, const struct recording *r,
                                       const struct rider_facts *facts, struct ride_readings *ride)
{
    const struct limits limits = limits_default();
    *ride = (struct ride_readings){ 0 };
    easy_work_read(arena, r, facts, &limits, ride);
    static const struct reading none; /* lets gcc's null check see that there always is one */
    return ride->count == 0 ? &none : &ride->items[0];
}

static void test_easy_work__share_decides(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        size_t above_s;
        size_t far_s;
        size_t coast_s;
        double threshold_low_w; /* 0 = no likely range */
        double threshold_high_w;
        double share_pct; /* wanted, within 1 */
        enum verdict verdict;
        const char *because; /* the second reason; NULL none */
    } rows[] = {
        { "all easy", 0, 0, 0, 0, 0, 0.0, VERDICT_EASY_ENOUGH, NULL },
        { "9 %", 324, 0, 0, 0, 0, 9.0, VERDICT_EASY_ENOUGH, NULL },
        { "15 %", 540, 0, 0, 0, 0, 15.0, VERDICT_ON_THE_LINE, NULL },
        { "25 %", 900, 0, 0, 0, 0, 25.0, VERDICT_TOO_HARD, NULL },
        { "9 % of an hour, but half of it coasting", 324, 0, 1800, 0, 0, 18.0, VERDICT_ON_THE_LINE,
          NULL },
        { "6 min far above", 0, 360, 0, 0, 0, 10.5, VERDICT_TOO_HARD, "far-above" },
        { "4 min far above", 0, 240, 0, 0, 0, 6.7, VERDICT_EASY_ENOUGH, NULL },
        { "15 %, threshold known well", 540, 0, 0, 248, 252, 15.0, VERDICT_ON_THE_LINE, NULL },
        { "25 %, threshold known well", 900, 0, 0, 244, 256, 25.0, VERDICT_TOO_HARD, NULL },
        { "25 %, threshold known badly", 900, 0, 0, 225, 275, 25.0, VERDICT_ON_THE_LINE,
          "threshold-uncertain" },
        { "all easy, threshold known badly", 0, 0, 0, 225, 275, 0.0, VERDICT_EASY_ENOUGH, NULL },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct ride_readings ride;
        struct rider_facts facts = facts_asked(KIND_EASY);
        if (rows[i].threshold_low_w > 0.0) {
            facts.threshold_low_w = rows[i].threshold_low_w;
            facts.threshold_high_w = rows[i].threshold_high_w;
        }
        const struct recording *r = ride_of(arena, rows[i].above_s, rows[i].far_s, rows[i].coast_s);
        const struct reading *reading = read_ride(arena, r, &facts, &ride);
        check(ride.count > 0);
        check_text(rows[i].name, verdict_name(reading->verdict), verdict_name(rows[i].verdict));
        check_near(rows[i].name, reading->estimate, rows[i].share_pct, 1.0);
        check_text(rows[i].name, reading->because.items[0].code, "share-above");
        check_text(rows[i].name, reading->because.count < 2 ? NULL : reading->because.items[1].code,
                   rows[i].because);
        check_text(rows[i].name, reading->basis.method, "easy/1");
        for (size_t k = 0; k < reading->because.count; k++) {
            check(reading->because.items[k].text != NULL);
        }
        arena_close(arena);
    }
}

static void test_easy_work__only_where_easy_was_asked(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        enum work_kind kind;
        double high_pct;
        double high_w;
        bool read;
    } rows[] = {
        { "nothing asked", KIND_UNKNOWN, (double)NAN, (double)NAN, false },
        { "easy", KIND_EASY, (double)NAN, (double)NAN, true },
        { "base test", KIND_BASE_TEST, (double)NAN, (double)NAN, true },
        { "VO2max", KIND_VO2MAX, (double)NAN, (double)NAN, false },
        { "up to 75 %", KIND_UNKNOWN, 75, (double)NAN, true },
        { "up to 76 %", KIND_UNKNOWN, 76, (double)NAN, false },
        { "up to 185 W", KIND_UNKNOWN, (double)NAN, 185, true },
        { "up to 230 W", KIND_UNKNOWN, (double)NAN, 230, false },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct ride_readings ride;
        struct rider_facts facts = facts_asked(rows[i].kind);
        facts.target.high_pct = rows[i].high_pct;
        facts.target.high_w = rows[i].high_w;
        const struct recording *r = ride_of(arena, 0, 0, 0);
        read_ride(arena, r, &facts, &ride);
        check_integer(rows[i].name, ride.count > 0, rows[i].read);
        arena_close(arena);
    }
}

static void test_easy_work__what_is_missing_is_named(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct ride_readings ride;
    struct rider_facts facts = facts_asked(KIND_EASY);
    struct recording *r = ride_of(arena, 0, 0, 0);
    facts.threshold_w = (double)NAN;
    const struct reading *reading = read_ride(arena, r, &facts, &ride);
    check_text("threshold", reading->cannot_because.items[0].code, "no-threshold");
    check_text("words", reading->text,
               "Can't tell if the easy ride was easy. No threshold on file: how hard this was is "
               "not known. Give the rider's threshold, from a test.");

    facts.threshold_w = THRESHOLD_W;
    by_hand_fill(arena, r, CHANNEL_POWER, 1000, 1400, (double)NAN);
    reading = read_ride(arena, r, &facts, &ride);
    check_text("coverage", reading->cannot_because.items[0].code, "power-coverage");

    r->value[CHANNEL_POWER] = NULL;
    facts.max_heart_rate_bpm = 180.0; /* 150 of 180 is 83 % */
    reading = read_ride(arena, r, &facts, &ride);
    check_integer("verdict", reading->verdict, VERDICT_CANNOT_TELL);
    check_text("power", reading->cannot_because.items[0].code, "no-power");
    check_text("but", reading->because.items[0].code, "heart-looks-hard");
    check_text("words", reading->text,
               "Can't tell if the easy ride was easy. No power in this ride. It looks too hard: "
               "heart rate was above 80 % of maximal for 100 % of the time after minute 10. Heart "
               "rate alone can't say. Ride with a power meter, or a trainer that measures.");

    facts.max_heart_rate_bpm = 195.0;
    reading = read_ride(arena, r, &facts, &ride);
    check_text("low heart rate", reading->because.items[0].code, "heart-looks-easy");
    facts.heart_medicine = true;
    reading = read_ride(arena, r, &facts, &ride);
    check_integer("no share of maximal under medicine", (int64_t)reading->because.count, 0);
    arena_close(arena);
}

static void test_easy_work__hills_are_said(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct ride_readings ride;
    const struct rider_facts facts = facts_asked(KIND_EASY);
    struct recording *r = ride_of(arena, 540, 0, 0);
    for (size_t t = 0; t < HOUR_S; t++) {
        by_hand_set(arena, r, CHANNEL_DISTANCE, t, 7.0 * (double)t);
        /* Six hills of 60 m: 360 m in 25 km. */
        const double phase = (double)(t % 600) / 600.0;
        by_hand_set(arena, r, CHANNEL_ALTITUDE, t, 120.0 * (phase < 0.5 ? phase : 1.0 - phase));
    }
    const struct reading *reading = read_ride(arena, r, &facts, &ride);
    check_text("hilly", reading->because.items[1].code, "hilly");
    check_near("climbed", reading->because.items[1].numbers[0].value, 360.0 / 25.2, 1.0);
    check_text(
        "words", reading->text,
        "On the line for an easy ride: 15 % of the pedalling was above 80 % of threshold; up "
        "to 10 % is easy. A hilly ride, 14 m climbed a kilometre: on climbs easy is harder "
        "to hold. Next time stay under 200 W, on climbs too.");
    arena_close(arena);
}

static void test_easy_work__words(void **state)
{
    (void)state;
    static const struct {
        size_t above_s;
        size_t far_s;
        const char *want;
    } rows[] = {
        { 0, 0,
          "Easy enough: 0 % of the pedalling was above 80 % of threshold; up to 10 % is easy." },
        { 350, 0,
          "Easy enough: 9.3 % of the pedalling was above 80 % of threshold; up to 10 % is easy." },
        { 500, 0,
          "On the line for an easy ride: 13 % of the pedalling was above 80 % of threshold; up to "
          "10 % is easy. Next time stay under 200 W, on climbs too." },
        { 1000, 0,
          "Too hard for an easy ride: 27 % of the pedalling was above 80 % of threshold; up to 10 "
          "% is easy. Next time stay under 200 W, on climbs too." },
        { 0, 400,
          "Too hard for an easy ride: 11 % of the pedalling was above 80 % of threshold; up to 10 "
          "% is easy. 6 min 21 s were above 90 % of threshold; 5 min is the most for an easy ride. "
          "Next time stay under 200 W, on climbs too." },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct ride_readings ride;
        const struct rider_facts facts = facts_asked(KIND_EASY);
        const struct recording *r = ride_of(arena, rows[i].above_s, rows[i].far_s, 0);
        check_text("words", read_ride(arena, r, &facts, &ride)->text, rows[i].want);
        arena_close(arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_easy_work__share_decides),
        cmocka_unit_test(test_easy_work__only_where_easy_was_asked),
        cmocka_unit_test(test_easy_work__what_is_missing_is_named),
        cmocka_unit_test(test_easy_work__hills_are_said),
        cmocka_unit_test(test_easy_work__words),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
