/* honesty/state_trial.h: one simulated rider whose usual rise of heart rate is known, two to four
 * base tests, and what is said of the base.
 *
 * Every test's true rise strays from the usual one by 3 beats (one sd): assumed, as the limits
 * assume it.  Tests are indoors, 8 to 25 days apart, the last some days ago. */
#ifndef HONESTY_STATE_TRIAL_H
#define HONESTY_STATE_TRIAL_H

#include "coaching/reading.h"

#include <stdint.h>

struct state_case {
    uint64_t seed;
    double usual_bpm; /* true rise, minute 6 to 60, on a usual day */
    bool second;      /* rides of the second simulator */
};

struct state_outcome {
    enum verdict verdict;
    int tests;
    int judged;
    int passed;
    int pairs;  /* a judged test after a passed one */
    int agreed; /* and passed too */
};

struct state_outcome state_trial(const struct state_case *c, const struct limits *limits);

#endif
