/* tests/published/test_change_points_nile.c: CP-01 and CP-02 of the shared checks: the flow of the
 * Nile 1871-1970, whose mean fell in 1898/99 (Cobb 1978, Biometrika 65:243-251).  The costs were
 * computed by exact dynamic programming with numpy 1.24.2. */
#include "check.h"

#include "maths/change_points.h"

static void test_change_points__cp_01_the_nile_changed_once(void **state)
{
    (void)state;
    static const double penalties[] = { 1e5, 150133.923402, 2e5 };
    struct arena *arena = arena_open();
    const struct table table = check_table(arena, "checks/changepoint/nile.csv");
    const double *flow = check_column(arena, &table, "flow");
    size_t ends[100];
    check_integer("years", (int64_t)table.rows, 100);
    for (size_t i = 0; i < COUNT(penalties); i++) {
        check_integer("segments",
                      (int64_t)change_points_find(arena, flow, 100, penalties[i], 1, ends), 2);
        check_integer("change", (int64_t)ends[0], 28);
        check_integer("end", (int64_t)ends[1], 100);
        check_near("cost", change_points_cost(flow, ends, 2), 1597457.194444, 1e-6);
    }
    const size_t whole = 100;
    check_near("no change", change_points_cost(flow, &whole, 1), 2835156.75, 1e-6);
    arena_close(arena);
}

static void test_change_points__cp_02_best_partitions_are_not_nested(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        size_t count;
        size_t ends[5];
        double cost;
    } rows[] = {
        { "2", 2, { 28, 100 }, 1597457.194444 },
        { "3", 3, { 19, 28, 100 }, 1542326.657895 },
        { "4", 4, { 28, 83, 95, 100 }, 1438125.536364 },
        { "5", 5, { 28, 41, 45, 47, 100 }, 1341858.933599 },
    };
    struct arena *arena = arena_open();
    const struct table table = check_table(arena, "checks/changepoint/nile.csv");
    const double *flow = check_column(arena, &table, "flow");
    for (size_t i = 0; i < COUNT(rows); i++) {
        size_t ends[5];
        check_integer(rows[i].name,
                      (int64_t)change_points_split(arena, flow, 100, rows[i].count, 1, ends),
                      (int64_t)rows[i].count);
        for (size_t k = 0; k < rows[i].count; k++) {
            check_integer(rows[i].name, (int64_t)ends[k], (int64_t)rows[i].ends[k]);
        }
        check_near(rows[i].name, change_points_cost(flow, ends, rows[i].count), rows[i].cost, 1e-6);
    }
    arena_close(arena);
}

int main(void)
{
    if (!check_need_shared()) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_change_points__cp_01_the_nile_changed_once),
        cmocka_unit_test(test_change_points__cp_02_best_partitions_are_not_nested),
    };
    return cmocka_run_group_tests_name("change_points_nile", tests, NULL, NULL);
}
