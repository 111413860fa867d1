/* coaching/base_state.h: is the aerobic base built, by all of a rider's base tests?
 *
 *     built            the last two tests passed, LIMIT_STATE_APART_DAYS or more apart; or the last
 *                      passed, and heart rate at that power falls from week to week with bests held
 *                      (coaching/base_trend)
 *     to confirm       the last passed: one pass may be a good day
 *     still building   the last did not, or was on the line
 *     out of date      the last test is LIMIT_STATE_OLD_DAYS old, or lies before a break
 *     not tested       none on file
 *     cannot tell      tests there are, but none that could be judged
 *
 * One test is weak evidence.  With drift scattering by 3 beats from day to day (assumed: no
 * published value) a rider whose usual drift is 10 passes one test in 26 of 100 cases, and two in
 * 7: so two are asked.  The roster's own scatter (coaching/drift_repeat) is said in its place once
 * there are tests enough; it decides nothing.  A rider without power over the hour can't be tested
 * at all. */
#ifndef COACHING_BASE_STATE_H
#define COACHING_BASE_STATE_H

#include "coaching/base_trend.h"

/* Estimate, low and high are those of the last judged test, in beats; limit_value the line. */
struct reading base_state_read(struct arena *arena, const struct rider_history *history,
                               const struct limits *limits);

/* The same with the trend of all rides beside the tests; NULL = not known. */
struct reading base_state_read_with(struct arena *arena, const struct rider_history *history,
                                    const struct base_trend *trend, const struct limits *limits);

#endif
