/* recording/trust.h: stage 1 of trust: what one recording alone shows.
 *
 * Looks at the grid for each fault of the table in docs/measures.md, masks the seconds that can't
 * be used and adds one finding a fault (or a run of the same fault).  Needs no history; what only
 * the rider's past shows is physiology/doubt. */
#ifndef RECORDING_TRUST_H
#define RECORDING_TRUST_H

#include "recording/recording.h"

/* Every row that needs neither history nor rider: spikes, dropouts, stuck values, jumps, flat
 * heart rate, cadence read as heart rate, device summary that differs, heat. */
void trust_check(struct arena *arena, struct recording *recording, const struct limits *limits);

/* Whether the minute from second from_s on is one of a trainer that holds its target: power
 * scatters by less than LIMIT_HELD_SD_PCT from second to second and LIMIT_HELD_MEANS_SD_PCT between
 * 10-s means.  False where power is missing, low, or the recording ends before. */
bool trust_minute_is_held(const struct recording *recording, int32_t from_s,
                          const struct limits *limits);

#endif
