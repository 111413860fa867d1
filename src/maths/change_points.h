/* maths/change_points.h: where a series changes its mean: exact partitions by squared error.
 *
 *   x      100 102  99 101 | 251 249 250 | 120 118 121 119
 *   ends                   4             7               11
 *
 * A partition cuts n samples into segments that follow each other.  A segment costs the sum of
 * squared distances of its samples from its own mean; every segment after the first costs
 * `penalty` more.  The partition returned has the least total of all that exist, as the full
 * programme (optimal partitioning: Jackson et al. 2005, IEEE Signal Process Lett 12:105-108) would
 * find it in n^2 / 2 steps.
 *
 * How it is found faster, and still exactly: functional pruning (Maidstone et al. 2017, Stat
 * Comput 27:519-533).  Every start of a last segment is kept together with the values of that
 * segment's mean for which it is the best start so far, and is dropped when none is left; on rides
 * fewer than ten starts are left at any time.
 *
 *   total
 *     |  \   start 0  /   .     .  start 7
 *     |   \          /  .     .          old starts: parabolas in the mean of the last segment
 *     |- - -\- - - /- - - - -.- - - -    the new start: a level line, F(s) + penalty
 *     |       `--'     `. .'             below the line the old start stays, above it the new
 *     +------------------------- mean    one owns the ground
 *
 * With a shortest segment a start may only be used `shortest` samples later.  Two starts that both
 * may be used then grow by the same samples, so who wins where doesn't change any more: the new
 * start's comparison with the old ones is the same level line, drawn from the sums at s, and all
 * of the pruning simply runs `shortest` samples behind.
 *
 * Ties and rounding.  Of several starts with the same total the earliest is taken (the longest
 * last segment), seen from the end of the series backwards.  Pruning leaves a margin far wider
 * than rounding, and every start that is left is compared by the full programme's own formula, so
 * that the answer is the full programme's to the bit, on any processor. */
#ifndef MATHS_CHANGE_POINTS_H
#define MATHS_CHANGE_POINTS_H

#include "base/arena.h"

#include <stddef.h>

/* The partition of least squared error + penalty x changes whose segments are `shortest` samples
 * or longer.
 *   arena     scratch: about 60 bytes a sample
 *   x         [n] in any one unit, up to 1e100 in size; NAN is a gap: it costs nothing, and counts
 *             in the length of a segment
 *   penalty   >= 0, in the unit of x squared; with 0 every run of equal values is a segment of its
 *             own, and nothing is pruned.  A floor for series without noise is the caller's
 *   shortest  >= 1; a series shorter than 2 x shortest is one segment
 *   ends      [n / shortest, but at least 1] filled: one past the last sample of each segment, so
 *             that the last is n
 * Returns the number of segments; 0 for n = 0. */
size_t change_points_find(struct arena *arena, const double x[], size_t n, double penalty,
                          size_t shortest, size_t ends[]);

/* The partition of least squared error into exactly `count` segments of at least `shortest`
 * samples: count x n^2 / 2 steps and count x n x 4 bytes of scratch, so for short series.
 * Partitions into k and k + 1 segments aren't nested.  Ties: the earliest start of the last
 * segment, then of the one before it.
 *   ends  [count]
 * Returns count, or 0 if no such partition exists. */
size_t change_points_split(struct arena *arena, const double x[], size_t n, size_t count,
                           size_t shortest, size_t ends[]);

/* Squared error of a partition, without penalties: each segment about its own mean, in two passes.
 * 0 for a segment of gaps. */
double change_points_cost(const double x[], const size_t ends[], size_t count);

#endif
