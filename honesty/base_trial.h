/* honesty/base_trial.h: one simulated base test with a known rise of heart rate, and what the
 * reading made of it.
 *
 * The simulator shares no code with the estimator: its hearts have their own gain, up and down
 * time constants and dead time (fitted: one of each for everybody), its noise is of eight kinds
 * (fitted: a mixture of autoregressions), and its drift has three shapes. */
#ifndef HONESTY_BASE_TRIAL_H
#define HONESTY_BASE_TRIAL_H

#include "coaching/reading.h"
#include "simulated/ride.h"

#include <stdint.h>

struct base_case {
    uint64_t seed;
    enum simulated_noise noise;
    double drift_bpm; /* true, minute 6 to 60 */
    bool outdoors;
    bool eases_off;
    bool missing; /* two gaps of 20-75 s without heart rate */
    int shape;    /* enum simulated_drift_shape */
    bool auto_pause;
    double smart_interval_s; /* 0 = a row each second */
};

struct base_outcome {
    bool whole;       /* a steady span of the whole hour was found (LIMIT_STEADY_WHOLE_S) */
    bool known;       /* a rise was fitted */
    double truth_bpm; /* true rise at constant power over the fitted minutes */
    double estimate_bpm;
    double low_bpm;
    double high_bpm;
    enum verdict verdict;
    const char *why_not; /* the first reason of "cannot tell"; NULL none */
};

/* What is true of a recording. */
struct base_truth {
    double threshold_w;
    double max_bpm;
    double (*rise_bpm)(const void *of, struct span fitted); /* true rise over those seconds */
    const void *of;
};

/* A recording read as a base test, beside its truth. */
struct base_outcome base_read(struct arena *arena, const struct recording *recording,
                              const struct base_truth *truth, const struct limits *limits);

/* A case as the small test and the long run draw it: place, shape, easing and gaps in turn by
 * `index`, the rest by seed.  The drift is drawn from -1 to 18 beats. */
struct base_case base_case_draw(uint64_t seed, int index, enum simulated_noise noise);

/* A steady hour with a warm-up and a cool-down, threshold known, read as a base test. */
struct base_outcome base_trial(const struct base_case *c, const struct limits *limits);

/* The session "base hour" as the road outdoors gives it: hills, junctions and coasting by seed. */
struct base_outcome base_trial_on_the_road(uint64_t seed, const struct limits *limits);

#endif
