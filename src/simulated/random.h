/* simulated/random.h: random numbers of the simulator's own, the same on every machine.
 *
 * One seed gives many streams that know nothing of each other: a ride draws its power, its heart
 * noise and its faults from different streams, so that switching one off leaves the others as they
 * were.  Generator: xoshiro256**, its state filled by SplitMix64 (Blackman and Vigna 2021, ACM
 * Trans. Math. Softw. 47(4); public domain code, from memory). */
#ifndef SIMULATED_RANDOM_H
#define SIMULATED_RANDOM_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct simulated_random {
    uint64_t state[4];
};

struct simulated_random simulated_random_begin(uint64_t seed, uint64_t stream);

uint64_t simulated_random_bits(struct simulated_random *random);

/* Even in [0, 1), and in [low, high). */
double simulated_random_unit(struct simulated_random *random);
double simulated_random_between(struct simulated_random *random, double low, double high);

/* Even over the whole numbers low .. high, both included. */
int simulated_random_whole(struct simulated_random *random, int low, int high);

/* True with that probability. */
bool simulated_random_chance(struct simulated_random *random, double probability);

/* Normal with mean 0 and standard deviation 1 (polar method, Marsaglia and Bray 1964). */
double simulated_random_normal(struct simulated_random *random);

/* Exponential with mean 1. */
double simulated_random_wait(struct simulated_random *random);

#endif
