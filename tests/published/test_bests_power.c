/* tests/published/test_bests_power.c: PH-20 of the shared checks: best mean power by window of an
 * invented series of 2240 s, computed by brute force in Python; starts are exact. */
#include "check.h"

#include "maths/best_means.h"
#include "physiology/bests.h"

static void test_bests__ph_20_power_and_starts(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct table series = check_table(arena, "checks/physiology/power_1hz.csv");
    const struct table want = check_table(arena, "checks/physiology/power_1hz_bestmeans.csv");
    const double *power_w = check_column(arena, &series, "power_w");
    struct recording recording = { .n_seconds = series.rows };
    recording.value[CHANNEL_POWER] = ARENA_ARRAY(arena, int32_t, series.rows);
    recording.mask[CHANNEL_POWER] = ARENA_ARRAY(arena, uint8_t, series.rows);
    recording.paused = ARENA_ARRAY(arena, uint8_t, series.rows);
    for (size_t i = 0; i < series.rows; i++) {
        recording.value[CHANNEL_POWER][i] = (int32_t)power_w[i];
    }
    check_integer("seconds", (int64_t)series.rows, 2240);
    check_integer("rows", (int64_t)want.rows, 11);
    const struct bests all = bests_all(arena, &recording);
    const struct bests shown = bests_shown(arena, &recording);
    size_t found = 0;
    for (size_t i = 0; i < want.rows; i++) {
        const char *name = check_cell(&want, i, "duration_s");
        const size_t duration = (size_t)check_column(arena, &want, "duration_s")[i];
        const double mean_w = check_column(arena, &want, "best_mean_w")[i];
        const double start = check_column(arena, &want, "start_second")[i];
        const struct best *best = &all.items[duration - 1];
        check_near(name, best->power_w, mean_w, 1e-6);
        check_integer(name, best->start_s, (int64_t)start);
        check(!best->at_least && !best->touches_mask);
        for (size_t k = 0; k < shown.count; k++) {
            if (shown.items[k].duration_s == best->duration_s) {
                check_near(name, shown.items[k].power_w, mean_w, 1e-6);
                check_integer(name, shown.items[k].start_s, (int64_t)start);
                found++;
            }
        }
    }
    check_integer("all eleven are shown", (int64_t)found, 11);
    arena_close(arena);
}

int main(void)
{
    if (!check_need_shared()) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_bests__ph_20_power_and_starts),
    };
    return cmocka_run_group_tests_name("bests_power", tests, NULL, NULL);
}
