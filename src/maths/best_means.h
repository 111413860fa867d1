/* maths/best_means.h: the greatest mean of every window length, exactly.
 *
 *   x          0  3  9  8  1        one value a second
 *   length 1         9              greatest sums: 9, 17, 20, 21, 21
 *   length 2         9  8
 *   length 3      3  9  8  ...      means are sum / length, left to the caller
 *
 * Sums are whole numbers, so nothing is rounded and ties are real ties: of windows with the same
 * sum the earliest is meant.
 *
 * How most of the n^2 / 2 windows are never looked at: with P the prefix sums and m the mean
 * (whole, so that differences stay exact), Q[i] = P[i] - m i makes a window's surplus
 * Q[start + length] - Q[start], and a bound on a whole tile of windows is one subtraction:
 *
 *        lengths d ->      64 starts x 64 lengths end at 127 places; if
 *   s   +----+----+----+     (greatest Q of those) - (least Q of the starts)
 *   t   |skip|skip|look|   is no more than the least best so far of those lengths, the tile is
 *   a   +----+----+----+   skipped.  If not, the same is asked length by length, then for 8 starts
 *   r   |skip|look|skip|   x 32 lengths, and only what is left is computed.
 *   t   +----+----+----+
 *   s                      Every 128th start is computed first, so that the bests so far are near.
 *
 * On rides about 2 % of the windows are computed at 3 h.  Strictly periodic series defeat the
 * bounds: when more than 40 % had to be computed, the rest is scanned plainly, which costs at most
 * about a third more than scanning all. */
#ifndef MATHS_BEST_MEANS_H
#define MATHS_BEST_MEANS_H

#include "base/arena.h"

#include <stddef.h>
#include <stdint.h>

/* Greatest sums of all lengths 1..n.
 *   arena   scratch: about 28 bytes a value
 *   x       [n] whole numbers, none missing
 *   sums    [n] filled: sums[d - 1] is the greatest sum of d neighbours
 *   starts  [n] filled with where the earliest such window starts; NULL: not wanted
 * Values so large that sums about the mean reach 2^29 (a million seconds at 500 from it) are
 * summed in 64 bits by the plain scan. */
void best_means_all(struct arena *arena, const int32_t x[], size_t n, int64_t sums[],
                    size_t starts[]);

/* The same over several series, one after the other: raises sums[d - 1] where this one has a
 * greater sum, and looks only where it may have.  Of a long history that costs less than half of a
 * search each and the greatest of all. sums  [n or more] of those before; BEST_MEANS_NONE where
 * there is none yet */
#define BEST_MEANS_NONE INT64_MIN
void best_means_raise(struct arena *arena, const int32_t x[], size_t n, int64_t sums[]);

/* The same for a few lengths, each 1..n, in time proportional to n each: prefix sums that may go
 * round in 32 bits, since a window's own sum comes out right as long as it fits; where longest
 * length x largest |x| doesn't, sums slide along in 64 bits.
 *   arena    scratch: 4 bytes a value
 *   lengths  [count]
 *   sums     [count]
 *   starts   [count] or NULL */
void best_means_few(struct arena *arena, const int32_t x[], size_t n, const size_t lengths[],
                    size_t count, int64_t sums[], size_t starts[]);

/* best_means_all by looking at every window: what the bounded search falls back to, and what
 * bench/best_means measures it against.  No starts. */
void best_means_scan(struct arena *arena, const int32_t x[], size_t n, int64_t sums[]);

#endif
