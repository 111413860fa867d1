/* tests/recordings/test_steady_of_rides.c: the steady span of every real FIT ride with power, over
 * all levels and over ranges of them, against the walk second by second. */
#include "check.h"

#include "physiology/steady.h"
#include "physiology/steady_by_seconds.h"
#include "recording/recording.h"

#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* Seconds as the search sees them; a minute at 0 W counts as a stop here. */
static struct steady_second *prepare(struct arena *arena, const struct recording *recording,
                                     const double power_w[])
{
    const size_t n = recording->n_seconds;
    double *filtered_w = ARENA_ARRAY(arena, double, n);
    struct steady_second *seconds = ARENA_ARRAY(arena, struct steady_second, n);
    steady_filter(power_w, recording->paused, n, 65.0, 0, filtered_w);
    size_t still = 0;
    for (size_t t = 0; t < n; t++) {
        const bool paused = recording->paused[t] != 0;
        const bool coasting = paused || power_w[t] <= 0.0;
        still = coasting ? still + 1 : 0;
        seconds[t] = (struct steady_second){
            .filtered_cw = isnan(filtered_w[t]) ? -1 : (int32_t)(filtered_w[t] * 100.0 + 0.5),
            .known = paused || !isnan(power_w[t]),
            .coasting = coasting,
            .standing = coasting,
            .stopped = still > 60,
        };
    }
    return seconds;
}

/* The spans compared. */
static size_t check_ride(const char *file, const struct recording *recording)
{
    const struct limits limits = limits_default();
    struct arena *arena = arena_open();
    const double *power_w = recording_series(arena, recording, CHANNEL_POWER);
    size_t compared = 0;
    if (power_w != NULL) {
        const struct steady_second *seconds = prepare(arena, recording, power_w);
        for (double low_w = 0.0; low_w<400.0; low_w += low_w> 0.0 ? 20.0 : 60.0) {
            const double high_w = low_w > 0.0 ? low_w + 30.0 : (double)INFINITY;
            double fast_w = -1.0;
            double slow_w = -1.0;
            const struct span fast =
                steady_longest(seconds, recording->n_seconds, low_w, high_w, &limits, &fast_w);
            const struct span slow =
                steady_by_seconds(seconds, recording->n_seconds, low_w, high_w, &limits, &slow_w);
            check_integer(file, fast.from_s, slow.from_s);
            check_integer(file, fast.to_s, slow.to_s);
            check_near(file, fast_w, slow_w, 0.0);
            compared++;
        }
    }
    arena_close(arena);
    return compared;
}

static void test_steady__of_real_rides_equals_the_walk_by_seconds(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    struct arena *arena = arena_open();
    DIR *folder = opendir(arena_format(arena, "%s/recordings/real", check_shared()));
    check(folder != NULL);
    size_t compared = 0;
    for (const struct dirent *entry = readdir(folder); entry != NULL; entry = readdir(folder)) {
        if (strstr(entry->d_name, ".fit") == NULL) {
            continue;
        }
        struct arena *of_file = arena_open();
        const struct bytes bytes =
            check_shared_file(of_file, arena_format(of_file, "recordings/real/%s", entry->d_name));
        const struct read_options options = { .file = entry->d_name };
        struct recordings out = { 0 };
        struct error err = { 0 };
        if (recording_read(of_file, bytes, &options, &limits, &out, &err)) {
            for (size_t i = 0; i < out.count; i++) {
                compared += check_ride(entry->d_name, out.items[i]);
            }
        }
        arena_close(of_file);
    }
    closedir(folder);
    printf("# note: %zu spans of real rides compared\n", compared);
    check(compared > 200);
    arena_close(arena);
}

int main(void)
{
    if (!check_need_shared()) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_steady__of_real_rides_equals_the_walk_by_seconds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
