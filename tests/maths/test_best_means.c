/* tests/maths/test_best_means.c: the bounded search against every window, value for value. */
#include "check.h"

#include "maths/best_means.h"
#include "maths/random.h"

/* The definition, window by window.  n^2 / 2 steps. */
static void all_slowly(const int32_t x[], size_t n, int64_t sums[], size_t starts[])
{
    for (size_t d = 1; d <= n; d++) {
        int64_t sum = 0;
        for (size_t i = 0; i < d; i++) {
            sum += x[i];
        }
        sums[d - 1] = sum;
        starts[d - 1] = 0;
        for (size_t a = 1; a + d <= n; a++) {
            sum += x[a + d - 1];
            sum -= x[a - 1];
            if (sum > sums[d - 1]) {
                sums[d - 1] = sum;
                starts[d - 1] = a;
            }
        }
    }
}

static void check_equal_to_slow(const char *name, const int32_t x[], size_t n)
{
    struct arena *arena = arena_open();
    int64_t *want = ARENA_ARRAY(arena, int64_t, n);
    size_t *want_start = ARENA_ARRAY(arena, size_t, n);
    int64_t *got = ARENA_ARRAY(arena, int64_t, n);
    int64_t *scanned = ARENA_ARRAY(arena, int64_t, n);
    int64_t *alone = ARENA_ARRAY(arena, int64_t, n);
    size_t *got_start = ARENA_ARRAY(arena, size_t, n);
    all_slowly(x, n, want, want_start);
    best_means_all(arena, x, n, got, got_start);
    best_means_all(arena, x, n, alone, NULL);
    best_means_scan(arena, x, n, scanned);
    for (size_t d = 1; d <= n; d++) {
        if (got[d - 1] != want[d - 1] || got_start[d - 1] != want_start[d - 1] ||
            scanned[d - 1] != want[d - 1] || alone[d - 1] != want[d - 1]) {
            print_error("# %s, n %zu, length %zu: %lld at %zu (scan %lld), wanted %lld at %zu\n",
                        name, n, d, (long long)got[d - 1], got_start[d - 1],
                        (long long)scanned[d - 1], (long long)want[d - 1], want_start[d - 1]);
            fail();
        }
    }
    /* Three that go through together, then others in no order. */
    const size_t lengths[] = { n < 60 ? 1 : 60, 1, (n + 3) / 4, n, (n + 1) / 2 };
    int64_t few[5];
    size_t few_start[5];
    best_means_few(arena, x, n, lengths, COUNT(lengths), few, few_start);
    for (size_t i = 0; i < COUNT(lengths); i++) {
        check_integer(name, few[i], want[lengths[i] - 1]);
        check_integer(name, (int64_t)few_start[i], (int64_t)want_start[lengths[i] - 1]);
    }
    arena_close(arena);
}

enum shape {
    CONSTANT,
    ALL_ZERO,
    RAMP_UP,
    RAMP_DOWN,
    STEPS,
    SPIKES,
    ON_10_OFF_20,
    ON_30_OFF_30,
    ON_40_OFF_20,
    EVERY_SECOND,
    LONG_INTERVALS,
    NOISE,
    COIN,
    RIDE,
    LATE,
    BELOW_ZERO,
    LARGE,
    SHAPES
};

static const char *const names[SHAPES] = { "constant", "all zero", "ramp up", "ramp down",
                                           "steps",    "spikes",   "10/20",   "30/30",
                                           "40/20",    "1/1",      "240/240", "noise",
                                           "coin",     "ride",     "late",    "below zero",
                                           "large" };

static void fill(enum shape shape, struct random *random, int32_t x[], size_t n)
{
    int32_t level = 150;
    for (size_t i = 0; i < n; i++) {
        const int32_t t = (int32_t)i;
        const int32_t noise = (int32_t)random_below(random, 61) - 30;
        if (random_below(random, 120) == 0) {
            level = (int32_t)random_below(random, 4) * 110;
        }
        switch (shape) {
        case CONSTANT: x[i] = 211; break;
        case ALL_ZERO: x[i] = 0; break;
        case RAMP_UP: x[i] = t / 3; break;
        case RAMP_DOWN: x[i] = 5000 - t; break;
        case STEPS: x[i] = 100 + 40 * ((t / 300) % 7); break;
        case SPIKES: x[i] = t % 97 == 11 ? 1900 : 180; break;
        case ON_10_OFF_20: x[i] = t % 30 < 10 ? 400 : 100; break;
        case ON_30_OFF_30: x[i] = t % 60 < 30 ? 350 : 100; break;
        case ON_40_OFF_20: x[i] = t % 60 < 40 ? 300 : 100; break;
        case EVERY_SECOND: x[i] = t % 2 == 0 ? 300 : 0; break;
        case LONG_INTERVALS: x[i] = (t / 240 % 2 == 0 ? 280 : 120) + noise; break;
        case NOISE: x[i] = 200 + noise; break;
        case COIN: x[i] = (int32_t)random_below(random, 2); break;
        case RIDE: x[i] = level == 0 ? 0 : level + noise; break;
        case LATE: x[i] = i + 20 > n ? 900 : level / 3; break;
        case BELOW_ZERO: x[i] = -50 + noise; break;
        case LARGE: x[i] = (t % 100 < 50 ? 1 : -1) * 2000000000; break;
        case SHAPES: break;
        }
    }
}

static void test_best_means__bounded_search_equals_every_window(void **state)
{
    (void)state;
    static const size_t lengths[] = { 1,   2,   3,   31,  32,  33,  63,  64,   65,   95,
                                      96,  97,  126, 127, 128, 129, 130, 191,  192,  193,
                                      255, 256, 257, 300, 511, 512, 513, 1000, 1023, 3000 };
    static int32_t x[3000];
    struct random random = random_begin(20240502);
    for (size_t shape = 0; shape < SHAPES; shape++) {
        for (size_t i = 0; i < COUNT(lengths); i++) {
            fill((enum shape)shape, &random, x, lengths[i]);
            check_equal_to_slow(names[shape], x, lengths[i]);
        }
    }
}

static void test_best_means__every_small_length_equals_every_window(void **state)
{
    (void)state;
    static int32_t x[420];
    struct random random = random_begin(5);
    for (size_t n = 1; n <= COUNT(x); n++) {
        const enum shape shape = n % 3 == 0 ? COIN : n % 3 == 1 ? RIDE : ON_10_OFF_20;
        fill(shape, &random, x, n);
        check_equal_to_slow(names[shape], x, n);
    }
}

/* By hand. */
static void test_best_means__ties_go_to_the_earliest(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const int32_t x[] = { 1, 5, 5, 0, 5, 5, 1 };
    static const struct {
        int64_t sum;
        int64_t start;
    } want[] = { { 5, 1 }, { 10, 1 }, { 11, 0 }, { 15, 1 }, { 20, 1 }, { 21, 0 }, { 22, 0 } };
    int64_t sums[7];
    size_t starts[7];
    best_means_all(arena, x, 7, sums, starts);
    for (size_t i = 0; i < COUNT(want); i++) {
        check_integer("sum", sums[i], want[i].sum);
        check_integer("start", (int64_t)starts[i], want[i].start);
    }
    best_means_all(arena, x, 0, NULL, NULL);
    arena_close(arena);
}

/* Half on, half off at the edges of 32 bits: the sums need 64. */
static void test_best_means__large_values_do_not_overflow(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const int32_t x[] = { INT32_MAX, INT32_MAX, INT32_MIN, INT32_MAX, INT32_MAX, INT32_MAX };
    int64_t sums[6];
    size_t starts[6];
    best_means_all(arena, x, 6, sums, starts);
    check_integer("1", sums[0], INT32_MAX);
    check_integer("3", sums[2], 3 * (int64_t)INT32_MAX);
    check_integer("3 starts", (int64_t)starts[2], 3);
    check_integer("6", sums[5], 5 * (int64_t)INT32_MAX + INT32_MIN);
    arena_close(arena);
}

/* Of series of every shape and length in turn, each the greatest so far. */
static void test_best_means__raised_by_each_series_is_the_greatest_of_all(void **state)
{
    (void)state;
    enum { MOST = 700, SERIES = 400 };
    static int32_t x[MOST];
    static int64_t own[MOST];
    static size_t own_start[MOST];
    static int64_t want[MOST];
    static int64_t got[MOST];
    struct random random = random_begin(77);
    for (size_t d = 0; d < MOST; d++) {
        want[d] = got[d] = BEST_MEANS_NONE;
    }
    for (int i = 0; i < SERIES; i++) {
        struct arena *arena = arena_open();
        const size_t n = i == 0 ? 200 : (size_t)random_below(&random, MOST + 1);
        /* The largest come last: nothing could beat them. */
        const enum shape shape = i > SERIES - 5 ? LARGE : (enum shape)(i % LARGE);
        fill(shape, &random, x, n);
        all_slowly(x, n, own, own_start);
        best_means_raise(arena, x, n, got);
        for (size_t d = 0; d < n; d++) {
            want[d] = own[d] > want[d] ? own[d] : want[d];
        }
        for (size_t d = 0; d < MOST; d++) {
            check_integer(names[shape], got[d], want[d]);
        }
        arena_close(arena);
    }
}

/* After LARGE no other can reach it, and a series far below is no trouble. */
static void test_best_means__what_none_can_reach_stays(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    static const struct {
        int32_t x[3];
        int64_t want[3];
    } rows[] = {
        { { -2000000000, 5, 5 }, { 5, 10, -1999999990 } },
        { { 7, 1, 1 }, { 7, 10, 9 } },
        { { INT32_MAX, INT32_MAX, INT32_MAX },
          { INT32_MAX, 2 * (int64_t)INT32_MAX, 3 * (int64_t)INT32_MAX } },
        { { 7, 1, 1 }, { INT32_MAX, 2 * (int64_t)INT32_MAX, 3 * (int64_t)INT32_MAX } },
    };
    int64_t sums[3] = { BEST_MEANS_NONE, BEST_MEANS_NONE, BEST_MEANS_NONE };
    for (size_t i = 0; i < COUNT(rows); i++) {
        best_means_raise(arena, rows[i].x, 3, sums);
        for (size_t d = 0; d < 3; d++) {
            check_integer("sum", sums[d], rows[i].want[d]);
        }
    }
    best_means_raise(arena, rows[0].x, 0, NULL);
    arena_close(arena);
}

/* 4,000 values of 2 million: all of them sum to 8e9, more than 32 bits hold, 600 of them don't. */
static void test_best_means__few_lengths_survive_prefix_sums_that_go_round(void **state)
{
    (void)state;
    enum { N = 4000 };
    struct arena *arena = arena_open();
    struct random random = random_begin(11);
    int32_t *x = ARENA_ARRAY(arena, int32_t, N);
    int64_t *want = ARENA_ARRAY(arena, int64_t, N);
    size_t *want_start = ARENA_ARRAY(arena, size_t, N);
    for (size_t i = 0; i < N; i++) {
        x[i] = 1000000 + (int32_t)random_below(&random, 2000000);
    }
    all_slowly(x, N, want, want_start);
    const size_t lengths[] = { 1, 60, 600, 30, 4000 };
    int64_t sums[COUNT(lengths)];
    size_t starts[COUNT(lengths)];
    for (size_t count = 1; count <= COUNT(lengths); count++) {
        best_means_few(arena, x, N, lengths, count, sums, starts);
        for (size_t i = 0; i < count; i++) {
            check_integer("sum", sums[i], want[lengths[i] - 1]);
            check_integer("start", (int64_t)starts[i], (int64_t)want_start[lengths[i] - 1]);
        }
    }
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_best_means__ties_go_to_the_earliest),
        cmocka_unit_test(test_best_means__large_values_do_not_overflow),
        cmocka_unit_test(test_best_means__raised_by_each_series_is_the_greatest_of_all),
        cmocka_unit_test(test_best_means__what_none_can_reach_stays),
        cmocka_unit_test(test_best_means__few_lengths_survive_prefix_sums_that_go_round),
        cmocka_unit_test(test_best_means__bounded_search_equals_every_window),
        cmocka_unit_test(test_best_means__every_small_length_equals_every_window),
    };
    return cmocka_run_group_tests_name("best_means", tests, NULL, NULL);
}
