/* physiology/drift.c: how far heart rate rose over a steady span, at constant power. */
#include "physiology/drift.h"

#include "maths/distributions.h"
#include "maths/gls_mixture.h"

#include <math.h>
#include <string.h>

enum {
    MINUTE_S = 60,
    P1_NODES = 22,
    P2_NODES = 13,
    NODES = P1_NODES * P2_NODES,
    COLUMNS = 4,
    EDGE_MINUTES = 5,        /* of the plain rise, shown only */
    LATE_LEAST_MINUTES = 20, /* shown only */
};

/* The grid of memories: partial autocorrelations that minutes of heart rate show, evenly spaced.
 * Part of the method, not a limit of coaching: coverage was measured with this very grid.  Its top
 * node carries the weight of a whole step, and one twice as fine in both narrows the likely range
 * under slow noise by up to 8 %. */
static const double P1_LOWEST = -0.4;
static const double P1_HIGHEST = 0.97;
static const double P2_LOWEST = -0.8;
static const double P2_HIGHEST = 0.6;

/* The prior (1 - p2^2)^5 leans towards no second partial autocorrelation.  A deep negative one
 * promises next to no slow noise, and a trend then looks too sure: with an even prior the likely
 * range held the truth on 85 % of simulated rides with swings of 3 to 6 minutes, with this one on
 * 88 %, and was a little narrower elsewhere. */
static const double P2_PRIOR_POWER = 5.0;

/* One-minute means of the fit, and of what follows it. */
struct minutes {
    size_t n;
    double *heart_bpm; /* [n] NAN where under half the minute is usable */
    double *felt_w;    /* [n] power as heart rate feels it; NAN never */
    double *power_w;   /* [n] as ridden; NAN where unknown */
};

static double mean_of(const double series[], int32_t from, int32_t to, double least)
{
    double sum = 0.0;
    double known = 0.0;
    for (int32_t t = from; t < to; t++) {
        if (!isnan(series[t])) {
            sum += series[t];
            known += 1.0;
        }
    }
    return known >= least && known > 0.0 ? sum / known : (double)NAN;
}

static struct minutes minutes_of(struct arena *arena, const double heart_bpm[],
                                 const double felt_w[], const double power_w[], int32_t from,
                                 size_t n, double least)
{
    struct minutes minutes = {
        .n = n,
        .heart_bpm = ARENA_ARRAY(arena, double, n),
        .felt_w = ARENA_ARRAY(arena, double, n),
        .power_w = ARENA_ARRAY(arena, double, n),
    };
    for (size_t i = 0; i < n; i++) {
        const int32_t start = from + (int32_t)i * MINUTE_S;
        minutes.heart_bpm[i] = mean_of(heart_bpm, start, start + MINUTE_S, least);
        minutes.felt_w[i] = mean_of(felt_w, start, start + MINUTE_S, 1.0);
        minutes.power_w[i] = mean_of(power_w, start, start + MINUTE_S, least);
    }
    return minutes;
}

struct mixture_room {
    struct gls_mixture_grid grid;
    struct gls_mixture mixture;
    double p1[P1_NODES];
    double p1_log_prior[P1_NODES];
    double p2[P2_NODES];
    double p2_log_prior[P2_NODES];
    double weight[NODES];
    double location[NODES];
    double scale[NODES];
};

static struct mixture_room *open_room(struct arena *arena)
{
    struct mixture_room *room = ARENA_ARRAY(arena, struct mixture_room, 1);
    for (size_t i = 0; i < P1_NODES; i++) {
        room->p1[i] = P1_LOWEST + (P1_HIGHEST - P1_LOWEST) * (double)i / (P1_NODES - 1);
        /* The density (1 - p1^2)^-1/2, the reference prior of a first-order autoregression. */
        room->p1_log_prior[i] = -0.5 * log(1.0 - room->p1[i] * room->p1[i]);
    }
    for (size_t i = 0; i < P2_NODES; i++) {
        room->p2[i] = P2_LOWEST + (P2_HIGHEST - P2_LOWEST) * (double)i / (P2_NODES - 1);
        room->p2_log_prior[i] = P2_PRIOR_POWER * log(1.0 - room->p2[i] * room->p2[i]);
    }
    room->grid = (struct gls_mixture_grid){ room->p1, room->p1_log_prior, P1_NODES,
                                            room->p2, room->p2_log_prior, P2_NODES };
    room->mixture.weight = room->weight;
    room->mixture.location = room->location;
    room->mixture.scale = room->scale;
    return room;
}

/* The bow: 1 - e^(-s / tau) less its chord over 0..T, divided by its greatest value. */
static double bow(double s, double length_s, double tau_s)
{
    const double end = 1.0 - exp(-length_s / tau_s);
    /* The greatest lies where the slope of the curve equals that of the chord. */
    const double top_s = -tau_s * log(tau_s * end / length_s);
    const double top = 1.0 - exp(-top_s / tau_s) - end * top_s / length_s;
    return (1.0 - exp(-s / tau_s) - end * s / length_s) / top;
}

/* How heart rate feels power: the rider's own way where it is known, else that of riders. */
struct feeling {
    double gain; /* bpm per W: what is believed before the fit, and how surely */
    double gain_sd;
    double tau_s;
    double dead_s;
};

/* What rides tell of it, and what the form may be off within an hour of steady riding: less than
 * over all that a rider rides, which the response's own range holds. */
static double own_gain_sd(const struct heart_response *response, const double *v)
{
    const double gain = response->gain_bpm_per_w;
    const double half = (response->gain_high - response->gain_low) / 2.0;
    const double whole = half / distributions_normal_quantile(0.95);
    const double form = v[LIMIT_RESPONSE_FORM_PCT] / 100.0 * gain;
    const double own = v[LIMIT_DRIFT_GAIN_OWN_SD_PCT] / 100.0 * gain;
    return sqrt(fmax(whole * whole - form * form, 0.0) + own * own);
}

static struct feeling feeling_of(const struct heart_response *response, double threshold_w,
                                 double mean_power_w, const struct limits *limits)
{
    const double *v = limits->value;
    if (response != NULL && response->end == RESPONSE_FITTED) {
        return (struct feeling){ response->gain_bpm_per_w, own_gain_sd(response, v),
                                 response->tau_s, response->dead_s };
    }
    /* Without a threshold the base test's own intensity stands in for it. */
    const bool guess = isnan(threshold_w);
    const double scale_w = guess ? 100.0 * mean_power_w / v[LIMIT_BASE_AIM_PCT] : threshold_w;
    const double sd_bpm = v[guess ? LIMIT_DRIFT_GAIN_SD_UNKNOWN_BPM : LIMIT_DRIFT_GAIN_SD_BPM];
    return (struct feeling){ v[LIMIT_DRIFT_GAIN_BPM] / scale_w, sd_bpm / scale_w,
                             v[LIMIT_STEADY_TAU_S], v[LIMIT_DRIFT_DEAD_TIME_S] };
}

/* The fit of the header.  False when too few minutes are usable. */
static bool fit_heart(struct arena *arena, const struct minutes *minutes,
                      const struct feeling *feeling, const struct limits *limits,
                      struct drift *drift)
{
    const size_t n = minutes->n;
    const double length_s = (double)n * MINUTE_S;
    double *x = ARENA_ARRAY(arena, double, n *COLUMNS);
    double felt_mean_w = 0.0;
    for (size_t i = 0; i < n; i++) {
        felt_mean_w += minutes->felt_w[i] / (double)n;
    }
    for (size_t i = 0; i < n; i++) {
        const double s = ((double)i + 0.5) * MINUTE_S;
        double *row = &x[i * COLUMNS];
        row[0] = 1.0;
        row[1] = s / length_s;
        row[2] = minutes->felt_w[i] - felt_mean_w;
        row[3] = bow(s, length_s, limits->value[LIMIT_DRIFT_BOW_TAU_S]);
    }
    const double none = (double)INFINITY;
    const double prior_mean[COLUMNS] = { 0.0, 0.0, feeling->gain, 0.0 };
    const double prior_sd[COLUMNS] = { none, none, feeling->gain_sd,
                                       limits->value[LIMIT_DRIFT_BOW_SD_BPM] };
    const struct gls_mixture_model model = {
        .y = minutes->heart_bpm,
        .x = x,
        .n = n,
        .k = COLUMNS,
        .prior_mean = prior_mean,
        .prior_sd = prior_sd,
        .least_sd = limits->value[LIMIT_DRIFT_LEAST_SD_BPM],
    };
    const double contrast[COLUMNS] = { 0.0, 1.0, 0.0, 0.0 };
    struct mixture_room *room = open_room(arena);
    double *work = ARENA_ARRAY(arena, double, gls_mixture_work(&model));
    if (!gls_mixture_fit(&model, &room->grid, contrast, limits->value[LIMIT_DRIFT_FORM_SD_BPM],
                         work, &room->mixture)) {
        return false;
    }
    drift->drift_bpm = room->mixture.estimate;
    drift->low_bpm = room->mixture.low;
    drift->high_bpm = room->mixture.high;
    drift->start_bpm = room->mixture.mean[0];
    drift->end_bpm = room->mixture.mean[0] + room->mixture.mean[1];
    drift->autocorrelation = room->mixture.p1_mean;
    return true;
}

/* The straight line through power, with the same errors that remember. */
static void fit_power(struct arena *arena, const struct minutes *minutes, struct drift *drift)
{
    const size_t n = minutes->n;
    double *x = ARENA_ARRAY(arena, double, n * 2);
    for (size_t i = 0; i < n; i++) {
        x[2 * i] = 1.0;
        x[2 * i + 1] = ((double)i + 0.5) / (double)n;
    }
    const struct gls_mixture_model model = { .y = minutes->power_w, .x = x, .n = n, .k = 2 };
    const double contrast[2] = { 0.0, 1.0 };
    struct mixture_room *room = open_room(arena);
    double *work = ARENA_ARRAY(arena, double, gls_mixture_work(&model));
    if (gls_mixture_fit(&model, &room->grid, contrast, 0.0, work, &room->mixture)) {
        drift->power_change_w = room->mixture.estimate;
        drift->power_change_low_w = room->mixture.low;
        drift->power_change_high_w = room->mixture.high;
    }
}

/* Slope of heart rate less gain x power, by least squares: shown beside the verdict only. */
static double late_slope(const struct minutes *minutes, double gain_bpm_per_w)
{
    double n = 0.0;
    double t_sum = 0.0;
    double y_sum = 0.0;
    for (size_t i = 0; i < minutes->n; i++) {
        if (!isnan(minutes->heart_bpm[i])) {
            n += 1.0;
            t_sum += (double)i;
            y_sum += minutes->heart_bpm[i] - gain_bpm_per_w * minutes->felt_w[i];
        }
    }
    if (n < LATE_LEAST_MINUTES) {
        return (double)NAN;
    }
    double ty = 0.0;
    double tt = 0.0;
    for (size_t i = 0; i < minutes->n; i++) {
        if (!isnan(minutes->heart_bpm[i])) {
            const double t = (double)i - t_sum / n;
            ty += t * (minutes->heart_bpm[i] - gain_bpm_per_w * minutes->felt_w[i] - y_sum / n);
            tt += t * t;
        }
    }
    return 60.0 * ty / tt; /* minutes to hours */
}

static double coverage(const double series[], const uint8_t paused[], struct span span)
{
    double running = 0.0;
    double usable = 0.0;
    for (int32_t t = span.from_s; t < span.to_s; t++) {
        running += paused[t] == 0;
        usable += paused[t] == 0 && !isnan(series[t]);
    }
    return usable / running;
}

/* A heart at rest in a chair varies more than this: the strap repeats itself. */
static bool is_stuck(const double heart_bpm[], struct span span)
{
    double least = (double)INFINITY;
    double most = -(double)INFINITY;
    for (int32_t t = span.from_s; t < span.to_s; t++) {
        if (!isnan(heart_bpm[t])) {
            least = fmin(least, heart_bpm[t]);
            most = fmax(most, heart_bpm[t]);
        }
    }
    return most - least < 1.0;
}

static struct drift unknown_drift(void)
{
    const double unknown = (double)NAN;
    return (struct drift){
        .minutes = unknown,
        .drift_bpm = unknown,
        .low_bpm = unknown,
        .high_bpm = unknown,
        .mean_power_w = unknown,
        .start_bpm = unknown,
        .end_bpm = unknown,
        .plain_bpm = unknown,
        .power_change_w = unknown,
        .power_change_low_w = unknown,
        .power_change_high_w = unknown,
        .late_bpm_per_h = unknown,
        .autocorrelation = unknown,
        .heart_coverage = unknown,
        .power_coverage = unknown,
    };
}

/* The whole minutes of the span that are fitted; empty if they are too few. */
static struct span fitted_span(const struct steady *steady, const struct limits *limits)
{
    const double *v = limits->value;
    const double whole_s = (double)(steady->span.to_s - steady->span.from_s);
    /* After five time constants of heart rate 99 % of a change of power is answered. */
    const double settle_s = ceil(fmax(v[LIMIT_DRIFT_SETTLE_S], 5.0 * v[LIMIT_STEADY_TAU_S]));
    const double counted_s = fmin(whole_s, v[LIMIT_DRIFT_LAST_S]);
    /* The edges of a span are known to some seconds: a minute short of that many is whole, and
     * the first minutes left out are that much shorter. */
    const double n = floor((counted_s - settle_s + v[LIMIT_STEADY_EDGE_S]) / MINUTE_S);
    if (whole_s + v[LIMIT_STEADY_EDGE_S] < v[LIMIT_DRIFT_SHORTEST_S] || n < 1.0) {
        return (struct span){ 0, 0 };
    }
    const int32_t length_s = (int32_t)n * MINUTE_S;
    const int32_t latest = (int32_t)(counted_s)-length_s;
    const int32_t from =
        steady->span.from_s + (latest < (int32_t)settle_s ? latest : (int32_t)settle_s);
    return (struct span){ from, from + length_s };
}

struct drift drift_fit(struct arena *arena, const struct recording *recording,
                       const struct steady *steady, double threshold_w, const struct limits *limits)
{
    return drift_fit_with(arena, recording, steady, threshold_w, NULL, limits);
}

struct drift drift_fit_with(struct arena *arena, const struct recording *recording,
                            const struct steady *steady, double threshold_w,
                            const struct heart_response *response, const struct limits *limits)
{
    (void)arena; /* numbers only go out; the work goes with its own arena */
    struct arena *scratch = arena_open();
    struct drift drift = unknown_drift();
    const double *v = limits->value;
    const double *power_w = recording_series(scratch, recording, CHANNEL_POWER);
    const double *heart_bpm = recording_series(scratch, recording, CHANNEL_HEART_RATE);
    drift.fitted = fitted_span(steady, limits);
    if (power_w != NULL && drift.fitted.to_s > drift.fitted.from_s) {
        drift.power_coverage = coverage(power_w, recording->paused, drift.fitted);
        drift.mean_power_w = mean_of(power_w, drift.fitted.from_s, drift.fitted.to_s, 1.0);
        if (heart_bpm != NULL) {
            drift.heart_coverage = coverage(heart_bpm, recording->paused, drift.fitted);
        }
    }
    if (power_w == NULL) {
        drift.why_not = "no-power";
    } else if (!steady->found) {
        drift.why_not = "no-steady-span";
    } else if (drift.fitted.to_s <= drift.fitted.from_s) {
        drift.why_not = "too-short";
    } else if (!(drift.power_coverage >= v[LIMIT_DRIFT_COVERAGE_RATIO])) {
        drift.why_not = "power-coverage";
    } else if (heart_bpm == NULL) {
        drift.why_not = "no-heart-rate";
    } else if (!(drift.heart_coverage >= v[LIMIT_DRIFT_COVERAGE_RATIO])) {
        drift.why_not = "heart-coverage";
    } else if (is_stuck(heart_bpm, drift.fitted)) {
        drift.why_not = "heart-stuck";
    } else {
        const size_t n_seconds = recording->n_seconds;
        const double least = v[LIMIT_DRIFT_MINUTE_LEAST_S];
        const struct feeling feeling =
            feeling_of(response, threshold_w, drift.mean_power_w, limits);
        double *felt_w = ARENA_ARRAY(scratch, double, n_seconds);
        steady_filter(power_w, recording->paused, n_seconds, feeling.tau_s, (size_t)feeling.dead_s,
                      felt_w);
        const size_t n = (size_t)(drift.fitted.to_s - drift.fitted.from_s) / MINUTE_S;
        const struct minutes minutes =
            minutes_of(scratch, heart_bpm, felt_w, power_w, drift.fitted.from_s, n, least);
        drift.known = fit_heart(scratch, &minutes, &feeling, limits, &drift);
        drift.why_not = drift.known ? NULL : "heart-coverage";
        drift.minutes = (double)n;
        fit_power(scratch, &minutes, &drift);
        const int32_t edge = EDGE_MINUTES * MINUTE_S;
        drift.plain_bpm =
            mean_of(heart_bpm, drift.fitted.to_s - edge, drift.fitted.to_s, least) -
            mean_of(heart_bpm, drift.fitted.from_s, drift.fitted.from_s + edge, least);
        const struct minutes late =
            minutes_of(scratch, heart_bpm, felt_w, power_w, drift.fitted.to_s,
                       (size_t)(steady->span.to_s - drift.fitted.to_s) / MINUTE_S, least);
        drift.late_bpm_per_h = late_slope(&late, feeling.gain);
    }
    arena_close(scratch);
    return drift;
}
