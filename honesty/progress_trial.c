/* honesty/progress_trial.c: one simulated rider of known change. */
#include "honesty/progress_trial.h"

#include "simulated/random.h"

#include <math.h>
#include <stdlib.h>

enum { STREAM = 0x5052, WINDOW = 42, EVERYDAY = 3, CHANCE_OF = 16 };

/* First day of the windows: the last six weeks and the six before, as rider_progress has them. */
static const int64_t RECENT = PROGRESS_TODAY + 1 - WINDOW;
static const int64_t BEFORE = PROGRESS_TODAY + 1 - 2 * WINDOW;

static const int32_t durations[] = { 300, 600, 1200 };

struct errors {
    double day;
    double week;
    double pacing;
    double meter;
    double short_of;
};
static const struct errors chance_errors = { 0.020, 0.010, 0.010, 0.010, 0.012 };
static const struct errors test_errors = { 0.012, 0.006, 0.007, 0.010, 0.005 };

double progress_truth(const struct progress_case *c, int64_t day)
{
    const double gain = c->change_pct / 100.0;
    if (!c->gradual) {
        return day >= RECENT ? 1.0 + gain : 1.0;
    }
    return 1.0 + gain * ((double)(day - BEFORE) - 0.5 * WINDOW) / WINDOW;
}

double progress_power(const struct simulated_rider *rider, int32_t duration_s)
{
    return rider->critical_power_w + rider->w_prime_j / (double)duration_s;
}

/* What this rider's results scatter by, of what results scatter by. */
static double own_scatter(const struct progress_case *c)
{
    struct simulated_random r = simulated_random_begin(c->seed, STREAM);
    return exp(0.2 * simulated_random_normal(&r)) * (c->first_year ? 1.3 : 1.0);
}

static double week_form(const struct progress_case *c, int64_t day)
{
    struct simulated_random r =
        simulated_random_begin(c->seed, STREAM + 16 + (uint64_t)((day - BEFORE) / 7));
    return simulated_random_normal(&r);
}

static size_t a_day(const struct progress_case *c, struct simulated_random *r, int64_t day,
                    bool is_first, struct progress_effort *out)
{
    const struct errors *sd = c->tests ? &test_errors : &chance_errors;
    const double own = own_scatter(c);
    const double shared = sd->day * simulated_random_normal(r) + sd->week * week_form(c, day) +
                          sd->meter * simulated_random_normal(r);
    const int one = c->mix == PROGRESS_MIXED ? simulated_random_whole(r, 0, 2) : 2;
    const bool held_back = !c->tests && simulated_random_whole(r, 1, CHANCE_OF) == 1;
    const double hold = held_back ? simulated_random_between(r, 0.03, 0.10) : 0.0;
    const double practice = is_first && c->first_test ? 0.01 : 0.0;
    size_t n = 0;
    for (int i = 0; i < 3; i++) {
        const double pacing = sd->pacing * simulated_random_normal(r);
        const double short_of = sd->short_of * simulated_random_wait(r);
        if (i == one || c->mix == PROGRESS_TOGETHER) {
            const double off = own * (shared + pacing - short_of) - hold - practice;
            out[n++] = (struct progress_effort){ .day = day,
                                                 .duration_s = durations[i],
                                                 .ratio = progress_truth(c, day) * exp(off) };
        }
    }
    return n;
}

int64_t progress_window(int window)
{
    return window == 0 ? BEFORE : RECENT;
}

size_t progress_efforts(const struct progress_case *c, struct progress_effort out[PROGRESS_MOST])
{
    if (c->second) {
        return progress_second_efforts(c, out);
    }
    struct simulated_random r = simulated_random_begin(c->seed, STREAM + 1);
    size_t n = 0;
    for (int window = 0; window < 2; window++) {
        const int days = window == 0 ? c->n_before : c->n_recent;
        for (int i = 0; i < days; i++) {
            /* Each in its part of the window: nobody tests on two days running. */
            const double part = ((double)i + simulated_random_unit(&r)) / days;
            const int64_t day = (window == 0 ? BEFORE : RECENT) + (int64_t)(part * WINDOW);
            n += a_day(c, &r, day, n == 0, &out[n]);
        }
    }
    return n;
}

/* The bests of the days as the roster has them: with evidence. */
static size_t from_bests(const struct progress_case *c, struct past_ride rides[PROGRESS_MOST])
{
    const struct simulated_rider rider = simulated_rider_draw(c->seed);
    struct progress_effort efforts[PROGRESS_MOST];
    const size_t n = progress_efforts(c, efforts);
    size_t n_rides = 0;
    for (size_t i = 0; i < n; i++) {
        if (i == 0 || efforts[i].day != efforts[i - 1].day) {
            rides[n_rides++] = past_ride_begin(1 + (int64_t)i, efforts[i].day);
        }
        struct past_ride *ride = &rides[n_rides - 1];
        ride->has_power = true;
        ride->meter = 1;
        ride->efforts[ride->n_efforts++] = (struct effort){
            .duration_s = efforts[i].duration_s,
            .power_w = efforts[i].ratio * progress_power(&rider, efforts[i].duration_s),
            .evidence = c->tests ? EFFORT_MARKED : EFFORT_HEART,
        };
    }
    return n_rides;
}

static int by_day(const void *a, const void *b)
{
    const struct past_ride *x = a;
    const struct past_ride *y = b;
    return (x->day > y->day) - (x->day < y->day);
}

struct progress_outcome progress_trial(const struct progress_case *c, const struct limits *limits)
{
    struct arena *arena = arena_open();
    struct past_ride *rides = ARENA_ARRAY(arena, struct past_ride, PROGRESS_MOST);
    struct rider_history history = { .today = PROGRESS_TODAY,
                                     .power_since_day =
                                         PROGRESS_TODAY - (c->first_year ? 200 : 1200),
                                     .threshold_day = INT64_MIN,
                                     .rides = rides };
    struct progress_outcome out = { 0 };
    if (c->whole_rides) {
        progress_rides(arena, c, limits, rides, &history.n_rides, &out);
    } else {
        history.n_rides = from_bests(c, rides);
    }
    /* And rides that weren't hard, so that there is no break. */
    for (int64_t day = BEFORE; day <= PROGRESS_TODAY; day += EVERYDAY) {
        rides[history.n_rides] = past_ride_begin(1000 + day, day);
        rides[history.n_rides++].has_power = true;
    }
    if (c->tests && !c->first_test) {
        /* A test of a year ago: these are not the first of a life. */
        struct past_ride *old = &rides[history.n_rides++];
        *old = past_ride_begin(1, BEFORE - 365);
        for (size_t i = 0; i < 3; i++) {
            old->efforts[old->n_efforts++] = (struct effort){ .duration_s = durations[i],
                                                              .power_w = 100.0,
                                                              .evidence = EFFORT_MARKED };
        }
    }
    qsort(rides, history.n_rides, sizeof rides[0], by_day);
    struct rider_progress progress = { 0 };
    rider_progress_read(arena, &history, PROGRESS_BEFORE, limits, &progress);
    out.joint = progress.joint.verdict;
    out.stalled = progress.stalled.verdict;
    out.estimate_pct = progress.joint.estimate;
    out.low_pct = progress.joint.low;
    out.high_pct = progress.joint.high;
    arena_close(arena);
    return out;
}
