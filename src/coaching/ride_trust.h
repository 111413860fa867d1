/* coaching/ride_trust.h: what in this recording may be trusted?
 *
 * The verdict goes by the share of the riding time (pauses left out) for which power and heart rate
 * can be used, after masks:
 *
 *   power \ heart rate   >= 95 %          less, or none
 *   >= 95 %              usable           usable in part
 *   less, or none        usable in part   usable in part, while one of them keeps 20 %; else
 *                                         not usable
 *
 * Cannot tell: not a ride, or under a minute of riding.  "Usable in part" says which questions the
 * part that is left can answer: power alone answers hard work and bests; heart rate alone answers
 * nothing (heart rate is never read without power beside it); both, outside their gaps, the base
 * test too.  Heat, height, a trainer that holds its target and the like don't change the verdict:
 * the recording is what happened; they stand among the reasons, and the questions that they spoil
 * say so themselves. */
#ifndef COACHING_RIDE_TRUST_H
#define COACHING_RIDE_TRUST_H

#include "coaching/reading.h"

/* Adds the trust reading; fills out->finding_texts and out->cautions. */
void ride_trust_read(struct arena *arena, const struct recording *recording,
                     const struct rider_facts *facts, const struct limits *limits,
                     struct ride_readings *out);

#endif
