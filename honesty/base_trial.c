/* honesty/base_trial.c: one simulated base test. */
#include "honesty/base_trial.h"

#include "simulated/plans.h"
#include "simulated/random.h"

#include <math.h>

enum {
    WARM_S = 600,
    HOUR_S = 3600,
    COOL_S = 300,
    STREAM = 0x4454,
};

struct base_case base_case_draw(uint64_t seed, int index, enum simulated_noise noise)
{
    struct simulated_random r = simulated_random_begin(seed, STREAM);
    return (struct base_case){
        .seed = seed,
        .noise = noise,
        .drift_bpm = simulated_random_between(&r, -1.0, 18.0),
        .outdoors = index % 2 == 1,
        .shape = index % 3,
        .eases_off = index % 4 >= 2,
        .missing = index % 5 == 0,
    };
}

/* Blanks some minutes of heart rate in the middle of the hour, as a strap that falls silent. */
static void lose_heart(struct simulated_ride *ride, uint64_t seed)
{
    struct simulated_random r = simulated_random_begin(seed, STREAM + 1);
    for (int gap = 0; gap < 2; gap++) {
        const int32_t from = (int32_t)simulated_random_between(&r, WARM_S + 420, WARM_S + 3400);
        const int32_t to = from + (int32_t)simulated_random_between(&r, 20.0, 75.0);
        for (size_t i = 0; i < ride->samples.count; i++) {
            if (ride->samples.time_s[i] >= from && ride->samples.time_s[i] < to) {
                ride->samples.value[CHANNEL_HEART_RATE][i] = RECORDING_MISSING;
            }
        }
    }
}

struct base_outcome base_read(struct arena *arena, const struct recording *recording,
                              const struct base_truth *truth, const struct limits *limits)
{
    struct rider_facts facts = facts_unknown();
    facts.threshold_w = truth->threshold_w;
    facts.threshold_known_by = "given";
    facts.max_heart_rate_bpm = truth->max_bpm;
    facts.kind = KIND_BASE_TEST;
    struct ride_readings readings = { 0 };
    struct error err = { 0 };
    struct base_outcome outcome = { 0 };
    if (!reading_make(arena, recording, &facts, limits, &readings, &err)) {
        return outcome;
    }
    for (size_t i = 0; i < readings.count; i++) {
        const struct reading *reading = &readings.items[i];
        if (reading->question == QUESTION_BASE) {
            outcome.verdict = reading->verdict;
            outcome.why_not =
                reading->cannot_because.count > 0 ? reading->cannot_because.items[0].code : NULL;
        }
    }
    const double span_s = (double)(readings.steady.span.to_s - readings.steady.span.from_s);
    const struct drift *drift = &readings.drift;
    outcome.whole =
        span_s + limits->value[LIMIT_STEADY_EDGE_S] >= limits->value[LIMIT_STEADY_WHOLE_S];
    outcome.known = drift->known;
    if (drift->known) {
        outcome.truth_bpm = truth->rise_bpm(truth->of, drift->fitted);
        outcome.estimate_bpm = drift->drift_bpm;
        outcome.low_bpm = drift->low_bpm;
        outcome.high_bpm = drift->high_bpm;
    }
    return outcome;
}

static double planned_rise_bpm(const void *of, struct span fitted)
{
    const struct simulated_plan *plan = of;
    const enum simulated_drift_shape shape = (enum simulated_drift_shape)plan->drift_shape;
    const double length_s = plan->drift_to_s - plan->drift_from_s;
    const double to_s = fitted.to_s - plan->drift_from_s;
    const double from_s = fitted.from_s - plan->drift_from_s;
    return simulated_heart_drift(shape, plan->drift_bpm, length_s, to_s) -
           simulated_heart_drift(shape, plan->drift_bpm, length_s, from_s);
}

/* Reads the ride as a base test, and sets what came against the plan's truth. */
static struct base_outcome read_ride(struct arena *arena, const struct simulated_rider *rider,
                                     const struct simulated_plan *plan,
                                     const struct simulated_ride *ride, const struct limits *limits)
{
    const struct base_truth truth = { rider->threshold_w, rider->max_heart_rate_bpm,
                                      planned_rise_bpm, plan };
    return base_read(arena, simulated_recording(arena, ride, plan, limits), &truth, limits);
}

struct base_outcome base_trial(const struct base_case *c, const struct limits *limits)
{
    struct arena *arena = arena_open();
    struct simulated_random r = simulated_random_begin(c->seed, STREAM + 2);
    const struct simulated_rider rider = simulated_rider_draw(c->seed);
    const double warm_w = rider.threshold_w * simulated_random_between(&r, 0.40, 0.60);
    const double base_w = rider.threshold_w * simulated_random_between(&r, 0.66, 0.74);
    const double end_w = c->eases_off ? base_w * simulated_random_between(&r, 0.86, 0.95) : base_w;
    const double cool_w = 0.45 * rider.threshold_w;
    const double hilliness = simulated_random_between(&r, 0.0, 0.25);
    const double coasting_ratio = simulated_random_between(&r, 0.01, 0.06);
    const double noise_bpm = simulated_random_between(&r, 0.8, 2.2);
    const double none = (double)NAN;
    const struct simulated_block blocks[] = {
        { .duration_s = WARM_S, .power_w = warm_w, .end_power_w = none, .cadence_rpm = none },
        { .duration_s = HOUR_S, .power_w = base_w, .end_power_w = end_w, .cadence_rpm = none },
        { .duration_s = COOL_S, .power_w = cool_w, .end_power_w = none, .cadence_rpm = none },
    };
    struct simulated_plan plan = {
        .blocks = blocks,
        .n_blocks = sizeof blocks / sizeof blocks[0],
        .outdoors = c->outdoors,
        .hilliness = hilliness,
        .coasting_ratio = coasting_ratio,
        .junctions_per_h = 1.0,
        .drift_bpm = c->drift_bpm,
        .drift_from_s = WARM_S,
        .drift_to_s = WARM_S + HOUR_S,
        .drift_shape = c->shape,
        .noise = c->noise,
        .noise_bpm = noise_bpm,
        .temperature_c = 20.0,
        .seed = c->seed,
        .device = simulated_device_draw(c->seed),
    };
    plan.device.auto_pause = c->auto_pause;
    plan.device.smart_interval_s = c->smart_interval_s;
    struct simulated_ride ride = simulated_ride_make(arena, &rider, &plan);
    if (c->missing) {
        lose_heart(&ride, c->seed);
    }
    const struct base_outcome outcome = read_ride(arena, &rider, &plan, &ride, limits);
    arena_close(arena);
    return outcome;
}

struct base_outcome base_trial_on_the_road(uint64_t seed, const struct limits *limits)
{
    struct arena *arena = arena_open();
    const struct simulated_rider rider = simulated_rider_draw(seed);
    const struct simulated_plan plan =
        simulated_plan_make(arena, &rider, SIMULATED_BASE_HOUR, true, seed);
    const struct simulated_ride ride = simulated_ride_make(arena, &rider, &plan);
    const struct base_outcome outcome = read_ride(arena, &rider, &plan, &ride, limits);
    arena_close(arena);
    return outcome;
}
