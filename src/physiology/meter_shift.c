/* physiology/meter_shift.c: a step of power at a change of meter. */
#include "physiology/meter_shift.h"

#include "maths/distributions.h"

#include <math.h>

/* What a rider in training changes by in four weeks: heart rate at one power falls by some 6 beats
 * in 12 weeks at the most (F-06), 4 % of power in four.  A prior, so that few rides don't give the
 * step to the trend or the other way round. */
static const double TREND_SD_PCT = 4.0;
static const double TREND_DAYS = 28.0;

/* The step must be clear of nothing by so many standard errors besides: with many rides the line in
 * per cent is the stricter one, with few this. */
static const double CLEAR_SES = 3.0;
static const double CLEAR_SES_FEW = 2.0;

double meter_shift_above_pct(double day_bpm, double gain_bpm_per_w, double mean_w)
{
    return -100.0 * day_bpm / (gain_bpm_per_w * mean_w);
}

/* Rides with a known meter in [from, to) of the places. */
static size_t count(const struct shift_ride rides[], size_t from, size_t to)
{
    size_t n = 0;
    for (size_t i = from; i < to; i++) {
        n += rides[i].meter != 0 && isfinite(rides[i].above_pct) ? 1 : 0;
    }
    return n;
}

/* Level, trend and step by weighted least squares; elimination of a symmetric positive matrix.
 * The step is last, so that its variance is one over what is left of its diagonal. */
static void fit(const struct shift_ride rides[], size_t from, size_t change, size_t to,
                struct meter_shift *out)
{
    double a[3][4] = { { 0.0 } };
    a[1][1] = 1.0 / (TREND_SD_PCT * TREND_SD_PCT);
    for (size_t i = from; i < to; i++) {
        const struct shift_ride *ride = &rides[i];
        if (ride->meter == 0 || !isfinite(ride->above_pct) || !(ride->sd_pct > 0.0)) {
            continue;
        }
        const double weight = 1.0 / (ride->sd_pct * ride->sd_pct);
        const double z[4] = { 1.0, (double)(ride->day - rides[change].day) / TREND_DAYS,
                              i >= change ? 1.0 : 0.0, ride->above_pct };
        for (size_t j = 0; j < 3; j++) {
            for (size_t k = 0; k < 4; k++) {
                a[j][k] += weight * z[j] * z[k];
            }
        }
    }
    for (size_t step = 0; step < 2; step++) {
        for (size_t i = step + 1; i < 3; i++) {
            const double factor = a[i][step] / a[step][step];
            for (size_t k = step; k < 4; k++) {
                a[i][k] -= factor * a[step][k];
            }
        }
    }
    const double half = distributions_normal_quantile(0.95) / sqrt(a[2][2]);
    out->pct = a[2][3] / a[2][2];
    out->se_pct = 1.0 / sqrt(a[2][2]);
    out->low_pct = out->pct - half;
    out->high_pct = out->pct + half;
}

static enum shift_state state_of(const struct meter_shift *shift, const struct limits *limits)
{
    const double *v = limits->value;
    const double fewer =
        (double)(shift->n_before < shift->n_after ? shift->n_before : shift->n_after);
    const bool is_few = fewer < v[LIMIT_SHIFT_RIDES];
    const double clear = (is_few ? CLEAR_SES_FEW : CLEAR_SES) * shift->se_pct;
    if (!(fabs(shift->pct) > fmax(v[LIMIT_SHIFT_PCT], clear))) {
        return SHIFT_NONE;
    }
    return is_few ? SHIFT_MAY : SHIFT_FOUND;
}

/* Places of the rides of one meter that end at `end`, no further back than the window. */
static size_t side_from(const struct shift_ride rides[], size_t end, int64_t day, double days)
{
    size_t from = end;
    int64_t meter = 0;
    while (from > 0 && (double)(day - rides[from - 1].day) <= days) {
        const int64_t its = rides[from - 1].meter;
        if (its != 0 && meter != 0 && its != meter) {
            break;
        }
        meter = its != 0 ? its : meter;
        from--;
    }
    return from;
}

struct meter_shift meter_shift_find(const struct shift_ride rides[], size_t n,
                                    const struct limits *limits)
{
    const double none = (double)NAN;
    const double least = limits->value[LIMIT_SHIFT_RIDES_FEW];
    const double days = limits->value[LIMIT_SHIFT_DAYS];
    size_t end = n;
    while (end > 0) {
        const int64_t last = rides[end - 1].day;
        const size_t change = side_from(rides, end, last, days);
        const size_t from = side_from(rides, change, change < n ? rides[change].day : last, days);
        struct meter_shift shift = {
            SHIFT_NONE, 0,    0,    0,   count(rides, from, change), count(rides, change, end),
            none,       none, none, none
        };
        if ((double)shift.n_before >= least && (double)shift.n_after >= least) {
            shift.day = rides[change].day;
            for (size_t i = from; i < end; i++) {
                int64_t *side = i < change ? &shift.before : &shift.after;
                *side = rides[i].meter != 0 ? rides[i].meter : *side;
            }
            if (shift.before != shift.after) {
                fit(rides, from, change, end, &shift);
                shift.state = state_of(&shift, limits);
                return shift;
            }
        }
        end = change < end ? change : end - 1;
    }
    return (struct meter_shift){ SHIFT_NONE, 0, 0, 0, 0, 0, none, none, none, none };
}
