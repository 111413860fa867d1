/* coaching/usual_effort.c: does the rider find work harder than usual? */
#include "coaching/usual_effort.h"

#include "maths/distributions.h"

#include <math.h>

/* The assumed scatter weighs as that many rides beyond the first. */
static const double PRIOR_FREEDOM = 4.0;

static bool within_ratio(double a, double b, double ratio)
{
    return a > 0.0 && b > 0.0 && a <= b * ratio && b <= a * ratio;
}

/* Both unknown is alike: nothing tells them apart. */
static bool near_or_unknown(double a, double b, double most)
{
    return (isnan(a) && isnan(b)) || fabs(a - b) <= most;
}

static bool is_like(const struct past_ride *a, const struct past_ride *b,
                    const struct limits *limits)
{
    const bool a_work = !isnan(a->work_kj);
    const bool b_work = !isnan(b->work_kj);
    return a->is_ride == b->is_ride && a_work == b_work &&
           within_ratio(a->hours, b->hours, limits->value[LIMIT_HOW_LIKE_HOURS_RATIO]) &&
           (!a_work || within_ratio(a->work_kj / a->hours, b->work_kj / b->hours,
                                    limits->value[LIMIT_HOW_LIKE_POWER_RATIO])) &&
           near_or_unknown(a->above_threshold_s, b->above_threshold_s,
                           60.0 * limits->value[LIMIT_HOW_LIKE_HARD_MIN]);
}

/* Efforts of the like rides of one ride: their number, mean, and squares about it. */
struct like {
    size_t n;
    double mean;
    double squares;
};

static struct like like_of(const struct rider_history *history, const struct past_ride *ride,
                           int64_t from, int64_t to, const struct limits *limits)
{
    struct like like = { 0 };
    for (size_t i = history_ride_from(history, from);
         i < history->n_rides && history->rides[i].day < to; i++) {
        const struct past_ride *past = &history->rides[i];
        if (!isnan(past->effort_0_10) && is_like(ride, past, limits)) {
            like.n++;
            const double off = past->effort_0_10 - like.mean;
            like.mean += off / (double)like.n;
            like.squares += off * (past->effort_0_10 - like.mean);
        }
    }
    return like;
}

struct usual_effort usual_effort_of(const struct rider_history *history,
                                    const struct limits *limits)
{
    struct usual_effort out = {
        .more = (double)NAN, .low = (double)NAN, .high = (double)NAN, .mean = (double)NAN
    };
    const int64_t to = history->today + 1 - (int64_t)limits->value[LIMIT_HOW_DAYS];
    const int64_t from = to - (int64_t)limits->value[LIMIT_HOW_RIDES_DAYS];
    double more = 0.0;
    double effort = 0.0;
    double squares = 0.0;
    double freedom = 0.0;
    double inverse = 0.0;
    double like_rides = 0.0;
    for (size_t i = history_ride_from(history, to); i < history->n_rides; i++) {
        const struct past_ride *ride = &history->rides[i];
        if (ride->day > history->today || isnan(ride->effort_0_10)) {
            continue;
        }
        out.n_said++;
        const struct like like = like_of(history, ride, from, to, limits);
        if ((double)like.n >= limits->value[LIMIT_HOW_LIKE_RIDES]) {
            out.n_compared++;
            out.last_ride = ride->id > out.last_ride ? ride->id : out.last_ride;
            more += ride->effort_0_10 - like.mean;
            effort += ride->effort_0_10;
            squares += like.squares;
            freedom += (double)like.n - 1.0;
            inverse += 1.0 / (double)like.n;
            like_rides += (double)like.n;
        }
    }
    if (out.n_compared == 0 || (double)out.n_compared < limits->value[LIMIT_HOW_RIDES]) {
        return out;
    }
    const double k = (double)out.n_compared;
    const double prior = limits->value[LIMIT_HOW_EFFORT_SD];
    const double all = PRIOR_FREEDOM + freedom / k;
    const double sd = sqrt((PRIOR_FREEDOM * prior * prior + squares / k) / all);
    const double reach = distributions_t_quantile(0.95, all) * sd * sqrt(1.0 / k + inverse / k);
    out.is_known = true;
    out.n_like = (size_t)lround(like_rides / k);
    out.more = more / k;
    out.low = out.more - reach;
    out.high = out.more + reach;
    out.mean = effort / k;
    return out;
}
