/* What the sessions of the simulator promise: the truth of each is what its name says. */
#include "check.h"

#include "recording/grid.h"
#include "simulated/plans.h"

#include <math.h>
#include <string.h>

enum { SEEDS = 25 };

static double mean_of(const double x[], int32_t from, int32_t to)
{
    double sum = 0.0;
    for (int32_t t = from; t < to; t++) {
        sum += x[t];
    }
    return sum / (double)(to - from);
}

struct ridden {
    struct simulated_rider rider;
    struct simulated_plan plan;
    struct simulated_ride ride;
};

static struct ridden ride_session(struct arena *arena, enum simulated_session session,
                                  bool outdoors, uint64_t seed)
{
    struct ridden ridden = { .rider = simulated_rider_draw(seed) };
    ridden.plan = simulated_plan_make(arena, &ridden.rider, session, outdoors, seed);
    ridden.ride = simulated_ride_make(arena, &ridden.rider, &ridden.plan);
    return ridden;
}

/* Ranges: the comments of enum simulated_session, widened by how well riders hold a mean (0.7 %,
 * one sd, for efforts). */
static void test_plans__efforts_have_the_meaning_of_their_session(void **state)
{
    (void)state;
    static const struct {
        enum simulated_session session;
        size_t fewest;
        size_t most;
        double low; /* of threshold, mean of an effort */
        double high;
        int32_t shortest_s;
        int32_t longest_s;
    } rows[] = {
        { SIMULATED_BASE_HOUR, 0, 0, 0, 0, 0, 0 },
        { SIMULATED_VO2MAX_DONE, 3, 6, 1.06, 1.20, 180, 300 },
        { SIMULATED_VO2MAX_TOO_HARD, 3, 6, 1.05, 1.21, 180, 300 },
        { SIMULATED_VO2MAX_FADED, 3, 6, 0.98, 1.20, 180, 300 },
        { SIMULATED_SHORT_30_30, 16, 39, 1.05, 1.21, 30, 30 },
        { SIMULATED_SHORT_40_20, 16, 36, 1.05, 1.21, 40, 40 },
        { SIMULATED_OVER_UNDERS, 3, 4, 0.93, 1.02, 540, 720 },
        { SIMULATED_THRESHOLD_2X20, 2, 2, 0.92, 1.04, 1200, 1200 },
        { SIMULATED_SPRINTS, 6, 10, 2.1, 3.9, 8, 12 },
        { SIMULATED_LONG_RIDE, 0, 0, 0, 0, 0, 0 },
        { SIMULATED_SWEET_SPOT_3X12, 3, 3, 0.87, 0.95, 720, 720 },
        { SIMULATED_ANAEROBIC_8X1, 8, 8, 1.24, 1.48, 60, 60 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        for (uint64_t seed = 0; seed < SEEDS; seed++) {
            struct arena *arena = arena_open();
            const struct ridden r = ride_session(arena, rows[i].session, seed % 2 == 1, seed);
            check(r.ride.n_reps >= rows[i].fewest && r.ride.n_reps <= rows[i].most);
            for (size_t k = 0; k < r.ride.n_reps; k++) {
                const struct simulated_rep *rep = &r.ride.reps[k];
                const double share = rep->mean_power_w / r.rider.threshold_w;
                check_near(simulated_session_name(rows[i].session), share,
                           (rows[i].low + rows[i].high) / 2, (rows[i].high - rows[i].low) / 2);
                check(rep->end_s - rep->start_s >= rows[i].shortest_s);
                check(rep->end_s - rep->start_s <= rows[i].longest_s);
                check_close("mean is of the true seconds", rep->mean_power_w,
                            mean_of(r.ride.second_power_w, rep->start_s, rep->end_s), 1e-9);
            }
            arena_close(arena);
        }
    }
}

static void test_plans__started_too_hard_starts_above_and_ends_below(void **state)
{
    (void)state;
    for (uint64_t seed = 0; seed < SEEDS; seed++) {
        struct arena *arena = arena_open();
        const struct ridden r = ride_session(arena, SIMULATED_VO2MAX_TOO_HARD, seed % 2 == 1, seed);
        double first = 0.0;
        double last = 0.0;
        for (size_t k = 0; k < r.ride.n_reps; k++) {
            const struct simulated_rep *rep = &r.ride.reps[k];
            const int32_t third = (rep->end_s - rep->start_s) / 3;
            first += mean_of(r.ride.second_power_w, rep->start_s, rep->start_s + third);
            last += mean_of(r.ride.second_power_w, rep->end_s - third, rep->end_s);
        }
        /* Range of the kind: 106-120 % (common practice). */
        check(first / (double)r.ride.n_reps > 1.20 * r.rider.threshold_w);
        check(last / (double)r.ride.n_reps < 1.06 * r.rider.threshold_w);
        arena_close(arena);
    }
}

static void test_plans__base_hours_hold_70_pct_and_know_their_drift(void **state)
{
    (void)state;
    for (uint64_t seed = 0; seed < SEEDS; seed++) {
        struct arena *arena = arena_open();
        const struct ridden r = ride_session(arena, SIMULATED_BASE_HOUR, seed % 2 == 1, seed);
        const int32_t from = (int32_t)r.plan.drift_from_s;
        const int32_t to = (int32_t)r.plan.drift_to_s;
        const double share = mean_of(r.ride.second_power_w, from, to) / r.rider.threshold_w;
        check(to - from >= 3600 && to - from <= 3900);
        check(share > 0.64 && share < 0.76);
        check(r.ride.drift_bpm >= 0.0 && r.ride.drift_bpm <= 18.0);
        arena_close(arena);
    }
}

static void test_plans__let_down_ends_lower_than_it_began(void **state)
{
    (void)state;
    for (uint64_t seed = 0; seed < SEEDS; seed++) {
        struct arena *arena = arena_open();
        const struct ridden r = ride_session(arena, SIMULATED_BASE_LET_DOWN, false, seed);
        const int32_t from = (int32_t)r.plan.drift_from_s;
        const int32_t to = (int32_t)r.plan.drift_to_s;
        const double early = mean_of(r.ride.second_power_w, from + 60, from + 600);
        const double late = mean_of(r.ride.second_power_w, to - 300, to);
        check(early - late > 0.03 * r.rider.threshold_w);
        check(r.ride.drift_bpm >= 8.0);
        arena_close(arena);
    }
}

static void test_plans__cafe_is_a_stop_of_ten_minutes_or_more(void **state)
{
    (void)state;
    size_t recorded = 0;
    for (uint64_t seed = 0; seed < SEEDS; seed++) {
        struct arena *arena = arena_open();
        const struct ridden r = ride_session(arena, SIMULATED_CAFE_STOP, true, seed);
        size_t stops = 0;
        for (size_t b = 0; b < r.plan.n_blocks; b++) {
            stops += r.plan.blocks[b].is_stop && r.plan.blocks[b].duration_s >= 600.0;
        }
        check_integer("stops", (int64_t)stops, 1);
        recorded += r.ride.n_timer_stops;
        arena_close(arena);
    }
    check(recorded > 5 && recorded < SEEDS);
}

static void test_plans__recordings_are_whole(void **state)
{
    (void)state;
    const struct limits limits = limits_default();
    for (int session = 0; session < SIMULATED_SESSION_COUNT; session++) {
        for (uint64_t seed = 0; seed < 6; seed++) {
            struct arena *arena = arena_open();
            const struct ridden r =
                ride_session(arena, (enum simulated_session)session, seed % 2 == 1, seed);
            const struct recording *recording =
                simulated_recording(arena, &r.ride, &r.plan, &limits);
            check_integer(simulated_session_name((enum simulated_session)session),
                          (int64_t)recording->n_seconds, (int64_t)r.ride.n_seconds);
            check(recording->is_ride && recording->sport == SPORT_CYCLING);
            check(recording->place == (r.plan.outdoors ? PLACE_OUTDOORS : PLACE_INDOORS));
            check(recording->value[CHANNEL_POWER] != NULL);
            size_t paused = 0;
            for (size_t t = 0; t < recording->n_seconds; t++) {
                paused += recording->paused[t];
            }
            size_t stood = 0;
            for (size_t s = 0; s < r.ride.n_timer_stops; s++) {
                stood += (size_t)(r.ride.timer_stops[s].to_s - r.ride.timer_stops[s].from_s);
            }
            check_integer("paused", (int64_t)paused, (int64_t)stood);
            arena_close(arena);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_plans__efforts_have_the_meaning_of_their_session),
        cmocka_unit_test(test_plans__started_too_hard_starts_above_and_ends_below),
        cmocka_unit_test(test_plans__base_hours_hold_70_pct_and_know_their_drift),
        cmocka_unit_test(test_plans__let_down_ends_lower_than_it_began),
        cmocka_unit_test(test_plans__cafe_is_a_stop_of_ten_minutes_or_more),
        cmocka_unit_test(test_plans__recordings_are_whole),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
