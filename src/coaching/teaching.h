/* coaching/teaching.h: one session ridden twice by a simulated rider with this rider's numbers: to
 * power, and to heart rate.
 *
 *   to power         |‾‾‾‾|    |‾‾‾‾|      even; heart rate comes up late, and is let come
 *   to heart rate    |\___     |\___       too hard while the heart hasn't come up yet, then, as
 *                                          it does, let down below what was asked
 *
 * The simulated rider is the response's own equation (physiology/heart_response) without day or
 * noise, cut off at maximal heart rate: what this rider's heart does on a usual day.  The
 * one who rides to heart rate begins each effort at the watts that are right, so nothing is made
 * worse than it is, looks every few seconds and adds LIMIT_TEACH_CHASE_PCT a second of
 * the watts that the missing beats are worth, at most up to LIMIT_TEACH_MOST_PCT of threshold, and
 * never above critical power once W' is gone.  It is a picture of the mechanism, not a forecast. */
#ifndef COACHING_TEACHING_H
#define COACHING_TEACHING_H

#include "coaching/expected.h"
#include "physiology/power_duration.h"

struct teaching_session {
    int reps;
    double rep_s;
    double rest_s;
    double warm_s;
    double target_w;  /* of the efforts */
    double easy_w;    /* before and between them */
    double heart_bpm; /* what the rider to heart rate rides for */
};

enum teaching_end {
    TEACHING_TOLD,
    TEACHING_NO_RESPONSE, /* and why: the response's own end */
    TEACHING_NO_POWER,    /* no critical power: the curve's own end */
    TEACHING_NO_THRESHOLD,
    TEACHING_NO_MAX_HEART,
    TEACHING_OUT_OF_REACH, /* the heart rate asked can't be reached, or is passed when riding easy
                            */
    TEACHING_TOO_HARD,     /* ridden to power, W' would be gone before the end: gone_in_rep */
    TEACHING_BAD_SESSION,  /* numbers that make no session: nothing above what is easy, no time */
};
const char *teaching_end_name(enum teaching_end end); /* "told", "no-response", ... */

enum teaching_way { TEACH_POWER, TEACH_HEART, TEACH_WAYS };
const char *teaching_way_name(enum teaching_way way); /* "power", "heart rate" */

struct teaching_rep {
    struct span span;
    double mean_w;
    double first_third_w;
    double last_third_w;
    double heart_end_bpm;
    double heart_peak_bpm;
    double at_90_s; /* seconds at or above 90 % of maximal heart rate (LIMIT_REPS_NEAR_MAX_RATIO) */
    double left_j;  /* W' at its end, by the differential form */
};

struct teaching_ride {
    size_t n; /* seconds; the same for both ways */
    double *power_w;
    double *heart_bpm;
    double *left_j;
    struct teaching_rep *reps; /* [session.reps] */
    double at_90_s;            /* of the whole session */
    double least_j;            /* W' least */
    double mean_w;             /* of all efforts */
};

struct teaching {
    enum teaching_end end; /* rides are empty unless TEACHING_TOLD */
    struct teaching_session session;
    double threshold_w;
    double max_heart_bpm;
    double cp_w;
    double w_prime_j;
    int gone_in_rep; /* TEACHING_TOO_HARD: 1-based */
    struct teaching_ride rides[TEACH_WAYS];
};

/* LIMIT_TEACH_* and the middle of VO2max for this threshold and maximal heart rate (NAN: NAN). */
struct teaching_session teaching_session_default(double threshold_w, double max_heart_bpm,
                                                 const struct limits *limits);

/* Pure. */
struct teaching teaching_make(struct arena *arena, const struct expected_rider *rider,
                              const struct teaching_session *session, const struct limits *limits);

#endif
