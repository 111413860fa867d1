/* tests/physiology/made_ride.h: rides of even pieces, with a little scatter of the test's own. */
#ifndef TESTS_PHYSIOLOGY_MADE_RIDE_H
#define TESTS_PHYSIOLOGY_MADE_RIDE_H

#include "physiology/by_hand.h"

/* One piece; end_w 0 = even, else straight to it. */
struct piece {
    int seconds;
    double watts;
    double end_w;
    bool stands; /* speed, cadence and power 0 */
};

/* A ride of n pieces (up to the first of 0 s): power +-scatter_w about each, cadence 88, 9 m/s. */
static inline struct recording *made_ride(struct arena *arena, const struct piece pieces[],
                                          size_t n, double scatter_w)
{
    size_t seconds = 0;
    for (size_t i = 0; i < n && pieces[i].seconds > 0; i++) {
        seconds += (size_t)pieces[i].seconds;
    }
    struct recording *ride = by_hand(arena, seconds);
    uint32_t state = 12345;
    size_t t = 0;
    for (size_t i = 0; i < n && pieces[i].seconds > 0; i++) {
        const struct piece *p = &pieces[i];
        const double end = p->end_w > 0.0 ? p->end_w : p->watts;
        for (int s = 0; s < p->seconds; s++, t++) {
            state = state * 1664525u + 1013904223u;
            const double unit = (double)(state >> 8) / 16777216.0 * 2.0 - 1.0;
            const double share = ((double)s + 0.5) / (double)p->seconds;
            const double watts = p->watts + (end - p->watts) * share + scatter_w * unit;
            by_hand_set(arena, ride, CHANNEL_POWER, t,
                        p->stands ? 0.0 : (watts < 0.0 ? 0.0 : watts));
            by_hand_set(arena, ride, CHANNEL_CADENCE, t, p->stands || p->watts <= 0.0 ? 0.0 : 88.0);
            by_hand_set(arena, ride, CHANNEL_SPEED, t, p->stands ? 0.0 : 9.0);
        }
    }
    return ride;
}

#endif
