/* honesty/second/random.c: random numbers of the second simulator. */
#include "honesty/second/random.h"

#include <math.h>

static const double TWO_PI = 6.283185307179586;

static uint32_t bits(struct second_random *random)
{
    const uint64_t old = random->state;
    random->state = old * 6364136223846793005u + random->step;
    const uint32_t shifted = (uint32_t)(((old >> 18) ^ old) >> 27);
    const uint32_t turn = (uint32_t)(old >> 59);
    return (shifted >> turn) | (shifted << ((32 - turn) & 31));
}

struct second_random second_random_begin(uint64_t seed, uint64_t purpose)
{
    struct second_random random = { .state = 0, .step = (purpose << 1) | 1 };
    bits(&random);
    random.state += seed;
    bits(&random);
    /* Seeds that follow one another part ways. */
    for (int i = 0; i < 8; i++) {
        bits(&random);
    }
    return random;
}

double second_unit(struct second_random *random)
{
    const uint64_t high = bits(random) >> 6;
    const uint64_t low = bits(random) >> 5;
    return (double)((high << 27) + low) / 9007199254740992.0;
}

double second_between(struct second_random *random, double low, double high)
{
    return low + (high - low) * second_unit(random);
}

bool second_chance(struct second_random *random, double probability)
{
    return second_unit(random) < probability;
}

double second_normal(struct second_random *random)
{
    const double radius = sqrt(-2.0 * log(1.0 - second_unit(random)));
    return radius * cos(TWO_PI * second_unit(random));
}

double second_heavy(struct second_random *random)
{
    /* Chi-square of 4 degrees is twice the sum of two waits; a t of 4 has variance 2. */
    const double normal = second_normal(random);
    const double wait = -log(1.0 - second_unit(random)) - log(1.0 - second_unit(random));
    return normal / sqrt(0.5 * wait) / sqrt(2.0);
}
