/* simulated/noise.h: how heart rate strays from its kinetics. */
#ifndef SIMULATED_NOISE_H
#define SIMULATED_NOISE_H

#include <stddef.h>
#include <stdint.h>

enum simulated_noise {
    SIMULATED_NOISE_WHITE,
    SIMULATED_NOISE_AR1_SHORT,   /* 20 s */
    SIMULATED_NOISE_AR1_LONG,    /* 2 min */
    SIMULATED_NOISE_AR2,         /* swings of some minutes */
    SIMULATED_NOISE_RANDOM_WALK, /* pulled back weakly */
    SIMULATED_NOISE_HEAVY_TAILS,
    SIMULATED_NOISE_STEPS, /* a few sudden shifts of 1-3 beats (position, talk, drink) */
    SIMULATED_NOISE_SINE,  /* slow wave: hills, traffic */
    SIMULATED_NOISE_COUNT
};

/* "white", "ar1-short", ... */
const char *simulated_noise_name(enum simulated_noise noise);

/* Fills out [n], one value a second, with mean 0 and the standard deviation sd_bpm in the long
 * run.  Steps and the wave are 70 % of the variance, the rest is AR(1) of 20 s.  The process has
 * run for long before second 0. */
void simulated_noise_make(enum simulated_noise noise, double sd_bpm, uint64_t seed, double out[],
                          size_t n);

#endif
