/* recording/grid.h: device samples onto one place a second.
 *
 * Readers fill struct recording up to `samples`, `pauses`, laps and device fields, then call
 * grid_fill once.
 *
 *   samples      100   102   -    -   (dropped)  205   207          time 0 1 2 3 2 6 7
 *   grid         100   102   -    -    -    -    205   207          second 0 .. 7
 *   heart rate   100   102  123  143  164  184   205   207          bridged in a straight line
 *
 * Rules: second 0 = first record; the later record of a second wins, channel by channel (a record
 * that lacks a channel doesn't erase what an earlier one of that second said); samples with
 * `dropped` set are left out; at most LIMIT_BRIDGE_HEART_RATE_S missing seconds of heart rate, and
 * LIMIT_BRIDGE_OTHER_S of other channels, between two values are filled in a straight line and
 * marked MASK_BRIDGED (never position; never next to or across a pause); longer gaps stay missing.
 * Seconds inside a pause keep the device's value and are masked MASK_PAUSED.  Heart rate 0 is
 * missing, MASK_ABSENT.  A channel without one valid value is as one that never came. */
#ifndef RECORDING_GRID_H
#define RECORDING_GRID_H

#include "recording/recording.h"

/* The caller has checked that the last time is below LIMIT_CAP_RECORDING_S.
 * Fills n_seconds, value, mask, paused, timer_s. */
void grid_fill(struct arena *arena, struct recording *recording, const struct limits *limits);

#endif
