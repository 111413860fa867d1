/* coaching/load_weeks.h: how much was ridden, week by week, and was it a jump?
 *
 *     week      Mon ............ Sun | Mon ............ Sun | Mon ... today
 *               left out: ill        | counts as usual      | judged, so far
 *
 * Weeks are those of ISO 8601.  Amounts stay apart: no score is made of them.  What some rides of a
 * week don't tell makes that week's amount "at least"; monotony and strain need all of them.
 * A jump is that of physiology/load, against the last usual weeks: of the LIMIT_LOAD_WEEKS_BACK
 * before it those that lie wholly after the first ride on file, with fewer than
 * LIMIT_LOAD_OFF_DAYS ill, injured, away or in a break. */
#ifndef COACHING_LOAD_WEEKS_H
#define COACHING_LOAD_WEEKS_H

#include "base/dates.h"
#include "coaching/rider_history.h"

/* An amount of some rides. */
struct week_amount {
    double sum;   /* of those that tell it; NAN = none does */
    size_t known; /* how many do; fewer than the week's rides = "at least" */
};

struct week_load {
    int64_t monday;
    struct iso_week iso;
    size_t n_rides; /* of any sport */
    double hours;
    struct week_amount work_kj;
    struct week_amount zone_s[ZONES_MOST]; /* of the zones in force at each ride */
    struct week_amount heart_zone_s[HEART_ZONES];
    struct week_amount impulse_low;
    struct week_amount impulse_high;
    struct week_amount session_rpe;
    struct load_week by_effort; /* of session-RPE; NAN while the week runs, or a ride lacks it */
    size_t n_hard_days;
    size_t off_days; /* ill, injured, away, in a break */
    bool is_over;
    bool is_usual;         /* may count as usual for later weeks */
    struct load_jump jump; /* usual_hours NAN = nothing is said */
};

struct load_weeks {
    struct week_load *weeks; /* [n] the oldest first, the last holds today */
    size_t n;
    struct reading now;  /* of the week that holds today, as far as it went */
    struct reading last; /* of the whole week before it */
};

/*   n   weeks wanted, at least 2; those before the first ride on file are empty */
void load_weeks_read(struct arena *arena, const struct rider_history *history, size_t n,
                     const struct limits *limits, struct load_weeks *out);

/* Any seven days, [end - 7, end), against the usual of the windows of seven days before them; which
 * of those are usual is as above. */
struct load_jump load_seven_days(const struct rider_history *history, int64_t end,
                                 const struct limits *limits);

#endif
