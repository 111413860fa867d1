/* honesty/second/random.h: random numbers of the second simulator.
 *
 * Generator: PCG-XSH-RR 64/32 (O'Neill 2014, Harvey Mudd College HMC-CS-2014-0905; from memory),
 * one stream a seed and purpose; another family than the first simulator's. */
#ifndef HONESTY_SECOND_RANDOM_H
#define HONESTY_SECOND_RANDOM_H

#include <stdbool.h>
#include <stdint.h>

struct second_random {
    uint64_t state;
    uint64_t step;
};

struct second_random second_random_begin(uint64_t seed, uint64_t purpose);

/* Even in [0, 1); in [low, high); true with that probability. */
double second_unit(struct second_random *random);
double second_between(struct second_random *random, double low, double high);
bool second_chance(struct second_random *random, double probability);

/* Mean 0, standard deviation 1: normal (Box and Muller 1958); heavy-tailed, as a t with 4 degrees
 * of freedom is (one value in 160 beyond 3.3, a normal one in 1000). */
double second_normal(struct second_random *random);
double second_heavy(struct second_random *random);

#endif
