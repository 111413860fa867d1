/* honesty/second/sessions.h: what riders of the second simulator set out to do, and the verdict
 * that it deserves. */
#ifndef HONESTY_SECOND_SESSIONS_H
#define HONESTY_SECOND_SESSIONS_H

#include "coaching/reading.h"
#include "honesty/second/ride.h"

enum second_session {
    SECOND_VO2MAX,          /* 4-6 x 3-4 min, each even at 109-117 % */
    SECOND_VO2MAX_TOO_HARD, /* each from 150-165 % in a decay to 86-94 % */
    SECOND_VO2MAX_FADED,    /* the first done, the others from 112-117 % straight to 86-95 % */
    SECOND_SHORT,           /* 2-3 blocks of 8-12 x 30 s at 110-118 %, 30 s between */
    SECOND_OVER_UNDERS,     /* 3 x 9-12 min: 2 min at 92-95 %, 1 min at 104-108 % */
    SECOND_THRESHOLD,       /* 2-3 x 15-20 min at 95-101 % */
    SECOND_SWEET_SPOT,      /* 3-4 x 10-15 min at 89.5-92.5 % */
    SECOND_ANAEROBIC,       /* 6-8 x 1 min at 128-143 % */
    SECOND_SPRINTS,         /* 6-8 x 10 s at 250-350 % */
    SECOND_EFFORTS,         /* how many of these there are */
    SECOND_BASE_HOUR = SECOND_EFFORTS, /* 60-65 min at 67-73 % */
    SECOND_EASY_RIDE,                  /* 1-2.5 h of pieces at 52-74 %, some at 76-96 % */
    SECOND_SESSIONS
};

struct second_session_row {
    const char *name;
    enum work_kind asked;
    enum verdict deserved; /* by the ride and, but for the first of a faded set, each effort */
};
const struct second_session_row *second_session_row(enum second_session session);

/* Blocks in the arena. */
struct second_plan second_plan_make(struct arena *arena, const struct second_rider *rider,
                                    enum second_session session, enum second_place place,
                                    uint64_t seed);

/* A base hour whose true rise from minute 6 to 60 at constant power is drift_bpm: sets the
 * rider's heat.  ease: power at its end, of what it was. */
struct second_plan second_base_make(struct arena *arena, struct second_rider *rider,
                                    enum second_place place, double drift_bpm, double ease,
                                    uint64_t seed);

#endif
