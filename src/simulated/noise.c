/* simulated/noise.c: how heart rate strays from its kinetics.
 *
 * Every kind is made with unit variance and then scaled. */
#include "simulated/noise.h"

#include "simulated/random.h"

#include <math.h>
#include <stdbool.h>

enum { STREAM_NOISE = 0x4e4f };

static const double TWO_PI = 6.283185307179586;

/* Share of the variance that is a shift or a wave; the rest is short noise on top. */
static const double PATTERN_SHARE = 0.7;

const char *simulated_noise_name(enum simulated_noise noise)
{
    static const char *const names[SIMULATED_NOISE_COUNT] = {
        [SIMULATED_NOISE_WHITE] = "white",
        [SIMULATED_NOISE_AR1_SHORT] = "ar1-short",
        [SIMULATED_NOISE_AR1_LONG] = "ar1-long",
        [SIMULATED_NOISE_AR2] = "ar2",
        [SIMULATED_NOISE_RANDOM_WALK] = "random-walk",
        [SIMULATED_NOISE_HEAVY_TAILS] = "heavy-tails",
        [SIMULATED_NOISE_STEPS] = "steps",
        [SIMULATED_NOISE_SINE] = "sine",
    };
    return names[noise];
}

/* Student's t with 5 degrees of freedom, scaled to unit variance (its own is 5/3). */
static double heavy_normal(struct simulated_random *random)
{
    double square = 0.0;
    for (int i = 0; i < 5; i++) {
        const double z = simulated_random_normal(random);
        square += z * z;
    }
    return simulated_random_normal(random) / sqrt(square / 5.0) * sqrt(3.0 / 5.0);
}

/* x[t] = phi x[t-1] + e, stationary with unit variance from the first second; added to out times
 * `scale`. */
static void add_ar1(struct simulated_random *random, double tau_s, bool heavy, double scale,
                    double out[], size_t n)
{
    const double phi = exp(-1.0 / tau_s);
    const double innovation = sqrt(1.0 - phi * phi);
    double x = simulated_random_normal(random);
    for (size_t t = 0; t < n; t++) {
        const double e = heavy ? heavy_normal(random) : simulated_random_normal(random);
        x = phi * x + innovation * e;
        out[t] += scale * x;
    }
}

/* Swings whose period is 3 to 6 min and which forget themselves within 4 min: AR(2) with complex
 * roots.  Variance of an AR(2): Box and Jenkins 1976, Time Series Analysis, section 3.2. */
static void add_ar2(struct simulated_random *random, double out[], size_t n)
{
    const double r = exp(-1.0 / 240.0);
    const double omega = TWO_PI / simulated_random_between(random, 180.0, 360.0);
    const double phi1 = 2.0 * r * cos(omega);
    const double phi2 = -r * r;
    const double variance =
        (1.0 - phi2) / ((1.0 + phi2) * ((1.0 - phi2) * (1.0 - phi2) - phi1 * phi1));
    const double innovation = 1.0 / sqrt(variance);
    const size_t before = 2400; /* ten times its memory */
    double x1 = 0.0;
    double x2 = 0.0;
    for (size_t t = 0; t < n + before; t++) {
        const double x = phi1 * x1 + phi2 * x2 + innovation * simulated_random_normal(random);
        x2 = x1;
        x1 = x;
        if (t >= before) {
            out[t - before] += x;
        }
    }
}

/* Levels that hold for some minutes and then jump.  A level is +-U(0.4, 1.4), scaled to unit
 * variance: at a standard deviation of 1.5 neighbours differ by up to 4 beats, mostly 1 to 3. */
static void add_steps(struct simulated_random *random, double scale, double out[], size_t n)
{
    const double low = 0.4;
    const double high = 1.4;
    const double square = (high * high * high - low * low * low) / (3.0 * (high - low));
    double level = 0.0;
    double left_s = 0.0;
    for (size_t t = 0; t < n; t++) {
        if (left_s <= 0.0) {
            const double sign = simulated_random_chance(random, 0.5) ? 1.0 : -1.0;
            level = sign * simulated_random_between(random, low, high) / sqrt(square);
            left_s = 60.0 + 420.0 * simulated_random_wait(random);
        }
        left_s -= 1.0;
        out[t] += scale * level;
    }
}

static void add_wave(struct simulated_random *random, double scale, double out[], size_t n)
{
    const double period_s = simulated_random_between(random, 300.0, 1200.0);
    const double phase = simulated_random_between(random, 0.0, TWO_PI);
    for (size_t t = 0; t < n; t++) {
        out[t] += scale * sqrt(2.0) * sin(TWO_PI * (double)t / period_s + phase);
    }
}

static void add_kind(enum simulated_noise noise, struct simulated_random *random, double out[],
                     size_t n)
{
    const double pattern = sqrt(PATTERN_SHARE);
    const double rest = sqrt(1.0 - PATTERN_SHARE);
    switch (noise) {
    case SIMULATED_NOISE_AR1_SHORT: add_ar1(random, 20.0, false, 1.0, out, n); break;
    case SIMULATED_NOISE_AR1_LONG: add_ar1(random, 120.0, false, 1.0, out, n); break;
    case SIMULATED_NOISE_AR2: add_ar2(random, out, n); break;
    case SIMULATED_NOISE_RANDOM_WALK: add_ar1(random, 900.0, false, 1.0, out, n); break;
    case SIMULATED_NOISE_HEAVY_TAILS: add_ar1(random, 10.0, true, 1.0, out, n); break;
    case SIMULATED_NOISE_STEPS:
        add_steps(random, pattern, out, n);
        add_ar1(random, 20.0, false, rest, out, n);
        break;
    case SIMULATED_NOISE_SINE:
        add_wave(random, pattern, out, n);
        add_ar1(random, 20.0, false, rest, out, n);
        break;
    case SIMULATED_NOISE_WHITE:
    case SIMULATED_NOISE_COUNT:
        for (size_t t = 0; t < n; t++) {
            out[t] += simulated_random_normal(random);
        }
        break;
    }
}

void simulated_noise_make(enum simulated_noise noise, double sd_bpm, uint64_t seed, double out[],
                          size_t n)
{
    struct simulated_random random = simulated_random_begin(seed, STREAM_NOISE);
    for (size_t t = 0; t < n; t++) {
        out[t] = 0.0;
    }
    add_kind(noise, &random, out, n);
    for (size_t t = 0; t < n; t++) {
        out[t] *= sd_bpm;
    }
}
