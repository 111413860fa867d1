/* tests/maths/test_least_squares.c: what the fit promises beyond published values: weights, gaps,
 * bounds, and a reason instead of a wrong number. */
#include "check.h"

#include "maths/least_squares.h"
#include "maths/maths.h"
#include "maths/random.h"
#include "maths/regression.h"

#include <math.h>
#include <string.h>

enum { POINTS = 60 };

struct data {
    double x[POINTS];
    double y[POINTS];
    double weight[POINTS];
};

/* y = b0 + b1 x */
static bool line(const double b[], void *with, double value[], double slope[])
{
    const struct data *data = with;
    for (size_t i = 0; i < POINTS; i++) {
        if (value != NULL) {
            value[i] = b[0] + b[1] * data->x[i];
        }
        if (slope != NULL) {
            slope[2 * i] = 1.0;
            slope[2 * i + 1] = data->x[i];
        }
    }
    return true;
}

/* y = b0 + b1 exp(-x / b2); no answer for b2 <= 0 */
static bool decay(const double b[], void *with, double value[], double slope[])
{
    const struct data *data = with;
    if (b[2] <= 0) {
        return false;
    }
    for (size_t i = 0; i < POINTS; i++) {
        const double e = exp(-data->x[i] / b[2]);
        if (value != NULL) {
            value[i] = b[0] + b[1] * e;
        }
        if (slope != NULL) {
            slope[3 * i] = 1.0;
            slope[3 * i + 1] = e;
            slope[3 * i + 2] = b[1] * e * data->x[i] / (b[2] * b[2]);
        }
    }
    return true;
}

/* y = b0 + b1: no data tell these two apart */
static bool twins(const double b[], void *with, double value[], double slope[])
{
    (void)with;
    for (size_t i = 0; i < POINTS; i++) {
        if (value != NULL) {
            value[i] = b[0] + b[1];
        }
        if (slope != NULL) {
            slope[2 * i] = 1.0;
            slope[2 * i + 1] = 1.0;
        }
    }
    return true;
}

static struct data make_data(double sd)
{
    struct random random = random_begin(7);
    struct data data = { 0 };
    for (size_t i = 0; i < POINTS; i++) {
        data.x[i] = (double)i;
        data.y[i] = 140.0 - 50.0 * exp(-data.x[i] / 12.0) + sd * random_normal(&random);
        data.weight[i] = 1.0 + (double)(i % 4);
    }
    return data;
}

static enum least_squares_end fit_it(const struct least_squares_problem *problem,
                                     struct least_squares_fit *fit)
{
    struct arena *arena = arena_open();
    const enum least_squares_end end = least_squares_fit(arena, problem, fit);
    arena_close(arena);
    return end;
}

static struct least_squares_problem decay_problem(struct data *data, const double start[])
{
    return (struct least_squares_problem){
        .model = decay, .with = data, .n = POINTS, .k = 3, .y = data->y, .start = start
    };
}

/* The outside answer: the linear regression of this room, checked against NIST's Norris and
 * Longley, on rows scaled by the root of their weight. */
static void test_least_squares__a_weighted_line_is_the_linear_regression(void **state)
{
    (void)state;
    struct data data = make_data(3.0);
    double rows[2 * POINTS];
    double y[POINTS];
    double work[3 * POINTS];
    data.y[10] = (double)NAN;
    data.weight[20] = 0.0;
    size_t n = 0;
    for (size_t i = 0; i < POINTS; i++) {
        if (i != 10 && i != 20) {
            const double root = sqrt(data.weight[i]);
            rows[2 * n] = root;
            rows[2 * n + 1] = root * data.x[i];
            y[n++] = root * data.y[i];
        }
    }
    struct regression want;
    check(regression_fit(rows, y, n, 2, work, &want));
    const struct least_squares_problem problem = { .model = line,
                                                   .with = &data,
                                                   .n = POINTS,
                                                   .k = 2,
                                                   .y = data.y,
                                                   .weight = data.weight,
                                                   .start = (double[]){ 0.0, 1.0 } };
    struct least_squares_fit fit;
    check(fit_it(&problem, &fit) == LEAST_SQUARES_FITTED);
    check_integer("points", (int64_t)fit.n, POINTS - 2);
    for (size_t j = 0; j < 2; j++) {
        check_close("parameter", fit.parameter[j], want.coefficient[j], 1e-10);
        check_close("its error", fit.se[j], want.se[j], 1e-10);
        check_close("covariance", fit.covariance[0][j], want.covariance[0][j], 1e-9);
    }
    check_close("residual squares", fit.residual_squares, want.residual_squares, 1e-10);
    check_close("residual sd", fit.residual_sd, want.residual_sd, 1e-10);
}

static void test_least_squares__known_variances_are_not_scaled_by_the_scatter(void **state)
{
    (void)state;
    struct data data = make_data(3.0);
    for (size_t i = 0; i < POINTS; i++) {
        data.weight[i] = 0.25;
    }
    struct least_squares_problem problem = { .model = line,
                                             .with = &data,
                                             .n = POINTS,
                                             .k = 2,
                                             .y = data.y,
                                             .weight = data.weight,
                                             .start = (double[]){ 0.0, 1.0 } };
    struct least_squares_fit scaled;
    struct least_squares_fit known;
    check(fit_it(&problem, &scaled) == LEAST_SQUARES_FITTED);
    problem.variance_known = true;
    check(fit_it(&problem, &known) == LEAST_SQUARES_FITTED);
    check_close("slope's error", known.se[1], scaled.se[1] / scaled.residual_sd, 1e-10);
    /* By hand: sd 2, x = 0..59: 2 / root(sum (x - 29.5)^2), the sum 17995. */
    check_close("slope's error by hand", known.se[1], 2.0 / sqrt(17995.0), 1e-9);
}

static void test_least_squares__bounds_that_do_not_bite_change_nothing(void **state)
{
    (void)state;
    struct data data = make_data(1.0);
    const double start[] = { 120.0, -20.0, 30.0 };
    struct least_squares_problem problem = decay_problem(&data, start);
    struct least_squares_fit free;
    struct least_squares_fit bound;
    check(fit_it(&problem, &free) == LEAST_SQUARES_FITTED);
    problem.low = (double[]){ 0.0, -(double)INFINITY, 1.0 };
    problem.high = (double[]){ (double)INFINITY, 0.0, 100.0 };
    check(fit_it(&problem, &bound) == LEAST_SQUARES_FITTED);
    for (size_t j = 0; j < 3; j++) {
        check(!bound.at_bound[j]);
        check_close("parameter", bound.parameter[j], free.parameter[j], 1e-7);
        check_close("its error", bound.se[j], free.se[j], 1e-6);
    }
}

/* Held at 8 s the model is linear in the other two: the linear regression is the outside answer. */
static void test_least_squares__on_a_bound_the_others_are_as_if_it_were_known(void **state)
{
    (void)state;
    struct data data = make_data(1.0);
    double rows[2 * POINTS];
    double work[3 * POINTS];
    for (size_t i = 0; i < POINTS; i++) {
        rows[2 * i] = 1.0;
        rows[2 * i + 1] = exp(-data.x[i] / 8.0);
    }
    struct regression want;
    check(regression_fit(rows, data.y, POINTS, 2, work, &want));
    const double start[] = { 120.0, -20.0, 4.0 };
    for (int both = 0; both < 2; both++) {
        struct least_squares_problem problem = decay_problem(&data, start);
        problem.low = both != 0 ? (double[]){ 0.0, -500.0, 1.0 } : NULL;
        problem.high = (double[]){ 500.0, 500.0, 8.0 };
        struct least_squares_fit fit;
        check(fit_it(&problem, &fit) == LEAST_SQUARES_FITTED);
        check(fit.at_bound[2] && !fit.at_bound[0] && !fit.at_bound[1]);
        check(isnan(fit.se[2]));
        for (size_t j = 0; j < 2; j++) {
            check_close("parameter", fit.parameter[j], want.coefficient[j], 1e-6);
            check_close("its error", fit.se[j], want.se[j], 1e-5);
        }
    }
}

static void test_least_squares__a_model_that_fits_exactly_is_fitted(void **state)
{
    (void)state;
    struct data data = make_data(0.0);
    const double start[] = { 100.0, -10.0, 40.0 };
    const struct least_squares_problem problem = decay_problem(&data, start);
    struct least_squares_fit fit;
    check(fit_it(&problem, &fit) == LEAST_SQUARES_FITTED);
    check_close("level", fit.parameter[0], 140.0, 1e-9);
    check_close("size", fit.parameter[1], -50.0, 1e-9);
    check_close("constant", fit.parameter[2], 12.0, 1e-9);
}

static void test_least_squares__as_many_points_as_parameters_leave_no_error(void **state)
{
    (void)state;
    struct data data = make_data(0.0);
    for (size_t i = 2; i < POINTS; i++) {
        data.y[i] = (double)NAN;
    }
    const struct least_squares_problem problem = {
        .model = line, .with = &data, .n = POINTS, .k = 2, .y = data.y, .start = (double[]){ 1, 1 }
    };
    struct least_squares_fit fit;
    check(fit_it(&problem, &fit) == LEAST_SQUARES_FITTED);
    check(isnan(fit.se[0]) && isnan(fit.residual_sd));
}

static void test_least_squares__what_cannot_be_fitted_has_its_reason(void **state)
{
    (void)state;
    struct data data = make_data(1.0);
    struct data flat = data;
    struct data gone = data;
    for (size_t i = 0; i < POINTS; i++) {
        flat.y[i] = 140.0 + (double)(i % 2);
        gone.y[i] = i < 2 ? data.y[i] : (double)NAN;
    }
    const double good[] = { 120.0, -20.0, 30.0 };
    const double bad[] = { 120.0, -20.0, -1.0 };
    const double infinite[] = { (double)INFINITY, -20.0, 30.0 };
    const double edge[] = { 120.0, -20.0, 30.0 };
    struct least_squares_problem on_edge = decay_problem(&data, edge);
    on_edge.low = (double[]){ 0.0, -(double)INFINITY, 30.0 };
    struct least_squares_problem hurried = decay_problem(&data, good);
    hurried.most_steps = 1;
    const struct {
        const char *want;
        struct least_squares_problem problem;
    } rows[] = {
        { "too-few", decay_problem(&gone, good) },
        { "bad-start", decay_problem(&data, bad) },
        { "bad-start", decay_problem(&data, infinite) },
        { "bad-start", on_edge },
        { "no-end", hurried },
        { "not-told",
          { .model = twins, .with = &data, .n = POINTS, .k = 2, .y = data.y, .start = good } },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct least_squares_fit fit = { .n = 12345 };
        check_text("reason", least_squares_end_name(fit_it(&rows[i].problem, &fit)), rows[i].want);
        check_integer("left alone", (int64_t)fit.n, 12345);
    }
    /* No decay is in these: whatever is found, it is no number with a small error. */
    struct least_squares_fit fit = { 0 };
    const struct least_squares_problem none = decay_problem(&flat, good);
    if (fit_it(&none, &fit) == LEAST_SQUARES_FITTED) {
        check(!(fabs(fit.parameter[1]) > 2.0 * fit.se[1]));
    }
}

int main(void)
{
    maths_begin();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_least_squares__a_weighted_line_is_the_linear_regression),
        cmocka_unit_test(test_least_squares__known_variances_are_not_scaled_by_the_scatter),
        cmocka_unit_test(test_least_squares__bounds_that_do_not_bite_change_nothing),
        cmocka_unit_test(test_least_squares__on_a_bound_the_others_are_as_if_it_were_known),
        cmocka_unit_test(test_least_squares__a_model_that_fits_exactly_is_fitted),
        cmocka_unit_test(test_least_squares__as_many_points_as_parameters_leave_no_error),
        cmocka_unit_test(test_least_squares__what_cannot_be_fitted_has_its_reason),
    };
    return cmocka_run_group_tests_name("least_squares", tests, NULL, NULL);
}
