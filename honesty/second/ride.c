/* honesty/second/ride.c: a ride of the second simulator, from its parts. */
#include "honesty/second/ride.h"

#include "recording/grid.h"
#include "recording/trust.h"

static struct recording *read_back(struct arena *arena, const struct second_plan *plan,
                                   const struct samples *samples, const struct limits *limits)
{
    struct recording *recording = ARENA_ARRAY(arena, struct recording, 1);
    *recording = recording_unknown();
    recording->format = FORMAT_FIT;
    recording->part = recording->parts = 1;
    recording->sport = SPORT_CYCLING;
    recording->is_ride = true;
    recording->place = plan->place >= SECOND_FLAT ? PLACE_OUTDOORS : PLACE_INDOORS;
    recording->samples = *samples;
    grid_fill(arena, recording, limits);
    trust_check(arena, recording, limits);
    return recording;
}

static void note_reps(struct arena *arena, const struct second_plan *plan, struct second_ride *ride)
{
    ride->reps = ARENA_ARRAY(arena, struct span, plan->n_blocks);
    int32_t at = 0;
    for (size_t b = 0; b < plan->n_blocks; b++) {
        const struct second_block *block = &plan->blocks[b];
        const int32_t from = at;
        at += (int32_t)(block->duration_s + 0.5);
        if (block->is_rep && block->goes_on && ride->n_reps > 0) {
            ride->reps[ride->n_reps - 1].to_s = at;
        } else if (block->is_rep) {
            ride->reps[ride->n_reps++] = (struct span){ from, at };
        }
    }
}

struct second_ride second_ride_make(struct arena *arena, const struct second_rider *rider,
                                    const struct second_plan *plan, const struct limits *limits)
{
    const struct second_road road = second_road_ride(arena, rider, plan);
    struct second_ride ride = { .n = road.n, .power_w = road.power_w };
    struct samples samples = { 0 };
    double *noisy = ARENA_ARRAY(arena, double, road.n + 1);
    ride.heart_bpm = ARENA_ARRAY(arena, double, road.n + 1);
    ride.heat_bpm = ARENA_ARRAY(arena, double, road.n + 1);
    second_heart_follow(rider, road.power_w, road.n, ride.heart_bpm, ride.heat_bpm);
    second_heart_wander(rider, ride.heart_bpm, road.n, plan->seed, noisy);
    for (size_t t = 0; t < road.n; t++) {
        noisy[t] += ride.heart_bpm[t];
    }
    second_device_write(arena, plan, &road, noisy, &samples, &ride);
    ride.recording = read_back(arena, plan, &samples, limits);
    note_reps(arena, plan, &ride);
    return ride;
}
