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
#include "physiology/reps.h"

/* The 3-minute all-out test: critical power and W' at once (Vanhatalo et al. 2007). */
struct power_all_out {
    bool is_found;
    int64_t ride;
    int64_t day;
    struct ranged cp_w;
    double w_prime_j;
};

/* What was found in rides that were marked as tests. */
struct power_tests {
    struct duration_effort *efforts; /* [n], of their own lengths; is_maximal false: held back */
    size_t n;
    size_t most;                  /* room */
    struct power_all_out all_out; /* the latest valid one */
};

struct rider_power {
    struct power_duration curve;
    struct duration_effort *efforts; /* [n_efforts] those chosen, short to long */
    size_t n_efforts;
    size_t n_other_meter; /* all-out efforts of the window left out: ridden with another meter */
    int64_t meter;        /* of the efforts; 0 = not known */
    size_t n_held_back;   /* efforts of marked tests that nothing shows to have been all-out */
    size_t n_spent;       /* efforts that nothing but W' says were all-out */
    bool is_all_out;      /* curve is that of the all-out test, the efforts told nothing: its forms
                             are empty */
};

/* With what was found in marked tests.  An effort that nothing else speaks for counts if less than
 * LIMIT_W_SPENT_RATIO of W' was left at its end, by critical power and W' of other efforts alone.
 */
void rider_power_read_with(struct arena *arena, const struct rider_history *history,
                           const struct power_tests *tests, const struct limits *limits,
                           struct rider_power *out);

/* From bests alone.  Pure. */
void rider_power_read(struct arena *arena, const struct rider_history *history,
                      const struct limits *limits, struct rider_power *out);

#endif
