/* maths/step_edge.c: on which sample a series steps from one level to another. */
#include "maths/step_edge.h"

#include <math.h>
#include <stdbool.h>

enum { MOST_LAGS = 121, PARTS = 3 };

/* Solves the normal equations of the parts in `use` (a bit mask); false if singular. */
static bool solve_parts(double a[PARTS][PARTS], const double b[PARTS], unsigned use,
                        double out[PARTS])
{
    size_t rows[PARTS];
    size_t m = 0;
    for (unsigned i = 0; i < PARTS; i++) {
        out[i] = 0.0;
        if ((use >> i & 1U) != 0) {
            rows[m++] = i;
        }
    }
    double w[PARTS][PARTS + 1];
    for (size_t i = 0; i < m; i++) {
        for (size_t j = 0; j < m; j++) {
            w[i][j] = a[rows[i]][rows[j]];
        }
        w[i][m] = b[rows[i]];
    }
    /* Symmetric and positive definite when not singular: no pivoting is needed. */
    for (size_t i = 0; i < m; i++) {
        if (!(w[i][i] > 1e-12)) {
            return false;
        }
        for (size_t k = i + 1; k < m; k++) {
            const double f = w[k][i] / w[i][i];
            for (size_t j = i; j <= m; j++) {
                w[k][j] -= f * w[i][j];
            }
        }
    }
    for (size_t i = m; i-- > 0;) {
        double sum = w[i][m];
        for (size_t j = i + 1; j < m; j++) {
            sum -= w[i][j] * out[rows[j]];
        }
        out[rows[i]] = sum / w[i][i];
    }
    return true;
}

/* The non-negative least squares of three parts: every subset is tried, the best one kept. */
static void fit_parts(double basis[PARTS][MOST_LAGS], const double covariance[MOST_LAGS],
                      size_t lags, double best[PARTS])
{
    double a[PARTS][PARTS] = { { 0 } };
    double b[PARTS] = { 0 };
    for (size_t i = 0; i < PARTS; i++) {
        for (size_t k = 0; k < lags; k++) {
            b[i] += basis[i][k] * covariance[k];
            for (size_t j = 0; j < PARTS; j++) {
                a[i][j] += basis[i][k] * basis[j][k];
            }
        }
    }
    double least = (double)INFINITY;
    for (unsigned use = 1; use < 1U << PARTS; use++) {
        double part[PARTS];
        if (!solve_parts(a, b, use, part)) {
            continue;
        }
        double error = 0.0;
        bool fits = true;
        for (size_t i = 0; i < PARTS; i++) {
            fits = fits && part[i] >= 0.0;
            for (size_t j = 0; j < PARTS; j++) {
                error += part[i] * a[i][j] * part[j];
            }
            error -= 2.0 * part[i] * b[i];
        }
        if (fits && error < least) {
            least = error;
            for (size_t i = 0; i < PARTS; i++) {
                best[i] = part[i];
            }
        }
    }
}

struct step_noise step_noise_fit(const double residual[], size_t n, size_t most_lag,
                                 double fast_samples, double slow_samples, double floor)
{
    struct step_noise noise = { .white = floor,
                                .fast_samples = fast_samples,
                                .slow_samples = slow_samples };
    const size_t lags = most_lag + 1 < MOST_LAGS ? most_lag + 1 : MOST_LAGS;
    double covariance[MOST_LAGS] = { 0 };
    double basis[PARTS][MOST_LAGS] = { { 0 } };
    for (size_t k = 0; k < lags; k++) {
        double sum = 0.0;
        size_t pairs = 0;
        for (size_t i = 0; i + k < n; i++) {
            const double product = residual[i] * residual[i + k];
            if (!isnan(product)) {
                sum += product;
                pairs++;
            }
        }
        if (pairs < 3) {
            return noise;
        }
        covariance[k] = sum / (double)pairs;
        basis[0][k] = k == 0 ? 1.0 : 0.0;
        basis[1][k] = exp(-(double)k / fast_samples);
        basis[2][k] = exp(-(double)k / slow_samples);
    }
    double part[PARTS] = { 0 };
    fit_parts(basis, covariance, lags, part);
    const double missing = floor - (part[0] + part[1] + part[2]);
    noise.white = part[0] + (missing > 0.0 ? missing : 0.0);
    noise.fast = part[1];
    noise.slow = part[2];
    return noise;
}

/* Lower triangle of the covariance's Cholesky factor, row by row, of the known samples. */
static void factor(const struct step_noise *noise, const size_t at[], size_t m, double lower[])
{
    for (size_t i = 0; i < m; i++) {
        for (size_t j = 0; j <= i; j++) {
            const double lag = (double)(at[i] - at[j]);
            double sum = noise->fast * exp(-lag / noise->fast_samples) +
                         noise->slow * exp(-lag / noise->slow_samples);
            if (i == j) {
                /* A share of the variance keeps the factor regular without white noise. */
                sum += noise->white + 1e-9 * (noise->white + noise->fast + noise->slow);
            }
            for (size_t k = 0; k < j; k++) {
                sum -= lower[i * m + k] * lower[j * m + k];
            }
            lower[i * m + j] = i == j ? sqrt(sum) : sum / lower[j * m + j];
        }
    }
}

static void whiten(const double lower[], size_t m, const double x[], double out[])
{
    for (size_t i = 0; i < m; i++) {
        double sum = x[i];
        for (size_t k = 0; k < i; k++) {
            sum -= lower[i * m + k] * out[k];
        }
        out[i] = sum / lower[i * m + i];
    }
}

/* Share of the new level at sample i for a step at c that takes `ramp` (odd) samples. */
static double share_after(size_t i, size_t c, size_t ramp)
{
    const double from = (double)c - 0.5 * (double)ramp; /* the ramp's ends, in sample edges */
    const double share = ((double)i + 0.5 - from) / (double)ramp;
    return share <= 0.0 ? 0.0 : (share >= 1.0 ? 1.0 : share);
}

struct scratch {
    size_t m;      /* known samples */
    size_t *at;    /* [m] their places */
    double *lower; /* [m x m] */
    double *line;  /* [m] */
    double *white; /* [m] the data about the prior levels' middle, whitened */
    double *ones;  /* [m] a constant, whitened */
    double *step;  /* [m] the step, whitened */
};

/* Minus twice the log likelihood of one step, both levels integrated out.  Levels: before + u, and
 * after + v; in terms of a constant and a step the design is ones and step, the prior of the two
 * coefficients normal with covariance [[b, -b], [-b, a + b]]. */
static double deviance(const struct step_window *w, struct scratch *s, size_t c, size_t ramp)
{
    for (size_t i = 0; i < s->m; i++) {
        s->line[i] = share_after(s->at[i], c, ramp);
    }
    whiten(s->lower, s->m, s->line, s->step);
    const double jump = w->after - w->before;
    double oo = 0.0;
    double os = 0.0;
    double ss = 0.0;
    double one_r = 0.0;
    double sr = 0.0;
    double rr = 0.0;
    for (size_t i = 0; i < s->m; i++) {
        const double r = s->white[i] - jump * s->step[i];
        oo += s->ones[i] * s->ones[i];
        os += s->ones[i] * s->step[i];
        ss += s->step[i] * s->step[i];
        one_r += s->ones[i] * r;
        sr += s->step[i] * r;
        rr += r * r;
    }
    /* Design for the levels themselves: before = ones - step, after = step; independent priors. */
    const double vb = w->before_sd * w->before_sd;
    const double va = w->after_sd * w->after_sd;
    const double bb = oo - 2.0 * os + ss + 1.0 / vb;
    const double ba = os - ss;
    const double aa = ss + 1.0 / va;
    const double br = one_r - sr;
    const double det = bb * aa - ba * ba;
    const double explained = (br * br * aa - 2.0 * br * sr * ba + sr * sr * bb) / det;
    return rr - explained + log(det * vb * va);
}

void step_edge_log_likelihood(struct arena *arena, const struct step_window *window,
                              double log_likelihood[])
{
    struct scratch s = { .at = ARENA_ARRAY(arena, size_t, window->n) };
    for (size_t i = 0; i < window->n; i++) {
        if (!isnan(window->x[i])) {
            s.at[s.m++] = i;
        }
    }
    const size_t candidates = window->last - window->first + 1;
    if (s.m == 0) {
        for (size_t i = 0; i < candidates; i++) {
            log_likelihood[i] = 0.0;
        }
        return;
    }
    s.lower = ARENA_ARRAY(arena, double, s.m *s.m);
    s.line = ARENA_ARRAY(arena, double, s.m);
    s.white = ARENA_ARRAY(arena, double, s.m);
    s.ones = ARENA_ARRAY(arena, double, s.m);
    s.step = ARENA_ARRAY(arena, double, s.m);
    factor(&window->noise, s.at, s.m, s.lower);
    for (size_t i = 0; i < s.m; i++) {
        s.line[i] = window->x[s.at[i]] - window->before;
    }
    whiten(s.lower, s.m, s.line, s.white);
    for (size_t i = 0; i < s.m; i++) {
        s.line[i] = 1.0;
    }
    whiten(s.lower, s.m, s.line, s.ones);
    double highest = -(double)INFINITY;
    for (size_t i = 0; i < candidates; i++) {
        double likeliest = -(double)INFINITY;
        double sum = 0.0;
        for (size_t ramp = 1; ramp <= window->longest_ramp || ramp == 1; ramp += 2) {
            const double ll = -0.5 * deviance(window, &s, window->first + i, ramp);
            /* log of the sum of likelihoods, kept near 1 */
            if (ll > likeliest) {
                sum = sum * exp(likeliest - ll) + 1.0;
                likeliest = ll;
            } else {
                sum += exp(ll - likeliest);
            }
        }
        log_likelihood[i] = likeliest + log(sum);
        highest = log_likelihood[i] > highest ? log_likelihood[i] : highest;
    }
    for (size_t i = 0; i < candidates; i++) {
        log_likelihood[i] -= highest;
    }
}
