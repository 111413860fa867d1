/* tests/published/test_all_out.c: end power and the work above it of 3 min all-out: checks PH-06,
 * by Vanhatalo, Doust and Burnley 2007, Med Sci Sports Exerc 39:548. */
#include "check.h"

#include "physiology/by_hand.h"
#include "physiology/protocols.h"

#include <math.h>

static void test_all_out__end_power_and_work_above_it_are_as_published(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct table table = check_table(arena, "checks/physiology/allout_3min.csv");
    const double *power = check_column(arena, &table, "power_w");
    const struct limits limits = limits_default();
    const struct rider_facts facts = facts_unknown();
    enum { BEFORE = 600, AFTER = 300 };
    check_integer("seconds", (int64_t)table.rows, 180);
    struct recording *r = by_hand(arena, BEFORE + table.rows + AFTER);
    by_hand_fill(arena, r, CHANNEL_POWER, 0, r->n_seconds, 90);
    for (size_t i = 0; i < table.rows; i++) {
        by_hand_set(arena, r, CHANNEL_POWER, BEFORE + i, power[i]);
    }
    const struct protocol_tests tests = protocols_find(arena, r, &facts, &limits);
    check_integer("tests", (int64_t)tests.count, 1);
    check_integer("protocol", tests.items[0].protocol, PROTOCOL_ALL_OUT);
    check_integer("from", tests.items[0].span.from_s, BEFORE);
    check_near("end power", tests.items[0].mean_w, 254.166667, 1e-6);
    check_near("work above", tests.items[0].w_prime_kj, 14.907, 1e-6);
    arena_close(arena);
}

int main(void)
{
    if (!check_need_shared()) {
        return 0;
    }
    const struct CMUnitTest tests[] = { cmocka_unit_test(
        test_all_out__end_power_and_work_above_it_are_as_published) };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
