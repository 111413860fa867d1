/* coaching/drift_repeat.h: how far two base tests of one rider lie apart for no reason of training.
 *
 *   rise  |  o                one line a stretch of tests, each at most LIMIT_REPEAT_DAYS after the
 *         |    `-o   o        one before and all within LIMIT_STATE_OLD_DAYS; all lines are
 *         |  x       x`-o     parallel (what weeks of training do to everybody); what is left is
 *         |    x-.__          how a test repeats
 *         +-------------- days
 *
 * By the mixed model (maths/mixed_model): a random intercept a stretch, a common slope a week,
 * REML; the slope with Satterthwaite's t-interval, the scatter with the chi-square interval of what
 * is left within stretches.
 * Nobody has published this scatter.  Until the roster holds LIMIT_REPEAT_PAIRS repeat pairs a
 * value is assumed, and said to be.
 *
 * What it is worth: with a usual rise just on the line and tests whose likely range reaches `half`
 * either way, a test passes when it comes out `half` below:  share = Phi(-half / scatter). */
#ifndef COACHING_DRIFT_REPEAT_H
#define COACHING_DRIFT_REPEAT_H

#include "coaching/rider_history.h"

/* A base test that was judged and that nothing spoiled. */
struct repeat_test {
    int64_t rider;
    int64_t day;
    double drift_bpm;
    double low_bpm; /* likely range */
    double high_bpm;
};

struct drift_repeat {
    bool is_own; /* from the roster's tests; false = assumed, and sd, low, high, trend are so */
    size_t n_tests;
    size_t n_pairs; /* tests that follow one another in a stretch */
    size_t n_riders;
    double sd_bpm;  /* from test to test, what the test itself is unsure of included */
    double low_bpm; /* 90 % interval; NAN when assumed, as those below */
    double high_bpm;
    double trend_bpm; /* a week, of all riders */
    double trend_low_bpm;
    double trend_high_bpm;
    double half_bpm; /* half a test's likely range: the roster's median, or assumed */
    double pass_pct; /* of tests that pass with a usual rise just on the line */
    double twice_pct;
};

/* With no roster at hand. */
struct drift_repeat drift_repeat_assumed(const struct limits *limits);

/* tests  [n] by rider, then by day */
struct drift_repeat drift_repeat_of(struct arena *arena, const struct repeat_test tests[], size_t n,
                                    const struct limits *limits);

/* The judged tests of a history from LIMIT_REPEAT_SINCE_DAYS before today on are written to out
 * [history->n_rides]; how many. */
size_t drift_repeat_tests(int64_t rider, const struct rider_history *history,
                          const struct limits *limits, struct repeat_test out[]);

/* How a test repeats, beside the verdict of one base test: a cause "test-repeats" and its sentence
 * in the reading's text, or, where too few pairs are known, "repeat-unknown" with how many are
 * needed.  A reading that isn't a judged base test is left as it is. */
void drift_repeat_beside(struct arena *arena, const struct drift_repeat *repeat,
                         const struct limits *limits, struct reading *reading);

#endif
