/* recording/fit_workout.h: a FIT workout file: what a device leads its rider through.
 *
 * Messages of the FIT protocol's public profile: file_id, workout, and one workout_step a step; a
 * repeat is a step that sends the device back to an earlier one.  The file's numbers are exact:
 * watts, beats, rpm and milliseconds as given. */
#ifndef RECORDING_FIT_WORKOUT_H
#define RECORDING_FIT_WORKOUT_H

#include "base/error.h"
#include "base/files.h"

enum fit_aim { FIT_AIM_OPEN, FIT_AIM_W, FIT_AIM_PCT, FIT_AIM_BPM, FIT_AIM_MAX_PCT };

/* As the profile has it: active 0, rest 1, warm-up 2, cool-down 3. */
enum fit_intensity { FIT_ACTIVE, FIT_REST, FIT_WARM_UP, FIT_COOL_DOWN };

struct fit_step {
    uint32_t times; /* 0 = a step; else back to step `first`, that the lot is ridden so often */
    uint32_t first;
    uint32_t seconds; /* 0 = until the button is pressed */
    enum fit_aim aim;
    uint32_t low; /* of the aim: W, % of threshold, bpm, % of maximal heart rate */
    uint32_t high;
    uint32_t rpm_low; /* 0 = any */
    uint32_t rpm_high;
    enum fit_intensity intensity;
    const char *name;  /* NULL = none */
    const char *words; /* NULL = none */
};

struct fit_workout {
    const char *name;
    int64_t made_utc;
    uint32_t serial;              /* tells files apart; not 0 */
    const struct fit_step *steps; /* [n_steps] */
    size_t n_steps;
};

#define FIT_WORKOUT_STEPS_MOST 200
#define FIT_WORKOUT_NAME_MOST  60 /* bytes; longer ones are cut at a letter's edge */
#define FIT_WORKOUT_WORDS_MOST 200

/* The file's bytes in the arena.  ERROR_USAGE: no step, more than FIT_WORKOUT_STEPS_MOST, a repeat
 * to a step that isn't before it, or a time outside the protocol's. */
MUST_USE bool fit_workout_write(struct arena *arena, const struct fit_workout *workout,
                                struct bytes *out, struct error *err);

#endif
