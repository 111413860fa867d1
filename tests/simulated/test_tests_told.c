/* Tests recognised in simulated rides, and how often ordinary sessions are taken for one.
 *
 * A test is ridden at the power that critical power and W' allow for its time (Monod and Scherrer
 * 1965, Ergonomics 8:329): the truth is what the simulator was asked for. */
#include "check.h"

#include "physiology/protocols.h"
#include "simulated/plans.h"
#include "simulated/random.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { RIDERS = 60, STREAM = 0x7e57 };

struct draft {
    struct simulated_block blocks[80];
    size_t n;
    const struct simulated_rider *rider;
};

static void ride(struct draft *d, double seconds, double from_w, double to_w, bool is_rep)
{
    d->blocks[d->n++] = (struct simulated_block){ .duration_s = seconds,
                                                  .power_w = from_w,
                                                  .end_power_w = to_w,
                                                  .cadence_rpm = (double)NAN,
                                                  .is_rep = is_rep };
}

/* All-out for that long, begun a little fast. */
static void all_out(struct draft *d, double seconds)
{
    const double w = d->rider->critical_power_w + d->rider->w_prime_j / seconds;
    ride(d, seconds, 1.02 * w, 0.98 * w, true);
}

static void rest(struct draft *d, double seconds, double share)
{
    ride(d, seconds, share * d->rider->threshold_w, share * d->rider->threshold_w, false);
}

static void write_plan(struct draft *d, enum protocol protocol, uint64_t seed)
{
    struct simulated_random random = simulated_random_begin(seed, STREAM);
    const double t = d->rider->threshold_w;
    rest(d, 600.0, 0.5);
    rest(d, 300.0, 0.65);
    switch (protocol) {
    case PROTOCOL_HOUR: all_out(d, 3600.0); break;
    case PROTOCOL_TWENTY_AFTER:
        all_out(d, 300.0);
        rest(d, 600.0, 0.5);
        all_out(d, 1200.0);
        break;
    case PROTOCOL_TWENTY: all_out(d, 1200.0); break;
    case PROTOCOL_TWO_EIGHTS:
        ride(d, 480.0, 1.13 * t, 1.10 * t, true);
        rest(d, 600.0, 0.45);
        ride(d, 480.0, 1.12 * t, 1.09 * t, true);
        break;
    case PROTOCOL_RAMP: {
        /* until W' above critical power is used up */
        double w = 100.0;
        const double step = 5.0 * simulated_random_whole(&random, 3, 5);
        double left = d->rider->w_prime_j;
        while (left > 0.0) {
            const double above = fmax(0.0, w - d->rider->critical_power_w);
            const double lasts = above > 0.0 ? fmin(60.0, left / above) : 60.0;
            ride(d, fmax(1.0, floor(lasts)), w, w, true);
            left -= above * lasts;
            w += step;
        }
        break;
    }
    case PROTOCOL_MANY:
        all_out(d, 720.0);
        rest(d, 1800.0, 0.4);
        all_out(d, 420.0);
        rest(d, 1800.0, 0.4);
        all_out(d, 180.0);
        break;
    case PROTOCOL_ALL_OUT: {
        const double cp = d->rider->critical_power_w;
        /* W' is spent along an exponential with a time constant of 40 s */
        for (int i = 0; i < 36; i++) {
            const double a = d->rider->w_prime_j / 40.0 * exp(-(5.0 * i + 2.5) / 40.0);
            ride(d, 5.0, cp + a, cp + a, true);
        }
        break;
    }
    case PROTOCOL_COUNT: break;
    }
    rest(d, 600.0, 0.4);
}

struct told {
    int right;   /* recognised */
    int valid;   /* and valid */
    int other;   /* valid as something else */
    int covered; /* valid, and its interval holds critical power: where that is what it gives */
};

static void count_tests(const struct protocol_tests *tests, enum protocol protocol,
                        const struct simulated_rider *rider, struct told *told)
{
    for (size_t i = 0; i < tests->count; i++) {
        const struct protocol_test *test = &tests->items[i];
        const bool is_right = test->protocol == protocol;
        const bool holds = test->estimate_w.low <= rider->critical_power_w &&
                           rider->critical_power_w <= test->estimate_w.high;
        told->right += is_right ? 1 : 0;
        told->valid += is_right && test->valid ? 1 : 0;
        told->other += !is_right && test->valid ? 1 : 0;
        told->covered += is_right && test->valid && holds ? 1 : 0;
    }
}

static struct protocol_tests find(struct arena *arena, const struct simulated_rider *rider,
                                  const struct simulated_plan *plan, double threshold_w)
{
    const struct limits limits = limits_default();
    const struct simulated_ride ridden = simulated_ride_make(arena, rider, plan);
    const struct recording *r = simulated_recording(arena, &ridden, plan, &limits);
    struct rider_facts facts = facts_unknown();
    facts.max_heart_rate_bpm = rider->max_heart_rate_bpm;
    facts.threshold_w = threshold_w;
    return protocols_find(arena, r, &facts, &limits);
}

static struct simulated_plan plan_of(const struct draft *d, bool outdoors, uint64_t seed)
{
    return (struct simulated_plan){ .blocks = d->blocks,
                                    .n_blocks = d->n,
                                    .outdoors = outdoors,
                                    .hilliness = outdoors ? 0.15 : 0.0,
                                    .coasting_ratio = outdoors ? 0.02 : 0.0,
                                    .temperature_c = (double)NAN,
                                    .start_utc = 1773480413,
                                    .seed = seed };
}

static struct told ride_tests(enum protocol protocol, bool outdoors)
{
    struct told told = { 0 };
    for (uint64_t seed = 0; seed < RIDERS; seed++) {
        struct arena *arena = arena_open();
        const struct simulated_rider rider = simulated_rider_draw(seed);
        struct draft d = { .rider = &rider };
        write_plan(&d, protocol, seed);
        const struct simulated_plan plan = plan_of(&d, outdoors, seed);
        const struct protocol_tests tests = find(arena, &rider, &plan, (double)NAN);
        count_tests(&tests, protocol, &rider, &told);
        arena_close(arena);
    }
    return told;
}

/* How many of 60 must be recognised, and how many valid: what is measured, less a margin for
 * another simulator.  Low figures are riders whose simulated heart rate stays below the limit. */
static void test_tests_told__those_that_were_ridden_are_recognised(void **state)
{
    (void)state;
    static const struct {
        int right[2]; /* indoors, outdoors */
        int valid[2];
    } least[PROTOCOL_COUNT] = {
        [PROTOCOL_HOUR] = { { 38, 34 }, { 38, 30 } },
        [PROTOCOL_TWENTY_AFTER] = { { 40, 30 }, { 30, 18 } },
        [PROTOCOL_TWENTY] = { { 48, 36 }, { 36, 20 } },
        [PROTOCOL_TWO_EIGHTS] = { { 54, 42 }, { 46, 28 } },
        [PROTOCOL_RAMP] = { { 46, 10 }, { 46, 10 } },
        [PROTOCOL_MANY] = { { 48, 16 }, { 42, 12 } },
        [PROTOCOL_ALL_OUT] = { { 50, 50 }, { 50, 48 } },
    };
    for (int p = 0; p < PROTOCOL_COUNT; p++) {
        for (int out = 0; out < 2; out++) {
            const char *name = protocol_name((enum protocol)p);
            const struct told told = ride_tests((enum protocol)p, out == 1);
            print_message("# note: %s %s: %d of %d recognised, %d valid, %d valid as another, the "
                          "interval of %d holds critical power\n",
                          name, out == 1 ? "outdoors" : "indoors", told.right, RIDERS, told.valid,
                          told.other, told.covered);
            check(told.right >= least[p].right[out]);
            check(told.valid >= least[p].valid[out]);
            check(told.other <= 1);
            /* of its 90 % interval */
            const bool is_critical = protocol_gives((enum protocol)p) == GIVES_CRITICAL_POWER;
            check(!is_critical || told.covered >= told.valid * 85 / 100);
        }
    }
}

static void test_tests_told__sessions_are_not_taken_for_tests(void **state)
{
    (void)state;
    enum { SEEDS = 20 };
    int n = 0;
    int mentioned = 0;
    int valid = 0;
    for (int session = 0; session < SIMULATED_SESSION_COUNT; session++) {
        for (uint64_t seed = 0; seed < 2 * SEEDS; seed++) {
            struct arena *arena = arena_open();
            const struct simulated_rider rider = simulated_rider_draw(seed / 2);
            const struct simulated_plan plan = simulated_plan_make(
                arena, &rider, (enum simulated_session)session, seed % 4 > 1, seed / 2);
            /* threshold known, and not */
            const struct protocol_tests tests =
                find(arena, &rider, &plan, seed % 2 == 0 ? rider.threshold_w : (double)NAN);
            n++;
            for (size_t i = 0; i < tests.count; i++) {
                mentioned++;
                valid += tests.items[i].valid ? 1 : 0;
            }
            arena_close(arena);
        }
    }
    print_message("# note: %d ordinary sessions: %d taken for tests, %d of them proposed\n", n,
                  mentioned, valid);
    check_integer("proposed", valid, 0);
    check(mentioned <= n / 100);
}

/* What a coach might give as training and a test is nearest to. */
static void friend_of(struct draft *d, int kind, uint64_t seed)
{
    struct simulated_random random = simulated_random_begin(seed, STREAM + 1);
    const double t = d->rider->threshold_w;
    rest(d, 900.0, 0.55);
    switch (kind) {
    case 0: { /* one effort of 20 min at 95 to 100 % */
        const double w = t * simulated_random_between(&random, 0.95, 1.0);
        ride(d, 1200.0, w, w, true);
        break;
    }
    case 1: /* 2 x 8 min at 98 to 103 % */
        for (int i = 0; i < 2; i++) {
            const double w = t * simulated_random_between(&random, 0.98, 1.03);
            ride(d, 480.0, w, w, true);
            rest(d, 480.0, 0.5);
        }
        break;
    case 2: /* a race in a bunch: an hour of surges */
        for (double left = 3600.0; left > 60.0 && d->n < 70;) {
            const double hard = simulated_random_between(&random, 30.0, 150.0);
            const double easy = simulated_random_between(&random, 20.0, 90.0);
            ride(d, hard, t * simulated_random_between(&random, 1.05, 1.5), (double)NAN, true);
            ride(d, easy, t * simulated_random_between(&random, 0.3, 0.7), (double)NAN, false);
            left -= hard + easy;
        }
        break;
    case 3: { /* a climb of 12 to 45 min, as hard as it can be held for that long */
        const double seconds = simulated_random_between(&random, 720.0, 2700.0);
        all_out(d, seconds);
        break;
    }
    default: /* 12, 6 and 3 min with short rests */
        for (int i = 0; i < 3; i++) {
            const double w = t * (1.0 + 0.08 * i);
            ride(d, 720.0 / (1 << i), w, w, true);
            rest(d, 360.0, 0.5);
        }
    }
    rest(d, 600.0, 0.45);
}

static void test_tests_told__false_friends_are_seldom_proposed(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        int most; /* valid of 60, indoors and outdoors together */
    } kinds[] = {
        { "one effort of 20 min at 95-100 %", 18 },
        { "2 x 8 min at 98-103 %", 18 },
        { "a race of surges", 0 },
        { "a climb of 12-45 min, all-out", 12 },
        { "12, 6 and 3 min with short rests", 0 },
    };
    for (size_t k = 0; k < COUNT(kinds); k++) {
        int mentioned = 0;
        int valid = 0;
        for (uint64_t seed = 0; seed < RIDERS; seed++) {
            struct arena *arena = arena_open();
            const struct simulated_rider rider = simulated_rider_draw(seed);
            struct draft d = { .rider = &rider };
            friend_of(&d, (int)k, seed);
            const struct simulated_plan plan = plan_of(&d, seed % 2 == 1, seed);
            const struct protocol_tests tests = find(arena, &rider, &plan, (double)NAN);
            for (size_t i = 0; i < tests.count; i++) {
                mentioned++;
                valid += tests.items[i].valid ? 1 : 0;
            }
            arena_close(arena);
        }
        print_message("# note: %s: %d of %d taken for a test, %d proposed\n", kinds[k].name,
                      mentioned, RIDERS, valid);
        check(valid <= kinds[k].most);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_tests_told__those_that_were_ridden_are_recognised),
        cmocka_unit_test(test_tests_told__sessions_are_not_taken_for_tests),
        cmocka_unit_test(test_tests_told__false_friends_are_seldom_proposed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
