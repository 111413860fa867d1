/* coaching/base_trend.h: does heart rate at base-test power fall from week to week?
 *
 *   heart rate at    | o  T o
 *   one power        |  o o    o T o        T  a base test: one ride among others here
 *                    |      o o   o   o
 *                    +------------------ weeks
 *
 * The power is LIMIT_BASE_AIM_PCT of ONE threshold, the one of the rider's response, whatever was
 * tested since.  Every trusted ride has its day: what heart rate lay at against the response
 * (physiology/heart_response), by a fit without that ride.  Five tests can't show six beats; thirty
 * rides can.
 *
 *     falling      both lines below say so: Theil and Sen's, and least squares with errors that
 *     rising       remember, with temperature beside the days where enough rides have one
 *     flat         both likely ranges lie within LIMIT_BASE_TREND_FLAT_BPM over all the weeks
 *     cannot tell  too few rides or weeks, too much scatter, a meter that may read otherwise since;
 *                  or a step on one day says it better than a line does; or it falls, and the rider
 *                  may be tired rather than fitter: bests lower, effort higher, ill or in a jump of
 *                  hours
 *
 * How much the errors remember isn't believed of one fit but mixed over (maths/gls_mixture): the
 * range is as wide as not knowing it makes it.
 *
 * A step at the meter that is too small to be claimed is fitted beside the line, and widens its
 * range; a line that shows only with that step beside it isn't told.  Whatever is on file, a step
 * on any day is held against the line (AR(1) errors, by likelihood): where the best one is ten
 * times as likely, after sharing its weight with all days that were tried, no trend is told.  Then
 * something changed at once, and a meter that reads otherwise is the first thing to ask for.
 *
 * Falling is evidence of a growing base only where bests were tested and hold, and effort hasn't
 * risen (base_trend_counts). */
#ifndef COACHING_BASE_TREND_H
#define COACHING_BASE_TREND_H

#include "coaching/rider_history.h"
#include "physiology/meter_shift.h"

/* A ride on it: for figures. */
struct base_trend_point {
    int64_t ride;
    int64_t day;
    double heart_bpm; /* at that power */
    bool is_test;
};

struct base_trend {
    struct reading reading;          /* estimate: beats in 4 weeks, with its likely range */
    struct base_trend_point *points; /* [n] by day */
    size_t n;
    double power_w;   /* NAN = no response */
    double start_bpm; /* of the line, at the first and the last ride */
    double end_bpm;
    struct meter_shift shift; /* at the newest change of meter */
};

/* What else is known of the weeks. */
struct base_trend_beside {
    const struct reading *progress; /* the joint one */
    const struct reading *load;     /* of the last whole week */
};

/* Pure. */
void base_trend_read(struct arena *arena, const struct rider_history *history,
                     const struct base_trend_beside *beside, const struct limits *limits,
                     struct base_trend *out);

/* Whether it is evidence of a growing base. */
bool base_trend_counts(const struct base_trend *trend);

#endif
