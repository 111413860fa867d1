/* physiology/meter_shift.h: does power step at a change of meter, by the heart's word?
 *
 *   power above what      |            o  o o       at the change of meter (or of its zero offset)
 *   the heart says, %     |             o    o      power steps up, and the heart doesn't
 *                         |  o o  o o |
 *                         +-----------+--------- days
 *
 * A ride's power is held against its heart rate: beats against usual, over the rider's gain and the
 * ride's mean power.  Fitted are a level, the rider's own trend (held to what hearts change by in
 * weeks) and a step.  Days scatter by 8 % of power (F-30), so a step of less than LIMIT_SHIFT_PCT
 * is never claimed, and nothing is said with fewer than LIMIT_SHIFT_RIDES_FEW rides on a side.
 * It is a reason to ask for a meter check, never a correction.
 *
 * A step is looked for only where something was done to the meter:
 *     another meter   the rides of the one before against those of the other
 *     zero offset     of one meter, and lasting: each of the last LIMIT_SHIFT_RIDES_FEW offsets
 *                     before lies more than LIMIT_SHIFT_OFFSET_COUNTS from each of the first as
 *                     many after, all to one side.  Offsets that wander from day to day, and one
 *                     odd one, are no change.  Sides end at the next change of either kind; at a
 *                     change of meter, of meter alone. */
#ifndef PHYSIOLOGY_METER_SHIFT_H
#define PHYSIOLOGY_METER_SHIFT_H

#include "limits/limits.h"

#include <stddef.h>
#include <stdint.h>

struct shift_ride {
    int64_t day;
    int64_t meter; /* 0 = not known */
    double above_pct;
    double sd_pct;        /* of it, from day to day */
    double offset_counts; /* zero offset in force on the meter, as it writes it; NAN = not known */
};

/* How far a ride's power lay above what its heart rate says.
 *   day_bpm   heart rate against usual */
double meter_shift_above_pct(double day_bpm, double gain_bpm_per_w, double mean_w);

enum shift_state {
    SHIFT_NONE, /* no change, too few rides, or no step that could be claimed */
    SHIFT_MAY,  /* few rides: "may read high" */
    SHIFT_FOUND,
};

struct meter_shift {
    enum shift_state state;
    int64_t day; /* of the first ride after the change; numbers are NAN where none was tried */
    int64_t before;
    int64_t after;        /* meters; the same one where its zero offset changed */
    double offset_before; /* the last before and the first after; NAN at a change of meter */
    double offset_after;
    size_t n_before;
    size_t n_after;
    double pct; /* what is shown after it over what was shown before, less 1 */
    double se_pct;
    double low_pct; /* 90 % interval */
    double high_pct;
};

/* The newest change with a step that can be claimed; without one, the newest that has enough rides
 * on both sides.  rides [n] by day.  Pure. */
struct meter_shift meter_shift_find(const struct shift_ride rides[], size_t n,
                                    const struct limits *limits);

#endif
