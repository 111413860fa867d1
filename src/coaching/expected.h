/* coaching/expected.h: what a planned session will bring: heart rate, work above critical power,
 * minutes by zone.
 *
 *   power   ____|‾‾‾‾‾‾|____
 *   heart            ,---            below the line for the first minute and a half: it reads low,
 *           _____.-'`     `-._       and chasing it would start every effort too hard
 *
 * From the power that is planned for each second, and the rider's own response and critical power;
 * each part is told only where its numbers are known.  A band is where 9 usual days in 10 lie. */
#ifndef COACHING_EXPECTED_H
#define COACHING_EXPECTED_H

#include "base/arena.h"
#include "limits/limits.h"
#include "physiology/heart_response.h"
#include "physiology/w_balance.h"
#include "physiology/zones.h"

/* The rider's numbers; what isn't known is NULL or NAN. */
struct expected_rider {
    const struct heart_response *response; /* NULL, or not RESPONSE_FITTED = no heart rate */
    struct w_rider w;                      /* cp_w NAN = no W' */
    double threshold_w;
    double max_heart_bpm; /* NAN = heart rate isn't bent below it */
    const struct zones *zones;
};

/* Means over one minute; the last may be shorter. */
struct expected_minute {
    double power_w;
    double heart_bpm; /* NAN = no response */
    double heart_low_bpm;
    double heart_high_bpm;
};

/* One effort of the plan: a span of one power, harder than what went before. */
struct expected_rep {
    struct span span;
    double power_w;
    double heart_end_bpm;    /* at its end; NAN = no response, as the rest */
    double heart_settle_bpm; /* what this power would settle at, with the work done so far */
    double
        reads_low_s; /* from its start until heart rate is within LIMIT_EXPECT_NEAR_BPM of that;
                        its own length if it never is; NAN too where heart rate at its start is */
    double cost_j;   /* work above critical power; NAN = not known, as the rest */
    double left_j;   /* W' at its end: middle and range */
    double left_low_j;
    double left_high_j;
};

struct expected {
    size_t n;              /* seconds */
    const double *power_w; /* [n] as planned */
    double *heart_bpm;     /* [n]; NULL without a response, as the two below */
    double *heart_low_bpm;
    double *heart_high_bpm;
    /* is_known false without CP, or with too many seconds without watts between those with;
     * least_j is the predicted minimum.  What lies before the first watts leaves W' full; after the
     * last ones it is NAN. */
    struct w_balance balance;
    struct expected_minute *minutes; /* [n_minutes] */
    size_t n_minutes;
    struct expected_rep *reps; /* [n_reps] as given */
    size_t n_reps;
    double zone_s[ZONES_MOST]; /* seconds; NAN without threshold or zones */
    double work_kj;
};

/* Pure.
 *   power_w  [n] planned for each second: 0 = coasting, NAN = no watts are asked: there, and for
 *            LIMIT_RESPONSE_SETTLE_S after, heart rate is NAN; W' neither spent nor filled; n >= 1
 *   reps     [n_reps] spans of its efforts, in order, within [0, n); those beyond are cut */
struct expected expected_read(struct arena *arena, const struct expected_rider *rider,
                              const double power_w[], size_t n, const struct span reps[],
                              size_t n_reps, const struct limits *limits);

/* One more span of the same plan, within [0, n) and not empty. */
struct expected_rep expected_rep_read(const struct expected *expected,
                                      const struct expected_rider *rider, struct span span,
                                      const struct limits *limits);

/* Between second from_s and the one before it something is ridden whose length isn't known: heart
 * rate is NAN for LIMIT_RESPONSE_SETTLE_S from there, in its minutes and efforts too. */
void expected_forget_heart(struct expected *expected, const struct expected_rider *rider,
                           int32_t from_s, const struct limits *limits);

#endif
