/* recording/grid.c: device samples onto one place a second. */
#include "recording/grid.h"

#include <stddef.h>
#include <stdint.h>

/* A value that says nothing: the device's missing mark, or a heart that doesn't beat. */
static bool is_nothing(enum channel channel, int32_t value)
{
    return value == RECORDING_MISSING || (channel == CHANNEL_HEART_RATE && value == 0);
}

/* Whether the sample goes onto the grid; time before second 0 ran back, whoever forgot to say. */
static bool is_kept(const struct samples *samples, size_t i)
{
    return (samples->dropped == NULL || samples->dropped[i] == 0) && samples->time_s[i] >= 0;
}

static size_t count_seconds(const struct samples *samples)
{
    int32_t last_s = -1;
    for (size_t i = 0; i < samples->count; i++) {
        if (is_kept(samples, i) && samples->time_s[i] > last_s) {
            last_s = samples->time_s[i];
        }
    }
    return (size_t)((int64_t)last_s + 1);
}

static int32_t mark_span(struct recording *recording, struct span span)
{
    const int64_t n = (int64_t)recording->n_seconds;
    const int64_t from = span.from_s < 0 ? 0 : span.from_s;
    const int64_t to = span.to_s > n ? n : span.to_s;
    int32_t paused_s = 0;
    for (int64_t t = from; t < to; t++) {
        paused_s += recording->paused[t] == 0;
        recording->paused[t] = 1;
    }
    return paused_s;
}

static void mark_pauses(struct recording *recording)
{
    int32_t paused_s = mark_span(recording, recording->after_timer);
    for (size_t i = 0; i < recording->n_pauses; i++) {
        paused_s += mark_span(recording, recording->pauses[i]);
    }
    recording->timer_s = (int32_t)recording->n_seconds - paused_s;
}

/* Puts a channel's samples at their seconds; false if none of them says anything.  A later record
 * of the same second wins channel by channel: one that lacks the channel doesn't erase it. */
static bool place_samples(const struct samples *samples, enum channel channel, int32_t value[],
                          size_t n)
{
    for (size_t t = 0; t < n; t++) {
        value[t] = RECORDING_MISSING;
    }
    bool came = false;
    for (size_t i = 0; i < samples->count; i++) {
        const int32_t sample = samples->value[channel][i];
        if (is_kept(samples, i) && !is_nothing(channel, sample)) {
            value[samples->time_s[i]] = sample;
            came = true;
        }
    }
    return came;
}

/* The value a share k / n of the way from a to b, rounded to the nearest step, halves away from
 * zero: whole numbers only, so that every machine gives the same. */
static int32_t between(int32_t a, int32_t b, size_t k, size_t n)
{
    const int64_t steps = (int64_t)n;
    const int64_t scaled = ((int64_t)b - a) * (int64_t)k;
    const int64_t half = scaled < 0 ? -(steps / 2) : steps / 2;
    return (int32_t)(a + (scaled + half) / steps);
}

/* Fills runs of at most `longest` missing seconds between two values.  A run that touches a pause
 * stays missing: nobody knows what the seconds around a standstill held. */
static void bridge(const struct recording *recording, int32_t value[], uint8_t mask[],
                   size_t longest)
{
    const size_t n = recording->n_seconds;
    size_t before = n; /* the last second with a value that isn't paused; n = none */
    for (size_t t = 0; t < n; t++) {
        if (recording->paused[t]) {
            before = n;
            continue;
        }
        if (mask[t] == MASK_ABSENT) {
            continue;
        }
        if (before < n && t - before > 1 && t - before - 1 <= longest) {
            for (size_t s = before + 1; s < t; s++) {
                value[s] = between(value[before], value[t], s - before, t - before);
                mask[s] = MASK_BRIDGED;
            }
        }
        before = t;
    }
}

static void fill_channel(struct arena *arena, struct recording *recording, enum channel channel,
                         const struct limits *limits)
{
    recording->value[channel] = NULL;
    recording->mask[channel] = NULL;
    if (recording->samples.value[channel] == NULL || recording->n_seconds == 0) {
        return;
    }
    const size_t n = recording->n_seconds;
    int32_t *value = ARENA_ARRAY(arena, int32_t, n);
    if (!place_samples(&recording->samples, channel, value, n)) {
        return;
    }
    uint8_t *mask = ARENA_ARRAY(arena, uint8_t, n);
    for (size_t t = 0; t < n; t++) {
        if (recording->paused[t]) {
            mask[t] = MASK_PAUSED;
        } else if (value[t] == RECORDING_MISSING) {
            mask[t] = MASK_ABSENT;
        }
    }
    if (channel != CHANNEL_LATITUDE && channel != CHANNEL_LONGITUDE) {
        const double longest_s =
            limits->value[channel == CHANNEL_HEART_RATE ? LIMIT_BRIDGE_HEART_RATE_S
                                                        : LIMIT_BRIDGE_OTHER_S];
        bridge(recording, value, mask, (size_t)longest_s);
    }
    recording->value[channel] = value;
    recording->mask[channel] = mask;
}

void grid_fill(struct arena *arena, struct recording *recording, const struct limits *limits)
{
    recording->n_seconds = count_seconds(&recording->samples);
    recording->paused = ARENA_ARRAY(arena, uint8_t, recording->n_seconds);
    mark_pauses(recording);
    for (int c = 0; c < CHANNEL_COUNT; c++) {
        fill_channel(arena, recording, (enum channel)c, limits);
    }
}
