/* roster/best_grid.h: a recording's bests on a grid of durations, small enough to keep.
 *
 *     1 2 3 ... 600 | 606 612 ... 1200 | 1212 ... 1800 | 1818 ... | ...      seconds
 *     every second    steps of half to one per cent that meet 20 and 30 min, 1, 2, 3, 6 h
 *
 * Work is kept, not power: a sum of whole watts is exact, and the greater sum is the greater mean.
 * A curve has the durations that fit its recording, so every curve is a beginning of the same grid.
 * Measured (design notes): 883 points a ride on average on a grid like it, and the envelope of
 * 1,250 rides is six times cheaper than from every second. */
#ifndef ROSTER_BEST_GRID_H
#define ROSTER_BEST_GRID_H

#include "base/arena.h"
#include "base/error.h"
#include "base/files.h"
#include "recording/recording.h"

/* Raised with the steps: a curve on another grid is made again. */
#define BEST_GRID "seconds/1"

/* More than any recording has: the cap on its length is below the end of the steps. */
#define BEST_GRID_MOST 1500

/* The durations up to longest_s, in order; returns their count, at most BEST_GRID_MOST. */
size_t best_grid_durations(size_t longest_s, int32_t out[BEST_GRID_MOST]);

/* A best of a duration, as it is kept. */
enum best_mark {
    BEST_AT_LEAST = 1, /* unknown seconds could hide a better one */
    BEST_TOUCHES = 2,  /* its own span holds an unknown second: never a record */
};

/* Bests by the grid's places. */
struct best_curve {
    size_t count;
    int32_t *work_j; /* [count] the greatest work of that duration */
    uint8_t *marks;  /* [count] enum best_mark, added */
};

/* From the grid of the recording; count 0 without power, and for what is no ride.
 * ERROR_INPUT if the work of a day doesn't fit 32 bits: no rider's does. */
MUST_USE bool best_curve_make(struct arena *arena, const struct recording *recording,
                              struct best_curve *out, struct error *err);

/* The greatest over several curves, and whose it is. */
struct best_envelope {
    size_t count;
    int32_t work_j[BEST_GRID_MOST];
    int64_t recording[BEST_GRID_MOST]; /* its id */
    int64_t start_utc_s[BEST_GRID_MOST];
    uint8_t marks[BEST_GRID_MOST];
};

/* Takes the curve in.  Of equal work the earlier ride is meant, then the lower id: so the order in
 * which curves come doesn't matter. */
void best_envelope_add(struct best_envelope *envelope, const struct best_curve *curve,
                       int64_t recording, int64_t start_utc_s);

#endif
