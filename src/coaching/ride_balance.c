/* coaching/ride_balance.c: what each effort of a ride took of W', and about what was left. */
#include "coaching/ride_balance.h"

#include <math.h>

const char *balance_end_name(enum balance_end end)
{
    static const char *const names[] = {
        [BALANCE_KNOWN] = "known",
        [BALANCE_NO_CURVE] = "no-critical-power",
        [BALANCE_NO_POWER] = "no-power",
        [BALANCE_GAPS] = "gaps",
    };
    return names[end];
}

struct w_rider w_rider_of(const struct power_duration *curve)
{
    const double none = (double)NAN;
    if (curve->end != DURATION_KNOWN) {
        return (struct w_rider){ none, none, none, none, none, none };
    }
    return (struct w_rider){ curve->cp_w,      curve->cp_low_w,      curve->cp_high_w,
                             curve->w_prime_j, curve->w_prime_low_j, curve->w_prime_high_j };
}

static bool all_known(const double x[], struct span span)
{
    for (int32_t t = span.from_s; t < span.to_s; t++) {
        if (isnan(x[t])) {
            return false;
        }
    }
    return true;
}

/* A higher critical power makes the same effort dearer of less. */
static struct rep_balance balance_of(const struct ride_balance *ride, const double power_w[],
                                     struct span span)
{
    const double none = (double)NAN;
    const struct w_rider *rider = &ride->rider;
    const size_t from = (size_t)span.from_s;
    const size_t to = (size_t)span.to_s;
    struct rep_balance rep = { span, none, none, none, none, none, none };
    if (from >= to || to > ride->trace.n) {
        return rep;
    }
    if (all_known(power_w, span)) {
        rep.cost_j = w_balance_cost_j(rider->cp_w, power_w, from, to);
        rep.cost_low_j = w_balance_cost_j(rider->cp_high_w, power_w, from, to);
        rep.cost_high_j = w_balance_cost_j(rider->cp_low_w, power_w, from, to);
    }
    rep.left_j = ride->trace.middle_j[to - 1];
    rep.left_low_j = ride->trace.low_j[to - 1];
    rep.left_high_j = ride->trace.high_j[to - 1];
    return rep;
}

/* Seconds in which the timer stood: nobody was riding, so they rest. */
static void rest_in_pauses(const struct recording *recording, double power_w[])
{
    for (size_t i = 0; i < recording->n_pauses; i++) {
        const struct span pause = recording->pauses[i];
        const int32_t from = pause.from_s > 0 ? pause.from_s : 0;
        for (int32_t t = from; t < pause.to_s && t < (int32_t)recording->n_seconds; t++) {
            power_w[t] = isnan(power_w[t]) ? 0.0 : power_w[t];
        }
    }
}

struct ride_balance ride_balance_read(struct arena *arena, const struct recording *recording,
                                      const struct reps *reps, const struct power_duration *curve,
                                      const struct limits *limits)
{
    struct ride_balance out = { .end = BALANCE_NO_CURVE, .rider = w_rider_of(curve) };
    out.trace.least_j = out.trace.least_low_j = out.trace.least_high_j = (double)NAN;
    if (curve->end != DURATION_KNOWN) {
        return out;
    }
    double *power_w = recording_series(arena, recording, CHANNEL_POWER);
    if (power_w == NULL || recording->n_seconds == 0) {
        out.end = BALANCE_NO_POWER;
        return out;
    }
    rest_in_pauses(recording, power_w);
    out.trace = w_balance_read(arena, &out.rider, power_w, recording->n_seconds, limits);
    out.end = out.trace.is_known ? BALANCE_KNOWN : BALANCE_GAPS;
    if (out.end != BALANCE_KNOWN) {
        return out;
    }
    out.reps = ARENA_ARRAY(arena, struct rep_balance, reps->count + 1);
    for (size_t i = 0; i < reps->count; i++) {
        out.reps[out.n_reps++] = balance_of(&out, power_w, reps->items[i].span);
    }
    return out;
}
