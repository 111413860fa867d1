/* recording/fit_timer.h: pauses, laps and zero offsets of one recording. */
#ifndef RECORDING_FIT_TIMER_H
#define RECORDING_FIT_TIMER_H

#include "recording/fit_session.h"

/* Finds each lap's ends and the range that laps and zero offsets belong to, once a part. */
void fit_timer_settle(struct fit_part *part, const struct fit_ranges *ranges);

/* Fills pauses, laps and calibrations.  A pause lasts from a timer stop to the next start; one
 * that lies before the first or after the last record is kept empty, so that pauses can be counted
 * as the device counted them.  Where the timer never stopped and went on, gaps of more than
 * LIMIT_PAUSE_GAP_S are pauses if the session's timer says so.
 *   origin  device time of second 0;  last_s  second of the last record */
void fit_timer_fill(struct arena *arena, struct recording *recording, const struct fit_part *part,
                    const struct fit_ranges *ranges, size_t own, uint32_t origin, int64_t last_s,
                    const struct limits *limits);

#endif
