/* A workout file is whole and says what was asked.
 *
 * Expected values: the FIT protocol's public profile, read here by hand from the bytes; a decoder
 * from outside reads the same (tests/npm/fit_workout.test.mjs). */
#include "check.h"

#include "coaching/session_device.h"
#include "coaching/session_text.h"
#include "recording/fit_crc.h"

#include <math.h>
#include <string.h>

static struct arena *arena;

static int begin(void **state)
{
    (void)state;
    arena = arena_open();
    return 0;
}

static int end(void **state)
{
    (void)state;
    arena_close(arena);
    return 0;
}

static const struct fit_step *steps_of(const char *text, double threshold_w, size_t *n)
{
    struct session session;
    struct session_fault fault = { 0 };
    const struct fit_step *steps = NULL;
    struct error err = { 0 };
    check(session_read(arena, text, &session, &fault));
    must(session_for_device(arena, &session, threshold_w, &steps, n, &err), &err);
    return steps;
}

static void test_session_device__repeats_stay_and_ranges_are_in_watts(void **state)
{
    (void)state;
    size_t n = 0;
    const struct fit_step *s = steps_of(
        "warm up 15 min at 50-65 %, then 5 times (4 min at 106-112 % with 90 rpm \"sit\", rest 4 "
        "min at 50 %), 10 min at 130-145 bpm, until the button\nplan B: 5 min",
        246, &n);
    check_integer("steps", (int64_t)n, 6);
    check_integer("low", s[0].low, 123);
    check_integer("high", s[0].high, 160);
    check_integer("in W", s[0].aim, FIT_AIM_W);
    check_integer("warm up", s[0].intensity, FIT_WARM_UP);
    check_text("name", s[1].name, "4 min at 106-112 %");
    check_text("words", s[1].words, "sit");
    check_integer("low", s[1].low, 261);
    check_integer("high", s[1].high, 276);
    check_integer("legs", s[1].rpm_high, 90);
    check_integer("times", s[3].times, 5);
    check_integer("back to", s[3].first, 1);
    check_integer("bpm", s[4].aim, FIT_AIM_BPM);
    check_integer("button", s[5].seconds, 0);
    s = steps_of("3 min rising from 100 to 120 %, 20 min all out", (double)NAN, &n);
    check_integer("rungs", (int64_t)n, 4);
    check_integer("in %", s[1].aim, FIT_AIM_PCT);
    check_integer("middle", s[1].low, 110);
    check_integer("open", s[3].aim, FIT_AIM_OPEN);
    check_text("says so", s[3].name, "20 min all out");
}

static void test_fit_workout__the_file_is_whole(void **state)
{
    (void)state;
    struct fit_workout workout = { .name = "VO2max", .made_utc = 1773480413, .serial = 7 };
    struct bytes bytes = { 0 };
    struct error err = { 0 };
    workout.steps = steps_of("5 times (4 min at 106-112 %, 4 min)", 250, &workout.n_steps);
    must(fit_workout_write(arena, &workout, &bytes, &err), &err);
    check(bytes.size > 16 && memcmp(bytes.at + 8, ".FIT", 4) == 0);
    check_integer("data", bytes.at[4] | bytes.at[5] << 8, (int64_t)bytes.size - 16);
    check_integer("CRC over the CRC is 0", fit_crc16(0, bytes.at, bytes.size), 0);
    check_integer("header's", fit_crc16(0, bytes.at, 14), 0);
    const struct fit_step forward[] = { { .times = 2, .first = 0 } };
    workout.steps = forward;
    workout.n_steps = 1;
    check(!fit_workout_write(arena, &workout, &bytes, &err));
    workout.n_steps = 0;
    check(!fit_workout_write(arena, &workout, &bytes, &err));
}

#define TEST(function) cmocka_unit_test_setup_teardown(function, begin, end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(test_session_device__repeats_stay_and_ranges_are_in_watts),
        TEST(test_fit_workout__the_file_is_whole),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
