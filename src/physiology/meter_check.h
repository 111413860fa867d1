/* physiology/meter_check.h: two power meters on one ride, held against each other.
 *
 *     a   |  _-''-__-''''--_         the same ride, recorded twice; the clocks may differ by some
 *     b   |    _-''-__-''''--_       seconds, and each meter drops out where it likes
 *
 *     60-s means of both, where both are known:   b / a  at low power | at high power
 *
 * One ride says how the two differ on that day; another day differs by what a meter repeats
 * itself to (precision).  Which of the two is right it does not say. */
#ifndef PHYSIOLOGY_METER_CHECK_H
#define PHYSIOLOGY_METER_CHECK_H

#include "base/arena.h"
#include "limits/limits.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum meter_check_state {
    METER_CHECK_KNOWN,
    METER_CHECK_APART,    /* the two recordings share too little time */
    METER_CHECK_NO_MATCH, /* they don't rise and fall together: not the same ride */
    METER_CHECK_EVEN,     /* nor does power rise and fall enough to tell whether they do */
};

/* By how many per cent b reads above a. */
struct meter_offset {
    double pct; /* NAN with fewer than LIMIT_METER_BLOCKS minutes */
    double low; /* 90 % interval, of this day */
    double high;
    double any_day_low; /* of any day */
    double any_day_high;
    double mean_w; /* of both */
    size_t minutes;
};

struct meter_check {
    enum meter_check_state state;
    int32_t lag_s;      /* second t of a is second t + lag_s of b */
    double correlation; /* of 10-s means at that lag */
    double shared_min;  /* of power known to both, in 10-s means, at the lag with most of it */
    double spread_pct;  /* sd of the 10-s means of the evener one, in % of their mean */
    struct meter_offset all;
    struct meter_offset gentle; /* the lower half of the minutes, by the mean of both */
    struct meter_offset hard;   /* the upper half */
};

/*   a, b      power, NAN = unknown; seconds from each one's own start
 *   guess_s   the lag by their clocks; it is searched LIMIT_METER_LAG_S around it */
struct meter_check meter_check(struct arena *arena, const double a[], size_t n_a, const double b[],
                               size_t n_b, int32_t guess_s, const struct limits *limits);

#endif
