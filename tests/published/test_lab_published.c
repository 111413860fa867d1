/* tests/published/test_lab_published.c: LB-01 and LB-03 of the shared checks, on people in a
 * laboratory: heart rate as a first-order answer to load (Mongin, Uribe and Courvoisier, data of
 * the R package doremi 1.0.0; fits by scipy 1.10.1 in lab/cardio_fit_expected.csv), and its line on
 * power at each stage of a test (Sylta et al. 2016, Med Sci Sports Exerc 48:2165). */
#include "check.h"

#include "maths/least_squares.h"
#include "maths/maths.h"
#include "maths/regression.h"
#include "maths/summary.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { MOST = 400 };

struct person {
    double time_s[MOST];
    double load_w[MOST];
    double heart_bpm[MOST];
    size_t n;
};

static void read_person(const struct table *table, const double id[], double wanted,
                        const double *columns[3], struct person *out)
{
    out->n = 0;
    for (size_t i = 0; i < table->rows; i++) {
        if (fabs(id[i] - wanted) < 0.5) {
            check(out->n < MOST);
            out->time_s[out->n] = columns[0][i];
            out->load_w[out->n] = columns[1][i];
            out->heart_bpm[out->n++] = columns[2][i];
        }
    }
}

/* ln tau, gain, what it makes for without load, and where it begins; load holds to the next
 * sample. */
static bool first_order(const double p[], void *with, double value[], double slope[])
{
    const struct person *person = with;
    double heart = p[3];
    (void)slope;
    for (size_t i = 0; i < person->n; i++) {
        if (i > 0) {
            const double passed = person->time_s[i] - person->time_s[i - 1];
            const double fade = exp(-passed / exp(p[0]));
            heart = heart * fade + (p[2] + p[1] * person->load_w[i - 1]) * (1.0 - fade);
        }
        value[i] = heart;
    }
    return true;
}

static void test_lb_01__first_order_answers_of_people_on_an_ergometer(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct table data = check_table(arena, "checks/lab/cardio_ergometer.csv");
    const struct table want = check_table(arena, "checks/lab/cardio_fit_expected.csv");
    const double *columns[3] = { check_column(arena, &data, "time_s"),
                                 check_column(arena, &data, "load_w"),
                                 check_column(arena, &data, "hr_bpm") };
    const double *id = check_column(arena, &data, "id");
    const double *tau = check_column(arena, &want, "tau_s");
    const double *gain = check_column(arena, &want, "gain_bpm_per_w");
    const double *rss = check_column(arena, &want, "rss");
    const double *at_bound = check_column(arena, &want, "at_bound");
    double found[32];
    size_t n_fitted = 0;
    for (size_t i = 0; i < want.rows; i++) {
        static struct person person;
        read_person(&data, id, check_column(arena, &want, "id")[i], columns, &person);
        check(person.n > 10);
        const double start[4] = { log(60.0), 0.4, 85.0, person.heart_bpm[0] };
        const struct least_squares_problem problem = { .model = first_order,
                                                       .with = &person,
                                                       .without_slope = true,
                                                       .n = person.n,
                                                       .k = 4,
                                                       .y = person.heart_bpm,
                                                       .start = start };
        struct least_squares_fit fit;
        if (at_bound[i] > 0.5) {
            continue; /* no answer within what was searched */
        }
        check_text("end", least_squares_end_name(least_squares_fit(arena, &problem, &fit)),
                   "fitted");
        const char *who = arena_format(arena, "person %zu", i + 1);
        check_close(who, exp(fit.parameter[0]), tau[i], 1e-3);
        check_close(who, fit.parameter[1], gain[i], 1e-3);
        check_close(who, fit.residual_squares, rss[i], 1e-6);
        found[n_fitted++] = exp(fit.parameter[0]);
    }
    check(n_fitted >= 12);
    printf("# note: %zu of %zu people fitted, the first with %.1f s\n", n_fitted, want.rows,
           found[0]);
    arena_close(arena);
}

static void test_lb_03__heart_rate_is_a_line_on_power(void **state)
{
    (void)state;
    static const double WATTS[] = { 125, 175, 225, 250, 275, 300, 325, 350, 375 };
    struct arena *arena = arena_open();
    const struct table data = check_table(arena, "checks/lab/cycling_training_study.csv");
    const double *t = check_column(arena, &data, "t");
    double sum = 0.0;
    double sum_intercepts = 0.0;
    double slopes[32];
    size_t n = 0;
    for (size_t i = 0; i < data.rows; i++) {
        if (t[i] > 0.5) {
            continue;
        }
        double x[COUNT(WATTS)];
        double y[COUNT(WATTS)];
        for (size_t j = 0; j < COUNT(WATTS); j++) {
            const char *name = arena_format(arena, "hr_%.0f", WATTS[j]);
            x[j] = WATTS[j];
            y[j] = check_column(arena, &data, name)[i];
        }
        const struct regression_line line = regression_fit_line(x, y, COUNT(WATTS));
        if (n == 0) {
            check_near("rider 1, at no power", line.intercept, 59.775862, 1e-6);
            check_near("rider 1, a watt", line.slope, 0.3734483, 1e-7);
        }
        slopes[n++] = line.slope;
        sum += line.slope;
        sum_intercepts += line.intercept;
    }
    check_integer("riders", (int64_t)n, 20);
    check_near("mean slope", sum / 20.0, 0.3135533, 1e-7);
    check_near("mean at no power", sum_intercepts / 20.0, 76.408714, 1e-6);
    double squares = 0.0;
    for (size_t i = 0; i < n; i++) {
        squares += pow(slopes[i] - sum / 20.0, 2);
    }
    check_near("spread of slopes", sqrt(squares / 19.0), 0.0504284, 1e-7);
    arena_close(arena);
}

int main(void)
{
    maths_begin();
    if (!check_need_shared()) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_lb_01__first_order_answers_of_people_on_an_ergometer),
        cmocka_unit_test(test_lb_03__heart_rate_is_a_line_on_power),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
