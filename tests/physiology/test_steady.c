/* The steady span: against a twin that tries every start and end, and on rides built by hand. */
#include "check.h"

#include "limits/limits.h"
#include "physiology/by_hand.h"
#include "physiology/steady.h"
#include "physiology/steady_by_seconds.h"

#include <math.h>
#include <string.h>

/* ---- the twin ---- */

/* Every level, every start, every end; shares counted anew.  The rules are those of steady.h. */
static struct span find_slowly(const struct steady_second seconds[], size_t n, double low_w,
                               double high_w, const struct limits *limits, double *level_w)
{
    const double in_band = limits->value[LIMIT_STEADY_IN_BAND_RATIO];
    const double coasting_most = limits->value[LIMIT_STEADY_COASTING_RATIO];
    const double band = limits->value[LIMIT_STEADY_BAND_PCT] / 100.0;
    struct span best = { 0, 0 };
    for (size_t k = 0; k < 560; k++) {
        const double level = steady_level_cw(k);
        if (level / 100.0 < low_w || level / 100.0 > high_w) {
            continue;
        }
        for (size_t a = 0; a < n; a++) {
            double good = 0.0;
            double coasting = 0.0;
            for (size_t b = a + 1; b <= n; b++) {
                const struct steady_second *s = &seconds[b - 1];
                if (s->stopped) {
                    break;
                }
                const double power = s->filtered_cw;
                const bool inside = s->known && power >= level * (1.0 - band) - 1e-9 &&
                                    power <= level * (1.0 + band) + 1e-9;
                if (b == a + 1 && !inside) {
                    break;
                }
                good += inside;
                coasting += s->coasting;
                const double length = (double)(b - a);
                const int32_t best_length = best.to_s - best.from_s;
                if (inside && good >= in_band * length - 1e-9 &&
                    coasting <= coasting_most * length + 1e-9 &&
                    ((int32_t)length > best_length ||
                     ((int32_t)length == best_length && (int32_t)a < best.from_s))) {
                    best = (struct span){ (int32_t)a, (int32_t)b };
                    *level_w = level / 100.0;
                }
            }
        }
    }
    return best;
}

/* A small generator of the test's own (Numerical Recipes' quick and dirty one; from memory). */
static uint32_t next(uint32_t *state, uint32_t below)
{
    *state = *state * 1664525u + 1013904223u;
    return (uint32_t)(((uint64_t)(*state >> 4) * below) >> 28);
}

static void check_equal(const char *row, const struct steady_second seconds[], size_t n,
                        double low_w, double high_w)
{
    const struct limits limits = limits_default();
    double fast_level = -1.0;
    double slow_level = -1.0;
    const struct span fast = steady_longest(seconds, n, low_w, high_w, &limits, &fast_level);
    const struct span slow = find_slowly(seconds, n, low_w, high_w, &limits, &slow_level);
    check_integer(row, fast.from_s, slow.from_s);
    check_integer(row, fast.to_s, slow.to_s);
    check_near(row, fast_level, slow_level, 0.0);
}

static void test_steady__equals_its_twin_on_random_seconds(void **state)
{
    (void)state;
    uint32_t r = 20251;
    struct steady_second seconds[130];
    for (int trial = 0; trial < 150; trial++) {
        const size_t n = 1 + next(&r, COUNT(seconds));
        const uint32_t spread = 1 + next(&r, 9000);
        const uint32_t coasts = next(&r, 30);
        int32_t power = 8000 + (int32_t)next(&r, 12000);
        for (size_t t = 0; t < n; t++) {
            if (next(&r, 12) == 0) {
                power = 14000 + (int32_t)next(&r, spread) - (int32_t)spread / 2;
            }
            seconds[t] = (struct steady_second){
                .filtered_cw = power + (int32_t)next(&r, 700),
                .known = next(&r, 40) != 0,
                .coasting = next(&r, 100) < coasts,
                .stopped = next(&r, 150) == 0,
            };
        }
        check_equal("random", seconds, n, 0.0, (double)INFINITY);
    }
}

static void test_steady__equals_its_twin_where_rules_meet(void **state)
{
    (void)state;
    /* One letter a second.  m = in the middle, l and h = on the band's very edges for a level of
     * 100.00 W (index 232 gives 100.59 W: edges depend on the level, so every level is tried), z =
     * far away, c = in the band but coasting, ? = unknown, | = a stop that ends a span. */
    static const char *const rows[] = {
        "",
        "m",
        "z",
        "c",
        "?",
        "|",
        "mmmmmmmmmmmmmmmmmmmm",
        "mmmmmmmmmmmmmmmmmmmzm",
        "mzmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmzm",
        "zmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmz",
        "mmmmmmmmmmczmmmmmmmmmm",
        "cmmmmmmmmcmmmmmmmmcmmmmmmmmc",
        "cmmmmmmmmmcmmmmmmmmmcmmmmmmmmmc",
        "ccccmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmcccc",
        "mmmmmmmmmm|mmmmmmmmmm|mmmmmmmmm",
        "mmmmm|mmmmmm|mmmmm",
        "mmmmmmmmmmmmmmmmmmm?mmmmmmmmmmmmmmmmmmmm?mm",
        "hhhhhhhhhhllllllllllhhhhhhhhhh",
        "llllllllllzhhhhhhhhhhhhhhhhhhhhhhhhhhhh",
        "mmmmmmmmmmzzzzzzzzzzmmmmmmmmmm",
        "zzzzzzzzzzmmmmmmmmmmzzzzzzzzzz",
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct steady_second seconds[64];
        const size_t n = strlen(rows[i]);
        for (size_t t = 0; t < n; t++) {
            const char c = rows[i][t];
            seconds[t] = (struct steady_second){
                .filtered_cw = c == 'l'   ? 8500
                               : c == 'h' ? 11500
                               : c == 'z' ? 20000
                                          : 10000,
                .known = c != '?',
                .coasting = c == 'c',
                .stopped = c == '|',
            };
        }
        check_equal(rows[i], seconds, n, 0.0, (double)INFINITY);
        check_equal(rows[i], seconds, n, 90.0, 105.0);
    }
}

/* A day of seconds at most: blocks of power, drifting and scattered, with coasting, unknown seconds
 * and stops, each rare or frequent. */
static void fill_ride(uint32_t *r, struct steady_second seconds[], size_t n)
{
    const uint32_t block_s = 5 + next(r, 1200);
    const uint32_t spread_cw = 1 + next(r, 12000);
    const uint32_t scatter_cw = 1 + next(r, 3000);
    const uint32_t coasts = next(r, 25);
    const uint32_t unknown = next(r, 3) == 0 ? 2 + next(r, 60) : 100000;
    const uint32_t stops = next(r, 2) == 0 ? 20 + next(r, 3000) : 100000;
    int32_t target_cw = 15000;
    int32_t now_cw = 15000;
    bool coasting = false;
    for (size_t t = 0; t < n; t++) {
        if (next(r, block_s) == 0) {
            target_cw = 16000 + (int32_t)next(r, spread_cw) - (int32_t)spread_cw / 2;
        }
        now_cw += (target_cw - now_cw) / 65;
        coasting = next(r, 8) == 0 ? next(r, 100) < coasts : coasting;
        seconds[t] = (struct steady_second){
            .filtered_cw = now_cw + (int32_t)next(r, scatter_cw),
            .known = next(r, unknown) != 0,
            .coasting = coasting,
            .stopped = next(r, stops) == 0,
        };
    }
}

static void test_steady__equals_the_walk_by_seconds_on_long_rides(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    struct arena *arena = arena_open();
    enum { MOST_S = 6000, RIDES = 60 };
    struct steady_second *seconds = ARENA_ARRAY(arena, struct steady_second, MOST_S);
    uint32_t r = 77;
    int found = 0;
    for (int ride = 0; ride < RIDES; ride++) {
        const size_t n = 200 + next(&r, MOST_S - 200);
        const double low_w = ride % 2 == 0 ? 0.0 : 100.0 + next(&r, 80);
        const double high_w = ride % 2 == 0 ? (double)INFINITY : low_w + next(&r, 60);
        fill_ride(&r, seconds, n);
        double fast_level = -1.0;
        double slow_level = -1.0;
        const struct span fast = steady_longest(seconds, n, low_w, high_w, &limits, &fast_level);
        const struct span slow = steady_by_seconds(seconds, n, low_w, high_w, &limits, &slow_level);
        check_integer("from", fast.from_s, slow.from_s);
        check_integer("to", fast.to_s, slow.to_s);
        check_near("level", fast_level, slow_level, 0.0);
        found += fast.to_s - fast.from_s >= 100;
    }
    check(found > RIDES / 2);
    arena_close(arena);
}

/* ---- the filter ---- */

/* Source: first-order step, 63.2 % after one time constant, 86.5 % after two (mathematics). */
static void test_steady__filter_is_first_order(void **state)
{
    (void)state;
    enum { N = 2000, STEP = 1000, TAU = 65 };
    double power[N];
    double out[N];
    uint8_t paused[N] = { 0 };
    for (size_t t = 0; t < N; t++) {
        power[t] = t < STEP ? 100.0 : 200.0;
    }
    steady_filter(power, paused, N, TAU, 0, out);
    check_near("begins at the ride's own power", out[0], 100.0, 1e-9);
    check_near("before the step", out[STEP - 1], 100.0, 1e-6);
    check_near("one time constant", out[STEP + TAU - 1], 100.0 + 100.0 * (1.0 - exp(-1.0)), 1e-4);
    check_near("two", out[STEP + 2 * TAU - 1], 100.0 + 100.0 * (1.0 - exp(-2.0)), 1e-4);
    double late[N];
    steady_filter(power, paused, N, TAU, 5, late);
    check_near("dead time", late[STEP + TAU + 4], out[STEP + TAU - 1], 1e-6);
    check(isnan(late[4]));
}

static void test_steady__filter_holds_over_unknown_seconds(void **state)
{
    (void)state;
    enum { N = 900 };
    double power[N];
    double out[N];
    uint8_t paused[N] = { 0 };
    for (size_t t = 0; t < N; t++) {
        power[t] = t >= 300 && t < 400 ? (double)NAN : 180.0;
        paused[t] = t >= 600 && t < 665;
    }
    steady_filter(power, paused, N, 65.0, 0, out);
    check_near("over the gap", out[399], 180.0, 1e-9);
    check_near("after it", out[500], 180.0, 1e-9);
    check_near("a pause is 0 W", out[664], 180.0 * exp(-1.0), 0.1);
}

/* ---- rides ---- */

enum { WARM_S = 600, HOUR_S = 3600, COOL_S = 600 };

/* Warm-up, an hour, cool-down: what a coach would call the span is the hour. */
static struct recording *plain_ride(struct arena *arena, double warm_w, double hour_w,
                                    double cool_w)
{
    struct recording *r = by_hand(arena, WARM_S + HOUR_S + COOL_S);
    by_hand_fill(arena, r, CHANNEL_POWER, 0, WARM_S, warm_w);
    by_hand_fill(arena, r, CHANNEL_POWER, WARM_S, WARM_S + HOUR_S, hour_w);
    by_hand_fill(arena, r, CHANNEL_POWER, WARM_S + HOUR_S, r->n_seconds, cool_w);
    return r;
}

static void test_steady__hour_between_warm_up_and_cool_down_is_the_span(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double warm_w;
        double cool_w;
    } rows[] = {
        { "easy warm-up", 110.0, 100.0 },
        { "from standing", 0.0, 0.0 },
        { "near warm-up", 148.0, 146.0 }, /* inside the wide band of a lower level */
        { "hard warm-up", 230.0, 90.0 },
    };
    const struct limits limits = limits_default();
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        const struct recording *r = plain_ride(arena, rows[i].warm_w, 172.0, rows[i].cool_w);
        const struct steady s = steady_find(arena, r, &limits);
        check(s.found);
        check_near(rows[i].name, s.span.from_s, WARM_S, 20);
        check_near(rows[i].name, s.span.to_s, WARM_S + HOUR_S, 20);
        check_near(rows[i].name, s.mean_power_w, 172.0, 1.0);
        check(s.in_band_ratio >= 0.93);
        check_near(rows[i].name, s.power_coverage, 1.0, 0.0);
        arena_close(arena);
    }
}

static void test_steady__long_stop_ends_a_span_and_short_one_does_not(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        size_t stop_s;
        bool timer_off;
        double want_s; /* of the span */
    } rows[] = {
        { "no stop", 0, false, 3600 },
        { "40 s, timer running", 40, false, 3600 },
        { "55 s, timer off", 55, true, 3600 },
        { "60 s, timer off", 60, true, 3600 },
        { "61 s, timer off", 61, true, 2100 },
        { "90 s, timer running", 90, false, 2100 },
        { "20 min, timer off", 1200, true, 2100 },
    };
    const struct limits limits = limits_default();
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        const size_t at = 1500;
        struct recording *r = by_hand(arena, HOUR_S + rows[i].stop_s);
        by_hand_fill(arena, r, CHANNEL_POWER, 0, r->n_seconds, 170.0);
        by_hand_fill(arena, r, CHANNEL_SPEED, 0, r->n_seconds, 8.0);
        by_hand_fill(arena, r, CHANNEL_POWER, at, at + rows[i].stop_s, 0.0);
        by_hand_fill(arena, r, CHANNEL_SPEED, at, at + rows[i].stop_s, 0.0);
        if (rows[i].timer_off) {
            by_hand_pause(r, at, at + rows[i].stop_s);
        }
        const struct steady s = steady_find(arena, r, &limits);
        check_near(rows[i].name, s.span.to_s - s.span.from_s, rows[i].want_s, 130.0);
        if (rows[i].want_s > 3000) {
            check_integer(rows[i].name, s.longest_stop_s, (int64_t)rows[i].stop_s);
        }
        arena_close(arena);
    }
}

static void test_steady__coasting_downhill_is_no_stop(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    struct arena *arena = arena_open();
    struct recording *r = by_hand(arena, HOUR_S);
    by_hand_fill(arena, r, CHANNEL_POWER, 0, HOUR_S, 170.0);
    by_hand_fill(arena, r, CHANNEL_SPEED, 0, HOUR_S, 9.0);
    by_hand_fill(arena, r, CHANNEL_POWER, 1800, 1870, 0.0);
    const struct steady s = steady_find(arena, r, &limits);
    check_integer("whole", s.span.to_s - s.span.from_s, HOUR_S);
    check_integer("stop", s.longest_stop_s, 0);
    check_near("coasting", s.coasting_ratio, 70.0 / HOUR_S, 1e-9);
    arena_close(arena);
}

static void test_steady__too_much_coasting_is_not_steady(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    for (int share = 5; share <= 20; share += 5) {
        struct arena *arena = arena_open();
        struct recording *r = by_hand(arena, HOUR_S);
        by_hand_fill(arena, r, CHANNEL_SPEED, 0, HOUR_S, 9.0);
        for (size_t t = 0; t < HOUR_S; t++) {
            /* Power while pedalling makes up for it: the filtered power stays in the band. */
            by_hand_set(arena, r, CHANNEL_POWER, t, (int)(t % 20) * 5 < share ? 0.0 : 180.0);
        }
        const struct steady s = steady_find(arena, r, &limits);
        check_integer("steady", s.found, share <= 10);
        arena_close(arena);
    }
}

static void test_steady__unknown_seconds_count_as_outside(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        size_t gap_s;
        int want_s;
    } rows[] = { { "2 min of an hour", 120, 3600 }, { "6 min of an hour", 360, 1895 } };
    const struct limits limits = limits_default();
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct recording *r = by_hand(arena, HOUR_S);
        by_hand_fill(arena, r, CHANNEL_POWER, 0, HOUR_S, 170.0);
        by_hand_fill(arena, r, CHANNEL_POWER, 1800, 1800 + rows[i].gap_s, (double)NAN);
        const struct steady s = steady_find(arena, r, &limits);
        /* A gap over the allowed share leaves one side of it. */
        check_near(rows[i].name, s.span.to_s - s.span.from_s, rows[i].want_s, 100.0);
        check(s.power_coverage >= 0.95);
        arena_close(arena);
    }
}

static void test_steady__asked_range_finds_the_shorter_harder_hour(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    struct arena *arena = arena_open();
    struct recording *r = by_hand(arena, 5400 + 3600);
    by_hand_fill(arena, r, CHANNEL_POWER, 0, 5400, 120.0);
    by_hand_fill(arena, r, CHANNEL_POWER, 5400, r->n_seconds, 172.0);
    const struct steady any = steady_find(arena, r, &limits);
    check_near("longest", any.mean_power_w, 120.0, 3.0);
    const struct steady asked = steady_find_between(arena, r, 160.0, 185.0, &limits);
    check_near("asked", asked.mean_power_w, 172.0, 1.0);
    check_near("from", asked.span.from_s, 5450, 60);
    arena_close(arena);
}

static void test_steady__without_power_there_is_none(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    struct arena *arena = arena_open();
    struct recording *r = by_hand(arena, HOUR_S);
    by_hand_fill(arena, r, CHANNEL_HEART_RATE, 0, HOUR_S, 140.0);
    const struct steady s = steady_find(arena, r, &limits);
    check(!s.found && s.span.to_s == 0 && isnan(s.mean_power_w));
    const struct steady empty = steady_find(arena, by_hand(arena, 0), &limits);
    check(!empty.found);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_steady__equals_its_twin_on_random_seconds),
        cmocka_unit_test(test_steady__equals_its_twin_where_rules_meet),
        cmocka_unit_test(test_steady__equals_the_walk_by_seconds_on_long_rides),
        cmocka_unit_test(test_steady__filter_is_first_order),
        cmocka_unit_test(test_steady__filter_holds_over_unknown_seconds),
        cmocka_unit_test(test_steady__hour_between_warm_up_and_cool_down_is_the_span),
        cmocka_unit_test(test_steady__long_stop_ends_a_span_and_short_one_does_not),
        cmocka_unit_test(test_steady__coasting_downhill_is_no_stop),
        cmocka_unit_test(test_steady__too_much_coasting_is_not_steady),
        cmocka_unit_test(test_steady__unknown_seconds_count_as_outside),
        cmocka_unit_test(test_steady__asked_range_finds_the_shorter_harder_hour),
        cmocka_unit_test(test_steady__without_power_there_is_none),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
