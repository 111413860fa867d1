/* tests/published/test_least_squares_nist.c: ST-07 to ST-10 of the shared checks: four nonlinear
 * models.  NIST/ITL Statistical Reference Datasets, nonlinear, Misra1a, Eckerle4, DanWood, MGH17:
 * certified values and standard deviations, from the two starts that come with them. */
#include "check.h"

#include "maths/least_squares.h"
#include "maths/maths.h"

#include <math.h>
#include <stdio.h>

struct data {
    const double *x;
    const double *y;
    size_t n;
};

/* y = b1 (1 - exp(-b2 x)) */
static bool misra1a(const double b[], void *with, double value[], double slope[])
{
    const struct data *data = with;
    for (size_t i = 0; i < data->n; i++) {
        const double e = exp(-b[1] * data->x[i]);
        if (value != NULL) {
            value[i] = b[0] * (1.0 - e);
        }
        if (slope != NULL) {
            slope[2 * i] = 1.0 - e;
            slope[2 * i + 1] = b[0] * data->x[i] * e;
        }
    }
    return true;
}

/* y = (b1 / b2) exp(-0.5 ((x - b3) / b2)^2) */
static bool eckerle4(const double b[], void *with, double value[], double slope[])
{
    const struct data *data = with;
    for (size_t i = 0; i < data->n; i++) {
        const double z = (data->x[i] - b[2]) / b[1];
        const double e = exp(-0.5 * z * z);
        if (value != NULL) {
            value[i] = b[0] / b[1] * e;
        }
        if (slope != NULL) {
            slope[3 * i] = e / b[1];
            slope[3 * i + 1] = b[0] * e * (z * z - 1.0) / (b[1] * b[1]);
            slope[3 * i + 2] = b[0] * e * z / (b[1] * b[1]);
        }
    }
    return true;
}

/* y = b1 x^b2 */
static bool danwood(const double b[], void *with, double value[], double slope[])
{
    const struct data *data = with;
    for (size_t i = 0; i < data->n; i++) {
        const double power = pow(data->x[i], b[1]);
        if (value != NULL) {
            value[i] = b[0] * power;
        }
        if (slope != NULL) {
            slope[2 * i] = power;
            slope[2 * i + 1] = b[0] * power * log(data->x[i]);
        }
    }
    return true;
}

/* y = b1 + b2 exp(-x b4) + b3 exp(-x b5) */
static bool mgh17(const double b[], void *with, double value[], double slope[])
{
    const struct data *data = with;
    for (size_t i = 0; i < data->n; i++) {
        const double first = exp(-data->x[i] * b[3]);
        const double second = exp(-data->x[i] * b[4]);
        if (value != NULL) {
            value[i] = b[0] + b[1] * first + b[2] * second;
        }
        if (slope != NULL) {
            slope[5 * i] = 1.0;
            slope[5 * i + 1] = first;
            slope[5 * i + 2] = second;
            slope[5 * i + 3] = -b[1] * data->x[i] * first;
            slope[5 * i + 4] = -b[2] * data->x[i] * second;
        }
    }
    return true;
}

struct row {
    const char *id;
    const char *name;
    least_squares_model *model;
    size_t k;
    double relative;   /* asked of parameters */
    bool hard_start_1; /* no end is accepted from it, a wrong answer isn't */
};

/* Fits from one of the two starts and compares with what is certified. */
static void check_fit(struct arena *arena, const struct row *row, size_t start, bool without_slope)
{
    char path[80];
    char column[16];
    snprintf(path, sizeof path, "checks/nist/%s.csv", row->name);
    const struct table table = check_table(arena, path);
    snprintf(path, sizeof path, "checks/nist/%s_certified.csv", row->name);
    const struct table certified = check_table(arena, path);
    snprintf(column, sizeof column, "start%zu", start);
    const double *want = check_column(arena, &certified, "certified");
    const double *want_sd = check_column(arena, &certified, "certified_sd");
    struct data data = { check_column(arena, &table, "x"), check_column(arena, &table, "y"),
                         table.rows };
    const struct least_squares_problem problem = { .model = row->model,
                                                   .with = &data,
                                                   .without_slope = without_slope,
                                                   .n = data.n,
                                                   .k = row->k,
                                                   .y = data.y,
                                                   .start =
                                                       check_column(arena, &certified, column) };
    struct least_squares_fit fit = { 0 };
    const enum least_squares_end end = least_squares_fit(arena, &problem, &fit);
    const char *how = without_slope ? "differences" : "slopes";
    if (end != LEAST_SQUARES_FITTED) {
        printf("# note: %s %s, start %zu, %s: %s\n", row->id, row->name, start, how,
               least_squares_end_name(end));
        check(row->hard_start_1 && start == 1);
        return;
    }
    double worst = 0;
    double worst_sd = 0;
    for (size_t j = 0; j < row->k; j++) {
        check_close(certified.texts[j * certified.columns], fit.parameter[j], want[j],
                    row->relative);
        /* Differences know slopes, and so SDs, to about 1e-8 only. */
        check_close("its SD", fit.se[j], want_sd[j], (without_slope ? 100 : 10) * row->relative);
        worst = fmax(worst, fabs(fit.parameter[j] / want[j] - 1.0));
        worst_sd = fmax(worst_sd, fabs(fit.se[j] / want_sd[j] - 1.0));
    }
    check_close("residual squares", fit.residual_squares, want[row->k], 1e-9);
    printf("# note: %s %s, start %zu, %s: %zu steps, largest relative error %.1e, of SDs %.1e\n",
           row->id, row->name, start, how, fit.steps, worst, worst_sd);
}

static void check_row(const struct row *row)
{
    struct arena *arena = arena_open();
    for (size_t start = 1; start <= 2; start++) {
        check_fit(arena, row, start, false);
        check_fit(arena, row, start, true);
    }
    arena_close(arena);
}

static void test_least_squares__st_07_misra1a(void **state)
{
    (void)state;
    check_row(&(struct row){ "ST-07", "misra1a", misra1a, 2, 1e-8, false });
}

static void test_least_squares__st_08_eckerle4(void **state)
{
    (void)state;
    check_row(&(struct row){ "ST-08", "eckerle4", eckerle4, 3, 1e-8, true });
}

static void test_least_squares__st_09_danwood(void **state)
{
    (void)state;
    check_row(&(struct row){ "ST-09", "danwood", danwood, 2, 1e-8, false });
}

static void test_least_squares__st_10_mgh17(void **state)
{
    (void)state;
    check_row(&(struct row){ "ST-10", "mgh17", mgh17, 5, 1e-6, true });
}

int main(void)
{
    maths_begin();
    if (!check_need_shared()) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_least_squares__st_07_misra1a),
        cmocka_unit_test(test_least_squares__st_08_eckerle4),
        cmocka_unit_test(test_least_squares__st_09_danwood),
        cmocka_unit_test(test_least_squares__st_10_mgh17),
    };
    return cmocka_run_group_tests_name("least_squares_nist", tests, NULL, NULL);
}
