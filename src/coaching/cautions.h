/* coaching/cautions.h: what stands at the top of a ride whatever was masked.
 *
 * Two things in heart rate are usually the strap and now and then aren't:
 *   heart-leap           more than 30 bpm up within 10 s, power not raised, for 10 s or longer
 *   heart-far-above-max  more than 5 above the maximal on file for 30 s or longer
 * They are looked for in what the device wrote, before any mask, and end in a question to ask the
 * rider.  Never a diagnosis.  Medicine, pregnancy or age switch neither off. */
#ifndef COACHING_CAUTIONS_H
#define COACHING_CAUTIONS_H

#include "coaching/reading.h"

/* Adds at most one cause of each code: the one that lasted longest, and how often it happened.
 * Numbers: peak_bpm, seconds, from_s, count; heart-leap also from_bpm, power_w where known,
 * peak_within_s: the peak is that of so many seconds after the leap, for what comes later may be
 * work; heart-far-above-max also max_bpm. */
void cautions_find(struct arena *arena, const struct recording *recording,
                   const struct rider_facts *facts, const struct limits *limits,
                   struct causes *cautions);

#endif
