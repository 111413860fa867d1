/* tests/maths/test_change_points.c: pruned search against the full programme. */
#include "check.h"

#include "maths/change_points.h"
#include "maths/random.h"

#include <math.h>
#include <stdio.h>

/* The full programme, slow and obvious: every last segment of every beginning.  The formula of a
 * segment is the one that the header's words on ties speak of: sums about a whole number. */
static size_t find_slowly(struct arena *arena, const double x[], size_t n, double penalty,
                          size_t shortest, size_t ends[])
{
    double sum = 0;
    double known = 0;
    for (size_t i = 0; i < n; i++) {
        sum += isnan(x[i]) ? 0 : x[i];
        known += isnan(x[i]) ? 0 : 1;
    }
    const double centre = known > 0 ? rint(sum / known) : 0;
    double *w = ARENA_ARRAY(arena, double, n + 1);
    double *s1 = ARENA_ARRAY(arena, double, n + 1);
    double *s2 = ARENA_ARRAY(arena, double, n + 1);
    double *total = ARENA_ARRAY(arena, double, n + 1);
    size_t *from = ARENA_ARRAY(arena, size_t, n + 1);
    for (size_t i = 0; i < n; i++) {
        const double d = isnan(x[i]) ? 0 : x[i] - centre;
        w[i + 1] = w[i] + (isnan(x[i]) ? 0 : 1);
        s1[i + 1] = s1[i] + d;
        s2[i + 1] = s2[i] + d * d;
    }
    for (size_t to = 1; to <= n; to++) {
        total[to] = (double)INFINITY;
        for (size_t a = 0; a + shortest <= to; a++) {
            const double before = a == 0 ? 0 : total[a] + penalty;
            const double first = s1[to] - s1[a];
            const double all = before + (s2[to] - s2[a]);
            const double value = w[to] > w[a] ? all - first * first / (w[to] - w[a]) : all;
            if (value < total[to]) {
                total[to] = value;
                from[to] = a;
            }
        }
    }
    if (n > 0 && isinf(total[n])) {
        ends[0] = n;
        return 1;
    }
    size_t count = 0;
    for (size_t at = n; at > 0; at = from[at]) {
        count++;
    }
    size_t k = count;
    for (size_t at = n; at > 0; at = from[at]) {
        ends[--k] = at;
    }
    return count;
}

static void check_equal_to_slow(const char *name, const double x[], size_t n, double penalty,
                                size_t shortest)
{
    struct arena *arena = arena_open();
    size_t *got = ARENA_ARRAY(arena, size_t, n + 1);
    size_t *want = ARENA_ARRAY(arena, size_t, n + 1);
    const size_t n_got = change_points_find(arena, x, n, penalty, shortest, got);
    const size_t n_want = find_slowly(arena, x, n, penalty, shortest, want);
    bool same = n_got == n_want;
    for (size_t i = 0; same && i < n_got; i++) {
        same = got[i] == want[i];
    }
    if (!same) {
        print_error("# %s: n %zu, penalty %g, shortest %zu: %zu segments, wanted %zu\n", name, n,
                    penalty, shortest, n_got, n_want);
        fail();
    }
    arena_close(arena);
}

/* Series that are hard for pruning, for ties, or for both. */
enum shape {
    CONSTANT,
    ALL_ZERO,
    RAMP,
    SAW,
    STEPS,
    SPIKES,
    ALTERNATING,
    ON_OFF,
    NOISE,
    COIN,
    WALK,
    RIDE,
    HUGE_VALUES,
    TINY_VALUES,
    FAR_FROM_ZERO,
    SHAPES
};

static void fill(enum shape shape, struct random *random, double x[], size_t n)
{
    double level = 150;
    double walk = 0;
    for (size_t i = 0; i < n; i++) {
        const double z = random_normal(random);
        if (random_below(random, 40) == 0) {
            level = (double)random_below(random, 500);
        }
        walk += z;
        switch (shape) {
        case CONSTANT: x[i] = 200.3; break;
        case ALL_ZERO: x[i] = 0; break;
        case RAMP: x[i] = (double)i; break;
        case SAW: x[i] = (double)(i % 17); break;
        case STEPS: x[i] = (double)(100 + 50 * ((i / 30) % 3)); break;
        case SPIKES: x[i] = i % 37 == 5 ? 47000 : 200; break;
        case ALTERNATING: x[i] = (double)(i % 2); break;
        case ON_OFF: x[i] = (i / 20) % 2 == 0 ? 300 : 0; break;
        case NOISE: x[i] = 200 + 30 * z; break;
        case COIN: x[i] = (double)random_below(random, 2); break;
        case WALK: x[i] = walk; break;
        case RIDE: x[i] = rint(level + 12 * z) > 0 ? rint(level + 12 * z) : 0; break;
        case HUGE_VALUES: x[i] = 1e90 * (level + z); break;
        case TINY_VALUES: x[i] = 1e-90 * (level + z); break;
        case FAR_FROM_ZERO: x[i] = 1e9 + level + z; break;
        case SHAPES: break;
        }
    }
}

/* Of the first differences, as a user would scale the penalty. */
static double noise_variance(const double x[], size_t n)
{
    double sum = 0;
    for (size_t i = 1; i < n; i++) {
        const double d = x[i] - x[i - 1];
        sum += isnan(d) ? 0 : d * d / 2 / (double)n;
    }
    return sum;
}

static void test_change_points__pruned_search_equals_the_full_programme(void **state)
{
    (void)state;
    static const char *const names[SHAPES] = { "constant", "all zero", "ramp",         "saw",
                                               "steps",    "spikes",   "alternating",  "on off",
                                               "noise",    "coin",     "walk",         "ride",
                                               "huge",     "tiny",     "far from zero" };
    static const size_t lengths[] = { 1, 2, 3, 5, 6, 7, 11, 12, 13, 40, 150, 400 };
    static const double factors[] = { 0.01, 0.3, 2, 12, 60, 1000 };
    static const size_t shortest[] = { 1, 2, 6, 7 };
    struct random random = random_begin(20240501);
    double x[400];
    for (size_t shape = 0; shape < SHAPES; shape++) {
        for (size_t i = 0; i < COUNT(lengths); i++) {
            fill((enum shape)shape, &random, x, lengths[i]);
            const double unit = noise_variance(x, lengths[i]);
            for (size_t j = 0; j < COUNT(factors); j++) {
                const double penalty = unit > 0 ? factors[j] * unit : factors[j];
                for (size_t k = 0; k < COUNT(shortest); k++) {
                    check_equal_to_slow(names[shape], x, lengths[i], penalty, shortest[k]);
                }
            }
        }
    }
}

/* Whole numbers from a small range and a whole penalty tie everywhere: what is equal must be
 * decided by the rule alone. */
static void test_change_points__ties_go_to_the_earliest_start(void **state)
{
    (void)state;
    struct random random = random_begin(7);
    double x[60];
    for (int round = 0; round < 4000; round++) {
        const size_t n = 1 + (size_t)random_below(&random, 60);
        const uint64_t range = 2 + random_below(&random, 3);
        for (size_t i = 0; i < n; i++) {
            x[i] = (double)random_below(&random, range);
        }
        const double penalty = (double)random_below(&random, 7) / 2;
        check_equal_to_slow("ties", x, n, penalty, 1 + (size_t)random_below(&random, 8));
    }
}

static void test_change_points__gaps_cost_nothing(void **state)
{
    (void)state;
    struct random random = random_begin(8);
    double x[200];
    for (int round = 0; round < 300; round++) {
        const size_t n = 1 + (size_t)random_below(&random, 200);
        fill(round % 2 == 0 ? RIDE : COIN, &random, x, n);
        for (size_t i = 0; i < n; i++) {
            for (size_t length = random_below(&random, 12) == 0 ? random_below(&random, 30) : 0;
                 length > 0 && i < n; length--) {
                x[i++] = (double)NAN;
            }
        }
        const double penalty = round % 2 == 0 ? 5000 : 1.5;
        check_equal_to_slow("gaps", x, n, penalty, 1 + (size_t)random_below(&random, 8));
    }
    double none[50];
    for (size_t i = 0; i < 50; i++) {
        none[i] = (double)NAN;
    }
    check_equal_to_slow("nothing but gaps", none, 50, 10, 6);
}

/* The slow programme takes n^2 / 2 steps: one long series of each kind is enough. */
static void test_change_points__an_hour_equals_the_full_programme(void **state)
{
    (void)state;
    struct random random = random_begin(9);
    double x[3600];
    for (int shape = NOISE; shape <= RIDE; shape++) {
        fill((enum shape)shape, &random, x, COUNT(x));
        const double penalty = 10 * noise_variance(x, COUNT(x)) * log((double)COUNT(x));
        check_equal_to_slow("an hour", x, COUNT(x), penalty, 1);
        check_equal_to_slow("an hour, shortest 6", x, COUNT(x), penalty, 6);
    }
}

/* By hand. */
static void test_change_points__obvious_changes_are_found(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const double x[] = { 100, 102, 99, 101, 251, 249, 250, 120, 118, 121, 119 };
    size_t ends[11];
    check_integer("three", (int64_t)change_points_find(arena, x, 11, 500, 1, ends), 3);
    check_integer("first", (int64_t)ends[0], 4);
    check_integer("second", (int64_t)ends[1], 7);
    check_integer("third", (int64_t)ends[2], 11);
    check_near("cost", change_points_cost(x, ends, 3), 5 + 2 + 5, 1e-12);
    check_integer("none", (int64_t)change_points_find(arena, x, 11, 1e6, 1, ends), 1);
    check_integer("end", (int64_t)ends[0], 11);
    const double tied[] = { 0, 5, 0 }; /* 12.5 either way */
    check_integer("two", (int64_t)change_points_split(arena, tied, 3, 2, 1, ends), 2);
    check_integer("the earlier", (int64_t)ends[0], 1);
    check_integer("empty", (int64_t)change_points_find(arena, x, 0, 1, 1, ends), 0);
    check_integer("too short", (int64_t)change_points_find(arena, x, 11, 1, 6, ends), 1);
    arena_close(arena);
}

/* All partitions of short series, by trying each subset of the places between samples. */
static void test_change_points__a_fixed_count_is_the_best_of_all(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct random random = random_begin(10);
    const size_t n = 12;
    double x[12];
    for (int round = 0; round < 40; round++) {
        const size_t shortest = 1 + (size_t)(round % 3);
        for (size_t i = 0; i < n; i++) {
            x[i] = (double)random_below(&random, 9);
        }
        for (size_t count = 1; count <= 5; count++) {
            double least = (double)INFINITY;
            for (uint32_t cuts = 0; cuts < 1u << (n - 1); cuts++) {
                size_t ends[12];
                size_t k = 0;
                bool long_enough = true;
                for (size_t i = 1; i <= n; i++) {
                    if (i == n || (cuts >> (i - 1) & 1u) != 0) {
                        long_enough = long_enough && i - (k == 0 ? 0 : ends[k - 1]) >= shortest;
                        ends[k++] = i;
                    }
                }
                if (k == count && long_enough) {
                    const double cost = change_points_cost(x, ends, k);
                    least = cost < least ? cost : least;
                }
            }
            size_t got[5];
            const size_t n_got = change_points_split(arena, x, n, count, shortest, got);
            if (isinf(least)) {
                check_integer("none", (int64_t)n_got, 0);
            } else {
                check_integer("count", (int64_t)n_got, (int64_t)count);
                check_near("least", change_points_cost(x, got, count), least, 1e-9);
            }
        }
    }
    arena_close(arena);
}

/* Pruning is the point: scratch grows with the series, not with its square. */
static void test_change_points__memory_grows_with_the_series(void **state)
{
    (void)state;
    struct random random = random_begin(11);
    struct arena *arena = arena_open();
    const size_t n = 86400;
    double *x = ARENA_ARRAY(arena, double, n);
    size_t *ends = ARENA_ARRAY(arena, size_t, n);
    fill(RIDE, &random, x, n);
    const size_t before = arena_bytes(arena);
    const size_t count = change_points_find(arena, x, n, 40 * 144 * log((double)n), 6, ends);
    check(count > 1000 && count < 4000);
    check(arena_bytes(arena) - before < 64 * n);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_change_points__obvious_changes_are_found),
        cmocka_unit_test(test_change_points__pruned_search_equals_the_full_programme),
        cmocka_unit_test(test_change_points__ties_go_to_the_earliest_start),
        cmocka_unit_test(test_change_points__gaps_cost_nothing),
        cmocka_unit_test(test_change_points__an_hour_equals_the_full_programme),
        cmocka_unit_test(test_change_points__a_fixed_count_is_the_best_of_all),
        cmocka_unit_test(test_change_points__memory_grows_with_the_series),
    };
    return cmocka_run_group_tests_name("change_points", tests, NULL, NULL);
}
