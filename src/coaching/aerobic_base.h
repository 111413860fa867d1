/* coaching/aerobic_base.h: did this ride pass the base test?
 *
 * The trade's test: about an hour at a steady 70 % of threshold, heart rate rising by fewer than
 * 10 beats.  Judged is the drift at constant power with its 90 % interval:
 *
 *   wholly under the line   passed
 *   wholly over it          not passed
 *   else                    on the line
 *
 * Withheld (cannot tell), with the reason:
 *
 *   always       no power, heart rate or threshold; no steady span of 40 min; coverage; outside
 *                60-80 % of threshold; pregnancy; 40-54 min unless already clear over the line;
 *                illness, caffeine out of habit, > 10 min above threshold before it or in it
 *   only a fail  what pushes heart rate up: heat, no fan, dehydration, 75-80 % of threshold
 *   only a pass  what makes the test easier: 60-65 %, a threshold shown to be too low
 *
 * The drift is shown whenever it is known, also when the verdict is withheld. */
#ifndef COACHING_AEROBIC_BASE_H
#define COACHING_AEROBIC_BASE_H

#include "coaching/reading.h"

/* The steady span that the base test is read from: the longest of the ride, unless that one lies
 * outside the test's intensity and another of 40 min or more lies inside. */
struct steady aerobic_base_span(struct arena *arena, const struct recording *recording,
                                const struct rider_facts *facts, const struct limits *limits);

/* Adds the base reading from out->steady, out->drift and out->bests, already filled. */
void aerobic_base_read(struct arena *arena, const struct recording *recording,
                       const struct rider_facts *facts, const struct limits *limits,
                       struct ride_readings *out);

#endif
