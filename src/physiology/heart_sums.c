/* physiology/heart_sums.c: a ride boiled down to sums of products. */
#include "physiology/heart_response.h"

#include <math.h>
#include <string.h>

/* The grid of time constants and dead times.  Part of the method, not a limit of coaching: kept
 * sums lie on it, so that another grid is another HEART_SUMS_METHOD.  Time constants on the cycle
 * are 68.7 (sd 21.5) s, on the treadmill 62.5 (18.5) s (Hunt, Grunder and Zahnd 2019, PLoS ONE
 * 14:e0220826, F-20): from two standard deviations below to two above.  That there is a dead time:
 * Hunt and Wang 2024, F1000Research 13:894 (F-24); its 5 s are a step of the sums, and up to 15 s
 * this project's. */
static const double SHORTEST_TAU_S = 20.0;
static const double LONGEST_TAU_S = 110.0;
static const double DEAD_STEP_S = RESPONSE_STEP_S;
/* Seconds within a beat of maximal are left out, this project's choice; beats are whole, and half a
 * one keeps rounding out of it. */
static const double TOP_BPM = 1.5;

double response_tau_s(size_t node)
{
    const size_t place = node / RESPONSE_DEADS;
    const double share = (double)place / (RESPONSE_TAUS - 1);
    return SHORTEST_TAU_S * pow(LONGEST_TAU_S / SHORTEST_TAU_S, share);
}

double response_dead_s(size_t node)
{
    return DEAD_STEP_S * (double)(node % RESPONSE_DEADS);
}

/* ---- seconds that can be used ---- */

struct seconds {
    size_t n;
    double *power_w; /* carried over short gaps; NAN where they are long */
    double *heart_bpm;
    double *work_wh;  /* before each second */
    uint8_t *settled; /* 1 = F is what it would be without gaps */
};

static bool any_known(const double x[], size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (!isnan(x[i])) {
            return true;
        }
    }
    return false;
}

/* Short gaps carry the last power on; after longer ones everything must settle anew. */
static void carry_over(struct seconds *seconds, const struct limits *limits)
{
    const size_t longest = (size_t)limits->value[LIMIT_RESPONSE_GAP_S];
    const size_t settle = (size_t)limits->value[LIMIT_RESPONSE_SETTLE_S];
    size_t missing = longest + 1;
    size_t since = 0;
    double last = (double)NAN;
    double work = 0.0;
    for (size_t i = 0; i < seconds->n; i++) {
        if (isnan(seconds->power_w[i])) {
            missing++;
        } else {
            /* Before the first known second, and after a long gap, nothing is settled. */
            since = missing > longest ? 0 : since;
            missing = 0;
            last = seconds->power_w[i];
        }
        seconds->power_w[i] = missing > longest ? (double)NAN : last;
        seconds->work_wh[i] = work;
        work += isnan(seconds->power_w[i]) ? 0.0 : seconds->power_w[i] / 3600.0;
        seconds->settled[i] = since >= settle && missing <= longest ? 1 : 0;
        since++;
    }
}

/* Where the heart is near its most, it can't follow. */
static void leave_out_the_top(struct seconds *seconds, double max_heart_bpm)
{
    const double top_bpm = max_heart_bpm - TOP_BPM;
    for (size_t i = 0; !isnan(max_heart_bpm) && i < seconds->n; i++) {
        if (seconds->heart_bpm[i] > top_bpm) {
            seconds->heart_bpm[i] = (double)NAN;
        }
    }
}

/* ---- F at one node ---- */

/* `dead` late and lagged; begins, and begins again after a gap, at the power that comes. */
static void lag(const struct seconds *seconds, double tau_s, size_t dead, double f[])
{
    const double share = 1.0 - exp(-1.0 / tau_s);
    double at = (double)NAN;
    for (size_t i = 0; i < seconds->n; i++) {
        const double power = seconds->power_w[i >= dead ? i - dead : 0];
        if (isnan(seconds->power_w[i])) {
            at = (double)NAN;
        } else if (isnan(at)) {
            at = seconds->power_w[i];
        } else if (!isnan(power)) {
            at += (power - at) * share;
        }
        f[i] = at;
    }
}

/* ---- sums ---- */

/* One step's columns; false when a second of it can't be used. */
static bool step_of(const struct seconds *seconds, const double f[], size_t from,
                    double z[RESPONSE_COLUMNS])
{
    double sum_f = 0.0;
    double sum_work = 0.0;
    double sum_heart = 0.0;
    for (size_t i = from; i < from + RESPONSE_STEP_S; i++) {
        if (seconds->settled[i] == 0) {
            return false;
        }
        sum_f += f[i];
        sum_work += seconds->work_wh[i];
        sum_heart += seconds->heart_bpm[i];
    }
    z[0] = 1.0;
    z[1] = sum_f / RESPONSE_STEP_S;
    z[2] = sum_work / RESPONSE_STEP_S;
    z[3] = sum_heart / RESPONSE_STEP_S;
    return isfinite(z[1]) && isfinite(z[3]);
}

static void add_products(double sums[RESPONSE_COLUMNS][RESPONSE_COLUMNS],
                         const double a[RESPONSE_COLUMNS], const double b[RESPONSE_COLUMNS])
{
    for (size_t i = 0; i < RESPONSE_COLUMNS; i++) {
        for (size_t j = 0; j < RESPONSE_COLUMNS; j++) {
            sums[i][j] += a[i] * b[j];
        }
    }
}

static void sum_up(const struct seconds *seconds, const double f[], struct response_sums *out,
                   size_t *n, size_t *n_pairs)
{
    double before[RESPONSE_COLUMNS] = { 0 }; /* for a compiler that does not see has_before */
    double z[RESPONSE_COLUMNS];
    bool has_before = false;
    *out = (struct response_sums){ 0 };
    *n = 0;
    *n_pairs = 0;
    for (size_t from = 0; from + RESPONSE_STEP_S <= seconds->n; from += RESPONSE_STEP_S) {
        const bool is_usable = step_of(seconds, f, from, z);
        if (is_usable) {
            add_products(out->plain, z, z);
            (*n)++;
            if (has_before) {
                add_products(out->now, z, z);
                add_products(out->then, before, before);
                add_products(out->both, z, before);
                (*n_pairs)++;
            }
            memcpy(before, z, sizeof before);
        }
        has_before = is_usable;
    }
}

enum response_unfit response_ride_of(struct arena *arena, const struct recording *recording,
                                     double max_heart_bpm, const struct limits *limits,
                                     struct response_ride *out)
{
    struct seconds seconds = { .n = recording->n_seconds };
    seconds.power_w = recording_series(arena, recording, CHANNEL_POWER);
    seconds.heart_bpm = recording_series(arena, recording, CHANNEL_HEART_RATE);
    out->n = out->n_pairs = 0;
    out->mean_w = out->spread_w = (double)NAN;
    if (seconds.power_w == NULL || !any_known(seconds.power_w, seconds.n)) {
        return RIDE_NO_POWER;
    }
    if (seconds.heart_bpm == NULL || !any_known(seconds.heart_bpm, seconds.n)) {
        return RIDE_NO_HEART;
    }
    seconds.work_wh = ARENA_RAW(arena, double, seconds.n);
    seconds.settled = ARENA_RAW(arena, uint8_t, seconds.n);
    double *f = ARENA_RAW(arena, double, seconds.n);
    carry_over(&seconds, limits);
    leave_out_the_top(&seconds, max_heart_bpm);
    for (size_t node = 0; node < RESPONSE_NODES; node++) {
        lag(&seconds, response_tau_s(node), (size_t)response_dead_s(node), f);
        sum_up(&seconds, f, &out->at[node], &out->n, &out->n_pairs);
    }
    if ((double)(out->n * RESPONSE_STEP_S) < limits->value[LIMIT_RESPONSE_RIDE_S]) {
        return RIDE_TOO_SHORT;
    }
    const struct response_sums *middle = &out->at[RESPONSE_NODES / 2];
    const double n = (double)out->n;
    out->mean_w = middle->plain[0][1] / n;
    out->spread_w = sqrt(fmax(middle->plain[1][1] / n - out->mean_w * out->mean_w, 0.0));
    return RIDE_FITS;
}
