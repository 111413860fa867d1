/* physiology/meter_shift.c: a step of power at a change of meter. */
#include "physiology/meter_shift.h"

#include "maths/distributions.h"

#include <math.h>

/* The unit of LIMIT_SHIFT_TREND_SD_PCT. */
static const double TREND_DAYS = 28.0;

double meter_shift_above_pct(double day_bpm, double gain_bpm_per_w, double mean_w)
{
    return -100.0 * day_bpm / (gain_bpm_per_w * mean_w);
}

static bool is_counted(const struct shift_ride *ride)
{
    return ride->meter != 0 && isfinite(ride->above_pct) && ride->sd_pct > 0.0;
}

/* Rides that count in [from, to) of the places. */
static size_t count(const struct shift_ride rides[], size_t from, size_t to)
{
    size_t n = 0;
    for (size_t i = from; i < to; i++) {
        n += is_counted(&rides[i]) ? 1 : 0;
    }
    return n;
}

/* Level, trend and step by weighted least squares; elimination of a symmetric positive matrix.
 * The step is last, so that its variance is one over what is left of its diagonal. */
static void fit(const struct shift_ride rides[], size_t from, size_t change, size_t to,
                const struct limits *limits, struct meter_shift *out)
{
    const double trend_sd = limits->value[LIMIT_SHIFT_TREND_SD_PCT];
    double a[3][4] = { { 0.0 } };
    a[1][1] = 1.0 / (trend_sd * trend_sd); /* few rides don't give the step to the trend */
    for (size_t i = from; i < to; i++) {
        const struct shift_ride *ride = &rides[i];
        if (!is_counted(ride)) {
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
    /* With many rides the line in per cent is the stricter one, with few this. */
    const double clear =
        v[is_few ? LIMIT_SHIFT_CLEAR_FEW_SES : LIMIT_SHIFT_CLEAR_SES] * shift->se_pct;
    if (!(fabs(shift->pct) > fmax(v[LIMIT_SHIFT_PCT], clear))) {
        return SHIFT_NONE;
    }
    return is_few ? SHIFT_MAY : SHIFT_FOUND;
}

/* ---- changes ---- */

struct look {
    const struct shift_ride *rides;
    size_t n;
    const struct limits *limits;
};

enum change { CHANGE_NONE, CHANGE_OFFSET, CHANGE_METER };

/* The place of the ride that counts before `at`; n if there is none. */
static size_t ride_before(const struct look *look, size_t at)
{
    while (at-- > 0) {
        if (is_counted(&look->rides[at])) {
            return at;
        }
    }
    return look->n;
}

struct range {
    double low;
    double high;
    bool is_whole; /* as many offsets as are wanted */
};

static void widen(struct range *range, double counts)
{
    range->low = fmin(range->low, counts);
    range->high = fmax(range->high, counts);
}

/* The zero offsets of the last few rides before `at` on that meter, or of the first from it. */
static struct range offsets_beside(const struct look *look, size_t at, int64_t meter, bool is_after)
{
    const size_t wanted = (size_t)look->limits->value[LIMIT_SHIFT_RIDES_FEW];
    struct range range = { (double)INFINITY, -(double)INFINITY, false };
    size_t seen = 0;
    for (size_t k = 0; seen < wanted && (is_after ? at + k < look->n : k < at); k++) {
        const struct shift_ride *ride = &look->rides[is_after ? at + k : at - 1 - k];
        if (!is_counted(ride)) {
            continue;
        }
        if (ride->meter != meter) {
            break;
        }
        if (!isnan(ride->offset_counts)) {
            widen(&range, ride->offset_counts);
            seen++;
        }
    }
    range.is_whole = seen == wanted;
    return range;
}

static bool is_offset_change(const struct look *look, size_t before, size_t at)
{
    const int64_t meter = look->rides[at].meter;
    if (isnan(look->rides[before].offset_counts) || isnan(look->rides[at].offset_counts)) {
        return false;
    }
    const struct range earlier = offsets_beside(look, at, meter, false);
    const struct range later = offsets_beside(look, at, meter, true);
    const double apart = fmax(later.low - earlier.high, earlier.low - later.high);
    return earlier.is_whole && later.is_whole &&
           apart > look->limits->value[LIMIT_SHIFT_OFFSET_COUNTS];
}

/* What changed between the ride at that place and the one before it that counts. */
static enum change change_at(const struct look *look, size_t at)
{
    const size_t before = is_counted(&look->rides[at]) ? ride_before(look, at) : look->n;
    if (before == look->n) {
        return CHANGE_NONE;
    }
    return look->rides[before].meter != look->rides[at].meter ? CHANGE_METER
           : is_offset_change(look, before, at)               ? CHANGE_OFFSET
                                                              : CHANGE_NONE;
}

/* Where the sides of the change at a place begin and end: at a change that weighs as much, and no
 * further away than the window. */
static size_t side_from(const struct look *look, size_t at, enum change change)
{
    const double days = look->limits->value[LIMIT_SHIFT_DAYS];
    size_t from = at;
    while (from > 0 && (double)(look->rides[at].day - look->rides[from - 1].day) <= days) {
        from--;
        if (change_at(look, from) >= change) {
            break;
        }
    }
    return from;
}

static size_t side_to(const struct look *look, size_t at, enum change change)
{
    const double days = look->limits->value[LIMIT_SHIFT_DAYS];
    size_t to = at + 1;
    while (to < look->n && (double)(look->rides[to].day - look->rides[at].day) <= days &&
           change_at(look, to) < change) {
        to++;
    }
    return to;
}

/* ---- the step at one of them ---- */

static struct meter_shift none_found(void)
{
    const double none = (double)NAN;
    return (struct meter_shift){ .offset_before = none,
                                 .offset_after = none,
                                 .pct = none,
                                 .se_pct = none,
                                 .low_pct = none,
                                 .high_pct = none };
}

/* Its numbers are NAN where a side has too few rides. */
static struct meter_shift try_at(const struct look *look, size_t at, enum change change)
{
    const double least = look->limits->value[LIMIT_SHIFT_RIDES_FEW];
    const struct shift_ride *before = &look->rides[ride_before(look, at)];
    const size_t from = side_from(look, at, change);
    const size_t to = side_to(look, at, change);
    struct meter_shift shift = none_found();
    shift.day = look->rides[at].day;
    shift.before = before->meter;
    shift.after = look->rides[at].meter;
    shift.n_before = count(look->rides, from, at);
    shift.n_after = count(look->rides, at, to);
    if (change == CHANGE_OFFSET) {
        shift.offset_before = before->offset_counts;
        shift.offset_after = look->rides[at].offset_counts;
    }
    if ((double)shift.n_before >= least && (double)shift.n_after >= least) {
        fit(look->rides, from, at, to, look->limits, &shift);
        shift.state = state_of(&shift, look->limits);
    }
    return shift;
}

struct meter_shift meter_shift_find(const struct shift_ride rides[], size_t n,
                                    const struct limits *limits)
{
    const struct look look = { rides, n, limits };
    struct meter_shift newest = none_found();
    for (size_t at = n; at-- > 1;) {
        const enum change change = change_at(&look, at);
        if (change == CHANGE_NONE) {
            continue;
        }
        const struct meter_shift shift = try_at(&look, at, change);
        if (shift.state != SHIFT_NONE) {
            return shift;
        }
        if (isnan(newest.pct) && !isnan(shift.pct)) {
            newest = shift;
        }
    }
    return newest;
}
