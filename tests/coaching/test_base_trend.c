/* tests/coaching/test_base_trend.c: heart rate at base-test power over weeks.  Histories with days
 * drawn as published (sd 4.5 beats, F-30); the verdicts wanted are those of the header. */
#include "check.h"

#include "coaching/base_state.h"
#include "coaching/base_trend.h"
#include "maths/maths.h"
#include "maths/random.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { TODAY = 20500, MOST = 60, TRIALS = 300 };

/* n rides over so many days, heart rate changing by bpm over all of them. */
static struct rider_history history_of(struct arena *arena, struct random *random, size_t n,
                                       int64_t days, double bpm, double sd)
{
    struct rider_history history = { .today = TODAY,
                                     .power_since_day = INT64_MIN,
                                     .heart = { 250.0, 0.33, 75.0, 4.5, true },
                                     .rides = ARENA_ARRAY(arena, struct past_ride, MOST),
                                     .n_rides = n };
    for (size_t i = 0; i < n; i++) {
        const double share = n > 1 ? (double)i / (double)(n - 1) : 0.0;
        struct past_ride *ride = &history.rides[i];
        *ride = past_ride_begin((int64_t)i + 1, TODAY - days + (int64_t)(share * (double)days));
        ride->has_power = true;
        ride->hours = 1.0;
        ride->felt_w = 160.0;
        ride->day_bpm = bpm * (share - 0.5) + sd * random_normal(random);
        ride->effort_0_10 = 3.0;
    }
    return history;
}

static struct base_trend read_it(struct arena *arena, const struct rider_history *history,
                                 enum verdict bests, enum verdict load)
{
    const struct limits limits = limits_default();
    struct reading progress = reading_begin(QUESTION_PROGRESS);
    struct reading week = reading_begin(QUESTION_LOAD);
    struct base_trend out;
    progress.verdict = bests;
    week.verdict = load;
    const struct base_trend_beside beside = { &progress, &week };
    base_trend_read(arena, history, &beside, &limits, &out);
    return out;
}

static void test_base_trend__how_often_it_says_what(void **state)
{
    (void)state;
    static const struct {
        size_t n;
        double bpm;
        int falling[2]; /* % at least, at most */
        int rising[2];
    } rows[] = {
        { 40, 0.0, { 0, 8 }, { 0, 8 } },    { 40, -8.0, { 70, 100 }, { 0, 1 } },
        { 40, -4.0, { 20, 80 }, { 0, 2 } }, { 40, 8.0, { 0, 1 }, { 70, 100 } },
        { 12, 0.0, { 0, 8 }, { 0, 8 } },
    };
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        struct random random = random_begin(r + 1);
        int n[3] = { 0, 0, 0 };
        for (int i = 0; i < TRIALS; i++) {
            struct arena *arena = arena_open();
            const struct rider_history history =
                history_of(arena, &random, rows[r].n, 84, rows[r].bpm, 4.5);
            const enum verdict verdict =
                read_it(arena, &history, VERDICT_BETTER, VERDICT_NO_JUMP).reading.verdict;
            n[0] += verdict == VERDICT_FALLING ? 1 : 0;
            n[1] += verdict == VERDICT_RISING ? 1 : 0;
            n[2] += verdict == VERDICT_FLAT ? 1 : 0;
            arena_close(arena);
        }
        printf("# note: %zu rides in 12 weeks, %+.0f beats: falling %d %%, rising %d %%, flat %d "
               "%%\n",
               rows[r].n, rows[r].bpm, 100 * n[0] / TRIALS, 100 * n[1] / TRIALS,
               100 * n[2] / TRIALS);
        check(100 * n[0] >= rows[r].falling[0] * TRIALS);
        check(100 * n[0] <= rows[r].falling[1] * TRIALS);
        check(100 * n[1] >= rows[r].rising[0] * TRIALS);
        check(100 * n[1] <= rows[r].rising[1] * TRIALS);
    }
}

static void test_base_trend__falls_by_fitness_or_by_fatigue(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct random random = random_begin(7);
    struct rider_history history = history_of(arena, &random, 40, 84, -10.0, 2.0);
    struct base_trend trend = read_it(arena, &history, VERDICT_NO_CLEAR_CHANGE, VERDICT_NO_JUMP);
    check(trend.reading.verdict == VERDICT_FALLING && base_trend_counts(&trend));
    check_near("power", trend.power_w, 175.0, 1e-9);
    check(strstr(trend.reading.text, "Bests hold") != NULL);
    /* not tested: it falls, but counts for nothing yet */
    trend = read_it(arena, &history, VERDICT_NOT_TESTED, VERDICT_NO_JUMP);
    check(trend.reading.verdict == VERDICT_FALLING && !base_trend_counts(&trend));
    /* what else could be behind it */
    trend = read_it(arena, &history, VERDICT_LOWER, VERDICT_NO_JUMP);
    check(trend.reading.verdict == VERDICT_CANNOT_TELL);
    check(causes_find(&trend.reading.cannot_because, "bests-lower") != NULL);
    check(strstr(trend.reading.text, "Fitter or tired? Ask about legs and sleep.") != NULL);
    trend = read_it(arena, &history, VERDICT_BETTER, VERDICT_JUMP);
    check(causes_find(&trend.reading.cannot_because, "careful-week") != NULL);
    for (size_t i = 20; i < 40; i++) {
        history.rides[i].effort_0_10 = 5.0;
    }
    trend = read_it(arena, &history, VERDICT_BETTER, VERDICT_NO_JUMP);
    check(causes_find(&trend.reading.cannot_because, "effort-higher") != NULL);
    check(!base_trend_counts(&trend));
    arena_close(arena);
}

static void test_base_trend__refuses_with_its_reason(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct random random = random_begin(8);
    struct rider_history history = history_of(arena, &random, 7, 84, 0.0, 2.0);
    struct base_trend trend = read_it(arena, &history, VERDICT_BETTER, VERDICT_NO_JUMP);
    check(causes_find(&trend.reading.cannot_because, "few-rides") != NULL);
    history = history_of(arena, &random, 20, 20, 0.0, 2.0);
    trend = read_it(arena, &history, VERDICT_BETTER, VERDICT_NO_JUMP);
    check(causes_find(&trend.reading.cannot_because, "few-rides") != NULL);
    history.n_rides = 0;
    trend = read_it(arena, &history, VERDICT_BETTER, VERDICT_NO_JUMP);
    check(trend.reading.verdict == VERDICT_CANNOT_TELL);
    history.heart.is_known = false;
    trend = read_it(arena, &history, VERDICT_BETTER, VERDICT_NO_JUMP);
    check(causes_find(&trend.reading.cannot_because, "no-response") != NULL);
    /* all rides alike to the last digit */
    history = history_of(arena, &random, 20, 60, 0.0, 0.0);
    trend = read_it(arena, &history, VERDICT_BETTER, VERDICT_NO_JUMP);
    check(trend.reading.verdict == VERDICT_FLAT);
    check(isfinite(trend.reading.estimate));
    arena_close(arena);
}

/* Heart rate rises by a beat a degree, and the weeks got warmer: no rise is left. */
static void test_base_trend__warmth_is_allowed_for(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct random random = random_begin(9);
    struct rider_history history = history_of(arena, &random, 40, 84, 0.0, 1.0);
    for (size_t i = 0; i < 40; i++) {
        struct past_ride *ride = &history.rides[i];
        ride->temperature_c = 15.0 + 0.2 * (double)i + 3.0 * random_normal(&random);
        ride->day_bpm += ride->temperature_c - 19.0;
    }
    struct base_trend trend = read_it(arena, &history, VERDICT_BETTER, VERDICT_NO_JUMP);
    check(trend.reading.verdict == VERDICT_FLAT);
    check_near("a degree",
               cause_value(causes_find(&trend.reading.because, "temperature"), "bpm_per_c"), 1.0,
               0.2);
    for (size_t i = 0; i < 40; i++) {
        history.rides[i].temperature_c = (double)NAN;
    }
    trend = read_it(arena, &history, VERDICT_BETTER, VERDICT_NO_JUMP);
    check(trend.reading.verdict == VERDICT_RISING);
    arena_close(arena);
}

/* A new meter that reads 30 % high would look like a fall. */
static void test_base_trend__a_step_at_a_new_meter_withholds_it(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct random random = random_begin(10);
    struct rider_history history = history_of(arena, &random, 40, 84, 0.0, 3.0);
    for (size_t i = 0; i < 40; i++) {
        history.rides[i].meter = i < 20 ? 1 : 2;
        history.rides[i].day_bpm -= i < 20 ? 0.0 : 0.3 * 160.0 * 0.33;
    }
    const struct base_trend trend = read_it(arena, &history, VERDICT_BETTER, VERDICT_NO_JUMP);
    check(trend.reading.verdict == VERDICT_CANNOT_TELL);
    check(causes_find(&trend.reading.cannot_because, "power-shift") != NULL);
    check(strstr(trend.reading.text, "Ask for a meter check") != NULL);
    arena_close(arena);
}

/* The same on one meter, whose zero offset changed; an offset alone withholds nothing. */
static void test_base_trend__a_step_at_a_new_zero_offset_withholds_it(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    for (int steps = 0; steps < 2; steps++) {
        struct random random = random_begin(10);
        struct rider_history history = history_of(arena, &random, 40, 84, 0.0, 3.0);
        for (size_t i = 0; i < 40; i++) {
            history.rides[i].meter = 1;
            history.rides[i].zero_offset = i < 20 ? 812.0 : 1240.0;
            history.rides[i].day_bpm -= i < 20 || steps == 0 ? 0.0 : 0.3 * 160.0 * 0.33;
        }
        const struct base_trend trend = read_it(arena, &history, VERDICT_BETTER, VERDICT_NO_JUMP);
        const bool is_said = strstr(trend.reading.text, "the meter's zero offset went from 812 to "
                                                        "1240") != NULL;
        check(is_said == (steps == 1));
        check((causes_find(&trend.reading.cannot_because, "power-shift") != NULL) == (steps == 1));
    }
    arena_close(arena);
}

/* From the 21st ride on the heart is that much slower: what a meter does that reads 20 % high, by
 * the gain of 0.33 beats a watt at 160 W. */
static void drop(struct rider_history *history)
{
    for (size_t i = 20; i < history->n_rides; i++) {
        history->rides[i].day_bpm -= 0.2 * 160.0 * 0.33;
    }
}

/* Nothing on file dates it: a step is told from a line by the rides alone. */
static void test_base_trend__a_step_that_nothing_dates_is_no_trend(void **state)
{
    (void)state;
    int n_step = 0;
    int n_line = 0;
    for (uint64_t seed = 1; seed <= TRIALS; seed++) {
        struct arena *arena = arena_open();
        struct random random = random_begin(seed);
        struct rider_history history = history_of(arena, &random, 40, 84, 0.0, 4.5);
        drop(&history);
        const struct base_trend step = read_it(arena, &history, VERDICT_BETTER, VERDICT_NO_JUMP);
        history = history_of(arena, &random, 40, 84, -12.0, 4.5);
        const struct base_trend line = read_it(arena, &history, VERDICT_BETTER, VERDICT_NO_JUMP);
        const struct cause *cause = causes_find(&step.reading.cannot_because, "step-likelier");
        n_step += step.reading.verdict == VERDICT_FALLING ? 1 : 0;
        n_line += line.reading.verdict == VERDICT_FALLING ? 1 : 0;
        if (cause != NULL) {
            check(step.reading.verdict == VERDICT_CANNOT_TELL && !base_trend_counts(&step));
            check(cause_value(cause, "bpm") < -5.0 && cause_value(cause, "odds") > 10.0);
            check(strstr(step.reading.text, "It looks like a step of about ") != NULL);
            check(strstr(step.reading.text, "Ask what changed then: meter, ") != NULL);
        }
        arena_close(arena);
    }
    printf("# note: of %d steps of 11 beats %d are called a fall; of %d falls of 12 beats %d\n",
           TRIALS, n_step, TRIALS, n_line);
    check(n_step * 100 <= 60 * TRIALS); /* without that look nearly all */
    check(n_line * 100 >= 90 * TRIALS);
}

/* A fall of 10 beats that another meter, 13 % low from its middle on, hides: with a step allowed
 * for a line shows, without one none does.  Which of the two it is the rides can't say. */
static void test_base_trend__a_line_that_needs_a_step_is_not_told(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct random random = random_begin(12);
    struct rider_history history = history_of(arena, &random, 40, 84, -10.0, 1.5);
    for (size_t i = 0; i < 40; i++) {
        history.rides[i].meter = i < 20 ? 1 : 2;
        history.rides[i].day_bpm += i < 20 ? 0.0 : 0.13 * 160.0 * 0.33;
    }
    const struct base_trend trend = read_it(arena, &history, VERDICT_BETTER, VERDICT_NO_JUMP);
    check(trend.shift.state == SHIFT_NONE && trend.reading.high < 0.0);
    check(trend.reading.verdict == VERDICT_CANNOT_TELL);
    check(causes_find(&trend.reading.cannot_because, "step-or-trend") != NULL);
    check(strstr(trend.reading.text, "it may be the meter, or the rider.") != NULL);
    arena_close(arena);
}

static void test_base_state__one_pass_and_a_falling_trend_build_it(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct random random = random_begin(11);
    const struct limits limits = limits_default();
    struct rider_history history = history_of(arena, &random, 40, 84, -10.0, 2.0);
    struct past_ride *test = &history.rides[36];
    test->is_base_test = true;
    test->base = (struct past_reading){ true, VERDICT_PASSED, 6.0, 4.0, 8.0, NULL };
    struct base_trend trend = read_it(arena, &history, VERDICT_BETTER, VERDICT_NO_JUMP);
    const struct reading built = base_state_read_with(arena, &history, &trend, &limits);
    check(built.verdict == VERDICT_BUILT);
    check(strstr(built.text, "with bests held") != NULL);
    check(base_state_read(arena, &history, &limits).verdict == VERDICT_TO_CONFIRM);
    trend = read_it(arena, &history, VERDICT_NOT_TESTED, VERDICT_NO_JUMP);
    check(base_state_read_with(arena, &history, &trend, &limits).verdict == VERDICT_TO_CONFIRM);
    arena_close(arena);
}

int main(void)
{
    maths_begin();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_base_trend__how_often_it_says_what),
        cmocka_unit_test(test_base_trend__falls_by_fitness_or_by_fatigue),
        cmocka_unit_test(test_base_trend__refuses_with_its_reason),
        cmocka_unit_test(test_base_trend__warmth_is_allowed_for),
        cmocka_unit_test(test_base_trend__a_step_at_a_new_meter_withholds_it),
        cmocka_unit_test(test_base_trend__a_step_at_a_new_zero_offset_withholds_it),
        cmocka_unit_test(test_base_trend__a_step_that_nothing_dates_is_no_trend),
        cmocka_unit_test(test_base_trend__a_line_that_needs_a_step_is_not_told),
        cmocka_unit_test(test_base_state__one_pass_and_a_falling_trend_build_it),
    };
    return cmocka_run_group_tests_name("base trend", tests, NULL, NULL);
}
