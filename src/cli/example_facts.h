/* cli/example_facts.h: what the coach of the example knows of the riders, as facts of the roster.
 *
 * Thresholds are 95 % of the 20 minutes that were ridden in the data, as the meter of the day
 * showed them; nothing is taken from the simulator that a coach could not have seen. */
#ifndef CLI_EXAMPLE_FACTS_H
#define CLI_EXAMPLE_FACTS_H

#include "roster/roster.h"
#include "simulated/season.h"

/* A test that was ridden. */
struct example_test {
    const char *day;
    double power_w; /* of its 20 minutes; NAN = efforts of several lengths, no threshold */
    double heart_max_bpm;
};

/* Adds the rider of that story with all facts; tests [n] in order of time, rides [n_rides]. */
MUST_USE bool example_facts_add(struct roster *roster, struct arena *arena, struct roster_now now,
                                size_t story, const struct example_test tests[], size_t n,
                                const struct season_ride rides[], size_t n_rides,
                                struct error *err);

#endif
