/* honesty/trend_trial.h: weeks of one simulated rider, and what is said of heart rate at base-test
 * power (coaching/base_trend) and of power that steps (physiology/meter_shift).
 *
 *     beats  |. .                   the rider's heart goes by so many beats over the weeks, beside
 *     against|  . .  .              days that stray by 4.5 (honesty/outings)
 *     usual  |     .   . .
 *     watts  |. . . . .
 *     shown  |          . . . .     from the middle on the meter shows so many times the truth
 *
 * Rides go through the fit of the response, as in a roster.  One rider's rides serve every cell: a
 * ride is ridden once a meter, and what the heart goes by is added to its sums. */
#ifndef HONESTY_TREND_TRIAL_H
#define HONESTY_TREND_TRIAL_H

#include "coaching/base_trend.h"

enum { TREND_WEEKS_MOST = 12, TREND_CELLS = 17 };

/* What was done in the middle of the weeks, as the recordings tell.  Zero offsets stray by 10
 * counts from ride to ride. */
enum trend_done {
    TREND_NOTHING,
    TREND_ANOTHER_METER,
    TREND_ZERO_OFFSET, /* 300 counts more */
    TREND_DONE
};
const char *trend_done_name(enum trend_done done);

struct trend_cell {
    double bpm; /* by which heart rate goes over the weeks */
    enum trend_done done;
    double step; /* from the middle on the meter shows so many times what it did; 1 = none */
};
/* Those without a step, by their change, and then those with something done to the meter. */
const struct trend_cell *trend_cell(int cell);

struct trend_case {
    uint64_t seed;
    int weeks;
    bool second; /* simulator */
};

struct trend_outcome {
    bool is_read; /* a response could be fitted */
    enum verdict verdict;
    const char *why_not; /* first reason, where it can't be told; NULL = none */
    bool is_known;       /* there is a line, */
    bool is_held;        /* whose likely range holds the truth */
    enum shift_state shift;
    bool is_tried;     /* there was a change with enough rides on both sides, */
    bool is_step_held; /* whose likely range holds the step */
};

struct trend_outcomes {
    struct trend_outcome of[TREND_CELLS];
};

struct trend_outcomes trend_trial(const struct trend_case *c, const struct limits *limits);

#endif
