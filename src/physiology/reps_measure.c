/* physiology/reps_measure.c: what was ridden in the reps. */
#include "physiology/reps_parts.h"

#include "maths/distributions.h"
#include "recording/trust.h"

#include <math.h>
#include <string.h>

/* The mean that time below, in and above the range goes by: seconds i - 5 .. i + 4 of the rep. */
enum { CENTRED_S = 10 };

/* Heart rate is looked at as means of so many seconds. */
enum { HEART_S = 5 };

/* What first order comes to in one time constant: 1 - 1/e. */
static const double ONE_TAU = 0.632120558828558;

/* The seconds that a rep is judged on: its own, or the on-parts of a block laid end to end. */
struct on_parts {
    size_t n;
    double *power_w; /* [n] NAN = unknown */
    double *cadence_rpm;
};

static struct on_parts on_parts_of(struct arena *arena, const struct reps_ride *ride,
                                   const struct rep *rep)
{
    struct on_parts on = { 0 };
    const size_t most = (size_t)(rep->span.to_s - rep->span.from_s);
    on.power_w = ARENA_ARRAY(arena, double, most);
    on.cadence_rpm = ARENA_ARRAY(arena, double, most);
    for (int e = 0; e < rep->n_efforts; e++) {
        for (int32_t t = rep->efforts[e].from_s; t < rep->efforts[e].to_s; t++) {
            on.power_w[on.n] = ride->power_w[t];
            on.cadence_rpm[on.n] = ride->cadence_rpm == NULL ? (double)NAN : ride->cadence_rpm[t];
            on.n++;
        }
    }
    return on;
}

/* The mean of x[from, to) if enough of it is known, else NAN. */
static double covered_mean(const double x[], size_t from, size_t to, double coverage)
{
    size_t known = 0;
    const double mean = reps_mean(x, (int32_t)from, (int32_t)to, &known);
    return to > from && (double)known >= coverage * (double)(to - from) ? mean : (double)NAN;
}

/* ---- the change from the first to the last third ---- */

enum { BATCHES = 30 };

/* Residuals of batch means about their parabola, so that a fade within a third isn't noise. */
static size_t batch_residuals(const struct on_parts *on, double residual[BATCHES])
{
    double at[BATCHES] = { 0 };
    double y[BATCHES] = { 0 };
    size_t n = 0;
    for (size_t b = 0; b < BATCHES; b++) {
        const size_t from = on->n * b / BATCHES;
        const size_t to = on->n * (b + 1) / BATCHES;
        size_t known = 0;
        const double mean = reps_mean(on->power_w, (int32_t)from, (int32_t)to, &known);
        if (known > 0) {
            at[n] = 2.0 * ((double)b + 0.5) / BATCHES - 1.0;
            y[n++] = mean;
        }
    }
    /* Orthogonal enough: 1, x, x^2 - 1/3; refined twice for batches that are missing. */
    for (size_t i = 0; i < n; i++) {
        residual[i] = y[i];
    }
    for (int pass = 0; pass < 6; pass++) {
        double top[3] = { 0 };
        double bottom[3] = { 0 };
        const int part = pass % 3;
        for (size_t i = 0; i < n; i++) {
            const double basis[3] = { 1.0, at[i], at[i] * at[i] - 1.0 / 3.0 };
            top[part] += basis[part] * residual[i];
            bottom[part] += basis[part] * basis[part];
        }
        for (size_t i = 0; i < n && bottom[part] > 0.0; i++) {
            const double basis[3] = { 1.0, at[i], at[i] * at[i] - 1.0 / 3.0 };
            residual[i] -= top[part] / bottom[part] * basis[part];
        }
    }
    return n;
}

/* Variance of the difference of the means of the last and first third of n batches whose noise is
 * first-order autoregressive with variance 1: sums of powers of rho over all pairs. */
static double difference_variance(size_t n, double rho)
{
    const size_t third = n / 3;
    double sum = 0.0;
    for (size_t i = 0; i < n; i++) {
        const double a = i < third ? -1.0 : (i >= n - third ? 1.0 : 0.0);
        for (size_t j = 0; j < n; j++) {
            const double b = j < third ? -1.0 : (j >= n - third ? 1.0 : 0.0);
            const size_t lag = i > j ? i - j : j - i;
            sum += a * b * pow(rho, (double)lag);
        }
    }
    return sum / ((double)third * (double)third);
}

/* The interval comes from batch means with first-order autoregressive noise; both the
 * autocorrelation and the variance are corrected for what fitting a parabola takes out of them. */
static struct ranged first_to_last(const struct on_parts *on, double first_w, double last_w)
{
    const struct ranged unknown = { last_w - first_w, (double)NAN, (double)NAN };
    double r[BATCHES];
    const size_t n = batch_residuals(on, r);
    if (isnan(unknown.value) || n < 12) {
        return unknown;
    }
    double c0 = 0.0;
    double c1 = 0.0;
    for (size_t i = 0; i < n; i++) {
        c0 += r[i] * r[i];
        c1 += i > 0 ? r[i] * r[i - 1] : 0.0;
    }
    const double raw = c0 > 0.0 ? c1 / c0 : 0.0;
    /* Bias of the first autocorrelation about a fitted mean is -(1 + 3 rho) / n (Marriott and Pope
     * 1954, Biometrika 41:390-402); a parabola takes about three times the constant part. */
    const double rho = fmin(fmax(raw + (3.0 + 3.0 * raw) / (double)n, 0.0), 0.9);
    const double lost = 3.0 * (1.0 + rho) / (1.0 - rho);
    const double df = fmax((double)n - lost, 3.0);
    const double variance = c0 / df;
    const double half =
        distributions_t_quantile(0.95, df) * sqrt(variance * difference_variance(n, rho));
    return (struct ranged){ unknown.value, unknown.value - half, unknown.value + half };
}

/* ---- below, in, above ---- */

static void count_second(const struct rep *rep, double mean_w, double seconds, double out[3])
{
    if (!isnan(mean_w)) {
        out[mean_w < rep->target_low_w ? 0 : (mean_w > rep->target_high_w ? 2 : 1)] += seconds;
    }
}

static void measure_range(const double power_w[], const struct limits *limits, struct rep *rep)
{
    const double nan = (double)NAN;
    double seconds[3] = { 0 };
    if (isnan(rep->target_low_w) || isnan(rep->mean_power_w)) {
        rep->below_s = rep->in_s = rep->above_s = nan;
        return;
    }
    if (rep->is_block) {
        for (int e = 0; e < rep->n_efforts; e++) {
            const struct span on = rep->efforts[e];
            count_second(rep,
                         covered_mean(power_w, (size_t)on.from_s, (size_t)on.to_s,
                                      limits->value[LIMIT_REPS_COVERAGE]),
                         (double)(on.to_s - on.from_s), seconds);
        }
    } else {
        for (int32_t t = rep->span.from_s; t < rep->span.to_s; t++) {
            const int32_t from = t - CENTRED_S / 2;
            const int32_t to = t + CENTRED_S / 2;
            /* The rep's own seconds only: the rest beside it is no part of its power. */
            const double mean =
                reps_mean(power_w, from < rep->span.from_s ? rep->span.from_s : from,
                          to > rep->span.to_s ? rep->span.to_s : to, NULL);
            count_second(rep, isnan(power_w[t]) ? nan : mean, 1.0, seconds);
        }
    }
    rep->below_s = seconds[0];
    rep->in_s = seconds[1];
    rep->above_s = seconds[2];
}

void rep_measure_range(struct arena *arena, const struct recording *recording,
                       const struct limits *limits, double low_w, double high_w, struct rep *rep)
{
    rep->target_low_w = low_w;
    rep->target_high_w = high_w;
    measure_range(recording_series(arena, recording, CHANNEL_POWER), limits, rep);
}

/* ---- power ---- */

/* The single step that explains most of the rep's power. */
static void find_let_down(const struct reps_ride *ride, struct rep *rep)
{
    const int32_t margin = 10; /* both sides need a mean of their own */
    rep->let_down_s = (double)NAN;
    rep->let_down_w = (double)NAN;
    rep->let_down_heart_bpm = (double)NAN;
    const int32_t n = rep->span.to_s - rep->span.from_s;
    const double *x = &ride->power_w[rep->span.from_s];
    if (rep->is_block || n < 3 * margin || isnan(rep->mean_power_w)) {
        return;
    }
    double total = 0.0;
    double count = 0.0;
    for (int32_t i = 0; i < n; i++) {
        total += isnan(x[i]) ? 0.0 : x[i];
        count += isnan(x[i]) ? 0.0 : 1.0;
    }
    double best = -1.0;
    double sum = 0.0;
    double before = 0.0;
    for (int32_t i = 0; i + margin < n; i++) {
        sum += isnan(x[i]) ? 0.0 : x[i];
        before += isnan(x[i]) ? 0.0 : 1.0;
        const double after = count - before;
        if (i + 1 < margin || before < 1.0 || after < 1.0) {
            continue;
        }
        const double step = sum / before - (total - sum) / after;
        const double gain = step * step * before * after / count;
        if (gain > best) {
            best = gain;
            rep->let_down_s = (double)(i + 1);
            rep->let_down_w = step;
        }
    }
}

static void measure_power(struct arena *arena, const struct reps_ride *ride, struct rep *rep)
{
    const double coverage = ride->limits->value[LIMIT_REPS_COVERAGE];
    const struct on_parts on = on_parts_of(arena, ride, rep);
    size_t known = 0;
    (void)reps_mean(on.power_w, 0, (int32_t)on.n, &known);
    rep->power_coverage = (double)known / (double)on.n;
    rep->mean_power_w = covered_mean(on.power_w, 0, on.n, coverage);
    rep->pct_of_threshold =
        ride->has_threshold ? 100.0 * rep->mean_power_w / ride->facts->threshold_w : (double)NAN;
    const size_t third = on.n / 3;
    rep->first_third_w = covered_mean(on.power_w, 0, third, coverage);
    rep->middle_third_w = covered_mean(on.power_w, third, on.n - third, coverage);
    rep->last_third_w = covered_mean(on.power_w, on.n - third, on.n, coverage);
    rep->first_20s_w = covered_mean(on.power_w, 0, on.n < 20 ? on.n : 20, coverage);
    rep->first_to_last_w = first_to_last(&on, rep->first_third_w, rep->last_third_w);
    rep->cadence_first_rpm = covered_mean(on.cadence_rpm, 0, third, coverage);
    rep->cadence_last_rpm = covered_mean(on.cadence_rpm, on.n - third, on.n, coverage);
    rep->work_above_cp_kj = (double)NAN;
    if (ride->has_threshold && !isnan(rep->mean_power_w)) {
        double joules = 0.0;
        for (size_t i = 0; i < on.n; i++) {
            joules += on.power_w[i] > ride->facts->threshold_w
                          ? on.power_w[i] - ride->facts->threshold_w
                          : 0.0;
        }
        rep->work_above_cp_kj = joules / 1000.0;
    }
    find_let_down(ride, rep);
    rep->target_low_w = rep->as_asked ? ride->asked_low_w : (double)NAN;
    rep->target_high_w = rep->as_asked ? ride->asked_high_w : (double)NAN;
    measure_range(ride->power_w, ride->limits, rep);
}

/* ---- heart rate ---- */

/* Mean of HEART_S seconds about t, of which most must be known. */
static double heart_about(const struct reps_ride *ride, int32_t t)
{
    const int32_t from = t - HEART_S / 2 < 0 ? 0 : t - HEART_S / 2;
    const int32_t to =
        t + HEART_S / 2 + 1 > (int32_t)ride->n ? (int32_t)ride->n : t + HEART_S / 2 + 1;
    size_t known = 0;
    const double mean = reps_mean(ride->heart_bpm, from, to, &known);
    return 2 * known > HEART_S ? mean : (double)NAN;
}

static void heart_unknown(struct rep *rep)
{
    const double nan = (double)NAN;
    rep->heart_coverage = 0.0;
    rep->heart_start_bpm = nan;
    rep->heart_peak_bpm = nan;
    rep->heart_to_90_s = nan;
    rep->heart_at_90_s = nan;
    rep->heart_lag_s = nan;
    rep->recovery_60s_bpm = nan;
}

static void measure_near_max(const struct reps_ride *ride, struct rep *rep)
{
    const double line =
        ride->limits->value[LIMIT_REPS_NEAR_MAX_RATIO] * ride->facts->max_heart_rate_bpm;
    /* Medicine and pregnancy change what a share of maximal heart rate means. */
    if (isnan(line) || ride->facts->heart_medicine || ride->facts->pregnant) {
        return;
    }
    rep->heart_at_90_s = 0.0;
    for (int32_t t = rep->span.from_s; t < rep->span.to_s; t++) {
        if (ride->heart_bpm[t] >= line) {
            rep->heart_at_90_s += 1.0;
            if (isnan(rep->heart_to_90_s)) {
                rep->heart_to_90_s = (double)(t - rep->span.from_s);
            }
        }
    }
}

/* next_s: where the next rep starts. */
static void measure_heart(const struct reps_ride *ride, int32_t next_s, struct rep *rep)
{
    heart_unknown(rep);
    if (ride->heart_bpm == NULL) {
        return;
    }
    const int32_t from = rep->span.from_s;
    const int32_t to = rep->span.to_s;
    size_t known = 0;
    (void)reps_mean(ride->heart_bpm, from, to, &known);
    rep->heart_coverage = (double)known / (double)(to - from);
    if (rep->heart_coverage < ride->limits->value[LIMIT_REPS_COVERAGE]) {
        return;
    }
    rep->heart_start_bpm = heart_about(ride, from);
    for (int32_t t = from; t < to; t++) {
        rep->heart_peak_bpm = fmax(rep->heart_peak_bpm, heart_about(ride, t));
    }
    measure_near_max(ride, rep);
    const double rise = rep->heart_peak_bpm - rep->heart_start_bpm;
    for (int32_t t = from; t < to && rise >= ride->limits->value[LIMIT_REPS_HEART_RISE_BPM]; t++) {
        if (heart_about(ride, t) >= rep->heart_start_bpm + ONE_TAU * rise) {
            rep->heart_lag_s = (double)(t - from);
            break;
        }
    }
    if (next_s >= to + 60 && to + 60 < (int32_t)ride->n) {
        rep->recovery_60s_bpm = heart_about(ride, to - 1) - heart_about(ride, to + 60);
    }
    if (!isnan(rep->let_down_s)) {
        rep->let_down_heart_bpm = heart_about(ride, from + (int32_t)rep->let_down_s);
    }
}

/* ---- how it ended, and who held the power ---- */

static bool stands(const struct reps_ride *ride, int32_t t)
{
    const int32_t *speed = ride->recording->value[CHANNEL_SPEED];
    if (ride->recording->paused[t]) {
        return true;
    }
    if (ride->power_w[t] > 0.0) {
        return false;
    }
    const bool legs_still =
        ride->cadence_rpm == NULL || isnan(ride->cadence_rpm[t]) || ride->cadence_rpm[t] <= 0.0;
    /* 0.5 m/s: a device's speed of a wheel that stands isn't always 0. */
    const bool wheel_still = speed != NULL && speed[t] != RECORDING_MISSING && speed[t] < 500;
    return legs_still && wheel_still;
}

static bool ended_by_stop(const struct reps_ride *ride, const struct rep *rep)
{
    const double *v = ride->limits->value;
    const int32_t wait = (int32_t)v[LIMIT_REPS_STOP_AFTER_S] + (rep->edges_sure ? 0 : 3);
    for (int32_t t = rep->span.to_s - 2; t <= rep->span.to_s + wait; t++) {
        int32_t length = 0;
        while (t + length < (int32_t)ride->n && stands(ride, t + length) &&
               (double)length < v[LIMIT_REPS_STOP_S]) {
            length++;
        }
        if ((double)length >= v[LIMIT_REPS_STOP_S]) {
            return true;
        }
    }
    return false;
}

/* A ride of which a trainer held the most may hold efforts that it didn't hold: power that sinks
 * all along is the rider's doing.  Without a trainer not one minute looks held, so one is enough;
 * true also for a rep that is too short to tell. */
static bool is_held_inside(const struct reps_ride *ride, const struct rep *rep)
{
    enum { MINUTE_S = 60, STEP_S = 10, EDGE_S = 5 };
    int32_t t = rep->span.from_s + EDGE_S;
    bool tried = false;
    while (t + MINUTE_S + EDGE_S <= rep->span.to_s) {
        if (trust_minute_is_held(ride->recording, t, ride->limits)) {
            return true;
        }
        tried = true;
        t += STEP_S;
    }
    return !tried;
}

static bool trainer_held(const struct reps_ride *ride, const struct rep *rep)
{
    for (size_t i = 0; i < ride->recording->n_findings; i++) {
        const struct finding *finding = &ride->recording->findings[i];
        if (strcmp(finding->code, "trainer-held") == 0 &&
            (finding->whole_ride ||
             (finding->span.from_s < rep->span.to_s && finding->span.to_s > rep->span.from_s))) {
            return is_held_inside(ride, rep);
        }
    }
    return false;
}

void reps_measure(struct arena *arena, const struct reps_ride *ride, struct reps *reps)
{
    for (size_t i = 0; i < reps->count; i++) {
        struct rep *rep = &reps->items[i];
        const int32_t next =
            i + 1 < reps->count ? reps->items[i + 1].span.from_s : (int32_t)ride->n;
        measure_power(arena, ride, rep);
        measure_heart(ride, next, rep);
        rep->ended_by_stop = ended_by_stop(ride, rep);
        rep->trainer_held = trainer_held(ride, rep);
    }
}
