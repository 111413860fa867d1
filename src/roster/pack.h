/* roster/pack.h: a channel of a ride in few bytes, and back.
 *
 *     value    100 101 101  -   -  205 204 ...         int32, RECORDING_MISSING for none
 *     runs     3 there, 2 not, ...                     presence, as lengths in turn
 *     deltas        +1  0          +104 -1             between neighbours that are there
 *     zigzag        2   0           208  1             small whatever the sign
 *     blocks   of 128, each as many bits as its largest needs, one byte of width before
 *
 * Layout: byte 1 = version (1); varint n; varint number of runs, then their lengths, the first
 * counting values that are there (perhaps 0); the first value, 4 bytes, low first; blocks of up to
 * 128 deltas: width 0..32, then ceil(count x width / 8) bytes, low bits first.
 *
 * Measured on a ride of 10 channels (design notes): 9.0 bytes a second for all, 1.5 for power and
 * heart rate; an entropy coder would save a further 12-20 % and cost 3 times the decoding.
 *
 * A packed series may come from a hostile file: every length is checked before it is used, and
 * what is left over at the end is an error. */
#ifndef ROSTER_PACK_H
#define ROSTER_PACK_H

#include "base/arena.h"
#include "base/error.h"
#include "base/files.h"

#include <stdint.h>

/* Packs values[n]; missing is the mark of a place without one. */
struct bytes pack_series(struct arena *arena, const int32_t values[], size_t n, int32_t missing);

/* The values, n of them; refused unless there are exactly n, as the recording says.
 * False (ERROR_STORAGE) when the bytes are no packed series of n. */
MUST_USE bool pack_read_series(struct arena *arena, struct bytes packed, size_t n, int32_t missing,
                               int32_t **out, struct error *err);

/* The same for bytes with long runs (masks): varint n, then (value, varint length) in turn. */
struct bytes pack_mask(struct arena *arena, const uint8_t mask[], size_t n);
MUST_USE bool pack_read_mask(struct arena *arena, struct bytes packed, size_t n, uint8_t **out,
                             struct error *err);

/* How many values a packed series or mask says it has: at most PACK_MOST. */
MUST_USE bool pack_count(struct bytes packed, size_t *n, struct error *err);

/* Longer series are refused before memory is asked for: 14 days at 1 Hz. */
#define PACK_MOST (14u * 86400u)

#endif
