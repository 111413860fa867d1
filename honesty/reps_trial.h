/* honesty/reps_trial.h: one simulated ride with efforts whose edges are known, and what was found
 * of them.
 *
 * A set counts as found when every one of its efforts is, with both edges within 3 s of the truth
 * and none too many.  Durations are round and equal within a set, as sessions are written; "loose"
 * takes that away: every effort lasts up to 10 % more or less. */
#ifndef HONESTY_REPS_TRIAL_H
#define HONESTY_REPS_TRIAL_H

#include "coaching/reading.h"
#include "simulated/plans.h"

#include <stdint.h>

/* Where and with what the ride was recorded. */
enum reps_place {
    REPS_AS_DRAWN_INDOORS,  /* whatever the plan draws, as riders differ */
    REPS_AS_DRAWN_OUTDOORS, /* half of them on a road that was looked for */
    REPS_INDOORS_HELD,      /* the trainer holds the power: within 0.8 % */
    REPS_INDOORS_FREE,      /* power scatters by 5-8 % */
    REPS_FLAT,              /* no hills, no junctions */
    REPS_HILLY,             /* hills of some minutes, 4-10 % coasting */
    REPS_TOWN,              /* 4-10 junctions an hour outside the efforts */
    REPS_TOWN_AUTO_PAUSE,   /* the same, the timer pausing itself */
    REPS_FLAT_SMART,        /* flat, a row every 2-5 s */
    REPS_PLACE_COUNT
};
const char *reps_place_name(enum reps_place place); /* "indoors, trainer holds the power", ... */

bool reps_place_is_outdoors(enum reps_place place);

/* Sets road, scatter and device of the plan as the place has them. */
void reps_place_choose(struct simulated_plan *plan, enum reps_place place, uint64_t seed);

struct reps_case {
    uint64_t seed;
    enum simulated_session session;
    enum reps_place place;
    enum work_kind asked; /* KIND_UNKNOWN = nothing asked */
    bool loose;
};

enum { REPS_EACH = 12 };

struct reps_outcome {
    double hours;     /* of riding, pauses left out */
    int right_number; /* 1 = as many efforts as there were, each matched */
    int sets;
    int sets_found;
    int edges;
    int edges_found;
    int sure; /* edges of efforts whose edges are called sure, and those of them within 3 s */
    int sure_found;
    int extra;                    /* efforts that aren't there */
    enum verdict verdict;         /* of the ride; VERDICT_DESCRIBED when no effort was found */
    enum verdict each[REPS_EACH]; /* of each true effort that is a rep by itself */
    size_t n_each;
};

/* What the readings make of a recording whose efforts are known. */
struct reps_outcome reps_read(struct arena *arena, const struct recording *recording,
                              const struct rider_facts *facts, const struct span reps[],
                              size_t n_reps, const struct limits *limits);

struct reps_outcome reps_trial(const struct reps_case *c, const struct limits *limits);

#endif
