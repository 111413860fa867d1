/* honesty/second_trial.c: the trials of the other files, on rides of the second simulator. */
#include "honesty/second_trial.h"

#include "honesty/second/random.h"

#include <math.h>

enum { STREAM = 0x71 };

const char *second_quirk_name(enum second_quirk quirk)
{
    static const char *const names[SECOND_QUIRKS] = {
        [SECOND_QUIRK_NONE] = "a row a second",
        [SECOND_QUIRK_REPEATS] = "values repeated",
        [SECOND_QUIRK_COARSE] = "watts in steps of 5",
        [SECOND_QUIRK_LATE] = "heart rate over 16 beats, 5 s late",
        [SECOND_QUIRK_GAPS] = "short gaps, cadence falling to 0",
        [SECOND_QUIRK_CHANGES] = "rows only when something changed",
    };
    return names[quirk];
}

void second_quirk_set(struct second_plan *plan, enum second_quirk quirk)
{
    struct second_device device = { .beats = 4 };
    if (quirk == SECOND_QUIRK_REPEATS) {
        device.power_repeat_s = 2;
        device.heart_repeat_s = 4;
    } else if (quirk == SECOND_QUIRK_COARSE) {
        device.power_step_w = 5.0;
    } else if (quirk == SECOND_QUIRK_LATE) {
        device.beats = 16;
        device.heart_late_s = 5;
    } else if (quirk == SECOND_QUIRK_GAPS) {
        device.lost_per_h = 8.0;
        device.cadence_zero_per_h = 8.0;
    } else if (quirk == SECOND_QUIRK_CHANGES) {
        device.by_change = true;
    }
    plan->device = device;
}

/* ---- base ---- */

struct heat {
    const struct second_rider *rider;
    const struct second_ride *ride;
};

static double heat_rise_bpm(const void *of, struct span fitted)
{
    const struct heat *heat = of;
    return second_rise_bpm(heat->rider, heat->ride, fitted);
}

struct base_outcome second_base_trial(const struct second_base_case *c, const struct limits *limits)
{
    struct arena *arena = arena_open();
    struct second_rider rider = second_rider_draw(c->seed);
    struct second_plan plan =
        second_base_make(arena, &rider, c->place, c->drift_bpm, c->ease, c->seed);
    second_quirk_set(&plan, c->quirk);
    const struct second_ride ride = second_ride_make(arena, &rider, &plan, limits);
    const struct heat heat = { &rider, &ride };
    const struct base_truth truth = { rider.threshold_w, rider.max_bpm, heat_rise_bpm, &heat };
    const struct base_outcome outcome = base_read(arena, ride.recording, &truth, limits);
    arena_close(arena);
    return outcome;
}

/* ---- easy and hard work ---- */

struct easy_outcome second_easy_trial(uint64_t seed, enum second_place place,
                                      const struct limits *limits)
{
    struct arena *arena = arena_open();
    const struct second_rider rider = second_rider_draw(seed);
    const struct second_plan plan = second_plan_make(arena, &rider, SECOND_EASY_RIDE, place, seed);
    const struct second_ride ride = second_ride_make(arena, &rider, &plan, limits);
    struct second_random r = second_random_begin(seed, STREAM);
    struct easy_outcome out = { .verdict = VERDICT_CANNOT_TELL };
    const double off = 1.0 + 0.032 * second_normal(&r);
    easy_find_truth(ride.power_w, ride.n, rider.threshold_w, limits, &out);
    easy_read(arena, ride.recording, rider.threshold_w * off, false, limits, &out);
    arena_close(arena);
    return out;
}

static struct rider_facts facts_of(const struct second_rider *rider)
{
    struct rider_facts facts = facts_unknown();
    facts.threshold_w = rider->threshold_w;
    facts.threshold_known_by = "given";
    facts.max_heart_rate_bpm = rider->max_bpm;
    return facts;
}

struct reps_outcome second_reps_trial(uint64_t seed, enum second_session session,
                                      enum second_place place, enum work_kind asked,
                                      const struct limits *limits)
{
    struct arena *arena = arena_open();
    const struct second_rider rider = second_rider_draw(seed);
    const struct second_plan plan = second_plan_make(arena, &rider, session, place, seed);
    const struct second_ride ride = second_ride_make(arena, &rider, &plan, limits);
    struct rider_facts facts = facts_of(&rider);
    facts.kind = asked;
    const struct reps_outcome out =
        reps_read(arena, ride.recording, &facts, ride.reps, ride.n_reps, limits);
    arena_close(arena);
    return out;
}

/* ---- trust ---- */

struct trust_outcome second_clean_trial(uint64_t seed, enum second_session session,
                                        enum second_place place, const struct limits *limits)
{
    struct arena *arena = arena_open();
    const struct second_rider rider = second_rider_draw(seed);
    struct second_plan plan = second_plan_make(arena, &rider, session, place, seed);
    plan.device.by_change = seed % 5 == 0;
    const struct second_ride ride = second_ride_make(arena, &rider, &plan, limits);
    const struct rider_facts facts = facts_of(&rider);
    struct ride_readings readings = { 0 };
    struct error err = { 0 };
    struct trust_outcome out = { .hours = (double)ride.recording->timer_s / 3600.0 };
    if (reading_make(arena, ride.recording, &facts, limits, &readings, &err)) {
        trust_count(ride.recording, &readings, &out);
    }
    arena_close(arena);
    return out;
}

struct trust_outcome second_fault_trial(uint64_t seed, enum simulated_fault fault,
                                        const struct limits *limits)
{
    struct arena *arena = arena_open();
    const struct second_rider rider = second_rider_draw(seed);
    const enum second_place place = (enum second_place)(seed % SECOND_PLACES);
    const enum second_session session =
        (enum second_session)(seed / SECOND_PLACES % SECOND_EFFORTS);
    struct second_plan plan = second_plan_make(arena, &rider, session, place, seed);
    plan.device.without_cadence = false; /* two of the faults need it */
    const struct second_ride ride = second_ride_make(arena, &rider, &plan, limits);
    const struct trust_outcome out = trust_trial_in_real(ride.recording, fault, seed, limits);
    arena_close(arena);
    return out;
}
