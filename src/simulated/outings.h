/* simulated/outings.h: what riders ride between their sessions: easy rides, long rides, tests,
 * runs.
 *
 * The sessions of simulated/plans.h are efforts for trials; these fill the weeks around them. Road,
 * weather and heart noise are drawn as for a session. */
#ifndef SIMULATED_OUTINGS_H
#define SIMULATED_OUTINGS_H

#include "simulated/plans.h"

enum simulated_outing {
    SIMULATED_OUTING_NONE,
    SIMULATED_OUTING_EASY,     /* 45-90 min at 52-66 % of threshold */
    SIMULATED_OUTING_TOO_HARD, /* the same, but half of it at 80-97 % */
    SIMULATED_OUTING_LONG,   /* the length that the rider has in her, 54-70 %, climbs at 74-88 % */
    SIMULATED_OUTING_BASE,   /* a base hour at 70 % */
    SIMULATED_OUTING_HARD,   /* efforts above threshold */
    SIMULATED_OUTING_STEADY, /* efforts near threshold: sweet spot, 2 x 20, over-unders */
    SIMULATED_OUTING_SPRINTS,
    SIMULATED_OUTING_TEST, /* 5 min hard, 8 min easy, then 20 min all-out: 1 / 0.95 of threshold */
    SIMULATED_OUTING_RUN,  /* 30-50 min on foot: another sport */
    SIMULATED_OUTING_EFFORTS, /* 4, 12 and 7 min all-out, half an hour between: what W' and the 20
                                 min of a test let her hold for so long */
};

/* How a rider goes about it: the shares of her rides that are ridden so. */
struct simulated_habits {
    double eases_off;   /* base hours in which watts are given away to hold heart rate */
    double too_hard;    /* easy rides ridden too hard */
    double starts_hard; /* hard efforts begun too hard */
    double fades;       /* and those that fade from one to the next */
    double holds_back;  /* of all-out efforts: the share of her power that she keeps */
    double long_h[2];   /* length of a long ride, shortest and longest */
};

/* The session that such an outing is, for what has efforts or is a base hour; for the others
 * SIMULATED_SESSION_COUNT. */
enum simulated_session simulated_outing_session(const struct simulated_habits *habits,
                                                enum simulated_outing outing, uint64_t seed);

/* drift_bpm: what her heart rate rises by in an hour at 70 %, today. */
struct simulated_plan simulated_outing_make(struct arena *arena,
                                            const struct simulated_rider *rider,
                                            const struct simulated_habits *habits,
                                            enum simulated_outing outing, bool outdoors,
                                            double drift_bpm, uint64_t seed);

#endif
