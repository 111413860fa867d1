/* recording/grid.h: device samples onto one place a second.
 *
 * Readers fill struct recording up to `samples`, `pauses`, laps and device fields, then call
 * grid_fill once.  Rules: second 0 = first record; the later record of a second wins; samples
 * with `dropped` set are left out; a gap that is no pause stays missing, except that heart rate is
 * bridged over at most LIMIT_BRIDGE_HEART_RATE_S and other channels over LIMIT_BRIDGE_OTHER_S
 * (straight line, mask MASK_BRIDGED; never position); seconds inside a pause keep their raw value
 * and are masked MASK_PAUSED.  Heart rate 0 is MASK_ABSENT. */
#ifndef RECORDING_GRID_H
#define RECORDING_GRID_H

#include "recording/recording.h"

/* The caller has checked that the last time is below LIMIT_CAP_RECORDING_S.
 * Fills n_seconds, value, mask, paused, timer_s. */
void grid_fill(struct arena *arena, struct recording *recording, const struct limits *limits);

#endif
