/* cli/example_asked.h: what the coach of the example said of the rides once they were there.
 *
 * From June on what they were meant to be, so that both stand beside each other: rides read as what
 * they look like, and rides read against what was asked.  Where sessions were given
 * (cli/example_sessions) those say it.  Efforts of several lengths are marked as the test that they
 * were. */
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

/* Says it of the story's rides, which are in the roster; meant [n]. */
MUST_USE bool example_asked_add(struct roster *roster, struct arena *arena, struct roster_now now,
                                size_t story, const struct example_asked meant[], size_t n,
                                struct error *err);

#endif
