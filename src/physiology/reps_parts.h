/* physiology/reps_parts.h: what the parts of reps share.  Not for other rooms.
 *
 *   reps_find.c     power -> segments -> runs of work
 *   reps_rows.c     rows of short efforts
 *   reps_laid.c     efforts where a session was laid along the ride
 *   reps_edges.c    the likeliest second of each edge
 *   reps_clear.c    which efforts are clear work, and which may only be the road
 *   reps_groups.c   blocks, what may be the asked work, sets
 *   reps_measure.c  what was ridden in them */
#ifndef PHYSIOLOGY_REPS_PARTS_H
#define PHYSIOLOGY_REPS_PARTS_H

#include "physiology/reps.h"

/* The ride as the parts see it. */
struct reps_ride {
    const struct recording *recording;
    const struct rider_facts *facts;
    const struct limits *limits;
    size_t n;
    const double *power_w;   /* [n] NAN where masked, paused, missing */
    const double *effort_w;  /* [n] for finding: 0 while paused or unknown for long, else power_w */
    const double *heart_bpm; /* [n] or NULL */
    const double *cadence_rpm; /* [n] or NULL */
    double scale_w;            /* threshold, or what stands in for it */
    bool has_threshold;
    double asked_low_w; /* NAN, NAN = nothing asked */
    double asked_high_w;
    double line_w; /* parts work from rest */
};

/* Whether an effort stands where a session was laid along the ride. */
enum laid { NOT_LAID, LAID, LAID_AS_ASKED };

/* A run of work. */
struct effort {
    int32_t from_s;
    int32_t to_s;
    bool from_sure; /* the edge is known to within 3 s */
    bool to_sure;
    bool micro; /* of a row of short efforts */
    enum laid laid;
    int block;       /* 0 = none, else 1-based: efforts of one block share it */
    double mean_w;   /* of the known seconds */
    double before_w; /* of the rest before and after, up to LIMIT_REPS_REST_S; NAN = none */
    double after_w;
};

struct efforts {
    struct effort *items;
    size_t count;
    size_t capacity;
};

/* A piece of the ride at one level. */
struct level {
    int32_t from_s;
    int32_t to_s;
    double mean_w; /* of the known seconds; NAN = none known */
};

struct levels {
    struct level *items;
    size_t count;
};

/* Mean of the known values of x in [from, to); NAN if none.  *known counts them (may be NULL). */
double reps_mean(const double x[], int32_t from_s, int32_t to_s, size_t *known);

/* The median; sorts values. */
double reps_middle(double values[], size_t n);

/* One more effort, at the end. */
void reps_add_effort(struct arena *arena, struct efforts *efforts, int32_t from_s, int32_t to_s);

/* Replaces the coarse efforts by rows of short ones where the runs of a finer cut are regular and
 * stand out from rests below rest_line_w; returns the efforts in time order. */
struct efforts reps_rescue_rows(struct arena *arena, const struct reps_ride *ride,
                                const struct efforts *runs, double rest_line_w,
                                struct efforts coarse);

/* The laid efforts, and of those found what lies beside them, in time order. */
struct efforts reps_take_laid(struct arena *arena, const struct reps_ride *ride,
                              const struct efforts *found);

/* Finds runs of work; fills ride->line_w; levels gets the segments. */
struct efforts reps_find_efforts(struct arena *arena, struct reps_ride *ride,
                                 struct levels *levels);

/* Moves each edge to its likeliest second. */
void reps_place_edges(struct arena *arena, const struct reps_ride *ride,
                      const struct levels *levels, struct efforts *efforts);

/* Fills mean_w, before_w, after_w, and drops what is too short or doesn't stand out; a laid effort
 * stays. */
void reps_drop_weak(const struct reps_ride *ride, struct efforts *efforts);

/* Whether lap marks that a hand or a workout set lie at both edges. */
bool reps_has_laps(const struct reps_ride *ride, int32_t from_s, int32_t to_s);

/* Fills `clear` of each rep. */
void reps_mark_clear(struct arena *arena, const struct reps_ride *ride, struct reps *reps);

/* Efforts to reps: blocks, clear work, sets. */
struct reps reps_group(struct arena *arena, const struct reps_ride *ride, struct efforts *efforts);

/* Fills all that is measured. */
void reps_measure(struct arena *arena, const struct reps_ride *ride, struct reps *reps);

#endif
