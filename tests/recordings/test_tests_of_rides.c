/* tests/recordings/test_tests_of_rides.c: ordinary real rides are not taken for tests.
 *
 * Nobody knows these riders' maximal heart rates.  Each ride's own highest is the loosest that can
 * be assumed: a truer, higher one only makes fewer tests.  None of the rides is said to be a test.
 */
#include "check.h"

#include "maths/maths.h"
#include "physiology/protocols.h"

#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

struct counts {
    double hours;
    int rides;
    int mentioned;
    int valid;
};

static void count_ride(struct arena *arena, const char *file, const struct recording *recording,
                       struct counts *counts)
{
    const struct limits limits = limits_default();
    struct rider_facts facts = facts_unknown();
    if (!recording->is_ride || recording->value[CHANNEL_POWER] == NULL) {
        return;
    }
    facts.max_heart_rate_bpm = protocols_heart_peak(arena, recording, (double)NAN, &limits).bpm;
    const struct protocol_tests tests = protocols_find(arena, recording, &facts, &limits);
    counts->rides++;
    counts->hours += recording->timer_s / 3600.0;
    for (size_t i = 0; i < tests.count; i++) {
        const struct protocol_test *test = &tests.items[i];
        counts->mentioned++;
        counts->valid += test->valid ? 1 : 0;
        print_message("# note: %s: %s, %d to %d s, %.0f W, %s\n", file,
                      protocol_name(test->protocol), test->span.from_s, test->span.to_s,
                      test->mean_w, test->valid ? "valid" : test->reasons[0].code);
    }
}

static void test_tests_of_rides__ordinary_rides_are_none(void **state)
{
    (void)state;
    static const char *const folders[] = { "recordings/real", "recordings/odd" };
    struct counts counts = { 0 };
    for (size_t f = 0; f < COUNT(folders); f++) {
        struct arena *names = arena_open();
        DIR *dir = opendir(arena_format(names, "%s/%s", check_shared(), folders[f]));
        check(dir != NULL);
        for (const struct dirent *one = readdir(dir); one != NULL; one = readdir(dir)) {
            struct arena *arena = arena_open();
            struct recordings all = { 0 };
            struct error err = { 0 };
            const struct limits limits = limits_default();
            if (one->d_name[0] != '.' && strstr(one->d_name, "derived") == NULL) {
                const struct read_options options = { .file = one->d_name };
                const struct bytes bytes =
                    check_shared_file(arena, arena_format(arena, "%s/%s", folders[f], one->d_name));
                if (recording_read(arena, bytes, &options, &limits, &all, &err)) {
                    for (size_t i = 0; i < all.count; i++) {
                        count_ride(arena, one->d_name, all.items[i], &counts);
                    }
                }
            }
            arena_close(arena);
        }
        closedir(dir);
        arena_close(names);
    }
    print_message("# note: %d real rides with power, %.1f h: %d tests mentioned, %d proposed\n",
                  counts.rides, counts.hours, counts.mentioned, counts.valid);
    check(counts.rides >= 20);
    check_integer("proposed", counts.valid, 0);
    check(counts.mentioned <= 1);
}

int main(void)
{
    maths_begin();
    if (!check_need_shared()) {
        return 0;
    }
    const struct CMUnitTest tests[] = { cmocka_unit_test(
        test_tests_of_rides__ordinary_rides_are_none) };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
