/* tests/physiology/test_effort.c: was a best ridden all-out?  Rides by hand; common practice, no
 * source: an all-out effort ends near maximal heart rate, an all-out minute falls. */
#include "check.h"

#include "physiology/effort.h"
#include "physiology/made_ride.h"

#include <math.h>

enum { MOST = 8 };

static struct effort of(const struct effort efforts[], size_t n, int32_t duration_s)
{
    for (size_t i = 0; i < n; i++) {
        if (efforts[i].duration_s == duration_s) {
            return efforts[i];
        }
    }
    fail_msg("no effort of %d s", duration_s);
    return (struct effort){ 0 };
}

static struct rider_facts some_facts(void)
{
    struct rider_facts facts = facts_unknown();
    facts.threshold_w = 200;
    facts.max_heart_rate_bpm = 190;
    return facts;
}

/* Half an hour easy, 5 min at 260 W, half an hour easy: heart rate rises in them to end_bpm. */
static struct recording *five_minutes(struct arena *arena, double end_bpm)
{
    static const struct piece pieces[] = { { 1800, 120, 0, false },
                                           { 300, 260, 0, false },
                                           { 1800, 120, 0, false } };
    struct recording *ride = made_ride(arena, pieces, COUNT(pieces), 0);
    for (size_t t = 0; t < ride->n_seconds; t++) {
        const double bpm = t < 1800   ? 120
                           : t < 1890 ? 120 + (end_bpm - 120) * (double)(t - 1800) / 90
                           : t < 2100 ? end_bpm
                                      : 130;
        by_hand_set(arena, ride, CHANNEL_HEART_RATE, t, bpm);
    }
    return ride;
}

static void test_effort__ends_near_maximal_heart_rate(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct effort efforts[MOST];
    /* 95 % of 190 is 180.5. */
    const struct {
        const char *name;
        double end_bpm;
        bool medicine;
        bool marked;
        unsigned want;
    } rows[] = {
        { "all-out", 182, false, false, EFFORT_HEART },
        { "just below", 180, false, false, 0 },
        { "hard, not all-out", 170, false, false, 0 },
        { "medicine holds heart rate down, or up", 182, true, false, 0 },
        { "the coach says so", 170, false, true, EFFORT_MARKED },
        { "both", 182, false, true, EFFORT_MARKED | EFFORT_HEART },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct rider_facts facts = some_facts();
        facts.heart_medicine = rows[i].medicine;
        struct recording *ride = five_minutes(arena, rows[i].end_bpm);
        const struct bests bests = bests_shown(arena, ride);
        const size_t n = efforts_of(arena, ride, &bests, &facts, &limits, rows[i].marked, efforts);
        check_integer("durations", (int64_t)n, 6);
        const struct effort five = of(efforts, n, 300);
        check_integer(rows[i].name, five.evidence, rows[i].want);
        check_near("power", five.power_w, 260, 1e-9);
        check_integer("start", five.start_s, 1800);
        /* Ten minutes around it end in the easy part: nobody rode them all-out. */
        check_integer("ten minutes", of(efforts, n, 600).evidence & ~(unsigned)EFFORT_MARKED, 0);
    }
    arena_close(arena);
}

static void test_effort__a_short_one_is_far_above_threshold_and_falls(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct rider_facts facts = some_facts();
    const struct {
        const char *name;
        double from_w;
        double to_w;
        unsigned want;
    } rows[] = {
        { "all-out", 520, 300, EFFORT_FADED },
        { "even: held back", 400, 400, 0 },
        { "falls, but no higher than a hard interval", 300, 220, 0 },
        { "rises", 300, 500, 0 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct piece pieces[] = { { 1200, 120, 0, false },
                                        { 60, rows[i].from_w, rows[i].to_w, false },
                                        { 1200, 120, 0, false } };
        struct effort efforts[MOST];
        struct recording *ride = made_ride(arena, pieces, COUNT(pieces), 0);
        const struct bests bests = bests_shown(arena, ride);
        const size_t n = efforts_of(arena, ride, &bests, &facts, &limits, false, efforts);
        check_integer(rows[i].name, of(efforts, n, 60).evidence, rows[i].want);
    }
    arena_close(arena);
}

/* Half a minute on, half a minute off: heart rate near maximal, and yet no all-out 10 min. */
static void test_effort__on_and_off_in_turn_is_none(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct rider_facts facts = some_facts();
    struct effort efforts[MOST];
    struct recording *ride = by_hand(arena, 3600);
    ride->effort_0_10 = (double)NAN;
    for (size_t t = 0; t < 3600; t++) {
        const bool hard = t >= 1200 && t < 2400;
        by_hand_set(arena, ride, CHANNEL_POWER, t, hard ? (t / 30 % 2 == 0 ? 320 : 90) : 120);
        by_hand_set(arena, ride, CHANNEL_HEART_RATE, t, hard ? 183 : 130);
    }
    const struct bests bests = bests_shown(arena, ride);
    const size_t n = efforts_of(arena, ride, &bests, &facts, &limits, false, efforts);
    check_integer("ten minutes", of(efforts, n, 600).evidence, 0);
    check_integer("twenty minutes", of(efforts, n, 1200).evidence, 0);
    arena_close(arena);
}

static void test_effort__nothing_is_said_of_unknown_seconds(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    const struct rider_facts facts = some_facts();
    struct effort efforts[MOST];
    struct recording *ride = five_minutes(arena, 182);
    by_hand_set(arena, ride, CHANNEL_POWER, 1900, (double)NAN);
    struct bests bests = bests_shown(arena, ride);
    size_t n = efforts_of(arena, ride, &bests, &facts, &limits, false, efforts);
    for (size_t i = 0; i < n; i++) {
        check(efforts[i].duration_s < 300);
    }
    /* No strap at its end: no evidence, and no guess. */
    ride = five_minutes(arena, 182);
    for (size_t t = 2070; t < 2100; t++) {
        by_hand_set(arena, ride, CHANNEL_HEART_RATE, t, (double)NAN);
    }
    bests = bests_shown(arena, ride);
    n = efforts_of(arena, ride, &bests, &facts, &limits, false, efforts);
    check_integer("evidence", of(efforts, n, 300).evidence, 0);
    check(isnan(of(efforts, n, 300).heart_end_bpm));
    /* A run is no ride. */
    ride->is_ride = false;
    check_integer("run", (int64_t)efforts_of(arena, ride, &bests, &facts, &limits, true, efforts),
                  0);
    arena_close(arena);
}

/* A ride of pieces whose heart rate is near maximal in every hard one. */
static size_t efforts_in(struct arena *arena, const struct piece pieces[], size_t n, bool marked,
                         struct effort efforts[MOST])
{
    const struct limits limits = limits_default();
    const struct rider_facts facts = some_facts();
    struct recording *ride = made_ride(arena, pieces, n, 0);
    const double *watts = recording_series(arena, ride, CHANNEL_POWER);
    for (size_t t = 0; t < ride->n_seconds; t++) {
        by_hand_set(arena, ride, CHANNEL_HEART_RATE, t, watts[t] > 190 ? 184 : 130);
    }
    const struct bests bests = bests_shown(arena, ride);
    return efforts_of(arena, ride, &bests, &facts, &limits, marked, efforts);
}

/* Rider of 200 W threshold.  What is wanted, by hand: an effort is evidence only at the length that
 * it was ridden for, and only once. */
static void test_effort__counts_at_its_own_length_alone(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        struct piece pieces[8];
        unsigned seen; /* bits: 5 min, 10 min, 20 min with evidence */
    } rows[] = {
        { "20 min",
          { { 1800, 120, 0, false }, { 1200, 212, 0, false }, { 900, 110, 0, false } },
          4 },
        { "10 min",
          { { 1800, 120, 0, false }, { 600, 220, 0, false }, { 900, 110, 0, false } },
          2 },
        { "5 min", { { 1800, 120, 0, false }, { 300, 240, 0, false }, { 900, 110, 0, false } }, 1 },
        { "12 min: none of these lengths",
          { { 1800, 120, 0, false }, { 720, 215, 0, false }, { 900, 110, 0, false } },
          0 },
        { "an hour's race",
          { { 1800, 120, 0, false }, { 3600, 200, 0, false }, { 900, 110, 0, false } },
          0 },
        { "three times five",
          { { 1200, 120, 0, false },
            { 300, 222, 0, false },
            { 300, 90, 0, false },
            { 300, 226, 0, false },
            { 300, 90, 0, false },
            { 300, 220, 0, false },
            { 900, 110, 0, false } },
          0 },
        { "five all-out, later five with what is left",
          { { 1200, 120, 0, false },
            { 300, 250, 0, false },
            { 900, 90, 0, false },
            { 300, 225, 0, false },
            { 900, 110, 0, false } },
          1 },
        { "a test of 20 min after five hard ones",
          { { 1200, 120, 0, false },
            { 300, 226, 0, false },
            { 480, 100, 0, false },
            { 1200, 212, 0, false },
            { 900, 110, 0, false } },
          4 },
    };
    static const int32_t lengths[] = { 300, 600, 1200 };
    for (size_t i = 0; i < COUNT(rows); i++) {
        for (int marked = 0; marked < 2; marked++) {
            struct arena *arena = arena_open();
            struct effort efforts[MOST];
            size_t n_pieces = 0;
            while (n_pieces < COUNT(rows[i].pieces) && rows[i].pieces[n_pieces].seconds > 0) {
                n_pieces++;
            }
            const size_t n = efforts_in(arena, rows[i].pieces, n_pieces, marked == 1, efforts);
            unsigned seen = 0;
            for (size_t k = 0; k < n; k++) {
                for (unsigned d = 0; d < 3; d++) {
                    seen |= efforts[k].duration_s == lengths[d] && efforts[k].evidence != 0
                                ? 1u << d
                                : 0;
                }
                /* The best minute of a long test is no test of a minute. */
                check(efforts[k].duration_s >= 180 || efforts[k].evidence == 0);
            }
            check_integer(rows[i].name, seen, rows[i].seen);
            arena_close(arena);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_effort__ends_near_maximal_heart_rate),
        cmocka_unit_test(test_effort__a_short_one_is_far_above_threshold_and_falls),
        cmocka_unit_test(test_effort__on_and_off_in_turn_is_none),
        cmocka_unit_test(test_effort__nothing_is_said_of_unknown_seconds),
        cmocka_unit_test(test_effort__counts_at_its_own_length_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
