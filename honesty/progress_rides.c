/* honesty/progress_rides.c: the efforts of a rider of known change as whole recordings. */
#include "honesty/progress_trial.h"

#include "simulated/outings.h"
#include "simulated/random.h"

#include <math.h>

enum { STREAM = 0x5057, BLOCKS_MOST = 8, WEEK = 7 };

/* The rider as she is that day: more power at the same heart rate, and a heart of the day. */
static struct simulated_rider rider_on(const struct progress_case *c, int64_t day, uint64_t seed)
{
    struct simulated_random r = simulated_random_begin(seed, STREAM);
    struct simulated_rider rider = simulated_rider_draw(c->seed);
    const double truth = progress_truth(c, day);
    rider.threshold_w *= truth;
    rider.critical_power_w *= truth;
    rider.w_prime_j *= truth;
    rider.gain_bpm_per_w /= truth;
    rider.day_bpm = 4.0 * simulated_random_normal(&r);
    return rider;
}

static void block(struct simulated_block blocks[BLOCKS_MOST], size_t *n, double duration_s,
                  double from_w, double to_w, bool is_effort)
{
    const bool goes_on = is_effort && *n > 0 && blocks[*n - 1].is_rep;
    blocks[(*n)++] = (struct simulated_block){ .duration_s = duration_s,
                                               .power_w = from_w,
                                               .end_power_w = to_w,
                                               .cadence_rpm = (double)NAN,
                                               .is_rep = is_effort,
                                               .goes_on = goes_on };
}

/* A warm-up, the effort paced as people pace it (a little too quick, a little too slow, a last
 * tenth with all that is left), and home. */
static struct simulated_plan effort_plan(struct arena *arena, const struct simulated_rider *rider,
                                         int32_t duration_s, double power_w, uint64_t seed)
{
    struct simulated_random r = simulated_random_begin(seed, STREAM + 1);
    struct simulated_block *blocks = ARENA_ARRAY(arena, struct simulated_block, BLOCKS_MOST);
    struct simulated_plan plan =
        simulated_plan_make(arena, rider, SIMULATED_BASE_HOUR, seed % 2 == 0, seed);
    const double easy_w = 0.5 * rider->threshold_w;
    const double quick = simulated_random_between(&r, 1.0, 1.04);
    const double tenth = 0.1 * (double)duration_s;
    const double last = 1.06;
    const double middle = (10.0 - 2.0 * quick - last) / 7.0; /* so that the mean is the power */
    size_t n = 0;
    block(blocks, &n, floor(simulated_random_between(&r, 900.0, 2400.0)), easy_w, 1.3 * easy_w,
          false);
    block(blocks, &n, 180.0, easy_w, easy_w, false);
    block(blocks, &n, 2.0 * tenth, power_w * quick, power_w * quick, true);
    block(blocks, &n, 7.0 * tenth, power_w * middle, power_w * middle, true);
    block(blocks, &n, tenth, power_w * last, power_w * last, true);
    block(blocks, &n, floor(simulated_random_between(&r, 600.0, 1800.0)), easy_w, 0.8 * easy_w,
          false);
    plan.blocks = blocks;
    plan.n_blocks = n;
    plan.hilliness = 0.0;
    plan.junctions_per_h = 0.0;
    plan.drift_bpm = 0.0;
    return plan;
}

static void read_ride(const struct progress_case *c, const struct simulated_rider *rider,
                      const struct simulated_plan *plan, bool marked, const struct limits *limits,
                      struct past_ride *out)
{
    struct arena *scratch = arena_open();
    const struct simulated_ride ride = simulated_ride_make(scratch, rider, plan);
    const struct recording *recording = simulated_recording(scratch, &ride, plan, limits);
    struct rider_facts facts = facts_unknown();
    struct ride_readings readings = { 0 };
    struct error err = { 0 };
    /* The coach's threshold is that of the first day. */
    facts.threshold_w = simulated_rider_draw(c->seed).threshold_w;
    facts.threshold_known_by = "given";
    facts.max_heart_rate_bpm = rider->max_heart_rate_bpm;
    facts.marked = marked;
    if (reading_make(scratch, recording, &facts, limits, &readings, &err)) {
        out->has_power = true;
        out->meter = 1;
        out->marked = marked;
        out->n_efforts = readings.n_efforts;
        for (size_t i = 0; i < readings.n_efforts; i++) {
            out->efforts[i] = readings.efforts[i];
        }
    }
    arena_close(scratch);
}

static bool has_evidence(const struct past_ride *ride, int32_t duration_s)
{
    for (size_t i = 0; i < ride->n_efforts; i++) {
        if (ride->efforts[i].duration_s == duration_s && ride->efforts[i].evidence != 0) {
            return true;
        }
    }
    return false;
}

void progress_rides(struct arena *arena, const struct progress_case *c, const struct limits *limits,
                    struct past_ride rides[PROGRESS_MOST], size_t *n_rides,
                    struct progress_outcome *out)
{
    static const struct simulated_habits habits = { .starts_hard = 0.2,
                                                    .fades = 0.2,
                                                    .long_h = { 1.5, 2.5 } };
    struct progress_effort efforts[PROGRESS_MOST];
    const size_t n = progress_efforts(c, efforts);
    out->ridden = (int)n;
    out->seen = 0;
    for (size_t i = 0; i < n; i++) {
        const uint64_t seed = c->seed * 64 + i;
        const struct simulated_rider rider = rider_on(c, efforts[i].day, seed);
        const struct simulated_rider first = simulated_rider_draw(c->seed);
        const double power_w = efforts[i].ratio * progress_power(&first, efforts[i].duration_s);
        const struct simulated_plan plan =
            effort_plan(arena, &rider, efforts[i].duration_s, power_w, seed);
        struct past_ride *ride = &rides[(*n_rides)++];
        *ride = past_ride_begin(1 + (int64_t)i, efforts[i].day);
        read_ride(c, &rider, &plan, c->tests, limits, ride);
        out->seen += has_evidence(ride, efforts[i].duration_s) ? 1 : 0;
    }
    /* A hard session in two weeks of three, steady work in the third. */
    for (int week = 0; week < 12; week++) {
        const uint64_t seed = c->seed * 64 + 32 + (uint64_t)week;
        const int64_t day = PROGRESS_TODAY - 83 + WEEK * week + 2;
        const struct simulated_rider rider = rider_on(c, day, seed);
        const enum simulated_outing outing =
            week % 3 == 2 ? SIMULATED_OUTING_STEADY : SIMULATED_OUTING_HARD;
        const struct simulated_plan plan =
            simulated_outing_make(arena, &rider, &habits, outing, seed % 2 == 0, 6.0, seed);
        struct past_ride *ride = &rides[(*n_rides)++];
        *ride = past_ride_begin(100 + week, day);
        read_ride(c, &rider, &plan, false, limits, ride);
    }
}
