/* tests/coaching/test_ride_load.c: was it a hard day?  Rides by hand; common practice, no source.
 */
#include "check.h"

#include "coaching/ride_load.h"
#include "physiology/made_ride.h"

#include <math.h>
#include <string.h>

#define UNSAID ((double)NAN)

static struct rider_facts some_facts(void)
{
    struct rider_facts facts = facts_unknown();
    facts.threshold_w = 200;
    return facts;
}

static void test_ride_load__any_of_four_things_makes_a_hard_day(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        struct piece pieces[10];
        double effort;
        bool marked;
        bool no_threshold;
        const char *verdict;
        const char *because;
    } rows[] = {
        { "easy", { { 3600, 120, 0, false } }, UNSAID, false, false, "no hard day", "amounts" },
        { "eleven minutes above threshold",
          { { 1800, 120, 0, false }, { 660, 215, 0, false }, { 600, 110, 0, false } },
          UNSAID,
          false,
          false,
          "hard day",
          "above-threshold" },
        { "nine minutes above threshold",
          { { 1800, 120, 0, false }, { 540, 215, 0, false }, { 600, 110, 0, false } },
          UNSAID,
          false,
          false,
          "no hard day",
          "amounts" },
        { "four anaerobic minutes",
          { { 1200, 120, 0, false },
            { 60, 290, 0, false },
            { 240, 100, 0, false },
            { 60, 290, 0, false },
            { 240, 100, 0, false },
            { 60, 290, 0, false },
            { 240, 100, 0, false },
            { 60, 290, 0, false },
            { 900, 110, 0, false } },
          UNSAID,
          false,
          false,
          "hard day",
          "anaerobic-set" },
        { "easy, but it felt hard",
          { { 3600, 120, 0, false } },
          7,
          false,
          false,
          "hard day",
          "hard-effort" },
        { "easy, and it felt so",
          { { 3600, 120, 0, false } },
          3,
          false,
          false,
          "no hard day",
          "amounts" },
        { "a race", { { 3600, 120, 0, false } }, UNSAID, true, false, "hard day", "marked" },
        { "no threshold, no effort",
          { { 3600, 120, 0, false } },
          UNSAID,
          false,
          true,
          "cannot tell",
          "amounts" },
        { "no threshold, but an effort",
          { { 3600, 120, 0, false } },
          4,
          false,
          true,
          "no hard day",
          "amounts" },
    };
    const struct limits limits = limits_default();
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct rider_facts facts = some_facts();
        struct ride_readings readings = { 0 };
        struct error err = { 0 };
        struct recording *ride = made_ride(arena, rows[i].pieces, 10, 3);
        ride->effort_0_10 = (double)NAN;
        facts.effort_0_10 = rows[i].effort;
        facts.marked = rows[i].marked;
        facts.threshold_w = rows[i].no_threshold ? (double)NAN : facts.threshold_w;
        check(reading_make(arena, ride, &facts, &limits, &readings, &err));
        const struct reading *reading = &readings.items[readings.count - 1];
        check_integer("question", reading->question, QUESTION_HARD_DAY);
        check_text(rows[i].name, verdict_name(reading->verdict), rows[i].verdict);
        if (causes_find(&reading->because, rows[i].because) == NULL) {
            check_text(rows[i].name, reading->text, rows[i].because);
        }
        check(strstr(reading->text, "kJ") != NULL);
        arena_close(arena);
    }
}

/* Other sports count by effort and hours; watts of a rowing machine are no riding. */
static void test_ride_load__other_sports_count_by_effort(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    static const struct piece pieces[] = { { 3600, 250, 0, false } };
    struct rider_facts facts = some_facts();
    struct ride_readings readings = { 0 };
    struct error err = { 0 };
    struct recording *run = made_ride(arena, pieces, 1, 0);
    run->is_ride = false;
    run->sport = SPORT_RUNNING;
    run->effort_0_10 = 8;
    check(reading_make(arena, run, &facts, &limits, &readings, &err));
    const struct reading *reading = &readings.items[readings.count - 1];
    check_text("verdict", verdict_name(reading->verdict), "hard day");
    check_near("rpe", readings.load.session_rpe, 480, 1e-9);
    check(isnan(readings.load.work_kj));
    check_integer("efforts", (int64_t)readings.n_efforts, 0);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_ride_load__any_of_four_things_makes_a_hard_day),
        cmocka_unit_test(test_ride_load__other_sports_count_by_effort),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
