/* tests/recordings/test_bests_of_rides.c: bests of real rides against the definition: every window
 * summed, pauses and unknown seconds as zero. */
#include "check.h"

#include "physiology/bests.h"

#include <stdio.h>
#include <string.h>

static const struct recording *read_one(struct arena *arena, const char *file)
{
    const struct bytes bytes =
        check_shared_file(arena, arena_format(arena, "recordings/real/%s", file));
    const struct read_options options = { .file = file };
    const struct limits limits = limits_default();
    struct recordings out = { 0 };
    struct error err = { 0 };
    if (!recording_read(arena, bytes, &options, &limits, &out, &err)) {
        print_error("# %s\n", err.message);
        fail();
    }
    check(out.count >= 1);
    return out.items[0];
}

/* One duration, window by window; the earliest start of the greatest sum. */
static int64_t best_slowly(const int64_t sums[], size_t n, size_t duration, size_t *start)
{
    int64_t most = sums[duration] - sums[0];
    *start = 0;
    for (size_t a = 1; a + duration <= n; a++) {
        if (sums[a + duration] - sums[a] > most) {
            most = sums[a + duration] - sums[a];
            *start = a;
        }
    }
    return most;
}

static void check_ride(const char *file)
{
    struct arena *arena = arena_open();
    const struct recording *recording = read_one(arena, file);
    const size_t n = recording->n_seconds;
    const uint8_t *mask = recording->mask[CHANNEL_POWER];
    int64_t *sums = ARENA_ARRAY(arena, int64_t, n + 1);
    int64_t *unknown = ARENA_ARRAY(arena, int64_t, n + 1);
    for (size_t i = 0; i < n; i++) {
        const bool counts = mask_is_usable(mask[i]) && recording->paused[i] == 0;
        sums[i + 1] = sums[i] + (counts ? recording->value[CHANNEL_POWER][i] : 0);
        unknown[i + 1] = unknown[i] + (!counts && recording->paused[i] == 0 ? 1 : 0);
    }
    const struct bests bests = bests_all(arena, recording);
    check_integer(file, (int64_t)bests.count, (int64_t)n);
    size_t at_least = 0;
    for (size_t d = 1; d <= n; d++) {
        size_t start = 0;
        const int64_t most = best_slowly(sums, n, d, &start);
        const struct best *best = &bests.items[d - 1];
        if (best->power_w != (double)most / (double)d || best->start_s != (int32_t)start) {
            check_near(file, best->power_w, (double)most / (double)d, 0);
            check_integer(file, best->start_s, (int64_t)start);
        }
        check(best->touches_mask == (unknown[start + d] > unknown[start]));
        check(best->at_least || !best->touches_mask);
        check(best->at_least ? unknown[n] > 0 : true);
        at_least += best->at_least ? 1 : 0;
    }
    printf("# note: %s: %lld unknown seconds of %zu make %zu of %zu bests \"at least\"\n", file,
           (long long)unknown[n], n, at_least, n);
    arena_close(arena);
}

static void test_bests__of_real_rides_follow_the_definition(void **state)
{
    (void)state;
    static const char *const files[] = {
        "ride-79min-power-hr.fit",
        "hard-ride-78min-power-hr-balance.fit",
        "indoor-intervals-38min-power-hr.fit",
        "steady-76min-power-hr-spikes.fit",
        "ride-97min-power-hr.fit",
        "csv-ride-2020-08-18-power-hr.csv",
    };
    for (size_t i = 0; i < COUNT(files); i++) {
        check_ride(files[i]);
    }
}

int main(void)
{
    if (!check_need_shared()) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_bests__of_real_rides_follow_the_definition),
    };
    return cmocka_run_group_tests_name("bests_of_rides", tests, NULL, NULL);
}
