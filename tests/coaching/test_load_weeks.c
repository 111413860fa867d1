/* tests/coaching/test_load_weeks.c: weeks of riding, and coming back.  The verdicts and days wanted
 * are those of the rules in the headers (common practice, no source), worked by hand. */
#include "check.h"

#include "coaching/comeback.h"
#include "coaching/gauge.h"
#include "coaching/load_weeks.h"

#include <math.h>
#include <string.h>

/* Wednesday 18 February 2026 by any calendar; its Monday is the 16th, of week 8. */
enum { TODAY = 20502, MONDAY = 20500, MOST = 200 };

struct rider {
    struct past_ride rides[MOST];
    struct past_note notes[8];
    struct past_span off[4];
    struct rider_history history;
};

static void link_up(struct rider *rider)
{
    rider->history.rides = rider->rides;
    rider->history.notes = rider->notes;
    rider->history.off = rider->off;
}

static struct past_ride *add_ride(struct rider *rider, int64_t day, double hours)
{
    struct past_ride *ride = &rider->rides[rider->history.n_rides++];
    *ride = past_ride_begin(1 + (int64_t)rider->history.n_rides, day);
    ride->hours = hours;
    return ride;
}

static struct rider rider_begin(void)
{
    return (struct rider){
        .history = { .today = TODAY, .power_since_day = INT64_MIN, .threshold_day = INT64_MIN }
    };
}

/* Hours of whole weeks, the newest last, as two rides each (Tuesday, Saturday; none where 0), then
 * those of this week on its Monday and Tuesday. */
static struct rider weeks_of(const double hours[], size_t n, double now)
{
    struct rider rider = rider_begin();
    for (size_t i = 0; i < n; i++) {
        const int64_t monday = MONDAY - 7 * (int64_t)(n - i);
        /* The first week on file is whole only if it was ridden from its Monday. */
        if (i == 0) {
            (void)add_ride(&rider, monday, 0.0);
        }
        if (hours[i] > 0.0) {
            (void)add_ride(&rider, monday + 1, hours[i] / 2.0);
            (void)add_ride(&rider, monday + 5, hours[i] / 2.0);
        }
    }
    (void)add_ride(&rider, MONDAY, now / 2.0);
    (void)add_ride(&rider, MONDAY + 1, now / 2.0);
    return rider;
}

static void check_says(const char *name, const struct reading *reading, const char *verdict,
                       const char *says)
{
    check_text(name, verdict_name(reading->verdict), verdict);
    if (says != NULL && strstr(reading->text, says) == NULL) {
        check_text(name, reading->text, says);
    }
}

static void test_load__a_jump_is_against_usual_weeks(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double hours[6]; /* ended by -1 */
        double now;
        const char *verdict;
        const char *says;
        struct past_span off; /* from and to as days from this week's Monday */
    } rows[] = {
        { "nothing before",
          { -1 },
          6,
          "cannot tell",
          "0 usual weeks before it; 2 are needed",
          { 0 } },
        { "one week", { 6, -1 }, 9, "cannot tell", "1 usual week before it", { 0 } },
        { "as usual",
          { 6, 6, 6, 6, -1 },
          6,
          "no jump",
          "6.0 h so far this week; usually 6.0",
          { 0 } },
        { "a third more", { 6, 6, 6, 6, -1 }, 8.1, "week jump", "Hold the hours near 6.0", { 0 } },
        { "a quarter more", { 6, 6, 6, 6, -1 }, 7.6, "no jump", NULL, { 0 } },
        { "half as much again, of little", { 2, 2, 2, 2, -1 }, 3.4, "no jump", NULL, { 0 } },
        { "much more, of little", { 2, 2, 2, 2, -1 }, 3.6, "week jump", NULL, { 0 } },
        { "against the mean", { 4, 8, 4, 8, -1 }, 7.9, "week jump", "usually 6.0", { 0 } },
        { "two weeks are enough", { 6, 6, -1 }, 9, "week jump", NULL, { 0 } },
        /* Four weeks of 6, then one of 1 for being ill: still usually 6. */
        { "ill last week",
          { 6, 6, 6, 6, 1, -1 },
          8.1,
          "week jump",
          "usually 6.0",
          { OFF_ILL, -7, -3 } },
        { "away last week",
          { 6, 6, 6, 6, 1, -1 },
          6,
          "no jump",
          "usually 6.0",
          { OFF_AWAY, -7, 0 } },
        { "ill for two days",
          { 6, 6, 6, 6, 1, -1 },
          6,
          "no jump",
          "usually 4.8",
          { OFF_ILL, -7, -5 } },
        { "another reason",
          { 6, 6, 6, 6, 2, -1 },
          7,
          "week jump",
          "usually 5.0",
          { OFF_OTHER, -7, 0 } },
        { "ill for all but one",
          { 6, 6, 6, -1 },
          9,
          "cannot tell",
          "1 usual week",
          { OFF_ILL, -14, 0 } },
        /* Two weeks without a ride are a break, and no usual weeks. */
        { "a break before", { 6, 6, 6, 0, 0, -1 }, 8.1, "week jump", "usually 6.0", { 0 } },
    };
    const struct limits limits = limits_default();
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        size_t n = 0;
        while (n < 6 && rows[i].hours[n] >= 0.0) {
            n++;
        }
        struct rider rider = weeks_of(rows[i].hours, n, rows[i].now);
        if (rows[i].off.to_day != rows[i].off.from_day) {
            rider.off[0] = (struct past_span){ rows[i].off.kind, MONDAY + rows[i].off.from_day,
                                               MONDAY + rows[i].off.to_day };
            rider.history.n_off = 1;
        }
        link_up(&rider);
        struct load_weeks load;
        load_weeks_read(arena, &rider.history, 8, &limits, &load);
        check_says(rows[i].name, &load.now, rows[i].verdict, rows[i].says);
        check_integer("weeks", (int64_t)load.n, 8);
        check_near("hours", load.weeks[7].hours, rows[i].now, 1e-9);
        struct gauge gauge = { 0 };
        check_integer(rows[i].name, reading_gauge(arena, &load.now, &gauge),
                      load.now.verdict != VERDICT_CANNOT_TELL);
        if (load.now.verdict != VERDICT_CANNOT_TELL) {
            check_integer(rows[i].name, gauge.estimate > gauge.limits[0],
                          load.now.verdict == VERDICT_JUMP);
        }
        arena_close(arena);
    }
}

static void test_load__the_last_whole_week_has_its_own_reading(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    static const double hours[] = { 6, 6, 6, 10 };
    struct rider rider = weeks_of(hours, 4, 1);
    link_up(&rider);
    struct load_weeks load;
    load_weeks_read(arena, &rider.history, 2, &limits, &load);
    check_says("last", &load.last, "week jump",
               "10.0 h in the week of 9 February 2026; usually 6.0");
    check_says("now", &load.now, "no jump", "1.0 h so far this week; usually 7.0");
    check_integer("week", load.weeks[1].iso.week, 8);
    check_integer("year", load.weeks[1].iso.year, 2026);
    arena_close(arena);
}

/* A week of session-RPE of 100, 200, 300, 0, 100, 0, 200: total 900, mean 128.57, sd (n - 1)
 * 111.27, monotony 1.155, strain 1040 (by hand). */
static void test_load__monotony_needs_every_ride(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    static const double rpe[7] = { 100, 200, 300, 0, 100, 0, 200 };
    struct rider rider = rider_begin();
    for (int64_t i = 0; i < 7; i++) {
        if (rpe[i] > 0.0) {
            struct past_ride *ride = add_ride(&rider, MONDAY - 7 + i, 1.0);
            ride->session_rpe = rpe[i];
            ride->work_kj = i == 2 ? (double)NAN : 500.0;
            ride->zone_s[0] = 600.0;
            ride->is_hard_day = i < 2;
        }
    }
    struct past_ride *again = add_ride(&rider, MONDAY, 1.0);
    again->session_rpe = 100.0;
    link_up(&rider);
    struct load_weeks load;
    load_weeks_read(arena, &rider.history, 2, &limits, &load);
    const struct week_load *week = &load.weeks[0];
    check_near("total", week->by_effort.total, 900, 1e-9);
    check_near("monotony", week->by_effort.monotony, 1.1555, 0.0005);
    check_near("strain", week->by_effort.strain, 1040, 0.5);
    check(strstr(load.last.text, "Monotony 1.2 and strain 1,040") != NULL);
    check_near("session-RPE", week->session_rpe.sum, 900, 1e-9);
    /* One ride without work: at least. */
    check_near("work", week->work_kj.sum, 2000, 1e-9);
    check_integer("known", (int64_t)week->work_kj.known, 4);
    check_integer("rides", (int64_t)week->n_rides, 5);
    check_near("zone", week->zone_s[0].sum, 3000, 1e-9);
    check(isnan(week->zone_s[1].sum) && week->zone_s[1].known == 0);
    check(isnan(week->impulse_low.sum) && isnan(week->heart_zone_s[0].sum));
    check_integer("hard", (int64_t)week->n_hard_days, 2);
    /* The week that runs has none yet, and is no usual week. */
    check(!load.weeks[1].is_usual);
    check(isnan(load.weeks[1].by_effort.monotony));
    rider.rides[1].session_rpe = (double)NAN;
    load_weeks_read(arena, &rider.history, 2, &limits, &load);
    check(isnan(load.weeks[0].by_effort.monotony) && isnan(load.weeks[0].by_effort.strain));
    check(strstr(load.last.text, "Monotony") == NULL);
    check_near("at least", load.weeks[0].session_rpe.sum, 700, 1e-9);
    arena_close(arena);
}

static void test_load__no_rides_are_no_weeks(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct rider rider = rider_begin();
    link_up(&rider);
    struct load_weeks load;
    load_weeks_read(arena, &rider.history, 1, &limits, &load);
    check_integer("two at least", (int64_t)load.n, 2);
    check_says("none", &load.now, "cannot tell", "0 usual weeks");
    check(!load.weeks[0].is_usual && load.weeks[0].hours < 0.1);
    arena_close(arena);
}

/* Any seven days agree with the week where they are one. */
static void test_load__seven_days_agree_with_the_week(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    static const double hours[] = { 5, 7, 4, 8, 6, 12 };
    struct rider rider = weeks_of(hours, 6, 1);
    rider.off[0] = (struct past_span){ OFF_ILL, MONDAY - 21, MONDAY - 14 };
    rider.history.n_off = 1;
    link_up(&rider);
    struct load_weeks load;
    load_weeks_read(arena, &rider.history, 4, &limits, &load);
    const struct load_jump jump = load_seven_days(&rider.history, MONDAY, &limits);
    check_near("usual", jump.usual_hours, load.weeks[2].jump.usual_hours, 1e-9);
    check_near("by hand", jump.usual_hours, (5.0 + 7.0 + 4.0 + 6.0) / 4.0, 1e-9);
    check(jump.is_jump && load.weeks[2].jump.is_jump);
    arena_close(arena);
}

/* ---- coming back ---- */

/* A ride of 1.5 h every other day, from 120 days ago; none from from_ago days ago on, until
 * to_ago. */
static struct rider riding_but(int64_t from_ago, int64_t to_ago)
{
    struct rider rider = rider_begin();
    for (int64_t ago = 120; ago >= 0; ago -= 2) {
        if (ago > from_ago || ago <= to_ago) {
            (void)add_ride(&rider, TODAY - ago, 1.5);
        }
    }
    return rider;
}

enum { NO_RULE = -1000, NOT_YET = 1000 };

static int64_t day_wanted(int64_t ahead)
{
    return ahead == NO_RULE ? INT64_MIN : ahead == NOT_YET ? INT64_MAX : TODAY + ahead;
}

static void test_comeback__rules_hold_until_a_day(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        int64_t no_ride_from; /* days ago; rides stop before that day ... */
        int64_t no_ride_to;   /* ... and begin again on that day or the next */
        int64_t ill_from;     /* days ago, INT64_MIN = not ill */
        int64_t ill_to;       /* the first day well again; NOT_YET = still ill */
        int64_t words_ago;    /* of a note with words */
        const char *words;
        const char *verdict;
        bool doctor;
        int64_t easy; /* days from today on, as the rules in the header */
        int64_t more;
        int64_t hard;
        int64_t test;
        const char *says;
    } rows[] = {
        { "no break", -1, -1, INT64_MIN, 0, 0, NULL, "no break", false, NO_RULE, NO_RULE, NO_RULE,
          NO_RULE, "No break." },
        /* Rides on days 20 and 8 ago: 11 days between.  Back since day 8: easy for seven days. */
        { "a break, over", 19, 9, INT64_MIN, 0, 0, NULL, "coming back", false, -1, NO_RULE, -1,
          NOT_YET, "No ride for 11 days" },
        { "a break, just over", 15, 3, INT64_MIN, 0, 0, NULL, "coming back", false, 5, NO_RULE, 5,
          NOT_YET, "Easy riding only before" },
        { "nine days are none", 13, 5, INT64_MIN, 0, 0, NULL, "no break", false, NO_RULE, NO_RULE,
          NO_RULE, NO_RULE, NULL },
        { "still no ride", 15, -1, INT64_MIN, 0, 0, NULL, "off", false, NOT_YET, NO_RULE, NOT_YET,
          NOT_YET, "No ride since" },
        /* Ill on days 4 and 3 ago: easy for three days free of symptoms, 2, 1 and 0 ago. */
        { "ill for two days", 5, 2, 4, 2, 0, NULL, "coming back", false, 1, NO_RULE, 1, NOT_YET,
          "Nothing hard before" },
        /* Ill for five days, 6 to 2 ago: five days of half, five of three quarters. */
        { "ill for five days", 7, 1, 6, 1, 0, NULL, "coming back", false, 4, 9, 9, NOT_YET,
          "at most 50 % of the usual hours" },
        { "ill for five days, hours", 7, 1, 6, 1, 0, NULL, "coming back", false, 4, 9, 9, NOT_YET,
          "Then at most 75 % of the usual hours" },
        { "two days with a fever", 5, 2, 4, 2, 4, "fever of 39", "coming back", false, 1, 4, 4,
          NOT_YET, "at most 50 %" },
        { "two days and the chest", 5, 2, 4, 2, 3, "chest pain when I coughed", "coming back", true,
          1, 4, 4, NOT_YET, "See a doctor before training" },
        /* Coughing two days after: ill from 6 to 1 ago, six days. */
        { "not free of symptoms", 7, 4, 6, 3, 1, "still coughing", "coming back", false, 6, 12, 12,
          NOT_YET, NULL },
        { "coughing without illness", -1, -1, INT64_MIN, 0, 1, "still coughing", "no break", false,
          NO_RULE, NO_RULE, NO_RULE, NO_RULE, NULL },
        { "still ill", 5, -1, 4, NOT_YET, 0, NULL, "off", false, NOT_YET, NOT_YET, NOT_YET, NOT_YET,
          "Ill or off since" },
        { "ill for eleven days", 13, -1, 10, NOT_YET, 0, NULL, "off", true, NOT_YET, NOT_YET,
          NOT_YET, NOT_YET, "See a doctor" },
        /* Long over: two days' illness of a month ago, no hard ride since. */
        { "long over", 43, 38, 42, 40, 0, NULL, "no break", false, -37, NO_RULE, -37, -9, NULL },
    };
    const struct limits limits = limits_default();
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct rider rider = riding_but(rows[i].no_ride_from, rows[i].no_ride_to);
        if (rows[i].ill_from != INT64_MIN) {
            rider.off[rider.history.n_off++] =
                (struct past_span){ OFF_ILL, TODAY - rows[i].ill_from,
                                    rows[i].ill_to == NOT_YET ? INT64_MAX
                                                              : TODAY - rows[i].ill_to };
        }
        if (rows[i].words != NULL) {
            rider.notes[rider.history.n_notes++] = (struct past_note){
                .id = 1, .day = TODAY - rows[i].words_ago, .words = rows[i].words
            };
        }
        link_up(&rider);
        struct comeback back;
        comeback_read(arena, &rider.history, &limits, &back);
        check_says(rows[i].name, &back.reading, rows[i].verdict, rows[i].says);
        check_integer(rows[i].name, back.needs_doctor, rows[i].doctor);
        check_integer(rows[i].name, back.easy_until, day_wanted(rows[i].easy));
        check_integer(rows[i].name, back.more_until, day_wanted(rows[i].more));
        check_integer(rows[i].name, back.hard_from, day_wanted(rows[i].hard));
        check_integer(rows[i].name, back.test_from, day_wanted(rows[i].test));
        struct gauge gauge = { 0 };
        check(!reading_gauge(arena, &back.reading, &gauge));
        arena_close(arena);
    }
}

static void test_comeback__one_hard_session_opens_the_test(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct rider rider = riding_but(21, 17);
    rider.off[0] = (struct past_span){ OFF_ILL, TODAY - 20, TODAY - 18 };
    rider.history.n_off = 1;
    link_up(&rider);
    struct comeback back;
    comeback_read(arena, &rider.history, &limits, &back);
    check_integer("hard", back.hard_from, TODAY - 15);
    check_integer("no hard session yet", back.test_from, INT64_MAX);
    check(strstr(back.reading.text, "No test before one short hard session went well.") != NULL);
    /* A hard day while easy was due doesn't count as that session. */
    struct past_ride *ride = &rider.rides[0];
    while (ride->day < TODAY - 16) {
        ride++;
    }
    ride->is_hard_day = true;
    comeback_read(arena, &rider.history, &limits, &back);
    check_integer("too early", back.test_from, INT64_MAX);
    while (ride->day < TODAY - 2) {
        ride++;
    }
    ride->is_hard_day = true;
    comeback_read(arena, &rider.history, &limits, &back);
    check_integer("three days after it", back.test_from, TODAY + 1);
    check_text("until then", verdict_name(back.reading.verdict), "coming back");
    arena_close(arena);
}

static void test_comeback__what_was_known_is_from_before(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct rider rider = riding_but(42, 38);
    rider.off[0] = (struct past_span){ OFF_ILL, TODAY - 41, TODAY - 39 };
    rider.history.n_off = 1;
    rider.rides[0].base =
        (struct past_reading){ .is_asked = true, .verdict = VERDICT_PASSED, .estimate = 6 };
    rider.history.threshold_day = TODAY - 60;
    link_up(&rider);
    struct comeback back;
    comeback_read(arena, &rider.history, &limits, &back);
    check_says("both", &back.reading, "back", "Threshold and base are from before the break.");
    rider.history.threshold_day = TODAY - 5;
    comeback_read(arena, &rider.history, &limits, &back);
    check_says("base", &back.reading, "back", "The base test is from before the break.");
    struct past_ride *last = &rider.rides[rider.history.n_rides - 1];
    last->base = rider.rides[0].base;
    comeback_read(arena, &rider.history, &limits, &back);
    check_says("tested since", &back.reading, "no break", NULL);
    last->spoiled = true;
    comeback_read(arena, &rider.history, &limits, &back);
    check_says("that was spoiled", &back.reading, "back", NULL);
    /* Three, three, four and three rides of 1.5 h in the four weeks before it. */
    check_near("usual", back.usual_hours, 13.0 * 1.5 / 4.0, 1e-9);
    arena_close(arena);
}

static void test_comeback__injury_is_a_break_by_its_word(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct rider rider = riding_but(6, 2);
    rider.off[0] = (struct past_span){ OFF_INJURED, TODAY - 6, TODAY - 2 };
    rider.history.n_off = 1;
    link_up(&rider);
    struct comeback back;
    comeback_read(arena, &rider.history, &limits, &back);
    check_says("injured", &back.reading, "coming back", "Injured or off for 4 days");
    check_integer("easy", back.easy_until, TODAY + 5);
    check(!back.is_slow && !back.needs_doctor);
    /* Away for as long isn't. */
    rider.off[0].kind = OFF_AWAY;
    comeback_read(arena, &rider.history, &limits, &back);
    check_says("away", &back.reading, "no break", NULL);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_load__a_jump_is_against_usual_weeks),
        cmocka_unit_test(test_load__the_last_whole_week_has_its_own_reading),
        cmocka_unit_test(test_load__monotony_needs_every_ride),
        cmocka_unit_test(test_load__no_rides_are_no_weeks),
        cmocka_unit_test(test_load__seven_days_agree_with_the_week),
        cmocka_unit_test(test_comeback__rules_hold_until_a_day),
        cmocka_unit_test(test_comeback__one_hard_session_opens_the_test),
        cmocka_unit_test(test_comeback__what_was_known_is_from_before),
        cmocka_unit_test(test_comeback__injury_is_a_break_by_its_word),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
