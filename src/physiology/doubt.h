/* physiology/doubt.h: stage 2 of trust: what only the rider's past shows of a recording.
 *
 *     expected    ----------.           the rider's response to this ride's power
 *     recorded         '''''\           far above it at first, then down at one power: dry-strap
 *                            `--.____   far below it: heart-low
 *     late        the response's lag fits better when it begins half a minute later: late-heart
 *
 * Needs a response that was fitted to rides before this one (physiology/heart_response); without
 * one nothing is looked for.  Masks heart rate that no heart made, as stage 1 does
 * (recording/trust), and adds one finding a fault.  A heart that is merely unusual that day is no
 * fault: lines lie five standard deviations of days away (F-30). */
#ifndef PHYSIOLOGY_DOUBT_H
#define PHYSIOLOGY_DOUBT_H

#include "physiology/heart_response.h"

/* How late heart rate came, from this ride alone. */
struct heart_lateness {
    bool known;        /* false: power changed too little to tell */
    double dead_s;     /* before the first-order lag begins */
    double gain_ratio; /* squared error there, over that at the rider's own dead time */
};

/* The dead time that fits best, with the response's time constant and a gain of the ride's own. */
struct heart_lateness doubt_lateness(struct arena *arena, const struct recording *recording,
                                     const struct heart_response *response,
                                     const struct limits *limits);

/* heart-low, dry-strap (masked), late-heart (noted: heart rate of intervals isn't read).
 *   response        NULL, or not fitted: nothing is done
 *   max_heart_bpm   NAN = not known */
void doubt_check(struct arena *arena, struct recording *recording,
                 const struct heart_response *response, double max_heart_bpm,
                 const struct limits *limits);

/* The same on a copy: the recording stays as it is, what the copy shares with it is not written.
 * Findings of the copy from recording->n_findings on are what was found. */
struct recording *doubt_checked(struct arena *arena, const struct recording *recording,
                                const struct heart_response *response, double max_heart_bpm,
                                const struct limits *limits);

#endif
