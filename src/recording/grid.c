/* recording/grid.c: device samples onto one place a second. */
#include "recording/grid.h"

#include <stddef.h>
#include <stdint.h>
#include <string.h>

/* Samples of consecutive seconds.  Nearly every recording is a few of them, so that channels are
 * copied whole: only where time stood or ran back does each sample need a look. */
struct block {
    size_t first; /* sample */
    size_t count;
    size_t second;
    bool is_new; /* no earlier sample reached its seconds; else all of them were reached */
};

struct blocks {
    struct block *items;
    size_t count;
    size_t capacity;
    size_t n_seconds;
};

/* Whether the sample goes onto the grid; time before second 0 ran back, whoever forgot to say. */
static bool is_kept(const struct samples *samples, size_t i)
{
    return (samples->dropped == NULL || samples->dropped[i] == 0) && samples->time_s[i] >= 0;
}

/* The block that begins with sample i; it isn't longer than it is new or old. */
static struct block block_at(const struct samples *samples, size_t i, size_t n_seconds)
{
    const size_t second = (size_t)samples->time_s[i];
    const bool is_new = second >= n_seconds;
    const size_t most = is_new ? samples->count - i : n_seconds - second;
    size_t count = 1;
    while (count < most && i + count < samples->count && is_kept(samples, i + count) &&
           (size_t)samples->time_s[i + count] == second + count) {
        count++;
    }
    return (struct block){ i, count, second, is_new };
}

static struct blocks find_blocks(struct arena *arena, const struct samples *samples)
{
    struct blocks blocks = { 0 };
    for (size_t i = 0; i < samples->count;) {
        if (!is_kept(samples, i)) {
            i++;
            continue;
        }
        const struct block block = block_at(samples, i, blocks.n_seconds);
        blocks.items =
            arena_grow(arena, blocks.items, blocks.count, &blocks.capacity, sizeof blocks.items[0]);
        blocks.items[blocks.count++] = block;
        blocks.n_seconds = block.is_new ? block.second + block.count : blocks.n_seconds;
        i += block.count;
    }
    return blocks;
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

/* Copies samples to fresh seconds, what says nothing as missing; true if any says something. */
static bool copy_samples(const int32_t *restrict samples, size_t n, int32_t nothing,
                         int32_t *restrict value)
{
    int32_t came = 0;
    for (size_t i = 0; i < n; i++) {
        const int32_t sample = samples[i] == nothing ? RECORDING_MISSING : samples[i];
        value[i] = sample;
        came |= sample ^ RECORDING_MISSING;
    }
    return came != 0;
}

static void set_missing(int32_t value[], size_t from, size_t to)
{
    for (size_t t = from; t < to; t++) {
        value[t] = RECORDING_MISSING;
    }
}

/* Puts a channel's samples at their seconds; false if none of them says anything.  A later record
 * of the same second wins channel by channel: one that lacks the channel doesn't erase it. */
static bool place_samples(const struct blocks *blocks, const int32_t samples[], int32_t nothing,
                          int32_t value[])
{
    bool came = false;
    size_t filled = 0;
    for (size_t b = 0; b < blocks->count; b++) {
        const struct block *block = &blocks->items[b];
        if (block->is_new) {
            set_missing(value, filled, block->second);
            came |=
                copy_samples(samples + block->first, block->count, nothing, value + block->second);
            filled = block->second + block->count;
            continue;
        }
        for (size_t i = 0; i < block->count; i++) {
            const int32_t sample = samples[block->first + i];
            if (sample != nothing && sample != RECORDING_MISSING) {
                value[block->second + i] = sample;
                came = true;
            }
        }
    }
    return came;
}

/* Why a second can't be used, as far as the device says. */
static void mark_seconds(const int32_t *restrict value, const uint8_t *restrict paused, size_t n,
                         uint8_t *restrict mask)
{
    for (size_t t = 0; t < n; t++) {
        const uint8_t absent = value[t] == RECORDING_MISSING ? MASK_ABSENT : MASK_NONE;
        mask[t] = paused[t] != 0 ? MASK_PAUSED : absent;
    }
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
static void bridge(int32_t value[], uint8_t mask[], size_t n, size_t longest)
{
    for (size_t to = 0; to < n;) {
        const uint8_t *first = memchr(mask + to, MASK_ABSENT, n - to);
        if (first == NULL) {
            return;
        }
        const size_t from = (size_t)(first - mask);
        to = from;
        while (to < n && mask[to] == MASK_ABSENT) {
            to++;
        }
        if (from == 0 || to == n || to - from > longest || mask[from - 1] != MASK_NONE ||
            mask[to] != MASK_NONE) {
            continue;
        }
        for (size_t t = from; t < to; t++) {
            value[t] = between(value[from - 1], value[to], t - from + 1, to - from + 1);
            mask[t] = MASK_BRIDGED;
        }
    }
}

static void fill_channel(struct arena *arena, struct recording *recording,
                         const struct blocks *blocks, enum channel channel,
                         const struct limits *limits)
{
    const int32_t *samples = recording->samples.value[channel];
    const size_t n = recording->n_seconds;
    const bool is_heart = channel == CHANNEL_HEART_RATE;
    recording->value[channel] = NULL;
    recording->mask[channel] = NULL;
    if (samples == NULL || n == 0) {
        return;
    }
    int32_t *value = ARENA_RAW(arena, int32_t, n);
    /* A heart that doesn't beat says as little as the device's missing mark. */
    if (!place_samples(blocks, samples, is_heart ? 0 : RECORDING_MISSING, value)) {
        return;
    }
    uint8_t *mask = ARENA_RAW(arena, uint8_t, n);
    mark_seconds(value, recording->paused, n, mask);
    if (channel != CHANNEL_LATITUDE && channel != CHANNEL_LONGITUDE) {
        const double longest_s =
            limits->value[is_heart ? LIMIT_BRIDGE_HEART_RATE_S : LIMIT_BRIDGE_OTHER_S];
        bridge(value, mask, n, (size_t)longest_s);
    }
    recording->value[channel] = value;
    recording->mask[channel] = mask;
}

void grid_fill(struct arena *arena, struct recording *recording, const struct limits *limits)
{
    struct arena *scratch = arena_open();
    const struct blocks blocks = find_blocks(scratch, &recording->samples);
    recording->n_seconds = blocks.n_seconds;
    recording->paused = ARENA_ARRAY(arena, uint8_t, recording->n_seconds);
    mark_pauses(recording);
    for (int c = 0; c < CHANNEL_COUNT; c++) {
        fill_channel(arena, recording, &blocks, (enum channel)c, limits);
    }
    arena_close(scratch);
}
