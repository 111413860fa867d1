/* honesty/day_trial.h: half a year of one simulated rider, each ride held against those before it
 * as heart rate against usual (coaching/heart_today), with known days off usual put in.
 *
 *     beats  |        x            x: a day that was put in, +5, +8 or +12: looked at, then
 *     against|  .  .    .  .            ridden as usual, so that it never joins the past
 *     usual  |.   .  .    .   .    .: ordinary days
 *
 * Ordinary days stray by 4.5 beats (one sd).  First simulator: normal, each by itself.  Second:
 * heavy-tailed, like the day before (0.4 of it), and the rise to threshold falls by 5 % over the
 * half year, as with training. */
#ifndef HONESTY_DAY_TRIAL_H
#define HONESTY_DAY_TRIAL_H

#include "physiology/heart_response.h"

#include <stdint.h>

/* What only the rider's past shows of a recording (physiology/doubt): heart-low, dry-strap,
 * late-heart. */
enum { DAY_DOUBTS = 3 };
const char *day_doubt_code(int doubt);

enum { DAY_WEEKS_MOST = 26, DAY_EFFECTS = 3 };

double day_effect_bpm(int effect); /* 5, 8, 12 */

struct day_case {
    uint64_t seed;
    int rides_a_week; /* 4 to 6 */
    int weeks;        /* 26 = the half year; 2 to 12: looked at from the second on */
    bool second;
    double step; /* from the middle on another meter shows so many times the watts; 1 = none */
};

struct day_outcome {
    int rides;  /* ordinary ones that were looked at */
    int higher; /* and called so: false alarms */
    int lower;
    int alone; /* of these, by the ride alone; the others with the one before it */
    int unknown;
    double hours;            /* of them */
    int doubted[DAY_DOUBTS]; /* findings in them: false */
    int put[DAY_DOUBTS];     /* faults put into one ride in four, and found */
    int found[DAY_DOUBTS];
    int tried[DAY_EFFECTS];
    int seen[DAY_EFFECTS];
    int pairs[DAY_EFFECTS]; /* with the ride before it as far off, and called higher */
    int pairs_seen[DAY_EFFECTS];
    int after; /* rides of the four weeks after the middle */
    int after_higher;
    int after_lower;
};

struct day_outcome day_trial(const struct day_case *c, const struct limits *limits);

#endif
