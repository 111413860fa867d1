/* simulated/plans.h: the sessions that riders ride, with variety by seed.
 *
 *     struct simulated_rider rider = simulated_rider_draw(seed);
 *     struct simulated_plan plan = simulated_plan_make(arena, &rider, session, outdoors, seed);
 *     plan.drift_bpm = 9.0;                             any field may be set before the ride
 *     struct simulated_ride ride = simulated_ride_make(arena, &rider, &plan);
 *
 * Everything the caller leaves is drawn by seed: durations, powers within the session's meaning,
 * drift and its shape, kind and size of noise, weather, road, device.  For a device without quirks
 * set plan.device to zero. */
#ifndef SIMULATED_PLANS_H
#define SIMULATED_PLANS_H

#include "simulated/ride.h"

/* Shares are of the rider's threshold. */
enum simulated_session {
    SIMULATED_BASE_HOUR,       /* warm-up, 60-65 min at 68-72 %, a true rise of 0 to 18 */
    SIMULATED_BASE_LET_DOWN,   /* the same, power let down by 60-110 % of what holds heart rate */
    SIMULATED_VO2MAX_DONE,     /* 3-6 x 3-5 min, each even at 109-117 % */
    SIMULATED_VO2MAX_TOO_HARD, /* each from 130-140 % down to 84-93 %, mean 107-117 % */
    SIMULATED_VO2MAX_FADED,    /* first rep done, the others from 112-118 % down to 88-96 % */
    SIMULATED_SHORT_30_30,     /* 2-3 blocks of 8-13 x 30 s at 108-120 %, 30 s at 45-55 % */
    SIMULATED_SHORT_40_20,     /* 2-3 blocks of 8-12 x 40 s at 108-118 %, 20 s at 45-55 % */
    SIMULATED_OVER_UNDERS,     /* 3-4 x 8-12 min: 2 min at 91-95 %, 1 min at 104-109 %, in turn */
    SIMULATED_THRESHOLD_2X20,  /* 2 x 20 min at 95-101 % */
    SIMULATED_SPRINTS,         /* 6-10 x 8-12 s at 250-380 %, 3-5 min between */
    SIMULATED_LONG_RIDE,       /* 2.5-4.5 h at 50-75 %, climbs at 75-92 % */
    SIMULATED_CAFE_STOP, /* a long ride with 10-35 min at a cafe; the timer stands in 2 of 3 */
    SIMULATED_SWEET_SPOT_3X12, /* 3 x 12 min at 89-93 %, 4-5 min between */
    SIMULATED_ANAEROBIC_8X1,   /* 8 x 1 min at 126-145 %, 2-3 min between */
    SIMULATED_SESSION_COUNT
};
const char *simulated_session_name(enum simulated_session session); /* "base-hour", ... */

struct simulated_plan simulated_plan_make(struct arena *arena, const struct simulated_rider *rider,
                                          enum simulated_session session, bool outdoors,
                                          uint64_t seed);

#endif
