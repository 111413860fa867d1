/* coaching/session_device.h: a session as a device leads through it.
 *
 * Repeats stay repeats.  Ranges in % of threshold become watts where the threshold is known, for
 * the device may hold another one; what rises becomes steps of a minute; what is by feel, or all
 * out, is open and says so in its words. */
#ifndef COACHING_SESSION_DEVICE_H
#define COACHING_SESSION_DEVICE_H

#include "coaching/session.h"
#include "recording/fit_workout.h"

/* Steps in the arena; ERROR_USAGE if a device takes fewer (FIT_WORKOUT_STEPS_MOST).
 *   threshold_w  NAN = not known: ranges stay in % */
MUST_USE bool session_for_device(struct arena *arena, const struct session *session,
                                 double threshold_w, const struct fit_step **steps, size_t *n,
                                 struct error *err);

#endif
