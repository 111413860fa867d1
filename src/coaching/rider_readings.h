/* coaching/rider_readings.h: every reading about a rider over weeks, made in one go. */
#ifndef COACHING_RIDER_READINGS_H
#define COACHING_RIDER_READINGS_H

#include "coaching/base_trend.h"
#include "coaching/comeback.h"
#include "coaching/load_weeks.h"
#include "coaching/rider_history.h"
#include "coaching/rider_progress.h"

struct rider_readings {
    struct reading how;
    struct comeback comeback;
    struct reading base_state;
    struct base_trend base_trend;
    struct reading easy_weeks;
    struct load_weeks load;
    struct rider_progress progress; /* the last weeks against those before */
};

/* The only path from a rider's history to readings.  Pure.
 *   n_weeks   of load, at least 2 */
void rider_readings_make(struct arena *arena, const struct rider_history *history, size_t n_weeks,
                         const struct limits *limits, struct rider_readings *out);

#endif
