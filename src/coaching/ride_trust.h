/* coaching/ride_trust.h: what in this recording may be trusted? */
#ifndef COACHING_RIDE_TRUST_H
#define COACHING_RIDE_TRUST_H

#include "coaching/reading.h"

/* Adds the trust reading; fills out->finding_texts and out->cautions. */
void ride_trust_read(struct arena *arena, const struct recording *recording,
                     const struct rider_facts *facts, const struct limits *limits,
                     struct ride_readings *out);

#endif
