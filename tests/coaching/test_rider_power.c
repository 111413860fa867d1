/* tests/coaching/test_rider_power.c: critical power from a history of rides. */
#include "check.h"

#include "coaching/rider_power.h"
#include "coaching/words/power_words.h"

#include <math.h>
#include <string.h>

enum { TODAY = 20000, RIDES = 4 };

static double model_w(double duration_s)
{
    return 240.0 + 18000.0 / duration_s;
}

/* Rides a week apart, each with one all-out effort of one duration. */
static void begin(struct past_ride rides[RIDES], struct rider_history *history)
{
    static const int32_t DURATIONS[RIDES] = { 60, 300, 600, 1200 };
    for (size_t i = 0; i < RIDES; i++) {
        rides[i] = past_ride_begin((int64_t)i + 1, TODAY - 28 + 7 * (int64_t)i);
        rides[i].is_ride = true;
        rides[i].has_power = true;
        rides[i].meter = 5;
        rides[i].efforts[0] = (struct effort){ .duration_s = DURATIONS[i],
                                               .power_w = model_w(DURATIONS[i]),
                                               .start_s = 900,
                                               .evidence = EFFORT_HEART };
        rides[i].n_efforts = 1;
    }
    *history = (struct rider_history){ .today = TODAY, .rides = rides, .n_rides = RIDES };
}

static void test_rider_power__efforts_of_the_weeks_give_critical_power(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct past_ride rides[RIDES];
    struct rider_history history;
    struct rider_power power;
    begin(rides, &history);
    rider_power_read(arena, &history, &limits, &power);
    check_text("end", duration_end_name(power.curve.end), "known");
    check_integer("used", (int64_t)power.curve.n, 3);
    check_integer("chosen", (int64_t)power.n_efforts, 4);
    check_near("CP", power.curve.cp_w, 240.0, 0.01);
    check_text("no peak",
               words_form_lack(arena, DURATION_PEAK, &power.curve.forms[DURATION_PEAK], &limits),
               "The form \"time against power, with a highest power\" isn't fitted: it takes 5 "
               "all-out efforts of different length, one of them of 1 min or less, and there are "
               "4.");
    check(words_form_lack(arena, DURATION_WORK, &power.curve.forms[DURATION_WORK], &limits) ==
          NULL);
    check(strstr(words_critical_power(arena, &power, &limits), "Critical power about 240 W") !=
          NULL);
    arena_close(arena);
}

static void test_rider_power__what_does_not_count_is_left_out(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct past_ride rides[RIDES];
    struct rider_history history;
    struct rider_power power;

    begin(rides, &history);
    rides[1].meter = 9;
    rider_power_read(arena, &history, &limits, &power);
    check_text("another meter", duration_end_name(power.curve.end), "too-few");
    check_integer("left out", (int64_t)power.n_other_meter, 1);

    begin(rides, &history);
    rides[2].spoiled = true;
    rider_power_read(arena, &history, &limits, &power);
    check_text("spoiled", duration_end_name(power.curve.end), "too-few");

    begin(rides, &history);
    rides[3].efforts[0].evidence = 0;
    rider_power_read(arena, &history, &limits, &power);
    check_text("not all-out", duration_end_name(power.curve.end), "too-few");

    begin(rides, &history);
    rides[1].day = TODAY - 60;
    rides[0].day = TODAY - 61;
    rider_power_read(arena, &history, &limits, &power);
    check_text("too long ago", duration_end_name(power.curve.end), "too-few");
    const char *words = words_critical_power(arena, &power, &limits);
    check(strstr(words, "Can't tell: 2 efforts") != NULL && strstr(words, "maximal") != NULL);
    arena_close(arena);
}

static void test_rider_power__no_rides_no_numbers(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct rider_history history = { .today = TODAY };
    struct rider_power power;
    rider_power_read(arena, &history, &limits, &power);
    check(power.curve.end == DURATION_TOO_FEW && isnan(power.curve.cp_w));
    arena_close(arena);
}

/* Every end has words of its own, and none shows a number that isn't there. */
static void test_rider_power__words_for_every_end(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct rider_power power = { .curve = { .longest_s = 600, .shortest_s = 300 } };
    for (int end = DURATION_TOO_FEW; end <= DURATION_NOT_TOLD; end++) {
        power.curve.end = (enum duration_end)end;
        const char *words = words_critical_power(arena, &power, &limits);
        check(strncmp(words, "Can't tell: ", 12) == 0 && strstr(words, "nan") == NULL);
    }
    for (int lack = DURATION_LACKS_EFFORTS; lack <= DURATION_LACKS_BEND; lack++) {
        const struct duration_fit fit = { .lack = (enum duration_lack)lack, .n = 6 };
        const char *words = words_form_lack(arena, DURATION_PEAK, &fit, &limits);
        check(strstr(words, "isn't fitted: ") != NULL && words[strlen(words) - 1] == '.');
    }
    struct heart_response response = { .end = RESPONSE_TOO_FEW };
    for (int end = RESPONSE_TOO_FEW; end <= RESPONSE_ABSURD; end++) {
        response.end = (enum response_end)end;
        const char *words = words_heart_response(arena, &response, &limits);
        check(strncmp(words, "Can't tell what is usual: ", 26) == 0);
    }
    arena_close(arena);
}

/* An effort that nothing else speaks for counts if the others' numbers leave next to nothing, and
 * what it says of itself doesn't make it so. */
static void test_rider_power__w_prime_nearly_spent_is_evidence(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct past_ride rides[RIDES + 1];
    struct rider_history history;
    struct rider_power power;
    struct past_ride *more = &rides[RIDES];
    begin(rides, &history);
    history.n_rides = RIDES + 1;
    *more = past_ride_begin(9, TODAY - 1);
    more->is_ride = true;
    more->has_power = true;
    more->meter = 5;
    more->n_efforts = 1;
    more->efforts[0] =
        (struct effort){ .duration_s = 300, .power_w = model_w(300) + 1.0, .start_s = 60 };
    rider_power_read(arena, &history, &limits, &power);
    check_integer("spent", (int64_t)power.n_spent, 1);
    check_near("CP", power.curve.cp_w, 240.0, 2.0);
    /* 0.8 of W' spent: not enough. */
    more->efforts[0].power_w = 240.0 + 0.8 * 18000.0 / 300.0;
    rider_power_read(arena, &history, &limits, &power);
    check_integer("not spent", (int64_t)power.n_spent, 0);
    /* With too few others nothing is said, however hard it was. */
    more->efforts[0].power_w = 2.0 * model_w(300);
    rides[2].efforts[0].evidence = 0;
    rides[3].efforts[0].evidence = 0;
    rider_power_read(arena, &history, &limits, &power);
    check_integer("others tell nothing", (int64_t)power.n_spent, 0);
    arena_close(arena);
}

static void test_rider_power__marked_tests_count_at_their_own_length(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct past_ride rides[RIDES];
    struct rider_history history;
    struct rider_power power;
    struct duration_effort efforts[3];
    static const double DURATIONS[] = { 180, 420, 720 };
    begin(rides, &history);
    for (size_t i = 0; i < RIDES; i++) {
        rides[i].n_efforts = 0;
    }
    for (size_t i = 0; i < 3; i++) {
        efforts[i] = (struct duration_effort){ .duration_s = DURATIONS[i],
                                               .mean_w = model_w(DURATIONS[i]),
                                               .ride = 2,
                                               .start_s = 1000 + 2000 * (int32_t)i,
                                               .day = TODAY - 21,
                                               .is_maximal = true,
                                               .said_by = DURATION_SAID_TEST };
    }
    const struct power_tests tests = { .efforts = efforts, .n = 3, .most = 3 };
    rider_power_read_with(arena, &history, &tests, &limits, &power);
    check_text("end", duration_end_name(power.curve.end), "known");
    check_near("CP", power.curve.cp_w, 240.0, 0.01);
    check_near("W'", power.curve.w_prime_j, 18000.0, 5.0);
    /* Ridden, and not all-out: another reason than none ridden. */
    efforts[0].is_maximal = efforts[1].is_maximal = efforts[2].is_maximal = false;
    rider_power_read_with(arena, &history, &tests, &limits, &power);
    check_text("held back", duration_end_name(power.curve.end), "not-maximal");
    check_integer("held back", (int64_t)power.n_held_back, 3);
    check(strstr(words_critical_power(arena, &power, &limits), "3 more in rides marked as tests") !=
          NULL);
    efforts[0].is_maximal = efforts[1].is_maximal = efforts[2].is_maximal = true;
    rides[1].meter = 9;
    rider_power_read_with(arena, &history, &tests, &limits, &power);
    check_text("another meter", duration_end_name(power.curve.end), "too-few");
    arena_close(arena);
}

static void test_rider_power__the_all_out_test_stands_in(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct past_ride rides[RIDES];
    struct rider_history history;
    struct rider_power power;
    const struct power_tests tests = { .all_out = {
                                           true, 2, TODAY - 21, { 240, 230, 250 }, 15000 } };
    begin(rides, &history);
    rider_power_read_with(arena, &history, &tests, &limits, &power);
    check(!power.is_all_out); /* efforts tell more */
    for (size_t i = 0; i < RIDES; i++) {
        rides[i].n_efforts = 0;
    }
    rider_power_read_with(arena, &history, &tests, &limits, &power);
    check(power.is_all_out && power.curve.end == DURATION_KNOWN);
    check_near("CP", power.curve.cp_w, 240.0, 1e-9);
    check_near("a watt more is 150 J less", power.curve.w_prime_low_j, 13500.0, 1e-9);
    check(strstr(words_critical_power(arena, &power, &limits), "3-minute all-out test") != NULL);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_rider_power__efforts_of_the_weeks_give_critical_power),
        cmocka_unit_test(test_rider_power__what_does_not_count_is_left_out),
        cmocka_unit_test(test_rider_power__w_prime_nearly_spent_is_evidence),
        cmocka_unit_test(test_rider_power__marked_tests_count_at_their_own_length),
        cmocka_unit_test(test_rider_power__the_all_out_test_stands_in),
        cmocka_unit_test(test_rider_power__no_rides_no_numbers),
        cmocka_unit_test(test_rider_power__words_for_every_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
