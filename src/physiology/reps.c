/* physiology/reps.c: the hard efforts of a ride, from power to measured reps. */
#include "physiology/reps_parts.h"

#include <math.h>
#include <stdlib.h>

/* For finding: the timer's stops and long unknown stretches hold no work. */
static double *effort_power(struct arena *arena, const struct recording *recording,
                            const struct limits *limits, const double power_w[])
{
    const size_t n = recording->n_seconds;
    const size_t longest = (size_t)limits->value[LIMIT_REPS_GAP_S];
    double *effort_w = ARENA_ARRAY(arena, double, n);
    for (size_t i = 0; i < n;) {
        size_t end = i;
        while (end < n && isnan(power_w[end]) && !recording->paused[end]) {
            end++;
        }
        for (size_t k = i; k < end; k++) {
            effort_w[k] = end - i > longest ? 0.0 : (double)NAN;
        }
        for (i = end; i < n && (!isnan(power_w[i]) || recording->paused[i]); i++) {
            effort_w[i] = recording->paused[i] ? 0.0 : power_w[i];
        }
    }
    return effort_w;
}

/* Without a threshold: the watts asked, or the mean of the ride's higher 30-s means stands in for
 * it.  NAN = too little power to say. */
static double stand_in(struct arena *arena, const struct reps_ride *ride)
{
    enum { MEAN_S = 30 };
    if (ride->asked_low_w > 0.0) {
        return ride->asked_low_w;
    }
    double *means = ARENA_ARRAY(arena, double, ride->n / MEAN_S + 1);
    size_t n = 0;
    double sum = 0.0;
    for (size_t i = 0; i + MEAN_S <= ride->n; i += MEAN_S) {
        const double mean = reps_mean(ride->effort_w, (int32_t)i, (int32_t)(i + MEAN_S), NULL);
        if (mean > 0.0) {
            means[n++] = mean;
            sum += mean;
        }
    }
    double level = n == 0 ? (double)NAN : sum / (double)n;
    /* Two classes about a line that settles between their means. */
    double high = level;
    for (int step = 0; step < 50 && n > 0; step++) {
        double sums[2] = { 0 };
        size_t counts[2] = { 0 };
        for (size_t i = 0; i < n; i++) {
            const size_t above = means[i] >= level ? 1 : 0;
            sums[above] += means[i];
            counts[above]++;
        }
        if (counts[0] == 0 || counts[1] == 0) {
            break;
        }
        high = sums[1] / (double)counts[1];
        level = 0.5 * (sums[0] / (double)counts[0] + high);
    }
    return high;
}

struct reps reps_find(struct arena *arena, const struct recording *recording,
                      const struct rider_facts *facts, const struct limits *limits)
{
    struct reps none = { .work_line_w = (double)NAN };
    const double *power_w = recording_series(arena, recording, CHANNEL_POWER);
    if (power_w == NULL || recording->n_seconds == 0) {
        return none;
    }
    struct reps_ride ride = {
        .recording = recording,
        .facts = facts,
        .limits = limits,
        .n = recording->n_seconds,
        .power_w = power_w,
        .effort_w = effort_power(arena, recording, limits, power_w),
        .heart_bpm = recording_series(arena, recording, CHANNEL_HEART_RATE),
        .cadence_rpm = recording_series(arena, recording, CHANNEL_CADENCE),
        .has_threshold = facts->threshold_w > 0.0,
        .line_w = (double)NAN,
    };
    facts_target_w(facts, limits, &ride.asked_low_w, &ride.asked_high_w);
    ride.scale_w = ride.has_threshold ? facts->threshold_w : stand_in(arena, &ride);
    if (!(ride.scale_w > 0.0)) {
        return none;
    }
    struct levels levels = { 0 };
    struct efforts efforts = reps_find_efforts(arena, &ride, &levels);
    if (facts->n_laid > 0) {
        efforts = reps_take_laid(arena, &ride, &efforts);
    }
    reps_drop_weak(&ride, &efforts);
    reps_place_edges(arena, &ride, &levels, &efforts);
    reps_drop_weak(&ride, &efforts);
    struct reps reps = reps_group(arena, &ride, &efforts);
    reps_measure(arena, &ride, &reps);
    return reps;
}
