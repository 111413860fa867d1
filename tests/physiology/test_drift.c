/* The rise of heart rate over a steady span, on rides built by hand. */
#include "check.h"

#include "limits/limits.h"
#include "physiology/by_hand.h"
#include "physiology/drift.h"

#include <math.h>
#include <string.h>

enum { HOUR_S = 3600 };

/* -1, 0 or 1 beat, without a pattern that minutes would average away. */
static double beat(size_t t)
{
    uint64_t x = (uint64_t)(t / 7) * 0x9e3779b97f4a7c15u;
    x ^= x >> 29;
    x *= 0xbf58476d1ce4e5b9u;
    return (double)((x >> 40) % 3u) - 1.0;
}

static struct drift fit(struct arena *arena, const struct recording *r, double threshold_w)
{
    const struct limits limits = limits_default();
    const struct steady steady = steady_find(arena, r, &limits);
    return drift_fit(arena, r, &steady, threshold_w, &limits);
}

/* Source: shared checks PH-21, a definition: heart rate 130 + 12 t / 3600 over an hour at 200 W
 * rises 0.2 bpm a minute; so over the 54 fitted minutes 10.8, from 131.2 to 142.  Heart rate is in
 * whole beats here, as devices write it: hence the tolerances. */
static void test_drift__straight_line_gives_its_own_rise(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct recording *r = by_hand(arena, HOUR_S);
    for (size_t t = 0; t < HOUR_S; t++) {
        by_hand_set(arena, r, CHANNEL_POWER, t, 200.0);
        by_hand_set(arena, r, CHANNEL_HEART_RATE, t, 130.0 + 12.0 * (double)t / 3600.0);
    }
    const struct drift d = fit(arena, r, 285.0);
    check(d.known && d.why_not == NULL);
    check_integer("from", d.fitted.from_s, 360);
    check_integer("to", d.fitted.to_s, 3600);
    check_near("minutes", d.minutes, 54.0, 0.0);
    check_near("rise", d.drift_bpm, 10.8, 0.15);
    check(d.low_bpm < 10.8 && 10.8 < d.high_bpm);
    check(d.high_bpm - d.low_bpm < 2.5);
    check_near("start", d.start_bpm, 131.2, 0.15);
    check_near("end", d.end_bpm, 142.0, 0.15);
    /* Last 5 min less first 5 min: 49 min apart. */
    check_near("plain", d.plain_bpm, 49.0 * 0.2, 0.15);
    check_near("power", d.mean_power_w, 200.0, 1e-9);
    check_near("power change", d.power_change_w, 0.0, 1e-6);
    check(isnan(d.late_bpm_per_h));
    arena_close(arena);
}

/* The gain is never free: power that sags while heart rate stays is a rise at constant power, by
 * gain x what was given away, the gain being near 80 bpm at threshold. */
static void test_drift__sagging_power_is_a_rise_at_constant_power(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct recording *r = by_hand(arena, HOUR_S);
    for (size_t t = 0; t < HOUR_S; t++) {
        const double share = (double)t / HOUR_S;
        by_hand_set(arena, r, CHANNEL_POWER, t, 180.0 - 20.0 * share);
        by_hand_set(arena, r, CHANNEL_HEART_RATE, t, 140.0 + beat(t));
    }
    const struct drift d = fit(arena, r, 250.0);
    /* 18 W over the fitted 54 min x 80 / 250 bpm per watt; the gain is known to a fifth. */
    check_near("rise", d.drift_bpm, 18.0 * 80.0 / 250.0, 0.6);
    check(d.high_bpm - d.low_bpm > 2.0 * 1.645 * 0.15 * 5.76);
    check_near("as ridden", d.plain_bpm, 0.0, 0.5);
    check_near("eased off", d.power_change_w, -18.0, 0.2);
    check(d.power_change_high_w < 0.0);
    arena_close(arena);
}

/* Over the minutes ridden, never scaled up to the hour. */
static void test_drift__shorter_spans_give_the_rise_of_their_own_minutes(void **state)
{
    (void)state;
    static const struct {
        int minutes;
        bool known;
    } rows[] = { { 38, false }, { 42, true }, { 50, true }, { 60, true }, { 75, true } };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        const size_t n = (size_t)rows[i].minutes * 60;
        struct recording *r = by_hand(arena, n);
        for (size_t t = 0; t < n; t++) {
            by_hand_set(arena, r, CHANNEL_POWER, t, 170.0);
            by_hand_set(arena, r, CHANNEL_HEART_RATE, t, 130.0 + (double)t / 300.0);
        }
        const struct drift d = fit(arena, r, 240.0);
        check_integer("known", d.known, rows[i].known);
        if (rows[i].known) {
            const double fitted_min = fmin(rows[i].minutes, 60.0) - 6.0;
            check_near("minutes", d.minutes, fitted_min, 0.0);
            check_near("rise", d.drift_bpm, fitted_min / 5.0, 0.2);
        } else {
            check_text("why", d.why_not, "too-short");
            check(isnan(d.drift_bpm));
        }
        arena_close(arena);
    }
}

static void test_drift__goes_on_after_the_hour(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct recording *r = by_hand(arena, 7200);
    for (size_t t = 0; t < 7200; t++) {
        const double late = t > 3600 ? (double)(t - 3600) * 9.0 / 3600.0 : 0.0;
        by_hand_set(arena, r, CHANNEL_POWER, t, 170.0);
        by_hand_set(arena, r, CHANNEL_HEART_RATE, t, 135.0 + late + beat(t));
    }
    const struct drift d = fit(arena, r, 240.0);
    check_near("in the hour", d.drift_bpm, 0.0, 0.6);
    check_near("after it", d.late_bpm_per_h, 9.0, 0.6);
    arena_close(arena);
}

static void test_drift__what_is_missing_is_named(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        size_t heart_lost_s;
        bool no_heart;
        bool no_power;
        bool stands;
        const char *why;
    } rows[] = {
        { "whole", 0, false, false, false, NULL },
        { "2 min of heart rate lost", 120, false, false, false, NULL },
        { "4 min of heart rate lost", 240, false, false, false, "heart-coverage" },
        { "no heart rate", 0, true, false, false, "no-heart-rate" },
        { "no power", 0, false, true, false, "no-power" },
        { "nothing steady", 0, false, false, true, "no-steady-span" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct recording *r = by_hand(arena, HOUR_S);
        for (size_t t = 0; t < HOUR_S; t++) {
            const bool lost = t >= 1000 && t < 1000 + rows[i].heart_lost_s;
            if (!rows[i].no_power) {
                const double swings = t / 300 % 2 == 0 ? 100.0 : 300.0;
                by_hand_set(arena, r, CHANNEL_POWER, t, rows[i].stands ? swings : 170.0);
            }
            if (!rows[i].no_heart) {
                by_hand_set(arena, r, CHANNEL_HEART_RATE, t, lost ? (double)NAN : 140.0 + beat(t));
            }
        }
        const struct drift d = fit(arena, r, 240.0);
        check_text(rows[i].name, d.why_not, rows[i].why);
        check_integer(rows[i].name, d.known, rows[i].why == NULL);
        check(isnan(d.drift_bpm) == !d.known && isnan(d.low_bpm) == !d.known);
        arena_close(arena);
    }
}

/* A strap that repeats one value for an hour tells nothing of the heart. */
static void test_drift__stuck_heart_rate_is_no_drift(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct recording *r = by_hand(arena, HOUR_S);
    by_hand_fill(arena, r, CHANNEL_POWER, 0, HOUR_S, 170.0);
    by_hand_fill(arena, r, CHANNEL_HEART_RATE, 0, HOUR_S, 140.0);
    const struct drift d = fit(arena, r, 240.0);
    check(!d.known);
    check_text("why", d.why_not, "heart-stuck");
    arena_close(arena);
}

/* Without a threshold the gain is known less surely: the same estimate nearly, a wider range. */
static void test_drift__without_threshold_the_range_widens(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct recording *r = by_hand(arena, HOUR_S);
    for (size_t t = 0; t < HOUR_S; t++) {
        by_hand_set(arena, r, CHANNEL_POWER, t, 185.0 - 20.0 * (double)t / HOUR_S);
        by_hand_set(arena, r, CHANNEL_HEART_RATE, t, 140.0 + beat(t));
    }
    const struct drift with = fit(arena, r, 250.0);
    const struct drift without = fit(arena, r, (double)NAN);
    check(with.known && without.known);
    check_near("estimate", without.drift_bpm, with.drift_bpm, 1.0);
    check(without.high_bpm - without.low_bpm > 1.2 * (with.high_bpm - with.low_bpm));
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_drift__straight_line_gives_its_own_rise),
        cmocka_unit_test(test_drift__sagging_power_is_a_rise_at_constant_power),
        cmocka_unit_test(test_drift__shorter_spans_give_the_rise_of_their_own_minutes),
        cmocka_unit_test(test_drift__goes_on_after_the_hour),
        cmocka_unit_test(test_drift__what_is_missing_is_named),
        cmocka_unit_test(test_drift__stuck_heart_rate_is_no_drift),
        cmocka_unit_test(test_drift__without_threshold_the_range_widens),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
