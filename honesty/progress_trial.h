/* honesty/progress_trial.h: one simulated rider of known change over twice six weeks, and what was
 * said of it.
 *
 *     power |            x   .--x--    truth: in a step between the windows, or in a straight line
 *           |   x   _.--'    x         x      all-out efforts: the truth, less what the day, the
 *           |--'  x     |              x      meter and the pacing take from it or give
 *           +-----------+-----------  days
 *
 * The change is that of what the rider could do, from the middle of one window to that of the
 * other; every effort strays from it
 *
 *     %, one sd                          chance effort   marked test
 *     the day                                   2             1.2
 *     the week: form, heat, sleep               1             0.6
 *     pacing                                    1             0.7
 *     the meter on the day                      1             1
 *     short of all that was there, mean         1.2           0.5    one-sided
 *     together                                  2.9           1.9
 *
 * so that both come to the published typical errors that limits change_error_* name; each rider has
 * them larger or smaller by a factor of their own (sd 20 %), beginners by 1.3 more.  One chance
 * effort in sixteen that looked all-out was held back by 3 to 10 %.  The parts are assumed, only
 * their sums are published. */
#ifndef HONESTY_PROGRESS_TRIAL_H
#define HONESTY_PROGRESS_TRIAL_H

#include "coaching/rider_progress.h"
#include "simulated/rider.h"

#include <stdint.h>

enum progress_mix {
    PROGRESS_SAME,     /* 20 min each time */
    PROGRESS_TOGETHER, /* 5, 10 and 20 min on each of the days */
    PROGRESS_MIXED,    /* one of the three by chance each time */
    PROGRESS_MIXES,
};

struct progress_case {
    uint64_t seed;
    double change_pct;
    int n_before; /* days with an all-out effort */
    int n_recent;
    enum progress_mix mix;
    bool tests;       /* the coach marked them: tests or races */
    bool first_year;  /* of riding with power */
    bool first_test;  /* of tests: the very first was ridden 1 % below, for want of practice */
    bool gradual;     /* the change comes in a straight line, else from one window to the next */
    bool whole_rides; /* efforts recognised in whole recordings, among hard sessions */
    bool second;      /* scatter as progress_second.c has it: of the same size, otherwise made */
};

struct progress_outcome {
    enum verdict joint;
    enum verdict stalled;
    double estimate_pct; /* NAN = none */
    double low_pct;
    double high_pct;
    int ridden; /* all-out efforts, on a day up to three, and those that had evidence */
    int seen;
};

struct progress_outcome progress_trial(const struct progress_case *c, const struct limits *limits);

/* ---- for progress_rides.c ---- */

enum { PROGRESS_TODAY = 20500, PROGRESS_MOST = 96 };

struct progress_effort {
    int64_t day;
    int32_t duration_s;
    double ratio; /* ridden, of what the rider could do at the first day */
};

/* What a rider rode: the efforts of the case by day. */
size_t progress_efforts(const struct progress_case *c, struct progress_effort out[PROGRESS_MOST]);

/* The same with errors of another make. */
size_t progress_second_efforts(const struct progress_case *c,
                               struct progress_effort out[PROGRESS_MOST]);

/* First day of the window of six weeks: 0 = the one before, 1 = the last. */
int64_t progress_window(int window);

/* What the rider could do that day, of what it was at the middle of the earlier window. */
double progress_truth(const struct progress_case *c, int64_t day);

/* All-out power of the rider (critical power and what is above it; Monod and Scherrer 1965). */
double progress_power(const struct simulated_rider *rider, int32_t duration_s);

/* Rides as a roster has them, from whole recordings: those of the efforts, and hard sessions and
 * steady work as the rider's weeks have them.  Fills how many efforts were ridden and seen. */
void progress_rides(struct arena *arena, const struct progress_case *c, const struct limits *limits,
                    struct past_ride rides[PROGRESS_MOST], size_t *n_rides,
                    struct progress_outcome *out);

#endif
