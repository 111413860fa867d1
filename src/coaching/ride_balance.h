/* coaching/ride_balance.h: what each effort of a ride took of W', and about what was left.
 *
 * With critical power and W' as they were known before the ride's day: a ride isn't judged by what
 * it itself has shown.  Both forms of recovery are used and the range spans them.  Left below
 * nought means that the numbers are wrong, never anything about the rider. */
#ifndef COACHING_RIDE_BALANCE_H
#define COACHING_RIDE_BALANCE_H

#include "physiology/power_duration.h"
#include "physiology/reps.h"
#include "physiology/w_balance.h"

enum balance_end {
    BALANCE_KNOWN,
    BALANCE_NO_CURVE, /* no critical power was known before the day */
    BALANCE_NO_POWER, /* the ride has none */
    BALANCE_GAPS,     /* more of it is unknown than LIMIT_W_BALANCE_UNKNOWN_RATIO */
};
const char *balance_end_name(enum balance_end end); /* "known", "no-critical-power", ... */

struct rep_balance {
    struct span span;
    double cost_j; /* work above critical power, and with the ends of its interval; NAN = seconds
                      of it are unknown */
    double cost_low_j;
    double cost_high_j;
    double left_j; /* at its end: middle of the forms, and the range that they span */
    double left_low_j;
    double left_high_j;
};

struct ride_balance {
    enum balance_end end; /* what follows is 0 or NAN unless BALANCE_KNOWN */
    struct w_rider rider;
    struct w_balance trace;   /* least_j, its range, and least_at_s; the arrays for a figure */
    struct rep_balance *reps; /* [n_reps] as reps->items */
    size_t n_reps;
};

struct w_rider w_rider_of(const struct power_duration *curve); /* NAN unless it is known */

/* Pure.
 *   curve   known before the ride's day */
struct ride_balance ride_balance_read(struct arena *arena, const struct recording *recording,
                                      const struct reps *reps, const struct power_duration *curve,
                                      const struct limits *limits);

#endif
