/* bench/series.c: power series for the benches. */
#include "series.h"

#include "maths/random.h"

#include <math.h>

static const char *const names[SERIES_COUNT] = {
    [SERIES_RIDE] = "ride",
    [SERIES_NOISE] = "noise",
    [SERIES_LONG] = "240/240 s",
    [SERIES_CONSTANT] = "constant",
    [SERIES_ZERO] = "all zero",
    [SERIES_RAMP_UP] = "ramp up",
    [SERIES_RAMP_DOWN] = "ramp down",
    [SERIES_STEPS] = "steps",
    [SERIES_SPIKES] = "spikes",
    [SERIES_10_20] = "10/20 s",
    [SERIES_30_30] = "30/30 s",
    [SERIES_40_20] = "40/20 s",
    [SERIES_1_1] = "on/off every second",
};

const char *series_name(enum series series)
{
    return names[series];
}

/* Levels change every 30-400 s, one piece in six is coasted; noise is correlated over some
 * seconds, as legs are. */
static void fill_ride(int32_t power_w[], size_t n)
{
    struct random random = random_begin(20240503);
    double level_w = 150;
    double noise_w = 0;
    size_t left = 0;
    for (size_t i = 0; i < n; i++) {
        if (left == 0) {
            left = 30 + (size_t)random_below(&random, 371);
            level_w =
                random_below(&random, 6) == 0 ? 0 : fmax(60, 190 + 55 * random_normal(&random));
        }
        left--;
        noise_w = 0.75 * noise_w + 22 * random_normal(&random);
        const double watts = level_w > 0 ? level_w + noise_w : 0;
        power_w[i] = watts > 0 ? (int32_t)watts : 0;
    }
}

void series_fill(enum series series, int32_t power_w[], size_t n)
{
    struct random random = random_begin(1 + (uint64_t)series);
    if (series == SERIES_RIDE) {
        fill_ride(power_w, n);
        return;
    }
    for (size_t i = 0; i < n; i++) {
        const int32_t t = (int32_t)i;
        const int32_t noise = (int32_t)(20 * random_normal(&random));
        switch (series) {
        case SERIES_NOISE: power_w[i] = 200 + noise; break;
        case SERIES_LONG: power_w[i] = (t / 240 % 2 == 0 ? 280 : 130) + noise; break;
        case SERIES_CONSTANT: power_w[i] = 211; break;
        case SERIES_RAMP_UP: power_w[i] = 100 + t / 50; break;
        case SERIES_RAMP_DOWN: power_w[i] = 100 + ((int32_t)n - t) / 50; break;
        case SERIES_STEPS: power_w[i] = 100 + 40 * (t / 300 % 7); break;
        case SERIES_SPIKES: power_w[i] = t % 97 == 11 ? 1900 : 180; break;
        case SERIES_10_20: power_w[i] = t % 30 < 10 ? 400 : 100; break;
        case SERIES_30_30: power_w[i] = t % 60 < 30 ? 350 : 100; break;
        case SERIES_40_20: power_w[i] = t % 60 < 40 ? 300 : 100; break;
        case SERIES_1_1: power_w[i] = t % 2 == 0 ? 300 : 0; break;
        case SERIES_ZERO:
        case SERIES_RIDE:
        case SERIES_COUNT: power_w[i] = 0; break;
        }
    }
}
