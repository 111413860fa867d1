/* maths/gls.c: least squares for errors that remember their neighbour. */
#include "maths/gls.h"

#include "maths/distributions.h"
#include "maths/gls_parts.h"

#include <assert.h>
#include <float.h>
#include <math.h>

/* What a column keeps after the others explained it, in squares: 1e-5 of its spread. */
static const double COLUMN_LEAST = 1e-10;
/* The same for y: 1e-6, where the last digits of its sums of squares are all that is left. */
static const double REST_LEAST = 1e-12;

/* Where the search ends: two fits of the same data on other processors then agree to ten digits. */
static const double RHO_TOLERANCE = 1e-13;

/* Where the search looks first; symmetric, so that -rho and rho meet the same.  The likelihood's
 * peak is about 1 / root(n (1 - rho^2)) wide in atanh rho; the steps are 0.3 to 0.7 wide there,
 * and finer ones found no other peak in the tests. */
static const double GRID[] = { -0.99999, -0.995, -0.98, -0.94, -0.87, -0.75, -0.55, -0.3,   0.0,
                               0.3,      0.55,   0.75,  0.87,  0.94,  0.98,  0.995, 0.99999 };
enum { GRID_COUNT = sizeof GRID / sizeof GRID[0] };

/* ---- one rho ---- */

/* Products of the whitened steps at one rho, decomposed as L diag(pivot) L'. */
struct whitened {
    double w[GLS_PRODUCTS];
    double lower[GLS_PRODUCTS]; /* L; its diagonal of ones isn't stored */
    double pivot[GLS_MOST];     /* the last is the sum of squares left of y */
    double log_determinant;     /* of the errors' correlations */
    bool is_whole;              /* every pivot of a column is above 0, and y's isn't below */
};

static double power(double base, size_t exponent)
{
    double result = 1.0;
    for (; exponent > 0; exponent >>= 1U) {
        if ((exponent & 1U) != 0) {
            result *= base;
        }
        base *= base;
    }
    return result;
}

static void decompose(struct whitened *white, size_t q)
{
    white->is_whole = true;
    for (size_t i = 0; i < q; i++) {
        for (size_t j = 0; j < i; j++) {
            double sum = white->w[gls_place(i, j)];
            for (size_t l = 0; l < j; l++) {
                sum -=
                    white->lower[gls_place(i, l)] * white->lower[gls_place(j, l)] * white->pivot[l];
            }
            white->lower[gls_place(i, j)] = sum / white->pivot[j];
        }
        double pivot = white->w[gls_place(i, i)];
        for (size_t l = 0; l < i; l++) {
            pivot -=
                white->lower[gls_place(i, l)] * white->lower[gls_place(i, l)] * white->pivot[l];
        }
        white->pivot[i] = i + 1 < q ? pivot : fmax(pivot, 0.0);
        if (i + 1 < q && !(pivot > 0.0)) {
            white->is_whole = false;
            return;
        }
    }
}

static void whiten(const struct gls_moments *moments, double rho, struct whitened *white)
{
    const size_t q = moments->k + 2;
    const size_t products = gls_place(q, 0);
    white->log_determinant = 0.0;
    for (size_t e = 0; e < products; e++) {
        white->w[e] = moments->firsts[e];
    }
    for (size_t i = 0; i < moments->gap_count; i++) {
        const struct gls_neighbours *pairs = &moments->gaps[i];
        const double f = power(rho, pairs->steps);
        const double by_changes = f / ((1.0 - f) * (1.0 + f));
        const double by_ends = 1.0 / (1.0 + f);
        const double by_before = (1.0 - f) / (1.0 + f);
        for (size_t e = 0; e < products; e++) {
            white->w[e] += by_changes * pairs->changes[e] + by_ends * pairs->ends[e] +
                           by_before * pairs->before[e];
        }
        white->log_determinant += pairs->count * log((1.0 - f) * (1.0 + f));
    }
    decompose(white, q);
}

/* What w changes by, per rho, and the determinant's logarithm. */
static void slope_of(const struct gls_moments *moments, double rho, double slope[],
                     double *log_determinant)
{
    const size_t products = gls_place(moments->k + 2, 0);
    *log_determinant = 0.0;
    for (size_t e = 0; e < products; e++) {
        slope[e] = 0.0;
    }
    for (size_t i = 0; i < moments->gap_count; i++) {
        const struct gls_neighbours *pairs = &moments->gaps[i];
        const double before = power(rho, pairs->steps - 1);
        const double f = before * rho;
        const double per_rho = (double)pairs->steps * before; /* of f */
        const double rest = (1.0 - f) * (1.0 + f);
        const double by_changes = per_rho * (1.0 + f * f) / (rest * rest);
        const double by_ends = -per_rho / ((1.0 + f) * (1.0 + f));
        for (size_t e = 0; e < products; e++) {
            slope[e] += by_changes * pairs->changes[e] +
                        by_ends * (pairs->ends[e] + 2.0 * pairs->before[e]);
        }
        *log_determinant -= pairs->count * per_rho * 2.0 * f / rest;
    }
}

/* Coefficients for the centred columns. */
static void solve(const struct whitened *white, size_t p, double b[])
{
    for (size_t i = p; i-- > 0;) {
        b[i] = white->lower[gls_place(p, i)];
        for (size_t j = i + 1; j < p; j++) {
            b[i] -= white->lower[gls_place(j, i)] * b[j];
        }
    }
}

/* Inverse of the columns' part of w. */
static void invert(const struct whitened *white, size_t p, double inverse[GLS_MOST][GLS_MOST])
{
    double left[GLS_MOST][GLS_MOST] = { { 0.0 } }; /* of L, by rows */
    for (size_t i = 0; i < p; i++) {
        left[i][i] = 1.0;
        for (size_t j = 0; j < i; j++) {
            double sum = 0.0;
            for (size_t l = j; l < i; l++) {
                sum -= white->lower[gls_place(i, l)] * left[l][j];
            }
            left[i][j] = sum;
        }
    }
    for (size_t i = 0; i < p; i++) {
        for (size_t j = 0; j <= i; j++) {
            double sum = 0.0;
            for (size_t l = i; l < p; l++) {
                sum += left[l][i] * left[l][j] / white->pivot[l];
            }
            inverse[i][j] = sum;
            inverse[j][i] = sum;
        }
    }
}

/* ---- likelihood ---- */

/* A search and its scratch, overwritten at every rho. */
struct trial {
    const struct gls_moments *moments;
    enum gls_method method;
    struct whitened white;
    double slope[GLS_PRODUCTS];
    double inverse[GLS_MOST][GLS_MOST];
};

/* Number by which the squares left are divided. */
static double divisor(const struct gls_moments *moments, enum gls_method method)
{
    return (double)moments->n - (method == GLS_REML ? (double)(moments->k + 1) : 0.0);
}

/* Minus infinity where the columns fall together or nothing is left of y. */
static double log_likelihood(const struct gls_moments *moments, enum gls_method method,
                             const struct whitened *white)
{
    static const double LOG_2_PI = 1.8378770664093454836;
    const size_t p = moments->k + 1;
    if (!white->is_whole || !(white->pivot[p] > 0.0)) {
        return -(double)INFINITY;
    }
    const double d = divisor(moments, method);
    const double squares = -0.5 * d * (LOG_2_PI + log(white->pivot[p] / d) + 1.0);
    double likelihood = squares - 0.5 * white->log_determinant;
    for (size_t i = 0; i < p && method == GLS_REML; i++) {
        likelihood -= 0.5 * log(white->pivot[i]);
    }
    return likelihood;
}

static double likelihood_at(struct trial *trial, double rho)
{
    whiten(trial->moments, rho, &trial->white);
    return log_likelihood(trial->moments, trial->method, &trial->white);
}

/* Change of the log likelihood per atanh rho.  The coefficients and the sd are at their best, so
 * that only w and the determinant move. */
static double ascent_at(struct trial *trial, double rho)
{
    const struct gls_moments *moments = trial->moments;
    const struct whitened *white = &trial->white;
    const size_t p = moments->k + 1;
    double log_determinant = 0.0;
    whiten(moments, rho, &trial->white);
    if (!white->is_whole || !(white->pivot[p] > 0.0)) {
        return 0.0;
    }
    slope_of(moments, rho, trial->slope, &log_determinant);
    double v[GLS_MOST] = { 0.0 }; /* y less the fit */
    solve(white, p, v);
    for (size_t i = 0; i < p; i++) {
        v[i] = -v[i];
    }
    v[p] = 1.0;
    double squares = 0.0;
    for (size_t i = 0; i <= p; i++) {
        for (size_t j = 0; j <= i; j++) {
            squares += (j < i ? 2.0 : 1.0) * v[i] * v[j] * trial->slope[gls_place(i, j)];
        }
    }
    double ascent = -0.5 * divisor(moments, trial->method) * squares / white->pivot[p];
    ascent -= 0.5 * log_determinant;
    if (trial->method == GLS_REML) {
        invert(white, p, trial->inverse);
        for (size_t i = 0; i < p; i++) {
            for (size_t j = 0; j <= i; j++) {
                ascent -=
                    (j < i ? 1.0 : 0.5) * trial->inverse[i][j] * trial->slope[gls_place(i, j)];
            }
        }
    }
    return ascent * (1.0 - rho) * (1.0 + rho);
}

/* ---- the search ---- */

/* Between a, where the likelihood rises towards b, and b: first until it falls at b, then the
 * place where it does neither, by secants that fall back on halving (Illinois: Dowell and Jarratt
 * 1971, BIT 11:168-174). */
static double find_peak(struct trial *trial, double a, double b)
{
    const double direction = b > a ? 1.0 : -1.0;
    double rise_a = direction * ascent_at(trial, a);
    double rise_b = direction * ascent_at(trial, b);
    double height = likelihood_at(trial, a);
    for (int halving = 0; halving < 60 && rise_b > 0.0; halving++) {
        const double middle = 0.5 * (a + b);
        const double rise = direction * ascent_at(trial, middle);
        const double here = likelihood_at(trial, middle);
        if (rise > 0.0 && here >= height) {
            a = middle;
            rise_a = rise;
            height = here;
        } else {
            b = middle;
            rise_b = rise;
        }
    }
    double side = 0.0; /* which end moved last */
    for (int step = 0; step < 100 && fabs(b - a) > RHO_TOLERANCE; step++) {
        double next = a + (b - a) * (rise_a / (rise_a - rise_b));
        if (!(next > fmin(a, b) && next < fmax(a, b)) || step % 8 == 7) {
            next = 0.5 * (a + b);
        }
        const double rise = direction * ascent_at(trial, next);
        if (rise > 0.0) {
            rise_b *= side > 0.0 ? 0.5 : 1.0;
            a = next;
            rise_a = rise;
        } else if (rise < 0.0) {
            rise_a *= side < 0.0 ? 0.5 : 1.0;
            b = next;
            rise_b = rise;
        } else {
            return next;
        }
        side = rise;
    }
    return 0.5 * (a + b);
}

/* False: the likelihood still rises at an edge. */
static bool find_rho(struct trial *trial, double *rho)
{
    size_t best = GRID_COUNT - 1;
    double height = -(double)INFINITY;
    for (size_t i = GRID_COUNT; i-- > 0;) {
        const double here = likelihood_at(trial, GRID[i]);
        if (here > height) {
            height = here;
            best = i;
        }
    }
    *rho = GRID[best];
    const double ascent = ascent_at(trial, GRID[best]);
    if (ascent > 0.0) {
        if (best + 1 == GRID_COUNT) {
            return false;
        }
        *rho = find_peak(trial, GRID[best], GRID[best + 1]);
    } else if (ascent < 0.0) {
        if (best == 0) {
            return false;
        }
        *rho = find_peak(trial, GRID[best], GRID[best - 1]);
    }
    return true;
}

/* Standard error of atanh rho at the peak: 1 / root of the curvature, by a central difference of
 * the ascent. */
static double spread_at(struct trial *trial, double rho)
{
    static const double STEP = 1e-4;
    const double u = atanh(rho);
    const double curvature =
        (ascent_at(trial, tanh(u - STEP)) - ascent_at(trial, tanh(u + STEP))) / (2.0 * STEP);
    return curvature > 0.0 ? 1.0 / sqrt(curvature) : (double)NAN;
}

/* ---- the answer ---- */

/* Coefficients and covariance, the constant moved back from the centre. */
static void fill_coefficients(const struct gls_moments *moments, const struct whitened *white,
                              struct gls_fit *fit)
{
    const size_t p = moments->k + 1;
    const double *centre = moments->centre;
    double b[GLS_MOST] = { 0.0 };
    double inverse[GLS_MOST][GLS_MOST] = { { 0.0 } };
    solve(white, p, b);
    invert(white, p, inverse);
    fit->coefficient[0] = b[0] + centre[p];
    for (size_t i = 1; i < p; i++) {
        fit->coefficient[i] = b[i];
        fit->coefficient[0] -= b[i] * centre[i];
    }
    const double variance = white->pivot[p] / fit->freedom;
    for (size_t i = 1; i < p; i++) {
        double with_constant = inverse[0][i];
        for (size_t j = 1; j < p; j++) {
            fit->covariance[i][j] = variance * inverse[i][j];
            with_constant -= centre[j] * inverse[j][i];
        }
        fit->covariance[0][i] = variance * with_constant;
        fit->covariance[i][0] = fit->covariance[0][i];
    }
    double constant = inverse[0][0];
    for (size_t i = 1; i < p; i++) {
        constant -= 2.0 * centre[i] * inverse[0][i];
        for (size_t j = 1; j < p; j++) {
            constant += centre[i] * centre[j] * inverse[i][j];
        }
    }
    fit->covariance[0][0] = variance * constant;
    for (size_t i = 0; i < p; i++) {
        fit->se[i] = sqrt(fit->covariance[i][i]);
    }
}

static bool fill(const struct gls_moments *moments, enum gls_method method, double rho,
                 struct gls_fit *out)
{
    const size_t p = moments->k + 1;
    struct whitened white = { 0 };
    whiten(moments, rho, &white);
    struct gls_fit fit = { .n = moments->n, .k = moments->k, .rho = rho };
    fit.freedom = (double)moments->n - (double)p;
    if (!white.is_whole) {
        return false;
    }
    fit.residual_sd = sqrt(white.pivot[p] / divisor(moments, method));
    fit.rho_spread = (double)NAN;
    fit.log_likelihood = log_likelihood(moments, method, &white);
    fill_coefficients(moments, &white, &fit);
    for (size_t i = 0; i < p; i++) {
        if (!isfinite(fit.coefficient[i]) || !isfinite(fit.se[i])) {
            return false;
        }
    }
    *out = fit;
    return true;
}

/* Enough steps, and columns that can be told apart when every error is on its own.  Also whether
 * anything is left of y. */
static bool is_sound(const struct gls_moments *moments, bool *something_left)
{
    const size_t p = moments->k + 1;
    struct whitened white = { 0 };
    if (moments->n < p + 2) {
        return false;
    }
    whiten(moments, 0.0, &white);
    if (!white.is_whole) {
        return false;
    }
    const double n = (double)moments->n;
    double noise[GLS_MOST] = { 0.0 }; /* squares that rounding may leave of a constant */
    for (size_t i = 0; i <= p; i++) {
        const double rounded = 16.0 * DBL_EPSILON * moments->centre[i];
        noise[i] = n * rounded * rounded;
    }
    for (size_t i = 1; i < p; i++) {
        if (!(white.pivot[i] > COLUMN_LEAST * white.w[gls_place(i, i)] + noise[i])) {
            return false;
        }
    }
    *something_left = white.pivot[p] > REST_LEAST * white.w[gls_place(p, p)] + noise[p];
    return true;
}

bool gls_fit(const struct gls_moments *moments, enum gls_method method, struct gls_fit *out)
{
    bool something_left = false;
    if (!is_sound(moments, &something_left)) {
        return false;
    }
    if (moments->gap_count == 0 || !something_left) {
        if (!fill(moments, method, 0.0, out)) {
            return false;
        }
        out->rho = (double)NAN;
        out->log_likelihood = (double)NAN;
        return true;
    }
    double rho = 0.0;
    struct trial trial = { .moments = moments, .method = method };
    const bool inside = find_rho(&trial, &rho);
    if (!fill(moments, method, rho, out)) {
        return false;
    }
    out->at_edge = !inside;
    out->rho_spread = inside ? spread_at(&trial, rho) : (double)NAN;
    return true;
}

bool gls_fit_at(const struct gls_moments *moments, enum gls_method method, double rho,
                struct gls_fit *out)
{
    bool something_left = false;
    return rho > -1.0 && rho < 1.0 && is_sound(moments, &something_left) &&
           fill(moments, method, rho, out);
}

void gls_interval(const struct gls_fit *fit, size_t j, double level, double *low, double *high)
{
    assert(j <= fit->k);
    const bool asked_well = level > 0.0 && level < 1.0;
    const double t =
        asked_well ? distributions_t_quantile(0.5 + 0.5 * level, fit->freedom) : (double)NAN;
    *low = fit->coefficient[j] - t * fit->se[j];
    *high = fit->coefficient[j] + t * fit->se[j];
}

void gls_rho_interval(const struct gls_fit *fit, double level, double *low, double *high)
{
    const bool asked_well = level > 0.0 && level < 1.0;
    const double z = asked_well ? distributions_normal_quantile(0.5 + 0.5 * level) : (double)NAN;
    *low = tanh(atanh(fit->rho) - z * fit->rho_spread);
    *high = tanh(atanh(fit->rho) + z * fit->rho_spread);
}
