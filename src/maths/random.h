/* maths/random.h: numbers that look random and are the same every time.
 *
 * For tests, benches and resampling (never for secrets).  A seed gives one sequence, on every
 * processor and compiler: whole-number arithmetic, and no function of the C library whose last
 * digit may differ.  Each user holds a generator of its own; nothing is global.
 *
 * Source: xoshiro256** (Blackman and Vigna 2021, ACM Trans Math Softw 47:36), its state filled by
 * splitmix64 from the seed as they advise. */
#ifndef MATHS_RANDOM_H
#define MATHS_RANDOM_H

#include <stdbool.h>
#include <stdint.h>

struct random {
    uint64_t state[4];
    bool has_spare; /* the normal numbers come in pairs */
    double spare;
};

/* Every seed is good, 0 too. */
struct random random_begin(uint64_t seed);

/* 64 random bits. */
uint64_t random_bits(struct random *random);

/* Uniform on [0, 1): a multiple of 2^-53. */
double random_uniform(struct random *random);

/* Uniform on 0 .. below - 1, without bias; below >= 1. */
uint64_t random_below(struct random *random, uint64_t below);

/* Normal with mean 0 and standard deviation 1 (polar method: Marsaglia and Bray 1964, SIAM Rev
 * 6:260-264). */
double random_normal(struct random *random);

#endif
