/* simulated/random.c: random numbers of the simulator's own. */
#include "simulated/random.h"

#include <math.h>

static uint64_t split_mix(uint64_t *state)
{
    *state += 0x9e3779b97f4a7c15U;
    uint64_t z = *state;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9U;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebU;
    return z ^ (z >> 31);
}

static uint64_t rotate_left(uint64_t x, int k)
{
    return (x << k) | (x >> (64 - k));
}

struct simulated_random simulated_random_begin(uint64_t seed, uint64_t stream)
{
    uint64_t mixed = stream;
    uint64_t state = seed ^ split_mix(&mixed);
    struct simulated_random random = { { 0 } };
    for (int i = 0; i < 4; i++) {
        random.state[i] = split_mix(&state);
    }
    return random;
}

uint64_t simulated_random_bits(struct simulated_random *random)
{
    uint64_t *s = random->state;
    const uint64_t result = rotate_left(s[1] * 5U, 7) * 9U;
    const uint64_t t = s[1] << 17;
    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= t;
    s[3] = rotate_left(s[3], 45);
    return result;
}

double simulated_random_unit(struct simulated_random *random)
{
    /* 53 bits: every double of that spacing in [0, 1). */
    return (double)(simulated_random_bits(random) >> 11) * 0x1.0p-53;
}

double simulated_random_between(struct simulated_random *random, double low, double high)
{
    return low + (high - low) * simulated_random_unit(random);
}

int simulated_random_whole(struct simulated_random *random, int low, int high)
{
    const double wide = (double)high - (double)low + 1.0;
    const int step = (int)(wide * simulated_random_unit(random));
    return low + step;
}

bool simulated_random_chance(struct simulated_random *random, double probability)
{
    return simulated_random_unit(random) < probability;
}

double simulated_random_normal(struct simulated_random *random)
{
    double u = 0.0;
    double square = 0.0;
    do {
        u = 2.0 * simulated_random_unit(random) - 1.0;
        const double v = 2.0 * simulated_random_unit(random) - 1.0;
        square = u * u + v * v;
    } while (square >= 1.0 || square <= 0.0);
    /* The pair's second number is let go: a stream then has no memory beside its state. */
    return u * sqrt(-2.0 * log(square) / square);
}

double simulated_random_wait(struct simulated_random *random)
{
    return -log(1.0 - simulated_random_unit(random));
}
