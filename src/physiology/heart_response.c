/* physiology/heart_response.c: one rider's response, from the sums of many rides. */
#include "physiology/heart_response.h"

#include "maths/distributions.h"

#include <math.h>
#include <string.h>

enum { UNKNOWNS = 3, Q = RESPONSE_COLUMNS }; /* rest, gain, drift */

const char *response_end_name(enum response_end end)
{
    static const char *const names[] = {
        [RESPONSE_FITTED] = "fitted",     [RESPONSE_TOO_FEW] = "too-few",
        [RESPONSE_TOO_EVEN] = "too-even", [RESPONSE_NO_THRESHOLD] = "no-threshold",
        [RESPONSE_ABSURD] = "absurd",
    };
    return names[end];
}

/* ---- one node, one choice of rides: three equations ---- */

/* What is believed before any ride, in the units of the unknowns. */
struct prior {
    double gain; /* bpm per W */
    double gain_sd;
    double drift; /* bpm per Wh */
    double drift_sd;
    double log_tau;
    double log_tau_sd;
    double day_variance;
};

static struct prior prior_of(double threshold_w, const struct limits *limits)
{
    const double *v = limits->value;
    return (struct prior){
        .gain = v[LIMIT_RESPONSE_GAIN_BPM] / threshold_w,
        .gain_sd = v[LIMIT_RESPONSE_GAIN_SD_BPM] / threshold_w,
        .drift = v[LIMIT_RESPONSE_DRIFT_BPM] / threshold_w,
        .drift_sd = v[LIMIT_RESPONSE_DRIFT_SD_BPM] / threshold_w,
        .log_tau = log(v[LIMIT_RESPONSE_TAU_S]),
        .log_tau_sd = v[LIMIT_RESPONSE_TAU_SPREAD],
        .day_variance = v[LIMIT_RESPONSE_DAY_SD_BPM] * v[LIMIT_RESPONSE_DAY_SD_BPM],
    };
}

/* The sums of what is new in each step, once `memory` of the one before is taken out. */
static void whiten(const struct response_sums *sums, double memory, double q[Q][Q])
{
    for (size_t i = 0; i < Q; i++) {
        for (size_t j = 0; j < Q; j++) {
            q[i][j] = sums->now[i][j] - memory * (sums->both[i][j] + sums->both[j][i]) +
                      memory * memory * sums->then[i][j];
        }
    }
}

/* A ride's day isn't known: a level of its own is taken out, as far as days differ at all. */
static void without_day(double q[Q][Q], double variance_ratio)
{
    double first[Q];
    const double weight = 1.0 / (q[0][0] + variance_ratio);
    memcpy(first, q[0], sizeof first);
    for (size_t i = 0; i < Q; i++) {
        for (size_t j = 0; j < Q; j++) {
            q[i][j] -= first[i] * first[j] * weight;
        }
    }
}

struct equations {
    double left[UNKNOWNS][UNKNOWNS];
    double right[UNKNOWNS];
    double squares;
};

static void add_ride(struct equations *equations, double q[Q][Q], double sign)
{
    for (size_t i = 0; i < UNKNOWNS; i++) {
        for (size_t j = 0; j < UNKNOWNS; j++) {
            equations->left[i][j] += sign * q[i][j];
        }
        equations->right[i] += sign * q[i][UNKNOWNS];
    }
    equations->squares += sign * q[UNKNOWNS][UNKNOWNS];
}

static void add_prior(struct equations *equations, size_t which, double mean, double sd,
                      double variance)
{
    const double weight = variance / (sd * sd);
    equations->left[which][which] += weight;
    equations->right[which] += weight * mean;
    equations->squares += weight * mean * mean;
}

/* By elimination; the matrix is positive.  False where it isn't. */
static bool solve(const struct equations *equations, double x[UNKNOWNS], double *squares)
{
    double a[UNKNOWNS][UNKNOWNS + 1];
    for (size_t i = 0; i < UNKNOWNS; i++) {
        memcpy(a[i], equations->left[i], sizeof equations->left[i]);
        a[i][UNKNOWNS] = equations->right[i];
    }
    for (size_t step = 0; step < UNKNOWNS; step++) {
        if (!(a[step][step] > 1e-12 * equations->left[step][step])) {
            return false;
        }
        for (size_t i = step + 1; i < UNKNOWNS; i++) {
            const double factor = a[i][step] / a[step][step];
            for (size_t j = step; j <= UNKNOWNS; j++) {
                a[i][j] -= factor * a[step][j];
            }
        }
    }
    *squares = equations->squares;
    for (size_t i = UNKNOWNS; i-- > 0;) {
        x[i] = a[i][UNKNOWNS];
        for (size_t j = i + 1; j < UNKNOWNS; j++) {
            x[i] -= a[i][j] * x[j];
        }
        x[i] /= a[i][i];
        *squares -= x[i] * equations->right[i];
    }
    return isfinite(x[0]) && isfinite(x[1]) && isfinite(x[2]);
}

/* ---- a search over nodes ---- */

struct fit {
    const struct response_ride *const *rides; /* [n] those that count, in order */
    size_t n;
    size_t n_pairs;
    struct prior prior;
    double memory;
    size_t node;
    double variance; /* of what is new in each step */
    double x[UNKNOWNS];
    double criterion;
    struct equations equations; /* at the answer, with priors */
};

static double log_tau_price(const struct fit *fit, size_t node)
{
    const double off = (log(response_tau_s(node)) - fit->prior.log_tau) / fit->prior.log_tau_sd;
    return off * off;
}

/* The best rest, gain and drift at a node, and how well they do; the variance feeds back into how
 * much a day may take, so it goes round. */
static bool solve_node(struct fit *fit, size_t node)
{
    double days = 0.0;
    double squares = 0.0;
    for (int round = 0; round < 4; round++) {
        struct equations equations = { 0 };
        const double ratio = fit->variance / fit->prior.day_variance;
        days = 0.0;
        for (size_t i = 0; i < fit->n; i++) {
            double q[Q][Q];
            whiten(&fit->rides[i]->at[node], fit->memory, q);
            days += log(1.0 + q[0][0] / ratio);
            without_day(q, ratio);
            add_ride(&equations, q, 1.0);
        }
        add_prior(&equations, 1, fit->prior.gain, fit->prior.gain_sd, fit->variance);
        add_prior(&equations, 2, fit->prior.drift, fit->prior.drift_sd, fit->variance);
        if (!solve(&equations, fit->x, &squares)) {
            return false;
        }
        fit->variance = fmax(squares / (double)fit->n_pairs, 1e-6);
        fit->equations = equations;
    }
    fit->node = node;
    fit->criterion = (double)fit->n_pairs * log(fit->variance) + days + log_tau_price(fit, node);
    return true;
}

/* How far each step's error repeats the one before it, each ride about its own level. */
static double memory_of(const struct fit *fit)
{
    double with_before = 0.0;
    double before = 0.0;
    for (size_t i = 0; i < fit->n; i++) {
        const struct response_sums *sums = &fit->rides[i]->at[fit->node];
        double w[Q] = { 0.0, -fit->x[1], -fit->x[2], 1.0 };
        double level = 0.0;
        for (size_t j = 1; j < Q; j++) {
            level += w[j] * sums->plain[0][j] / sums->plain[0][0];
        }
        w[0] = -level;
        for (size_t j = 0; j < Q; j++) {
            for (size_t k = 0; k < Q; k++) {
                with_before += w[j] * sums->both[j][k] * w[k];
                before += w[j] * sums->then[j][k] * w[k];
            }
        }
    }
    return fmin(fmax(with_before / before, 0.0), 0.99);
}

static bool search_nodes(struct fit *fit)
{
    struct fit best = *fit;
    bool is_found = false;
    for (size_t node = 0; node < RESPONSE_NODES; node++) {
        struct fit at = *fit;
        if (solve_node(&at, node) && (!is_found || at.criterion < best.criterion)) {
            best = at;
            is_found = true;
        }
    }
    *fit = best;
    return is_found;
}

/* ---- with one ride left out ---- */

/* A ride's level against rest, gain and drift: the plain mean, since taking the memory out of a
 * level weighs its two ends most.  *squares gets the steps' error about that level. */
static double level_of(const struct fit *fit, const struct response_ride *ride,
                       const double x[UNKNOWNS], double *se, double *squares)
{
    const struct response_sums *sums = &ride->at[fit->node];
    const double n = sums->plain[0][0];
    double w[Q] = { -x[0], -x[1], -x[2], 1.0 };
    double level = 0.0;
    for (size_t j = 0; j < Q; j++) {
        level += w[j] * sums->plain[0][j] / n;
    }
    *se = sqrt(fit->variance / n) / (1.0 - fit->memory);
    w[0] -= level;
    *squares = 0.0;
    for (size_t j = 0; j < Q; j++) {
        for (size_t k = 0; k < Q; k++) {
            *squares += w[j] * sums->plain[j][k] * w[k];
        }
    }
    return level;
}

static bool solve_without(const struct fit *fit, size_t left_out, double x[UNKNOWNS])
{
    struct equations equations = fit->equations;
    double q[Q][Q];
    double squares;
    whiten(&fit->rides[left_out]->at[fit->node], fit->memory, q);
    without_day(q, fit->variance / fit->prior.day_variance);
    add_ride(&equations, q, -1.0);
    return solve(&equations, x, &squares);
}

/* ---- the response ---- */

static struct heart_response nothing(enum response_end end, double threshold_w)
{
    const double none = (double)NAN;
    return (struct heart_response){ .end = end,
                                    .threshold_w = threshold_w,
                                    .tau_s = none,
                                    .dead_s = none,
                                    .gain_bpm_per_w = none,
                                    .gain_low = none,
                                    .gain_high = none,
                                    .rest_bpm = none,
                                    .drift_bpm_per_h = none,
                                    .memory = none,
                                    .noise_bpm = none,
                                    .error_bpm = none,
                                    .day_sd_bpm = none,
                                    .alike = none,
                                    .trend_bpm = none,
                                    .trend_at = none,
                                    .trend_se_bpm = none };
}

static bool is_before(const struct response_ride *a, const struct response_ride *b)
{
    return a->day != b->day ? a->day < b->day : a->id < b->id;
}

/* Those that are long enough, by day: sums then come in one order whoever asks. */
static size_t in_order(const struct response_ride rides[], size_t n, const struct limits *limits,
                       const struct response_ride **out)
{
    size_t count = 0;
    for (size_t i = 0; i < n; i++) {
        if ((double)(rides[i].n * RESPONSE_STEP_S) < limits->value[LIMIT_RESPONSE_RIDE_S] ||
            rides[i].n_pairs == 0) {
            continue;
        }
        size_t at = count++;
        while (at > 0 && is_before(&rides[i], out[at - 1])) {
            out[at] = out[at - 1];
            at--;
        }
        out[at] = &rides[i];
    }
    return count;
}

/* How much power changed, within rides and from ride to ride. */
static double spread_w(const struct response_ride *const rides[], size_t n)
{
    double sum = 0.0;
    double steps = 0.0;
    for (size_t i = 0; i < n; i++) {
        sum += rides[i]->spread_w * rides[i]->spread_w * (double)rides[i]->n;
        steps += (double)rides[i]->n;
    }
    return sqrt(sum / steps);
}

/* ---- how days follow one another ---- */

/* The correlation of days with the ride's before them, drawn towards none; never under it. */
static double alike_of(const struct fit *fit, const double level[], const struct limits *limits)
{
    double mean = 0.0;
    double squares = 0.0;
    double products = 0.0;
    double pairs = 0.0;
    for (size_t i = 0; i < fit->n; i++) {
        mean += level[i] / (double)fit->n;
    }
    for (size_t i = 0; i < fit->n; i++) {
        squares += (level[i] - mean) * (level[i] - mean) / (double)fit->n;
        if (i > 0 && (double)(fit->rides[i]->day - fit->rides[i - 1]->day) <=
                         limits->value[LIMIT_TODAY_PAIR_DAYS]) {
            products += (level[i] - mean) * (level[i - 1] - mean);
            pairs += 1.0;
        }
    }
    return squares > 0.0
               ? fmax(products / squares / (pairs + limits->value[LIMIT_TODAY_ALIKE_PAIRS]), 0.0)
               : 0.0;
}

/* Days that are alike tell as much as so many fewer that aren't: a first-order autoregression's
 * mean (Bayley and Hammersley 1946, J R Stat Soc Suppl 8:184, from memory). */
static double worth_less(double alike)
{
    return (1.0 + alike) / (1.0 - alike);
}

/* A straight line through the days, drawn towards none: fitness moves usual itself. */
static void days_of(const struct fit *fit, const double level[], const struct limits *limits,
                    struct heart_response *out)
{
    double spread = 0.0;
    double products = 0.0;
    out->trend_at = 0.0;
    for (size_t i = 0; i < fit->n; i++) {
        out->trend_at += (double)fit->rides[i]->day / (double)fit->n;
    }
    for (size_t i = 0; i < fit->n; i++) {
        const double away = (double)fit->rides[i]->day - out->trend_at;
        spread += away * away;
        products += away * level[i];
    }
    const double before = limits->value[LIMIT_TODAY_TREND_SD_BPM];
    out->alike = alike_of(fit, level, limits);
    const double variance = out->day_sd_bpm * out->day_sd_bpm * worth_less(out->alike);
    out->trend_bpm = products / (spread + variance / (before * before));
    out->trend_se_bpm = sqrt(variance / (spread + variance / (before * before)));
}

/* The jackknife, the days and the error, in one pass over the rides.
 *   levels  [fit->n] filled */
static bool leave_out_each(const struct fit *fit, const struct response_ride rides[],
                           double levels[], const struct limits *limits, struct heart_response *out)
{
    const double n = (double)fit->n;
    double sum = 0.0;
    double sum_squares = 0.0;
    double squares = 0.0;
    double steps = 0.0;
    double days = 0.0;
    for (size_t i = 0; i < fit->n; i++) {
        double x[UNKNOWNS];
        double se;
        double about;
        if (!solve_without(fit, i, x)) {
            return false;
        }
        const double level = level_of(fit, fit->rides[i], x, &se, &about);
        sum += x[1];
        sum_squares += x[1] * x[1];
        squares += about;
        steps += (double)fit->rides[i]->n;
        days += level * level;
        levels[i] = level;
        const size_t place = (size_t)(fit->rides[i] - rides);
        out->day_bpm[place] = level;
        out->day_se_bpm[place] = se;
    }
    const double by_jackknife = fmax((n - 1.0) / n * (sum_squares - sum * sum / n), 0.0);
    const double by_form = limits->value[LIMIT_RESPONSE_FORM_PCT] / 100.0 * out->gain_bpm_per_w;
    const double half = distributions_t_quantile(0.95, n - 1.0) * sqrt(by_jackknife);
    const double form_half = distributions_normal_quantile(0.95) * by_form;
    out->gain_low = out->gain_bpm_per_w - sqrt(half * half + form_half * form_half);
    out->gain_high = out->gain_bpm_per_w + sqrt(half * half + form_half * form_half);
    out->error_bpm = sqrt(fmax(squares, 0.0) / steps);
    const double freedom = limits->value[LIMIT_RESPONSE_DAY_FREEDOM];
    out->day_sd_bpm = sqrt((freedom * fit->prior.day_variance + days) / (freedom + n - 1.0));
    days_of(fit, levels, limits, out);
    return true;
}

struct heart_response heart_response_fit(struct arena *arena, const struct response_ride rides[],
                                         size_t n, double threshold_w, const struct limits *limits)
{
    if (!(threshold_w > 0.0)) {
        return nothing(RESPONSE_NO_THRESHOLD, threshold_w);
    }
    const struct response_ride **used = ARENA_ARRAY(arena, const struct response_ride *, n + 1);
    struct fit fit = { .rides = used, .prior = prior_of(threshold_w, limits) };
    fit.n = in_order(rides, n, limits, used);
    if ((double)fit.n < limits->value[LIMIT_RESPONSE_RIDES]) {
        return nothing(RESPONSE_TOO_FEW, threshold_w);
    }
    if (spread_w(used, fit.n) < limits->value[LIMIT_RESPONSE_SPREAD_RATIO] * threshold_w) {
        return nothing(RESPONSE_TOO_EVEN, threshold_w);
    }
    for (size_t i = 0; i < fit.n; i++) {
        fit.n_pairs += used[i]->n_pairs;
    }
    fit.memory = limits->value[LIMIT_RESPONSE_MEMORY];
    fit.variance = 1.0;
    for (int round = 0; round < 3; round++) {
        if (!search_nodes(&fit)) {
            return nothing(RESPONSE_ABSURD, threshold_w);
        }
        fit.memory = memory_of(&fit);
    }
    if (!search_nodes(&fit)) {
        return nothing(RESPONSE_ABSURD, threshold_w);
    }
    struct heart_response out = nothing(RESPONSE_FITTED, threshold_w);
    out.n_rides = fit.n;
    out.first_day = used[0]->day;
    out.last_day = used[fit.n - 1]->day;
    out.node = fit.node;
    out.tau_s = response_tau_s(fit.node);
    out.dead_s = response_dead_s(fit.node);
    out.rest_bpm = fit.x[0];
    out.gain_bpm_per_w = fit.x[1];
    out.drift_bpm_per_h = fit.x[2] * threshold_w;
    out.memory = fit.memory;
    out.noise_bpm = sqrt(fit.variance);
    out.day_bpm = arena_alloc(arena, n, sizeof *out.day_bpm);
    out.day_se_bpm = arena_alloc(arena, n, sizeof *out.day_se_bpm);
    for (size_t i = 0; i < n; i++) {
        out.day_bpm[i] = out.day_se_bpm[i] = (double)NAN;
    }
    const double gain_bpm = out.gain_bpm_per_w * threshold_w;
    if (!leave_out_each(&fit, rides, ARENA_ARRAY(arena, double, fit.n), limits, &out) ||
        gain_bpm < limits->value[LIMIT_RESPONSE_GAIN_LEAST_BPM] ||
        gain_bpm > limits->value[LIMIT_RESPONSE_GAIN_MOST_BPM]) {
        return nothing(RESPONSE_ABSURD, threshold_w);
    }
    return out;
}

/* ---- what is expected ---- */

void heart_response_expect(const struct heart_response *response, const double power_w[], size_t n,
                           double bpm[], double low[], double high[])
{
    const double half =
        distributions_normal_quantile(0.95) * sqrt(response->day_sd_bpm * response->day_sd_bpm +
                                                   response->error_bpm * response->error_bpm);
    const double share = 1.0 - exp(-1.0 / response->tau_s);
    const size_t dead = (size_t)response->dead_s;
    double last = 0.0;
    double f = 0.0;
    double work_wh = 0.0;
    /* low holds the power that goes on until all is known: dead time looks back. */
    for (size_t i = 0; i < n; i++) {
        last = isnan(power_w[i]) ? last : power_w[i];
        low[i] = last;
    }
    for (size_t i = 0; i < n; i++) {
        f += (low[i >= dead ? i - dead : 0] - f) * share;
        bpm[i] = response->rest_bpm + response->gain_bpm_per_w * f +
                 response->drift_bpm_per_h / response->threshold_w * work_wh;
        work_wh += low[i] / 3600.0;
        high[i] = bpm[i] + half;
    }
    for (size_t i = 0; i < n; i++) {
        low[i] = bpm[i] - half;
    }
}

/* ---- a day against usual ---- */

struct response_day heart_response_day(const struct heart_response *response,
                                       const struct response_ride *ride, bool with_before,
                                       const struct limits *limits)
{
    const double none = (double)NAN;
    struct response_day day = { USUAL_UNKNOWN, none, none, none, none, none, none, none, 0 };
    if (response->end != RESPONSE_FITTED || ride->n_pairs == 0 ||
        (double)(ride->n * RESPONSE_STEP_S) < limits->value[LIMIT_RESPONSE_RIDE_S]) {
        return day;
    }
    const double x[UNKNOWNS] = { response->rest_bpm, response->gain_bpm_per_w,
                                 response->drift_bpm_per_h / response->threshold_w };
    const struct fit fit = { .memory = response->memory,
                             .node = response->node,
                             .variance = response->noise_bpm * response->noise_bpm };
    double se;
    double about;
    const double n = (double)response->n_rides;
    const double freedom = limits->value[LIMIT_RESPONSE_DAY_FREEDOM] + n - 1.0;
    day.n_past = response->n_rides;
    const double away = (double)ride->day - response->trend_at;
    day.trend_bpm = response->trend_bpm * away;
    day.bpm = level_of(&fit, ride, x, &se, &about) - day.trend_bpm;
    day.low = day.bpm - distributions_normal_quantile(0.95) * se;
    day.high = day.bpm + distributions_normal_quantile(0.95) * se;
    day.sd_bpm = response->day_sd_bpm;
    const double looks = with_before ? limits->value[LIMIT_TODAY_LOOKS] : 1.0;
    const double rarity = 1.0 / (looks * limits->value[LIMIT_TODAY_RARITY]);
    const double so_rare = distributions_t_quantile(1.0 - rarity, freedom);
    const double day_variance = day.sd_bpm * day.sd_bpm;
    const double usual_variance =
        day_variance * worth_less(response->alike) / n + pow(away * response->trend_se_bpm, 2.0);
    day.line_bpm = so_rare * sqrt(day_variance + usual_variance);
    day.pair_line_bpm =
        so_rare * sqrt(day_variance * (1.0 + response->alike) / 2.0 + usual_variance);
    day.verdict = day.bpm > day.line_bpm    ? USUAL_HIGHER
                  : day.bpm < -day.line_bpm ? USUAL_LOWER
                                            : USUAL;
    return day;
}
