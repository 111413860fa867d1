/* tests/published/test_mixed_published.c: LM-01 to LM-06 of the shared checks: mixed models of
 * reaction time under lost sleep (Belenky et al. 2003, J Sleep Res 12:1-12) and of heart rate at
 * two powers over four rounds of tests (Sylta et al. 2016, Med Sci Sports Exerc 48:2165), as lme4,
 * lmerTest and nlme give them.  Every digit stands in checks/lmm/expected.csv. */
#include "check.h"

#include "maths/maths.h"
#include "maths/mixed_model.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct data {
    struct mixed_problem problem;
    const char *subject; /* of the random part, as expected.csv names it */
    const char *slope;   /* the fixed column that isn't the constant */
    char **names;        /* [groups] */
};

static size_t place_of(struct data *data, const char *name)
{
    size_t i = 0;
    while (i < data->problem.groups && strcmp(data->names[i], name) != 0) {
        i++;
    }
    if (i == data->problem.groups) {
        data->names[data->problem.groups++] = (char *)(uintptr_t)name;
    }
    return i;
}

static struct data read_data(struct arena *arena, const char *path, const char *response,
                             const char *slope, const char *subject, size_t q)
{
    const struct table table = check_table(arena, path);
    const double *column = check_column(arena, &table, slope);
    double *x = arena_alloc(arena, table.rows * 2, sizeof *x);
    size_t *group = arena_alloc(arena, table.rows, sizeof *group);
    struct data data = { .subject = subject, .slope = slope };
    data.names = arena_alloc(arena, table.rows, sizeof *data.names);
    for (size_t i = 0; i < table.rows; i++) {
        x[2 * i] = 1.0;
        x[2 * i + 1] = column[i];
        group[i] = place_of(&data, check_cell(&table, i, subject));
    }
    const size_t groups = data.problem.groups;
    double *z = x;
    if (q == 1) {
        z = arena_alloc(arena, table.rows, sizeof *z);
        for (size_t i = 0; i < table.rows; i++) {
            z[i] = 1.0;
        }
    }
    data.problem = (struct mixed_problem){ .n = table.rows,
                                           .k = 2,
                                           .q = q,
                                           .groups = groups,
                                           .y = check_column(arena, &table, response),
                                           .x = x,
                                           .z = z,
                                           .group = group };
    return data;
}

static double wanted(struct arena *arena, const char *id, const char *parameter)
{
    const struct table table = check_table(arena, "checks/lmm/expected.csv");
    for (size_t i = 0; i < table.rows; i++) {
        if (strcmp(check_cell(&table, i, "id"), id) == 0 &&
            strcmp(check_cell(&table, i, "parameter"), parameter) == 0) {
            return strtod(check_cell(&table, i, "value"), NULL);
        }
    }
    print_error("# %s %s isn't there\n", id, parameter);
    fail();
    return 0;
}

static void check_effects(struct arena *arena, const char *id, const struct data *data,
                          const struct mixed_fit *fit)
{
    const char *columns[] = { "(Intercept)", data->slope };
    /* The first three subjects, by name, are those written down: as the files have them. */
    for (size_t i = 0; i < 3; i++) {
        for (size_t j = 0; j < data->problem.q; j++) {
            const char *name = arena_format(arena, "blup:%s:%s", data->names[i], columns[j]);
            check_near(name, fit->effects[i * data->problem.q + j], wanted(arena, id, name),
                       2e-4 * sqrt(fit->random[j][j]));
        }
    }
}

/* `digits` relative, of the fixed part; variances 1e-4; degrees of freedom 1e-3 absolute. */
static void check_fit(const char *id, struct arena *arena, const struct data *data, double digits)
{
    struct mixed_fit fit;
    check_text(id, mixed_end_name(mixed_model_fit(arena, &data->problem, &fit)), "fitted");
    const char *slope = data->slope;
    const char *subject = data->subject;
    check_close(id, fit.fixed[0], wanted(arena, id, "fixed:(Intercept)"), digits);
    check_close(id, fit.fixed[1], wanted(arena, id, arena_format(arena, "fixed:%s", slope)),
                digits);
    check_close(id, fit.se[0], wanted(arena, id, "se:(Intercept)"), digits);
    check_close(id, fit.se[1], wanted(arena, id, arena_format(arena, "se:%s", slope)), digits);
    check_near(id, fit.freedom[0], wanted(arena, id, "df_satterthwaite:(Intercept)"), 1e-3);
    check_near(id, fit.freedom[1],
               wanted(arena, id, arena_format(arena, "df_satterthwaite:%s", slope)), 1e-3);
    check_close(id, fit.random[0][0],
                wanted(arena, id, arena_format(arena, "var:%s:(Intercept)", subject)), 1e-4);
    check_close(id, fit.residual, wanted(arena, id, "var:Residual"), 1e-4);
    if (data->problem.q == 2) {
        check_close(id, fit.random[1][1],
                    wanted(arena, id, arena_format(arena, "var:%s:%s", subject, slope)), 1e-4);
        check_close(
            id, fit.correlation,
            wanted(arena, id, arena_format(arena, "corr:%s:(Intercept):%s", subject, slope)), 1e-4);
    }
    check_near(id, fit.criterion,
               wanted(arena, id, data->problem.by_likelihood ? "deviance" : "reml_criterion"),
               1e-5);
    check_integer(id, (int64_t)fit.n, (int64_t)wanted(arena, id, "n"));
    check_integer(id, (int64_t)fit.groups, (int64_t)wanted(arena, id, "groups"));
    check_effects(arena, id, data, &fit);
    check(!fit.at_edge);
}

static void check_sleep(const char *id, size_t q, bool by_likelihood, double digits)
{
    struct arena *arena = arena_open();
    struct data data =
        read_data(arena, "checks/lmm/sleepstudy.csv", "Reaction", "Days", "Subject", q);
    data.problem.by_likelihood = by_likelihood;
    check_fit(id, arena, &data, digits);
    arena_close(arena);
}

static void check_heart(const char *id, const char *response)
{
    struct arena *arena = arena_open();
    const struct data data =
        read_data(arena, "checks/lab/cycling_training_study.csv", response, "t", "subject", 1);
    check_fit(id, arena, &data, 1e-5);
    arena_close(arena);
}

static void test_lm_01__random_intercept_reml(void **state)
{
    (void)state;
    check_sleep("LM-01", 1, false, 1e-6);
}

static void test_lm_02__random_intercept_likelihood(void **state)
{
    (void)state;
    check_sleep("LM-02", 1, true, 1e-6);
}

static void test_lm_03__intercept_and_slope_reml(void **state)
{
    (void)state;
    check_sleep("LM-03", 2, false, 1e-5);
}

static void test_lm_04__intercept_and_slope_likelihood(void **state)
{
    (void)state;
    check_sleep("LM-04", 2, true, 1e-4);
}

static void test_lm_05__heart_rate_at_225_w(void **state)
{
    (void)state;
    check_heart("LM-05", "hr_225");
}

static void test_lm_06__heart_rate_at_175_w(void **state)
{
    (void)state;
    check_heart("LM-06", "hr_175");
}

static void test_lm_01__profiles(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct data data =
        read_data(arena, "checks/lmm/sleepstudy.csv", "Reaction", "Days", "Subject", 1);
    double low;
    double high;
    check(mixed_model_profile(arena, &data.problem, MIXED_COEFFICIENT, 1, 0.95, &low, &high));
    check_near("slope, low", low, 8.886551, 1e-3);
    check_near("slope, high", high, 12.048021, 1e-3);
    check(mixed_model_profile(arena, &data.problem, MIXED_RANDOM_SD, 0, 0.95, &low, &high));
    check_near("subjects, low", low, 26.00712, 1e-3);
    check_near("subjects, high", high, 52.93598, 1e-3);
    check(mixed_model_profile(arena, &data.problem, MIXED_RESIDUAL_SD, 0, 0.95, &low, &high));
    check_near("residual, low", low, 27.81385, 1e-3);
    check_near("residual, high", high, 34.59105, 1e-3);
    arena_close(arena);
}

int main(void)
{
    maths_begin();
    if (!check_need_shared()) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_lm_01__random_intercept_reml),
        cmocka_unit_test(test_lm_02__random_intercept_likelihood),
        cmocka_unit_test(test_lm_03__intercept_and_slope_reml),
        cmocka_unit_test(test_lm_04__intercept_and_slope_likelihood),
        cmocka_unit_test(test_lm_05__heart_rate_at_225_w),
        cmocka_unit_test(test_lm_06__heart_rate_at_175_w),
        cmocka_unit_test(test_lm_01__profiles),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
