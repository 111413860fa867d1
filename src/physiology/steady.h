/* physiology/steady.h: the part of a ride that was ridden at one power.
 *
 * Power is filtered first order (tau 65 s, as heart rate answers it); a span is steady at a level
 * when the filtered power is within +-15 % of it for >= 95 % of its seconds, coasting is <= 10 %,
 * and no stop exceeds 60 s, indoors and out.  Levels lie on a 1 % grid; the longest span of a
 * level is found in linear time from prefix sums of bad seconds. */
#ifndef PHYSIOLOGY_STEADY_H
#define PHYSIOLOGY_STEADY_H

#include "base/arena.h"
#include "limits/limits.h"
#include "recording/recording.h"

struct steady {
    bool found;            /* false: no span of at least LIMIT_STEADY_SHORTEST_S */
    struct span span;      /* the longest steady span; ties: the earliest */
    double level_w;        /* the level of the grid */
    double mean_power_w;   /* coasting zeros count; masked seconds left out */
    double sd_30s_w;       /* of 30-s means: how steady */
    double in_band_ratio;  /* seconds of filtered power within the band */
    double coasting_ratio; /* seconds at 0 W or without cadence */
    double power_coverage; /* usable seconds over the seconds of the span */
    double heart_coverage;
    int32_t longest_stop_s;
};

/* The longest steady span of the ride.  Needs power; without it found is false. */
struct steady steady_find(struct arena *arena, const struct recording *recording,
                          const struct limits *limits);

/* The twin: tries every start and end. O(n^2) a level; for tests. */
struct steady steady_find_slowly(struct arena *arena, const struct recording *recording,
                                 const struct limits *limits);

#endif
