/* tests/maths/test_mixed_model.c: mixed models: data made here, refusals, edges. */
#include "check.h"

#include "maths/maths.h"
#include "maths/mixed_model.h"
#include "maths/random.h"

#include <math.h>
#include <stdio.h>

enum { SUBJECTS = 12, EACH = 6, ROWS = SUBJECTS * EACH, TRIALS = 300 };

struct made {
    double y[ROWS];
    double x[ROWS * 2];
    double ones[ROWS];
    size_t group[ROWS];
    struct mixed_problem problem;
};

/* 140 + level(subject) - 1.5 t + error. */
static void make(struct made *made, struct random *random, double subject_sd, double error_sd)
{
    for (size_t subject = 0; subject < SUBJECTS; subject++) {
        const double level = subject_sd * random_normal(random);
        for (size_t i = 0; i < EACH; i++) {
            const size_t row = subject * EACH + i;
            made->x[2 * row] = made->ones[row] = 1.0;
            made->x[2 * row + 1] = (double)i;
            made->group[row] = subject;
            made->y[row] = 140.0 + level - 1.5 * (double)i + error_sd * random_normal(random);
        }
    }
    made->problem = (struct mixed_problem){ .n = ROWS,
                                            .k = 2,
                                            .q = 1,
                                            .groups = SUBJECTS,
                                            .y = made->y,
                                            .x = made->x,
                                            .z = made->ones,
                                            .group = made->group };
}

static void test_mixed_model__nine_in_ten_intervals_hold_the_truth(void **state)
{
    (void)state;
    struct random random = random_begin(11);
    struct made made;
    size_t level = 0;
    size_t slope = 0;
    double spread = 0.0;
    for (int trial = 0; trial < TRIALS; trial++) {
        struct arena *arena = arena_open();
        struct mixed_fit fit;
        make(&made, &random, 8.0, 4.0);
        check(mixed_model_fit(arena, &made.problem, &fit) == MIXED_FITTED);
        level += fit.low[0] <= 140.0 && 140.0 <= fit.high[0] ? 1 : 0;
        slope += fit.low[1] <= -1.5 && -1.5 <= fit.high[1] ? 1 : 0;
        spread += fit.random[0][0] / TRIALS;
        arena_close(arena);
    }
    printf("# note: level held by %.1f %%, slope by %.1f %% of 90 %% intervals; subjects' variance "
           "%.1f of 64\n",
           100.0 * (double)level / TRIALS, 100.0 * (double)slope / TRIALS, spread);
    check(level > TRIALS * 85 / 100 && level < TRIALS * 95 / 100);
    check(slope > TRIALS * 85 / 100 && slope < TRIALS * 95 / 100);
    check_close("REML isn't biased", spread, 64.0, 0.1);
}

/* Balanced with one row mean each: the classical analysis of variance gives the same numbers. */
static void test_mixed_model__balanced_data_give_the_analysis_of_variance(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct random random = random_begin(3);
    struct made made;
    struct mixed_fit fit;
    make(&made, &random, 6.0, 5.0);
    made.problem.k = 1;
    made.problem.x = made.ones;
    check(mixed_model_fit(arena, &made.problem, &fit) == MIXED_FITTED);
    double within = 0.0;
    double between = 0.0;
    double grand = 0.0;
    double means[SUBJECTS] = { 0 };
    for (size_t row = 0; row < ROWS; row++) {
        means[row / EACH] += made.y[row] / EACH;
        grand += made.y[row] / ROWS;
    }
    for (size_t row = 0; row < ROWS; row++) {
        within += pow(made.y[row] - means[row / EACH], 2) / (ROWS - SUBJECTS);
    }
    for (size_t i = 0; i < SUBJECTS; i++) {
        between += EACH * pow(means[i] - grand, 2) / (SUBJECTS - 1);
    }
    check_close("mean", fit.fixed[0], grand, 1e-10);
    check_close("residual", fit.residual, within, 1e-6);
    check_close("subjects", fit.random[0][0], (between - within) / EACH, 1e-6);
    check_near("freedom", fit.freedom[0], SUBJECTS - 1, 1e-3);
    arena_close(arena);
}

static void test_mixed_model__subjects_that_do_not_differ_are_an_edge(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct random random = random_begin(8);
    struct made made;
    struct mixed_fit fit;
    make(&made, &random, 0.0, 4.0);
    /* Each subject's mean is taken away: less between them than chance brings. */
    for (size_t subject = 0; subject < SUBJECTS; subject++) {
        double mean = 0.0;
        for (size_t i = 0; i < EACH; i++) {
            mean += (made.y[subject * EACH + i] - 140.0) / EACH;
        }
        for (size_t i = 0; i < EACH; i++) {
            made.y[subject * EACH + i] -= mean;
        }
    }
    check(mixed_model_fit(arena, &made.problem, &fit) == MIXED_FITTED);
    check(fit.at_edge);
    check_near("their variance", fit.random[0][0], 0.0, 1e-6);
    check(isfinite(fit.se[1]) && isfinite(fit.fixed[1]));
    arena_close(arena);
}

static void test_mixed_model__refuses_with_its_reason(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct random random = random_begin(9);
    struct made made;
    struct mixed_fit fit;
    make(&made, &random, 5.0, 4.0);
    made.problem.n = 2 * EACH;
    check(mixed_model_fit(arena, &made.problem, &fit) == MIXED_TOO_FEW);
    made.problem.n = ROWS;
    for (size_t row = 0; row < ROWS; row++) {
        made.x[2 * row + 1] = 3.0;
    }
    check(mixed_model_fit(arena, &made.problem, &fit) == MIXED_NOT_TOLD);
    make(&made, &random, 5.0, 4.0);
    for (size_t row = 0; row < ROWS; row++) {
        made.y[row] = 100.0; /* nothing to fit: no spread at all */
    }
    check(mixed_model_fit(arena, &made.problem, &fit) == MIXED_NOT_TOLD);
    double low;
    double high;
    check(!mixed_model_profile(arena, &made.problem, MIXED_RESIDUAL_SD, 0, 0.9, &low, &high));
    check(!mixed_model_profile(arena, &made.problem, MIXED_COEFFICIENT, 7, 0.9, &low, &high));
    arena_close(arena);
}

static void test_mixed_model__rows_with_a_gap_are_left_out(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct random random = random_begin(12);
    struct made made;
    struct mixed_fit whole;
    struct mixed_fit gaps;
    make(&made, &random, 5.0, 4.0);
    made.problem.n = ROWS - 1;
    check(mixed_model_fit(arena, &made.problem, &whole) == MIXED_FITTED);
    made.problem.n = ROWS;
    made.y[ROWS - 1] = (double)NAN;
    check(mixed_model_fit(arena, &made.problem, &gaps) == MIXED_FITTED);
    check_near("the same fit", gaps.fixed[1], whole.fixed[1], 0.0);
    check_integer("rows", (int64_t)gaps.n, ROWS - 1);
    arena_close(arena);
}

int main(void)
{
    maths_begin();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_mixed_model__nine_in_ten_intervals_hold_the_truth),
        cmocka_unit_test(test_mixed_model__balanced_data_give_the_analysis_of_variance),
        cmocka_unit_test(test_mixed_model__subjects_that_do_not_differ_are_an_edge),
        cmocka_unit_test(test_mixed_model__refuses_with_its_reason),
        cmocka_unit_test(test_mixed_model__rows_with_a_gap_are_left_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
