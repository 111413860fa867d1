/* coaching/rider_state.h: how is the rider?
 *
 * What was said and done in the last LIMIT_HOW_DAYS, against what is usual with this rider.  Her or
 * his own words come before any number: what riders say of themselves follows training better than
 * what is measured on them (Saw, Main and Gastin 2016, Br J Sports Med 50:281, from memory).
 *
 *     ask first     ill by a note or a span, or words that must be asked about (coaching/symptoms)
 *     look          work felt harder than usual (coaching/usual_effort); or two of legs, sleep,
 *                   stress and soreness were worse by LIMIT_HOW_SCALE_POINTS, or one by
 *                   LIMIT_HOW_SCALE_FAR_POINTS; or words of a fall
 *     usual         enough was said, and none of these
 *     cannot tell   too little was said; silence isn't health
 *
 * Hours against usual are said, and decide nothing here (coaching/load_weeks).  Never a diagnosis:
 * every verdict but `usual` ends in a question to the rider, or in a doctor's name. */
#ifndef COACHING_RIDER_STATE_H
#define COACHING_RIDER_STATE_H

#include "coaching/rider_history.h"

/* Estimate, low, high: effort above the usual in points, where that could be compared. */
struct reading rider_state_read(struct arena *arena, const struct rider_history *history,
                                const struct limits *limits);

#endif
