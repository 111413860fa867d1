/* honesty/outings.h: rides of one simulated rider, day by day, by either simulator: two hard days a
 * week, one long, the rest easy.
 *
 * Ordinary days stray by 4.5 beats (one sd).  First simulator: normal, each by itself.  Second:
 * heavy-tailed, like the day before (0.4 of it). */
#ifndef HONESTY_OUTINGS_H
#define HONESTY_OUTINGS_H

#include "honesty/second/random.h"
#include "physiology/heart_response.h"
#include "simulated/random.h"

#include <stdint.h>

struct outing_rider {
    uint64_t seed;
    int rides_a_week; /* 4 to 6 */
    bool second;      /* simulator */
};

struct outing {
    int number; /* from 0, below 512 */
    int64_t day;
    double day_bpm;
    double fitter; /* 0 .. 1: on the second simulator the rise to threshold falls by 5 % of it */
    double scale;  /* of the meter */
};

/* *max_bpm is the rider's maximal heart rate. */
struct recording *outing_ride(struct arena *arena, const struct outing_rider *of,
                              const struct outing *outing, const struct limits *limits,
                              double *max_bpm);

/* False if the ride doesn't fit. */
bool outing_sums(struct arena *arena, const struct recording *recording, double max_bpm,
                 const struct outing *outing, const struct limits *limits,
                 struct response_ride *out);

struct outing_days {
    struct simulated_random one;
    struct second_random two;
    double last;
};
struct outing_days outing_days_begin(uint64_t seed);
double outing_next_day_bpm(const struct outing_rider *of, struct outing_days *days);

int64_t outing_day(int rides_a_week, int number);
int outing_place_in_week(const struct outing_rider *of, const struct outing *outing);
double outing_threshold_w(const struct outing_rider *of);

#endif
