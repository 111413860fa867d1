/* fuzz/ride_read.c: any bytes as a ride, to get long rides through everything behind the readers:
 * a file of an hour is more than a fuzzer can change to any purpose. */
#include "target.h"
#include "whole.h"

#include "recording/grid.h"
#include "recording/trust.h"

#include <math.h>

#define RIDE_MAX_S 6000

/* How a stretch is ridden, by bits. */
enum {
    HOW_SCATTER = 1,  /* power and heart rate scatter */
    HOW_NO_POWER = 2, /* power missing */
    HOW_NO_HEART = 4, /* heart rate missing */
    HOW_PAUSED = 8,   /* the timer stands */
    HOW_NO_ROWS = 16, /* no record at all */
    HOW_HOT = 32,     /* a temperature, rising */
    HOW_SPIKE = 64,   /* one wild power value */
    HOW_LONG = 128,   /* four times as long */
};

static int32_t scatter(uint32_t *state, int32_t most)
{
    *state = *state * 1664525u + 1013904223u;
    return (int32_t)(*state >> 16) % (2 * most + 1) - most;
}

struct ride {
    struct recording recording;
    int32_t now_s;
    uint32_t state;
};

static void add_record(struct ride *ride, const uint8_t stretch[5], int32_t at_s)
{
    struct samples *samples = &ride->recording.samples;
    const size_t i = samples->count++;
    const bool scatters = (stretch[4] & HOW_SCATTER) != 0;
    int32_t power = stretch[1] + (scatters ? scatter(&ride->state, 30) : 0);
    if ((stretch[4] & HOW_SPIKE) != 0 && at_s == 3) {
        power = 3000;
    }
    samples->time_s[i] = ride->now_s;
    for (int c = 0; c < CHANNEL_COUNT; c++) {
        samples->value[c][i] = RECORDING_MISSING;
    }
    if ((stretch[4] & HOW_NO_POWER) == 0) {
        samples->value[CHANNEL_POWER][i] = power < 0 ? 0 : power;
    }
    if ((stretch[4] & HOW_NO_HEART) == 0) {
        samples->value[CHANNEL_HEART_RATE][i] =
            stretch[2] + (scatters ? scatter(&ride->state, 2) : 0);
    }
    samples->value[CHANNEL_CADENCE][i] = stretch[3];
    samples->value[CHANNEL_SPEED][i] = 8000;
    samples->value[CHANNEL_DISTANCE][i] = ride->now_s * 800;
    samples->value[CHANNEL_BALANCE][i] = 400 + stretch[3];
    if ((stretch[4] & HOW_HOT) != 0) {
        samples->value[CHANNEL_TEMPERATURE][i] = 200 + ride->now_s / 20;
    }
}

static void add_stretch(struct arena *arena, struct ride *ride, const uint8_t stretch[5],
                        size_t *capacity)
{
    struct recording *recording = &ride->recording;
    const int32_t length_s = (1 + stretch[0]) * ((stretch[4] & HOW_LONG) != 0 ? 16 : 4);
    const int32_t from_s = ride->now_s;
    for (int32_t k = 0; k < length_s && ride->now_s < RIDE_MAX_S; k++, ride->now_s++) {
        if ((stretch[4] & HOW_NO_ROWS) == 0 || recording->samples.count == 0) {
            add_record(ride, stretch, k);
        }
    }
    if ((stretch[4] & HOW_PAUSED) != 0 && ride->now_s > from_s) {
        recording->pauses = arena_grow(arena, recording->pauses, recording->n_pauses, capacity,
                                       sizeof recording->pauses[0]);
        recording->pauses[recording->n_pauses++] = (struct span){ from_s, ride->now_s };
    }
}

/* Pauses end where the records end: stretches without records may stand last. */
static void clip_pauses(struct recording *recording)
{
    const struct samples *samples = &recording->samples;
    const int32_t end_s = samples->time_s[samples->count - 1] + 1;
    for (size_t i = 0; i < recording->n_pauses; i++) {
        struct span *pause = &recording->pauses[i];
        pause->from_s = pause->from_s > end_s ? end_s : pause->from_s;
        pause->to_s = pause->to_s > end_s ? end_s : pause->to_s;
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size < 5) {
        return 0;
    }
    struct arena *arena = arena_open();
    const struct limits limits = limits_default();
    struct ride ride = { .recording = { .format = FORMAT_FIT,
                                        .part = 1,
                                        .parts = 1,
                                        .sport = SPORT_CYCLING,
                                        .is_ride = true,
                                        .has_start_utc = true,
                                        .start_utc = 1773480413,
                                        .device_timer_s = (double)NAN,
                                        .device_elapsed_s = (double)NAN,
                                        .device_work_kj = (double)NAN,
                                        .device_distance_m = (double)NAN,
                                        .device_mean_power_w = (double)NAN,
                                        .device_threshold_w = (double)NAN,
                                        .effort_0_10 = (double)NAN,
                                        .feel_0_100 = (double)NAN,
                                        .weight_kg = (double)NAN } };
    struct recording *recording = &ride.recording;
    recording->samples.time_s = ARENA_ARRAY(arena, int32_t, RIDE_MAX_S);
    recording->samples.dropped = ARENA_ARRAY(arena, uint8_t, RIDE_MAX_S);
    for (int c = 0; c < CHANNEL_COUNT; c++) {
        recording->samples.value[c] = ARENA_ARRAY(arena, int32_t, RIDE_MAX_S);
    }
    size_t capacity = 0;
    for (size_t at = 0; at + 5 <= size; at += 5) {
        add_stretch(arena, &ride, data + at, &capacity);
    }
    clip_pauses(recording);
    grid_fill(arena, recording, &limits);
    trust_check(arena, recording, &limits);
    whole_recording(recording, true);
    arena_close(arena);
    return 0;
}
