/* cli/example_asked.h: what the coach of the example asked of the rides.
 *
 * From June on, so that both stand beside each other: rides read as what they look like, and rides
 * read against what they were meant to be. */
#ifndef CLI_EXAMPLE_ASKED_H
#define CLI_EXAMPLE_ASKED_H

#include "roster/roster.h"
#include "simulated/season.h"

/* A ride, and the efforts that were meant in it. */
struct example_asked {
    const struct season_ride *ride;
    size_t n_reps;
    double rep_s; /* NAN when they differ */
};

/* Says it of the story's rides, which are in the roster. */
MUST_USE bool example_asked_add(struct roster *roster, struct arena *arena, struct roster_now now,
                                size_t story, const struct example_asked meant[], size_t n,
                                struct error *err);

#endif
