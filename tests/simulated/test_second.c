/* tests/simulated/test_second.c: the second simulator of honesty/ is what its header says, and the
 * base test stands up to it.
 *
 * Held against plain arithmetic: a heart that settles, the rise that was asked, beats of a constant
 * rate. */
#include "check.h"

#include "honesty/second/random.h"
#include "honesty/second_trial.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { HOUR_S = 3600 };

static void test_second__heart_settles_and_is_quicker_on_than_off(void **state)
{
    (void)state;
    static double power_w[2 * HOUR_S];
    static double heart_bpm[2 * HOUR_S];
    static double heat_bpm[2 * HOUR_S];
    for (uint64_t seed = 1; seed <= 20; seed++) {
        struct second_rider rider = second_rider_draw(seed);
        rider.heat_bpm_per_h = 0.0;
        rider.max_bpm = 260.0; /* so that nothing bends */
        for (size_t t = 0; t < COUNT(power_w); t++) {
            power_w[t] = t < HOUR_S ? rider.threshold_w : 0.0;
        }
        second_heart_follow(&rider, power_w, COUNT(power_w), heart_bpm, heat_bpm);
        check_near("settled", heart_bpm[HOUR_S], rider.idle_bpm + rider.rise_bpm, 0.1);
        check_near("back", heart_bpm[2 * HOUR_S - 1], rider.idle_bpm, 0.1);
        const double half = rider.idle_bpm + 0.5 * rider.rise_bpm;
        size_t on = 0;
        size_t off = HOUR_S;
        while (heart_bpm[on] < half) {
            on++;
        }
        while (heart_bpm[off] > half) {
            off++;
        }
        check(on <= off - HOUR_S);
    }
}

static void test_second__rise_is_the_one_that_was_asked(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    for (uint64_t seed = 1; seed <= 6; seed++) {
        struct arena *arena = arena_open();
        struct second_rider rider = second_rider_draw(seed);
        const double asked_bpm = 3.0 * (double)seed;
        const struct second_plan plan =
            second_base_make(arena, &rider, SECOND_ROLLERS, asked_bpm, 1.0, seed);
        const struct second_ride ride = second_ride_make(arena, &rider, &plan, &limits);
        const struct span fitted = { (int32_t)plan.blocks[0].duration_s + 360,
                                     (int32_t)plan.blocks[0].duration_s + HOUR_S };
        check_near("rise", second_rise_bpm(&rider, &ride, fitted), asked_bpm,
                   0.1 + 0.05 * asked_bpm);
        arena_close(arena);
    }
}

/* The strap counts beats: of a heart that doesn't move it shows the rate, to the whole beat. */
static void test_second__strap_shows_the_rate_of_its_beats(void **state)
{
    (void)state;
    enum { N = 600 };
    struct arena *arena = arena_open();
    double heart_bpm[N];
    for (int i = 0; i < N; i++) {
        heart_bpm[i] = 137.0;
    }
    double *none = ARENA_ARRAY(arena, double, N);
    const struct second_road road = { N, none, none, none, none };
    const struct second_plan plan = { .device = { .beats = 7 }, .temperature_c = (double)NAN };
    struct samples samples = { 0 };
    struct second_ride ride = { 0 };
    second_device_write(arena, &plan, &road, heart_bpm, &samples, &ride);
    check(samples.count == N);
    for (size_t i = 0; i < samples.count; i++) {
        check(samples.value[CHANNEL_HEART_RATE][i] == 137);
    }
    arena_close(arena);
}

static void test_second__draws_have_the_spread_they_claim(void **state)
{
    (void)state;
    enum { N = 20000 };
    struct second_random r = second_random_begin(7, 1);
    double sums[2] = { 0 };
    double squares[2] = { 0 };
    int far[2] = { 0 };
    for (int i = 0; i < N; i++) {
        const double x[2] = { second_normal(&r), second_heavy(&r) };
        for (int k = 0; k < 2; k++) {
            sums[k] += x[k];
            squares[k] += x[k] * x[k];
            far[k] += fabs(x[k]) > 3.3;
        }
    }
    for (int k = 0; k < 2; k++) {
        check_near("mean", sums[k] / N, 0.0, 0.03);
        check_near("variance", squares[k] / N, 1.0, k == 0 ? 0.04 : 0.15);
    }
    check(far[0] < N / 500 && far[1] > N / 250);
}

static void test_second__base_test_holds_the_true_rise(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    int known = 0;
    int held = 0;
    for (uint64_t seed = 1; seed <= 16; seed++) {
        const struct second_base_case c = { .seed = seed,
                                            .drift_bpm = (double)seed,
                                            .ease = seed % 3 == 0 ? 0.93 : 1.0,
                                            .place = SECOND_ROLLERS,
                                            .quirk = (enum second_quirk)(seed % 5) };
        const struct base_outcome o = second_base_trial(&c, &limits);
        known += o.known;
        held += o.known && o.low_bpm <= o.truth_bpm && o.truth_bpm <= o.high_bpm;
        check(!(o.verdict == VERDICT_PASSED && o.truth_bpm > 10.5));
        check(!(o.verdict == VERDICT_NOT_PASSED && o.truth_bpm < 9.5));
    }
    printf("# note: %d of 16 ranges known, %d hold the true rise\n", known, held);
    check(known >= 14 && held * 100 >= known * 75);
}

/* What it is for: nothing of the first simulator in it. */
static void test_second__takes_nothing_from_the_first(void **state)
{
    (void)state;
    static const char *const files[] = { "device.c", "heart.c", "random.c",   "random.h",  "ride.c",
                                         "ride.h",   "road.c",  "sessions.c", "sessions.h" };
    struct arena *arena = arena_open();
    for (size_t i = 0; i < COUNT(files); i++) {
        struct bytes bytes = { 0 };
        struct error err = { 0 };
        check(files_read(arena,
                         arena_format(arena, PLUMBLINE_SOURCE "/honesty/second/%s", files[i]),
                         1 << 20, &bytes, &err));
        const char *text = arena_format(arena, "%.*s", (int)bytes.size, (const char *)bytes.at);
        check(strstr(text, "#include \"simulated/") == NULL);
        check(strstr(text, "#include \"maths/") == NULL);
        check(strstr(text, "#include \"physiology/drift") == NULL);
        check(strstr(text, "#include \"physiology/heart_response") == NULL);
    }
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_second__heart_settles_and_is_quicker_on_than_off),
        cmocka_unit_test(test_second__rise_is_the_one_that_was_asked),
        cmocka_unit_test(test_second__strap_shows_the_rate_of_its_beats),
        cmocka_unit_test(test_second__draws_have_the_spread_they_claim),
        cmocka_unit_test(test_second__base_test_holds_the_true_rise),
        cmocka_unit_test(test_second__takes_nothing_from_the_first),
    };
    return cmocka_run_group_tests_name("second simulator", tests, NULL, NULL);
}
