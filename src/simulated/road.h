/* simulated/road.h: what the legs did, second by second, and what the road did to them. */
#ifndef SIMULATED_ROAD_H
#define SIMULATED_ROAD_H

#include "simulated/ride.h"

enum simulated_motion {
    SIMULATED_PEDALLING,
    SIMULATED_COASTING,   /* 0 W, legs still */
    SIMULATED_SOFT,       /* 0 W, legs turning without pressing: 1-3 s */
    SIMULATED_STANDING,   /* a stop: foot down */
    SIMULATED_TIMER_STOOD /* a stop that the device didn't record */
};

struct simulated_road {
    size_t n;
    double *power_w;     /* [n] true power; 0 when not pedalling */
    double *cadence_rpm; /* [n] */
    double *grade_ratio; /* [n] slope of the road, rise over run; 0 indoors */
    uint8_t *motion;     /* [n] enum simulated_motion */
    uint8_t *in_rep;     /* [n] */
};

/* The seconds of the plan.  Blocks begin and end on whole seconds, each duration rounded. */
struct simulated_road simulated_road_make(struct arena *arena, const struct simulated_rider *rider,
                                          const struct simulated_plan *plan);

#endif
