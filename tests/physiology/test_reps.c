/* Efforts found and measured, on rides built by hand: every wanted number is by hand. */
#include "check.h"

#include "maths/random.h"
#include "physiology/made_ride.h"
#include "physiology/reps.h"

#include <math.h>

static struct rider_facts facts_250(void)
{
    struct rider_facts facts = facts_unknown();
    facts.threshold_w = 250;
    facts.max_heart_rate_bpm = 190;
    return facts;
}

/* ---- found ---- */

static void test_reps__efforts_are_found_to_the_second(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        struct piece pieces[40];
        double threshold_w; /* 0 = unknown */
        int sets;
        size_t n;
        struct span want[8];
    } rows[] = {
        { "4 x 4 min",
          { { .seconds = 600, .watts = 140 },
            { .seconds = 240, .watts = 285 },
            { .seconds = 180, .watts = 120 },
            { .seconds = 240, .watts = 285 },
            { .seconds = 180, .watts = 120 },
            { .seconds = 240, .watts = 285 },
            { .seconds = 180, .watts = 120 },
            { .seconds = 240, .watts = 285 },
            { .seconds = 300, .watts = 120 } },
          250,
          1,
          4,
          { { 600, 840 }, { 1020, 1260 }, { 1440, 1680 }, { 1860, 2100 } } },
        { "the same without a threshold",
          { { .seconds = 600, .watts = 140 },
            { .seconds = 240, .watts = 285 },
            { .seconds = 180, .watts = 120 },
            { .seconds = 240, .watts = 285 },
            { .seconds = 300, .watts = 120 } },
          0,
          1,
          2,
          { { 600, 840 }, { 1020, 1260 } } },
        { "two sets of 3 x 1 min",
          { { .seconds = 600, .watts = 140 },
            { .seconds = 60, .watts = 340 },
            { .seconds = 120, .watts = 110 },
            { .seconds = 60, .watts = 340 },
            { .seconds = 120, .watts = 110 },
            { .seconds = 60, .watts = 340 },
            { .seconds = 480, .watts = 110 },
            { .seconds = 60, .watts = 340 },
            { .seconds = 120, .watts = 110 },
            { .seconds = 60, .watts = 340 },
            { .seconds = 120, .watts = 110 },
            { .seconds = 60, .watts = 340 },
            { .seconds = 300, .watts = 110 } },
          250,
          2,
          6,
          { { 600, 660 },
            { 780, 840 },
            { 960, 1020 },
            { 1500, 1560 },
            { 1680, 1740 },
            { 1860, 1920 } } },
        { "a junction in a long rep is no rest",
          { { .seconds = 600, .watts = 140 },
            { .seconds = 500, .watts = 240 },
            { .seconds = 30, .watts = 0, .stands = true },
            { .seconds = 670, .watts = 240 },
            { .seconds = 300, .watts = 120 } },
          250,
          1,
          1,
          { { 600, 1800 } } },
        { "over-unders are one rep",
          { { .seconds = 600, .watts = 140 },
            { .seconds = 120, .watts = 232 },
            { .seconds = 60, .watts = 265 },
            { .seconds = 120, .watts = 232 },
            { .seconds = 60, .watts = 265 },
            { .seconds = 120, .watts = 232 },
            { .seconds = 60, .watts = 265 },
            { .seconds = 300, .watts = 130 } },
          250,
          1,
          1,
          { { 600, 1140 } } },
        { "sprints",
          { { .seconds = 600, .watts = 140 },
            { .seconds = 10, .watts = 800 },
            { .seconds = 240, .watts = 120 },
            { .seconds = 10, .watts = 780 },
            { .seconds = 240, .watts = 120 },
            { .seconds = 10, .watts = 760 },
            { .seconds = 240, .watts = 120 },
            { .seconds = 10, .watts = 750 },
            { .seconds = 240, .watts = 120 } },
          250,
          1,
          4,
          { { 600, 610 }, { 850, 860 }, { 1100, 1110 }, { 1350, 1360 } } },
        { "an hour at 70 % holds none",
          { { .seconds = 3600, .watts = 175 } },
          250,
          0,
          0,
          { { 0 } } },
        { "nor does a ride at one level without a threshold",
          { { .seconds = 3600, .watts = 175 } },
          0,
          0,
          0,
          { { 0 } } },
        { "one surge of 20 s is no session",
          { { .seconds = 900, .watts = 150 },
            { .seconds = 20, .watts = 320 },
            { .seconds = 900, .watts = 150 } },
          250,
          0,
          0,
          { { 0 } } },
    };
    const struct limits limits = limits_default();
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        struct recording *ride = made_ride(arena, rows[i].pieces, COUNT(rows[i].pieces), 5.0);
        struct rider_facts facts = facts_250();
        facts.threshold_w = rows[i].threshold_w > 0 ? rows[i].threshold_w : (double)NAN;
        const struct reps reps = reps_find(arena, ride, &facts, &limits);
        check_integer(rows[i].name, (int64_t)reps.count, (int64_t)rows[i].n);
        check_integer(rows[i].name, reps.n_sets, rows[i].sets);
        check((reps.found_by == NULL) == (rows[i].n == 0));
        for (size_t k = 0; k < rows[i].n; k++) {
            check_integer(rows[i].name, reps.items[k].span.from_s, rows[i].want[k].from_s);
            check_integer(rows[i].name, reps.items[k].span.to_s, rows[i].want[k].to_s);
            check(reps.items[k].edges_sure);
        }
        arena_close(arena);
    }
}

/* warm-up, then n times on and off, then 5 min */
static struct recording *on_off(struct arena *arena, int n, int on_s, double on_w, int off_s)
{
    struct piece pieces[64] = { { .seconds = 600, .watts = 140 } };
    size_t k = 1;
    for (int i = 0; i < n; i++) {
        pieces[k++] = (struct piece){ .seconds = on_s, .watts = on_w };
        pieces[k++] = (struct piece){ .seconds = i + 1 < n ? off_s : 300, .watts = 110 };
    }
    return made_ride(arena, pieces, COUNT(pieces), 5.0);
}

static void test_reps__short_efforts_with_short_rests_are_one_block(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        int n;
        int on_s;
        int off_s;
        bool block;
    } rows[] = {
        { "10 x 30/30", 10, 30, 30, true },
        { "8 x 40/20", 8, 40, 20, true },
        { "6 x 60/60", 6, 60, 60, true },
        { "5 x 30/30 are too few", 5, 30, 30, false },
        { "8 x 1 min, rest 2 min", 8, 60, 120, false },
    };
    const struct limits limits = limits_default();
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena *arena = arena_open();
        const struct rider_facts facts = facts_250();
        struct recording *ride = on_off(arena, rows[i].n, rows[i].on_s, 300, rows[i].off_s);
        const struct reps reps = reps_find(arena, ride, &facts, &limits);
        check_integer(rows[i].name, (int64_t)reps.count, rows[i].block ? 1 : rows[i].n);
        const struct rep *rep = &reps.items[0];
        check(rep->is_block == rows[i].block);
        check_integer(rows[i].name, rep->n_efforts, rows[i].block ? rows[i].n : 1);
        check_near(rows[i].name, rep->mean_power_w, 300, 3); /* the on-parts alone */
        if (rows[i].block) {
            const int32_t length = rows[i].n * (rows[i].on_s + rows[i].off_s) - rows[i].off_s;
            check_integer(rows[i].name, rep->span.from_s, 600);
            check_integer(rows[i].name, rep->span.to_s, 600 + length);
        }
        arena_close(arena);
    }
}

static void test_reps__a_count_of_short_efforts_is_kept_apart(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct rider_facts facts = facts_250();
    facts.reps_asked = 10;
    facts.rep_duration_s = 30;
    struct recording *ride = on_off(arena, 10, 30, 320, 30);
    const struct reps reps = reps_find(arena, ride, &facts, &limits);
    check_integer("10x30s", (int64_t)reps.count, 10);
    arena_close(arena);
}

static void test_reps__gaps_neither_make_nor_break_a_rep(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct rider_facts facts = facts_250();
    static const struct piece pieces[] = { { .seconds = 600, .watts = 140 },
                                           { .seconds = 480, .watts = 285 },
                                           { .seconds = 600, .watts = 120 },
                                           { .seconds = 480, .watts = 285 },
                                           { .seconds = 300, .watts = 120 } };
    struct recording *ride = made_ride(arena, pieces, COUNT(pieces), 5.0);
    /* 20 s of the first rep are known no more, which is less than 5 %; 50 s of the second. */
    by_hand_fill(arena, ride, CHANNEL_POWER, 800, 820, (double)NAN);
    by_hand_fill(arena, ride, CHANNEL_POWER, 1900, 1950, (double)NAN);
    const struct reps reps = reps_find(arena, ride, &facts, &limits);
    check_integer("reps", (int64_t)reps.count, 2);
    check_integer("start", reps.items[0].span.from_s, 600);
    check_integer("end", reps.items[1].span.to_s, 2160);
    check_near("coverage", reps.items[0].power_coverage, 460.0 / 480.0, 1e-12);
    check_near("mean", reps.items[0].mean_power_w, 285, 1.5);
    check_near("coverage", reps.items[1].power_coverage, 430.0 / 480.0, 1e-12);
    check(isnan(reps.items[1].mean_power_w));
    check(isnan(reps.items[1].middle_third_w));
    check_near("a third that is known", reps.items[1].last_third_w, 285, 2);
    check(isnan(reps.items[1].below_s));
    arena_close(arena);
}

static void test_reps__a_long_gap_holds_no_work(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct rider_facts facts = facts_250();
    static const struct piece pieces[] = { { .seconds = 600, .watts = 140 },
                                           { .seconds = 900, .watts = 285 },
                                           { .seconds = 300, .watts = 120 } };
    struct recording *ride = made_ride(arena, pieces, COUNT(pieces), 5.0);
    by_hand_fill(arena, ride, CHANNEL_POWER, 900, 1200, (double)NAN);
    const struct reps reps = reps_find(arena, ride, &facts, &limits);
    for (size_t i = 0; i < reps.count; i++) {
        check(reps.items[i].span.to_s <= 910 || reps.items[i].span.from_s >= 1190);
    }
    arena_close(arena);
}

static void test_reps__the_timer_stood_ends_a_rep_as_a_standstill_does(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct rider_facts facts = facts_250();
    static const struct piece pieces[] = { { .seconds = 600, .watts = 140 },
                                           { .seconds = 300, .watts = 285 },
                                           { .seconds = 120, .watts = 0, .stands = true },
                                           { .seconds = 300, .watts = 120 },
                                           { .seconds = 300, .watts = 285 },
                                           { .seconds = 300, .watts = 120 } };
    for (int paused = 0; paused < 2; paused++) {
        struct recording *ride = made_ride(arena, pieces, COUNT(pieces), 5.0);
        if (paused == 1) {
            by_hand_pause(ride, 900, 1020);
        }
        const struct reps reps = reps_find(arena, ride, &facts, &limits);
        check_integer("reps", (int64_t)reps.count, 2);
        check(reps.items[0].ended_by_stop);
        check(!reps.items[1].ended_by_stop);
    }
    arena_close(arena);
}

/* A hand's lap marks are hints: two alike carry efforts that would be too easy and short to be
 * told from the road; laps without any work make none. */
static void test_reps__laps_are_hints_only(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct rider_facts facts = facts_250();
    static const struct piece pieces[] = { { .seconds = 900, .watts = 150 },
                                           { .seconds = 16, .watts = 290 },
                                           { .seconds = 900, .watts = 150 } };
    struct lap laps[] = { { 0, 900, true, -1 }, { 900, 916, true, -1 }, { 916, 1816, true, -1 } };
    struct recording *ride = made_ride(arena, pieces, COUNT(pieces), 5.0);
    check_integer("unmarked", (int64_t)reps_find(arena, ride, &facts, &limits).count, 0);
    ride->laps = laps;
    ride->n_laps = COUNT(laps);
    check_integer("marked", (int64_t)reps_find(arena, ride, &facts, &limits).count, 1);
    static const struct piece even[] = { { .seconds = 1816, .watts = 150 } };
    ride = made_ride(arena, even, 1, 5.0);
    ride->laps = laps;
    ride->n_laps = COUNT(laps);
    check_integer("no work", (int64_t)reps_find(arena, ride, &facts, &limits).count, 0);
    arena_close(arena);
}

static void test_reps__no_power_gives_none(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct rider_facts facts = facts_250();
    struct recording *ride = by_hand(arena, 600);
    const struct reps reps = reps_find(arena, ride, &facts, &limits);
    check_integer("reps", (int64_t)reps.count, 0);
    check(isnan(reps.work_line_w));
    arena_close(arena);
}

/* What is no try at the asked work isn't judged by it: a hard minute in the warm-up. */
static void test_reps__only_what_comes_near_the_asked_work_is_part_of_it(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct rider_facts facts = facts_250();
    facts.target.low_pct = 106;
    facts.target.high_pct = 120;
    static const struct piece pieces[] = {
        { .seconds = 300, .watts = 140 }, { .seconds = 60, .watts = 300 },
        { .seconds = 300, .watts = 140 }, { .seconds = 240, .watts = 285 },
        { .seconds = 180, .watts = 120 }, { .seconds = 240, .watts = 285 },
        { .seconds = 300, .watts = 120 }
    };
    struct recording *ride = made_ride(arena, pieces, COUNT(pieces), 5.0);
    const struct reps reps = reps_find(arena, ride, &facts, &limits);
    size_t parts = 0;
    for (size_t i = 0; i < reps.count; i++) {
        parts += reps.items[i].as_asked;
        check(reps.items[i].as_asked == (reps.items[i].span.from_s >= 600));
        check(reps.items[i].as_asked == !isnan(reps.items[i].target_low_w));
    }
    check_integer("parts", (int64_t)parts, 2);
    arena_close(arena);
}

/* ---- measured ---- */

/* A ride with one rep of 300 s whose power falls in a straight line from 320 to 260 W: thirds 310,
 * 290 and 270 W; the range 265-300 W. */
static struct recording *falling(struct arena *arena)
{
    static const struct piece pieces[] = { { .seconds = 600, .watts = 120 },
                                           { .seconds = 300, .watts = 320, .end_w = 260 },
                                           { .seconds = 600, .watts = 120 } };
    return made_ride(arena, pieces, COUNT(pieces), 0.0);
}

static void test_reps__power_is_measured_by_thirds_and_by_the_range(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct rider_facts facts = facts_250();
    facts.kind = KIND_VO2MAX;
    const struct reps reps = reps_find(arena, falling(arena), &facts, &limits);
    check_integer("reps", (int64_t)reps.count, 1);
    struct rep rep = reps.items[0];
    check_integer("start", rep.span.from_s, 600);
    check_integer("end", rep.span.to_s, 900);
    check_near("mean", rep.mean_power_w, 290, 0.6);
    check_near("of threshold", rep.pct_of_threshold, 116, 0.3);
    check_near("first third", rep.first_third_w, 310, 0.6);
    check_near("middle third", rep.middle_third_w, 290, 0.6);
    check_near("last third", rep.last_third_w, 270, 0.6);
    check_near("first 20 s", rep.first_20s_w, 318, 0.6);
    check_near("change", rep.first_to_last_w.value, -40, 0.6);
    check(rep.first_to_last_w.high < -30 && rep.first_to_last_w.low > -50);
    /* above 300 W for the first 100 s, below 265 W for the last 25 s, to the 10-s mean's reach */
    check_near("above", rep.above_s, 100, 2);
    check_near("in", rep.in_s, 175, 3);
    check_near("below", rep.below_s, 25, 3);
    check_near("sum", rep.above_s + rep.in_s + rep.below_s, 300, 0);
    /* mean 290 W against 250 W over 300 s */
    check_near("work above threshold", rep.work_above_cp_kj, 12.0, 0.2);
    check_near("cadence", rep.cadence_first_rpm, 88, 0);
    rep_measure_range(arena, falling(arena), &limits, 300, (double)INFINITY, &rep);
    check_near("in", rep.in_s, 100, 2);
    check_near("none above", rep.above_s, 0, 0);
    arena_close(arena);
}

/* Heart rate: 120 at the start, rising with a time constant of 40 s to 180, falling after the rep
 * with 60 s to 120.  90 % of 190 is 171: passed when 60 e^(-t/40) < 9, after 75.9 s; 63 % of the
 * rise after 40 s; 60 s after the end 120 + 60 e^-1 = 142, that is 38 fewer. */
static void add_heart(struct arena *arena, struct recording *ride, size_t from, size_t to)
{
    for (size_t t = 0; t < ride->n_seconds; t++) {
        double bpm = 120;
        if (t >= from && t < to) {
            bpm = 180 - 60 * exp(-((double)(t - from)) / 40.0);
        } else if (t >= to) {
            bpm = 120 + 60 * exp(-((double)(t - to)) / 60.0);
        }
        by_hand_set(arena, ride, CHANNEL_HEART_RATE, t, bpm);
    }
}

static void test_reps__heart_rate_is_measured_beside_it(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct rider_facts facts = facts_250();
    struct recording *ride = falling(arena);
    add_heart(arena, ride, 600, 900);
    struct reps reps = reps_find(arena, ride, &facts, &limits);
    check_integer("reps", (int64_t)reps.count, 1);
    const struct rep *rep = &reps.items[0];
    check_near("start", rep->heart_start_bpm, 121, 2);
    check_near("peak", rep->heart_peak_bpm, 180, 1);
    check_near("to 90 %", rep->heart_to_90_s, 76, 3);
    check_near("at 90 %", rep->heart_at_90_s, 224, 3);
    check_near("lag", rep->heart_lag_s, 40, 3);
    check_near("fall", rep->recovery_60s_bpm, 38, 2);
    facts.max_heart_rate_bpm = 210; /* 189 is never reached */
    reps = reps_find(arena, ride, &facts, &limits);
    check(isnan(reps.items[0].heart_to_90_s));
    check_near("never", reps.items[0].heart_at_90_s, 0, 0);
    facts.heart_medicine = true;
    reps = reps_find(arena, ride, &facts, &limits);
    check(isnan(reps.items[0].heart_at_90_s));
    facts.heart_medicine = false;
    by_hand_fill(arena, ride, CHANNEL_HEART_RATE, 700, 720, (double)NAN); /* 7 % of the rep */
    reps = reps_find(arena, ride, &facts, &limits);
    check(isnan(reps.items[0].heart_peak_bpm) && isnan(reps.items[0].heart_at_90_s));
    check_near("coverage", reps.items[0].heart_coverage, 280.0 / 300.0, 0.01);
    arena_close(arena);
}

/* Where power was let down, and heart rate there: 320 W for 100 s, then 265 W; heart rate as above
 * is 180 - 60 e^(-100/40) = 175 then. */
static void test_reps__the_let_down_is_where_power_steps(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct rider_facts facts = facts_250();
    static const struct piece pieces[] = { { .seconds = 600, .watts = 120 },
                                           { .seconds = 100, .watts = 320 },
                                           { .seconds = 200, .watts = 265 },
                                           { .seconds = 600, .watts = 120 } };
    struct recording *ride = made_ride(arena, pieces, COUNT(pieces), 5.0);
    add_heart(arena, ride, 600, 900);
    const struct reps reps = reps_find(arena, ride, &facts, &limits);
    check_integer("reps", (int64_t)reps.count, 1);
    check_near("when", reps.items[0].let_down_s, 100, 2);
    check_near("by", reps.items[0].let_down_w, 55, 3);
    check_near("heart rate", reps.items[0].let_down_heart_bpm, 175, 1.5);
    arena_close(arena);
}

/* The interval of the change must hold the truth 9 times in 10, whatever the noise remembers. */
static void test_reps__the_interval_of_the_change_is_honest(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        int seconds;
        double tau_s; /* 0 = white */
        double fall_w;
    } rows[] = {
        { "4 min, white", 240, 0, 0 },
        { "4 min, 4 s", 240, 4, 0 },
        { "4 min, 15 s", 240, 15, 0 },
        { "4 min, 4 s, fading", 240, 4, 40 },
        { "1 min, 3 s", 60, 3, 0 },
        { "20 min, 4 s", 1200, 4, 0 },
        { "20 min, 30 s, fading", 1200, 30, 40 },
    };
    enum { RIDES = 200 };
    const struct limits limits = limits_default();
    struct random r = random_begin(11);
    for (size_t i = 0; i < COUNT(rows); i++) {
        int holds = 0;
        int found = 0;
        for (int ride_no = 0; ride_no < RIDES; ride_no++) {
            struct arena *arena = arena_open();
            const struct piece pieces[] = {
                { .seconds = 400, .watts = 110 },
                { .seconds = rows[i].seconds, .watts = 300, .end_w = 300 - rows[i].fall_w * 1.5 },
                { .seconds = 400, .watts = 110 }
            };
            struct recording *ride = made_ride(arena, pieces, COUNT(pieces), 0.0);
            const double phi = rows[i].tau_s > 0 ? exp(-1.0 / rows[i].tau_s) : 0.0;
            double noise = random_normal(&r);
            for (int t = 400; t < 400 + rows[i].seconds; t++) {
                noise = phi * noise + sqrt(1.0 - phi * phi) * random_normal(&r);
                ride->value[CHANNEL_POWER][t] += (int32_t)lround(25.0 * noise);
            }
            struct lap laps[] = { { 400, 400 + rows[i].seconds, true, -1 } };
            ride->laps = laps;
            ride->n_laps = 1;
            struct rider_facts facts = facts_250();
            const struct reps reps = reps_find(arena, ride, &facts, &limits);
            if (reps.count == 1 && !isnan(reps.items[0].first_to_last_w.low)) {
                const struct ranged change = reps.items[0].first_to_last_w;
                found++;
                holds += change.low <= -rows[i].fall_w && -rows[i].fall_w <= change.high;
            }
            arena_close(arena);
        }
        print_message("# note: %s: %d of %d intervals hold the true change\n", rows[i].name, holds,
                      found);
        check(found >= RIDES * 9 / 10);
        check(holds >= found * 84 / 100);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_reps__efforts_are_found_to_the_second),
        cmocka_unit_test(test_reps__short_efforts_with_short_rests_are_one_block),
        cmocka_unit_test(test_reps__a_count_of_short_efforts_is_kept_apart),
        cmocka_unit_test(test_reps__gaps_neither_make_nor_break_a_rep),
        cmocka_unit_test(test_reps__a_long_gap_holds_no_work),
        cmocka_unit_test(test_reps__the_timer_stood_ends_a_rep_as_a_standstill_does),
        cmocka_unit_test(test_reps__laps_are_hints_only),
        cmocka_unit_test(test_reps__no_power_gives_none),
        cmocka_unit_test(test_reps__only_what_comes_near_the_asked_work_is_part_of_it),
        cmocka_unit_test(test_reps__power_is_measured_by_thirds_and_by_the_range),
        cmocka_unit_test(test_reps__heart_rate_is_measured_beside_it),
        cmocka_unit_test(test_reps__the_let_down_is_where_power_steps),
        cmocka_unit_test(test_reps__the_interval_of_the_change_is_honest),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
