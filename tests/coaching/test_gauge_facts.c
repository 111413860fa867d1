/* What stands on a gauge: the number that decided, and the lines it was set against. */
#include "check.h"

#include "coaching/gauge.h"

#include <math.h>
#include <string.h>

static struct reading hard(enum verdict verdict)
{
    return (struct reading){
        .question = QUESTION_HARD_WORK,
        .verdict = verdict,
        .estimate = 111.0,
        .low = 108.78,
        .high = 113.22,
        .unit = "%",
        .limit_value = 106.0,
        .range_low = 106.0,
        .range_high = 120.0,
        .basis = { .limits = { LIMIT_HARD_LINE_PCT }, .limit_values = { 2.0 }, .n_limits = 1 },
    };
}

static void add_shape(struct arena *arena, struct reading *reading, const char *code, double first,
                      double last, double mean)
{
    struct cause *cause = causes_add(arena, &reading->because, code);
    cause_number(cause, "reps", 2.0);
    cause_number(cause, "first_rep", 3.0);
    cause_number(cause, "last_rep", 4.0);
    cause_number(cause, "first_third_pct", first);
    cause_number(cause, "last_third_pct", last);
    cause_number(cause, "mean_pct", mean);
}

/* A drop inside the range under a verdict that says "no" would contradict it. */
static void test_gauge__hard_work_shows_the_number_that_decided(void **state)
{
    (void)state;
    static const struct {
        enum verdict verdict;
        const char *code;
        double first;
        double last;
        double mean;
        double want;
        const char *what;
    } rows[] = {
        { VERDICT_DONE, "done", 112, 110, 111, 111.0, "% of threshold, mean of the reps" },
        { VERDICT_STARTED_TOO_HARD, "started-too-hard", 124, 97, 110, 97.0,
          "% of threshold, last third of reps 3 and 4" },
        /* Its last third still lay in the range; a later rep failed. */
        { VERDICT_STARTED_TOO_HARD, "started-too-hard", 128, 108, 116, 128.0,
          "% of threshold, first third of reps 3 and 4" },
        { VERDICT_FADED, "faded", 115, 98, 107, 98.0,
          "% of threshold, last third of reps 3 and 4" },
        { VERDICT_BELOW, "below", 100, 99, 99, 99.0, "% of threshold, mean of reps 3 and 4" },
        { VERDICT_ABOVE, "above", 126, 124, 125, 125.0, "% of threshold, mean of reps 3 and 4" },
    };
    struct arena *arena = arena_open();
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct reading reading = hard(rows[i].verdict);
        add_shape(arena, &reading, rows[i].code, rows[i].first, rows[i].last, rows[i].mean);
        struct gauge gauge;
        check(reading_gauge(arena, &reading, &gauge));
        check_near(rows[i].code, gauge.estimate, rows[i].want, 1e-9);
        check_near(rows[i].code, gauge.low, rows[i].want * 0.98, 1e-9);
        check_text(rows[i].code, gauge.what, rows[i].what);
        check_integer(rows[i].code, (int64_t)gauge.n_limits, 2);
        const bool inside = gauge.estimate >= gauge.limits[0] && gauge.estimate <= gauge.limits[1];
        check(inside == (gauge.answer == ANSWER_YES));
    }
    arena_close(arena);
}

static void test_gauge__an_open_range_has_one_line(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct reading reading = hard(VERDICT_DONE);
    reading.range_high = (double)INFINITY;
    struct gauge gauge;
    check(reading_gauge(arena, &reading, &gauge));
    check_integer("lines", (int64_t)gauge.n_limits, 1);
    check_text("left", gauge.sides[0], "below");
    check_text("right", gauge.sides[1], "in the range");
    arena_close(arena);
}

static void test_gauge__work_cut_short_is_shown_in_minutes(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct reading reading = hard(VERDICT_CUT_SHORT);
    struct gauge gauge;
    /* How long was asked isn't known: no scale to put it on. */
    check(!reading_gauge(arena, &reading, &gauge));
    struct cause *cause = causes_add(arena, &reading.because, "minutes");
    cause_number(cause, "asked_s", 960.0);
    cause_number(cause, "below_s", 60.0);
    cause_number(cause, "in_s", 600.0);
    cause_number(cause, "above_s", 0.0);
    check(reading_gauge(arena, &reading, &gauge));
    check_near("ridden", gauge.estimate, 11.0, 1e-9);
    check_near("asked", gauge.limits[0], 16.0, 1e-9);
    check(gauge.bar == NULL && isnan(gauge.low));
    arena_close(arena);
}

static void test_gauge__what_is_no_place_on_a_scale_has_none(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct gauge gauge;
    const struct reading trust = { .question = QUESTION_TRUST, .verdict = VERDICT_USABLE };
    check(!reading_gauge(arena, &trust, &gauge));
    const struct reading described = hard(VERDICT_DESCRIBED);
    check(!reading_gauge(arena, &described, &gauge));
    struct reading kinds = hard(VERDICT_DONE);
    kinds.range_low = (double)NAN;
    kinds.range_high = (double)NAN;
    check(!reading_gauge(arena, &kinds, &gauge));
    arena_close(arena);
}

static void test_gauge__easy_work_shows_seconds_where_seconds_decided(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct reading reading = {
        .question = QUESTION_EASY_WORK,
        .verdict = VERDICT_TOO_HARD,
        .estimate = 9.0,
        .low = (double)NAN,
        .high = (double)NAN,
        .unit = "%",
        .limit_value = 10.0,
        .basis = { .limits = { LIMIT_EASY_HARD_SHARE_PCT },
                   .limit_values = { 20.0 },
                   .n_limits = 1 },
    };
    struct cause *far = causes_add(arena, &reading.because, "far-above");
    cause_number(far, "far_pct", 90.0);
    cause_number(far, "seconds", 420.0);
    cause_number(far, "allowed_s", 300.0);
    struct gauge gauge;
    check(reading_gauge(arena, &reading, &gauge));
    check_near("minutes", gauge.estimate, 7.0, 1e-9);
    check_near("allowed", gauge.limits[0], 5.0, 1e-9);
    reading.because.count = 0;
    check(reading_gauge(arena, &reading, &gauge));
    check_integer("easy and hard", (int64_t)gauge.n_limits, 2);
    check_near("share", gauge.estimate, 9.0, 1e-9);
    arena_close(arena);
}

/* Every scale holds its limits and its estimate on at most so many round steps. */
static void test_gauge__a_scale_holds_limits_and_estimate(void **state)
{
    (void)state;
    for (int k = -40; k <= 400; k++) {
        for (int zero = 0; zero < 2; zero++) {
            struct gauge gauge = { .limits = { 10.0, 12.5 },
                                   .n_limits = k % 2 == 0 ? 1 : 2,
                                   .estimate = k * 0.37,
                                   .low = k * 0.37 - 1000.0,
                                   .high = k * 0.37 + 0.1,
                                   .from_zero = zero == 1 };
            const struct gauge_scale scale = gauge_scale_choose(&gauge, 8);
            const double to = gauge_scale_to(&scale);
            check(scale.steps >= 1 && scale.steps <= 8);
            check(scale.from <= gauge.estimate && gauge.estimate <= to + 1e-9);
            check(scale.from <= gauge.limits[0] && gauge.limits[gauge.n_limits - 1] <= to + 1e-9);
            check(gauge.high <= to + 1e-9);
            check(scale.from > gauge.low);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_gauge__hard_work_shows_the_number_that_decided),
        cmocka_unit_test(test_gauge__an_open_range_has_one_line),
        cmocka_unit_test(test_gauge__work_cut_short_is_shown_in_minutes),
        cmocka_unit_test(test_gauge__what_is_no_place_on_a_scale_has_none),
        cmocka_unit_test(test_gauge__easy_work_shows_seconds_where_seconds_decided),
        cmocka_unit_test(test_gauge__a_scale_holds_limits_and_estimate),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
