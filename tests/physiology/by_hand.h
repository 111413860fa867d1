/* tests/physiology/by_hand.h: recordings built second by second, without file or simulator. */
#ifndef TESTS_PHYSIOLOGY_BY_HAND_H
#define TESTS_PHYSIOLOGY_BY_HAND_H

#include "recording/recording.h"

#include <math.h>

/* A ride of n seconds with power and heart rate all missing until they are set. */
static inline struct recording *by_hand(struct arena *arena, size_t n)
{
    struct recording *r = ARENA_ARRAY(arena, struct recording, 1);
    r->is_ride = true;
    r->sport = SPORT_CYCLING;
    r->parts = 1;
    r->part = 1;
    r->n_seconds = n;
    r->timer_s = (int32_t)n;
    r->paused = ARENA_ARRAY(arena, uint8_t, n);
    return r;
}

/* Sets a channel's second, in the unit of its name; NAN = masked as a dropout. */
static inline void by_hand_set(struct arena *arena, struct recording *r, enum channel channel,
                               size_t t, double value)
{
    if (r->value[channel] == NULL) {
        r->value[channel] = ARENA_ARRAY(arena, int32_t, r->n_seconds);
        r->mask[channel] = ARENA_ARRAY(arena, uint8_t, r->n_seconds);
        for (size_t i = 0; i < r->n_seconds; i++) {
            r->value[channel][i] = RECORDING_MISSING;
            r->mask[channel][i] = MASK_ABSENT;
        }
    }
    r->value[channel][t] =
        isnan(value) ? RECORDING_MISSING : (int32_t)lround(value / channel_row(channel)->step);
    r->mask[channel][t] = isnan(value) ? MASK_DROPOUT : MASK_NONE;
}

/* Sets a channel to one value over [from, to). */
static inline void by_hand_fill(struct arena *arena, struct recording *r, enum channel channel,
                                size_t from, size_t to, double value)
{
    for (size_t t = from; t < to; t++) {
        by_hand_set(arena, r, channel, t, value);
    }
}

/* The timer stands over [from, to). */
static inline void by_hand_pause(struct recording *r, size_t from, size_t to)
{
    for (size_t t = from; t < to; t++) {
        r->paused[t] = 1;
        r->timer_s--;
        for (int c = 0; c < CHANNEL_COUNT; c++) {
            if (r->mask[c] != NULL) {
                r->mask[c][t] = MASK_PAUSED;
            }
        }
    }
}

#endif
