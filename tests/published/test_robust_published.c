/* tests/published/test_robust_published.c: RB-01 to RB-03 of the shared checks. */
#include "check.h"

#include "maths/maths.h"
#include "maths/robust.h"

#include <math.h>
#include <stdio.h>

/* Sen 1968, J Am Stat Assoc 63:1379-1389, worked example: published values from memory; scipy
 * 1.10.1 gives the same. */
static void test_robust__rb_01_sen_worked_example(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct table table = check_table(arena, "checks/robust/sen1968.csv");
    const struct robust_line line =
        robust_fit_line(arena, check_column(arena, &table, "x"), check_column(arena, &table, "y"),
                        table.rows, 0.93);
    check_near("slope", line.slope, 4.0, 1e-9);
    check_near("low", line.low, 26.0 / 7.0, 1e-9);
    check_near("high", line.high, 35.0 / 8.0, 1e-9);
    check_near("intercept", line.intercept, 4.0, 1e-9);
    printf("# note: RB-01 Sen: errors %.1e, %.1e, %.1e, %.1e\n", fabs(line.slope - 4.0),
           fabs(line.low - 26.0 / 7.0), fabs(line.high - 35.0 / 8.0), fabs(line.intercept - 4.0));
    arena_close(arena);
}

/* Hollander and Wolfe 1973, p. 187 f.; computed with R 4.2.2 and scipy 1.10.1. */
static void test_robust__rb_02_hollander_and_wolfe_tuna(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct table table = check_table(arena, "checks/robust/tuna_hollander_wolfe.csv");
    const double *x = check_column(arena, &table, "lightness");
    const double *y = check_column(arena, &table, "panel");
    const struct robust_kendall kendall = robust_find_kendall(x, y, table.rows);
    check_integer("n", (int64_t)kendall.n, 9);
    check_near("tau", kendall.tau, 0.444444, 1e-6);
    /* T counts the pairs in order. */
    check_near("T", (kendall.s + 36.0) / 2.0, 26.0, 0.0);
    check(kendall.p_is_exact);
    check_near("p", kendall.p, 0.1194389, 1e-7);
    const double spearman = robust_find_spearman(x, y, table.rows);
    check_near("Spearman", spearman, 0.6, 1e-6);
    printf("# note: RB-02 tuna: errors tau %.1e, p %.1e, Spearman %.1e\n",
           fabs(kendall.tau - 4.0 / 9.0), fabs(kendall.p - 0.1194389), fabs(spearman - 0.6));
    arena_close(arena);
}

/* R data set Nile (Cobb 1978, Biometrika 65:243); computed with scipy 1.10.1 and R 4.2.2. */
static void test_robust__rb_03_the_nile_with_ties(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct table table = check_table(arena, "checks/changepoint/nile.csv");
    const double *year = check_column(arena, &table, "year");
    const double *flow = check_column(arena, &table, "flow");
    const struct robust_line line = robust_fit_line(arena, year, flow, table.rows, 0.95);
    check_near("slope", line.slope, -2.6, 1e-6);
    check_near("low", line.low, -3.627907, 1e-6);
    check_near("high", line.high, -1.428571, 1e-6);
    const struct robust_kendall kendall = robust_find_kendall(year, flow, table.rows);
    check_near("tau-b", kendall.tau, -0.2807413, 1e-7);
    check(!kendall.p_is_exact);
    printf("# note: RB-03 Nile: errors slope %.1e, low %.1e, high %.1e, tau-b %.1e\n",
           fabs(line.slope + 2.6), fabs(line.low + 3.627907), fabs(line.high + 1.428571),
           fabs(kendall.tau + 0.2807413));
    arena_close(arena);
}

int main(void)
{
    if (!check_need_shared()) {
        return 0;
    }
    maths_begin();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_robust__rb_01_sen_worked_example),
        cmocka_unit_test(test_robust__rb_02_hollander_and_wolfe_tuna),
        cmocka_unit_test(test_robust__rb_03_the_nile_with_ties),
    };
    return cmocka_run_group_tests_name("robust_published", tests, NULL, NULL);
}
