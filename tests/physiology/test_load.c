/* tests/physiology/test_load.c: how much was ridden. */
#include "check.h"

#include "physiology/load.h"
#include "physiology/made_ride.h"

#include <math.h>

/* ---- published ---- */

/* PH-11 of the shared checks: Morton, Fitz-Clarke and Banister 1990, J Appl Physiol 69:1171; the
 * constants 0.64, 1.92 and 0.86, 1.67; 45 min at 150 bpm, rest 60, maximum 190. */
static void test_load__ph_11_training_impulse_is_the_published_one(void **state)
{
    (void)state;
    const double x = load_reserve_ratio(150, 60, 190);
    check_near("men", load_impulse(45, x, SEX_MALE), 75.330220, 1e-6);
    check_near("women", load_impulse(45, x, SEX_FEMALE), 85.137591, 1e-6);
    check(isnan(load_impulse(45, x, SEX_UNSET)));
    check(isnan(load_impulse(45, (double)NAN, SEX_MALE)));
    check_near("below rest", load_impulse(45, -0.1, SEX_MALE), 0, 0);
    check_near("above the maximum", load_impulse(45, 1.2, SEX_MALE), load_impulse(45, 1, SEX_MALE),
               0);
}

/* PH-13: Foster 1998, Med Sci Sports Exerc 30:1164; standard deviation with n - 1 (numpy 1.24.2,
 * ddof=1). */
static void test_load__ph_13_monotony_and_strain_are_the_published_ones(void **state)
{
    (void)state;
    static const double days[7] = { 300, 0, 420, 240, 0, 600, 450 };
    const struct load_week week = load_week(days);
    check_near("total", week.total, 2010, 1e-9);
    check_near("mean", week.mean, 287.142857, 5e-7);
    check_near("monotony", week.monotony, 1.264601, 5e-7);
    check_near("strain", week.strain, 2541.848452, 5e-6);
    static const double same[7] = { 60, 60, 60, 60, 60, 60, 60 };
    check(isnan(load_week(same).monotony) && isnan(load_week(same).strain));
}

/* PH-14: Karvonen 1957: 70 % of the reserve between 60 and 190 is 151 bpm.  The zones' lower ends:
 * ACSM, from memory. */
static void test_load__ph_14_reserve_and_its_zones(void **state)
{
    (void)state;
    check_near("151 bpm", load_reserve_ratio(151, 60, 190), 0.70, 1e-12);
    check(isnan(load_reserve_ratio(151, 190, 190)));
    static const struct {
        double ratio;
        const char *name;
    } rows[] = { { -0.1, "very light" }, { 0.29, "very light" }, { 0.30, "light" },
                 { 0.39, "light" },      { 0.40, "moderate" },   { 0.59, "moderate" },
                 { 0.60, "vigorous" },   { 0.89, "vigorous" },   { 0.90, "near maximal" },
                 { 1.1, "near maximal" } };
    for (size_t i = 0; i < COUNT(rows); i++) {
        check_text("zone", heart_zone_name(heart_zone_of(rows[i].ratio)), rows[i].name);
    }
}

/* ---- a ride ---- */

static struct rider_facts some_facts(void)
{
    struct rider_facts facts = facts_unknown();
    facts.threshold_w = 200;
    facts.max_heart_rate_bpm = 190;
    facts.rest_heart_rate_bpm = 60;
    facts.sex = SEX_MALE;
    return facts;
}

/* By hand: an hour at 100 W, 20 min at 220 W, heart rate 150 all the way. */
static struct recording *some_ride(struct arena *arena)
{
    static const struct piece pieces[] = { { 3600, 100, 0, false }, { 1200, 220, 0, false } };
    struct recording *ride = made_ride(arena, pieces, COUNT(pieces), 0);
    for (size_t t = 0; t < ride->n_seconds; t++) {
        by_hand_set(arena, ride, CHANNEL_HEART_RATE, t, 150);
    }
    ride->effort_0_10 = (double)NAN;
    return ride;
}

static void test_load__of_a_ride_made_by_hand(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct rider_facts facts = some_facts();
    struct recording *ride = some_ride(arena);
    ride->effort_0_10 = 6;
    const struct ride_load load = load_of(arena, ride, &facts, &limits, (double)NAN);
    check_near("hours", load.hours, 80.0 / 60.0, 1e-12);
    check_near("kJ", load.work_kj, 360 + 264, 1e-9);
    check_near("recovery", load.zone_s[0], 3600, 0);
    check_near("VO2max", load.zone_s[4], 1200, 0);
    check_near("vigorous", load.heart_zone_s[HEART_VIGOROUS], 4800, 0);
    /* 80 minutes of PH-11's heart rate. */
    check_near("impulse", load.impulse_low, 75.330220 * 80 / 45, 1e-4);
    check_near("impulse", load.impulse_high, load.impulse_low, 0);
    check_near("session-RPE", load.session_rpe, 480, 1e-9);
    check_near("own word", load_of(arena, ride, &facts, &limits, 3).session_rpe, 240, 1e-9);
    /* The mean of 30 s passes 200 W when 25 s and more of them are at 220 W. */
    check_near("above threshold", load.above_threshold_s, 1200 - 25, 0);
    arena_close(arena);
}

static void test_load__says_nothing_that_the_ride_does_not_support(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct rider_facts facts = some_facts();
    struct recording *ride = some_ride(arena);

    facts.sex = SEX_UNSET;
    struct ride_load load = load_of(arena, ride, &facts, &limits, (double)NAN);
    check_near("lower", load.impulse_low, 75.330220 * 80 / 45, 1e-4);
    check_near("higher", load.impulse_high, 85.137591 * 80 / 45, 1e-4);
    check(isnan(load.session_rpe));

    facts.heart_medicine = true;
    load = load_of(arena, ride, &facts, &limits, (double)NAN);
    check(isnan(load.impulse_low) && isnan(load.heart_zone_s[HEART_VIGOROUS]));
    facts.heart_medicine = false;
    facts.rest_heart_rate_bpm = (double)NAN;
    load = load_of(arena, ride, &facts, &limits, (double)NAN);
    check(isnan(load.impulse_low));
    facts.threshold_w = (double)NAN;
    load = load_of(arena, ride, &facts, &limits, (double)NAN);
    check(isnan(load.zone_s[0]) && isnan(load.above_threshold_s));
    check_near("kJ need no threshold", load.work_kj, 624, 1e-9);

    /* A tenth of the power is not to be trusted. */
    for (size_t t = 0; t < 480; t++) {
        ride->mask[CHANNEL_POWER][t] = MASK_DROPOUT;
    }
    load = load_of(arena, ride, &facts, &limits, (double)NAN);
    check(isnan(load.work_kj));
    check_near("coverage", load.power_coverage, 0.9, 1e-12);
    check_near("hours stay", load.hours, 80.0 / 60.0, 1e-12);
    arena_close(arena);
}

/* ---- a week against those before ---- */

static void test_load__a_jump_is_more_than_a_third_above_the_usual(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    const double ill = (double)NAN;
    const struct {
        const char *name;
        double hours;
        double before[6];
        double usual;
        double line;
        bool is_jump;
    } rows[] = {
        { "usual", 8, { 8, 8, 8, 8, 8, 8 }, 8, 10.4, false },
        { "a third more", 10.6, { 8, 8, 8, 8, 8, 8 }, 8, 10.4, true },
        { "just under 1.3", 10.3, { 8, 8, 8, 8, 8, 8 }, 8, 10.4, false },
        { "much more of little", 4.2, { 3, 3, 3, 3, 3, 3 }, 3, 4.5, false },
        { "the ill week doesn't count", 8, { ill, 8, 8, 8, 8, 2 }, 8, 10.4, false },
        { "back after two weeks away", 8, { ill, ill, 8, 8, 8, 8 }, 8, 10.4, false },
        { "only four count", 8, { 4, 4, 4, 4, 20, 20 }, 4, 5.5, true },
        { "a week of rest counts", 8, { 0, 8, 8, 8, 8, 8 }, 6, 7.8, true },
        { "one week is no habit",
          20,
          { 3, ill, ill, ill, ill, ill },
          (double)NAN,
          (double)NAN,
          false },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct load_jump jump = load_jump(rows[i].hours, rows[i].before, 6, &limits);
        check_near(rows[i].name, jump.usual_hours, rows[i].usual, 1e-12);
        check_near(rows[i].name, jump.line_hours, rows[i].line, 1e-9);
        check_integer(rows[i].name, jump.is_jump, rows[i].is_jump);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_load__ph_11_training_impulse_is_the_published_one),
        cmocka_unit_test(test_load__ph_13_monotony_and_strain_are_the_published_ones),
        cmocka_unit_test(test_load__ph_14_reserve_and_its_zones),
        cmocka_unit_test(test_load__of_a_ride_made_by_hand),
        cmocka_unit_test(test_load__says_nothing_that_the_ride_does_not_support),
        cmocka_unit_test(test_load__a_jump_is_more_than_a_third_above_the_usual),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
