/* maths/random.c: numbers that look random and are the same every time. */
#include "maths/random.h"

#include <math.h>

static uint64_t rotated(uint64_t x, int by)
{
    return (x << by) | (x >> (64 - by));
}

/* splitmix64; the constants are the algorithm (Vigna's reference code, public domain). */
static uint64_t seed_next(uint64_t *seed)
{
    uint64_t z = (*seed += 0x9E3779B97F4A7C15u);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
}

struct random random_begin(uint64_t seed)
{
    struct random random = { 0 };
    for (int i = 0; i < 4; i++) {
        random.state[i] = seed_next(&seed);
    }
    return random;
}

uint64_t random_bits(struct random *random)
{
    uint64_t *s = random->state;
    const uint64_t bits = rotated(s[1] * 5, 7) * 9;
    const uint64_t t = s[1] << 17;
    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= t;
    s[3] = rotated(s[3], 45);
    return bits;
}

double random_uniform(struct random *random)
{
    return (double)(random_bits(random) >> 11) * 0x1p-53;
}

uint64_t random_below(struct random *random, uint64_t below)
{
    /* The first 2^64 mod below values would come once too often. */
    const uint64_t unfair = (0 - below) % below;
    uint64_t bits = random_bits(random);
    while (bits < unfair) {
        bits = random_bits(random);
    }
    return bits % below;
}

/* ln 2: mathematics. */
static const double LN_2 = 0.69314718055994530942;

/* Natural logarithm of 0 < x < 1 to about 1e-15, by the series of the inverse hyperbolic tangent.
 * The C library's own picks its last digit by processor (with or without fused multiply-add). */
static double log_plain(double x)
{
    int power = 0;
    double m = frexp(x, &power);
    if (m < 0.70710678118654752) {
        m *= 2.0;
        power--;
    }
    const double s = (m - 1.0) / (m + 1.0); /* |s| < 0.172, so 11 terms leave 1e-18 */
    const double s2 = s * s;
    double sum = 0.0;
    for (int k = 21; k >= 1; k -= 2) {
        sum = sum * s2 + 1.0 / k;
    }
    return 2.0 * s * sum + power * LN_2;
}

double random_normal(struct random *random)
{
    if (random->has_spare) {
        random->has_spare = false;
        return random->spare;
    }
    double u = 0;
    double v = 0;
    double r2 = 0;
    do {
        u = 2.0 * random_uniform(random) - 1.0;
        v = 2.0 * random_uniform(random) - 1.0;
        r2 = u * u + v * v;
    } while (r2 >= 1.0 || !(r2 > 0.0));
    const double factor = sqrt(-2.0 * log_plain(r2) / r2);
    random->has_spare = true;
    random->spare = v * factor;
    return u * factor;
}
