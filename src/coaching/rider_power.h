/* coaching/rider_power.h: a rider's critical power, from the bests on file.
 *
 * Of the last weeks' efforts with evidence of being all-out, on the meter that was ridden last,
 * those are taken that share no second; physiology/power_duration does the rest.  What can't be
 * told is a reason with what would tell, and a test that would is maximal: the cautions go first.
 */
#ifndef COACHING_RIDER_POWER_H
#define COACHING_RIDER_POWER_H

#include "coaching/rider_history.h"
#include "physiology/power_duration.h"

struct rider_power {
    struct power_duration curve;
    struct duration_effort *efforts; /* [n_efforts] those chosen, short to long */
    size_t n_efforts;
    size_t n_other_meter; /* all-out efforts of the window left out: ridden with another meter */
    int64_t meter;        /* of the efforts; 0 = not known */
};

/* Pure. */
void rider_power_read(struct arena *arena, const struct rider_history *history,
                      const struct limits *limits, struct rider_power *out);

#endif
