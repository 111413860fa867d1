/* bench/series.h: power series for the benches: ride-like ones, and ones made to be hard. */
#ifndef BENCH_SERIES_H
#define BENCH_SERIES_H

#include <stddef.h>
#include <stdint.h>

enum series {
    SERIES_RIDE,  /* pieces of 30-400 s at a level with correlated noise, and coasting */
    SERIES_NOISE, /* 200 W and white noise */
    SERIES_LONG,  /* 240/240 s and noise */
    SERIES_CONSTANT,
    SERIES_ZERO,
    SERIES_RAMP_UP,
    SERIES_RAMP_DOWN,
    SERIES_STEPS,
    SERIES_SPIKES,
    SERIES_10_20,
    SERIES_30_30,
    SERIES_40_20,
    SERIES_1_1,
    SERIES_COUNT
};
const char *series_name(enum series series);

/* power_w [n]: whole watts, 0 or more; the same every time. */
void series_fill(enum series series, int32_t power_w[], size_t n);

#endif
