/* maths/step_edge.c: on which sample a series steps from one level to another. */
#include "maths/step_edge.h"

#include <math.h>
#include <stdbool.h>

enum { MOST_LAGS = 121, PARTS = 3 };

/* Solves the normal equations of the parts in `use` (a bit mask); false if singular. */
static bool solve_parts(double a[PARTS][PARTS], const double b[PARTS], unsigned use,
                        double out[PARTS])
{
    size_t rows[PARTS] = { 0 };
    size_t m = 0;
    for (unsigned i = 0; i < PARTS; i++) {
        out[i] = 0.0;
        if ((use >> i & 1U) != 0) {
            rows[m++] = i;
        }
    }
    double w[PARTS][PARTS + 1] = { { 0 } };
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

/* Lower triangle of the covariance's Cholesky factor, row by row, of the known samples; by_lag is
 * the covariance without white noise. */
static void factor(const struct step_noise *noise, const double by_lag[], const size_t at[],
                   size_t m, double lower[])
{
    for (size_t i = 0; i < m; i++) {
        for (size_t j = 0; j <= i; j++) {
            double sum = by_lag[at[i] - at[j]];
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

/* x is 0 before sample `from`, and so is what it becomes. */
static void whiten(const double lower[], size_t m, const double x[], size_t from, double out[])
{
    for (size_t i = 0; i < from; i++) {
        out[i] = 0.0;
    }
    for (size_t i = from; i < m; i++) {
        double sum = x[i];
        for (size_t k = from; k < i; k++) {
            sum -= lower[i * m + k] * out[k];
        }
        out[i] = sum / lower[i * m + i];
    }
}

struct scratch {
    size_t m;      /* known samples */
    size_t *at;    /* [m] their places */
    double *lower; /* [m x m] */
    double *white; /* [m] the data about the level before, whitened */
    double *ones;  /* [m] a constant, whitened */
    double *sharp; /* [(candidates + 2 reach) x m] sharp steps, whitened: row 0 is at
                    * first - reach */
    double *step;  /* [m] the step in hand */
    size_t reach;  /* a ramp of 2 reach + 1 samples is the mean of as many sharp steps */
};

/* A sharp step at every place that a candidate's widest ramp touches. */
static void whiten_steps(const struct step_window *w, struct scratch *s, double line[])
{
    const size_t rows = w->last - w->first + 1 + 2 * s->reach;
    for (size_t r = 0; r < rows; r++) {
        size_t from = 0;
        while (from < s->m && s->at[from] + s->reach < w->first + r) {
            from++;
        }
        for (size_t i = 0; i < s->m; i++) {
            line[i] = i < from ? 0.0 : 1.0;
        }
        whiten(s->lower, s->m, line, from, &s->sharp[r * s->m]);
    }
}

/* Minus twice the log likelihood of one step, both levels integrated out under independent normal
 * priors: before = constant - step, after = step. */
static double deviance(const struct step_window *w, const struct scratch *s)
{
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

/* Log of the sum of the likelihoods of all ramps about candidate c (0 = first). */
static double candidate_log(const struct step_window *w, struct scratch *s, size_t c)
{
    double likeliest = -(double)INFINITY;
    double sum = 0.0; /* relative to the likeliest, so that nothing under- or overflows */
    for (size_t half = 0; half <= s->reach; half++) {
        for (size_t i = 0; i < s->m; i++) {
            double total = 0.0;
            for (size_t r = c + s->reach - half; r <= c + s->reach + half; r++) {
                total += s->sharp[r * s->m + i];
            }
            s->step[i] = total / (double)(2 * half + 1);
        }
        const double ll = -0.5 * deviance(w, s);
        if (ll > likeliest) {
            sum = sum * exp(likeliest - ll) + 1.0;
            likeliest = ll;
        } else {
            sum += exp(ll - likeliest);
        }
    }
    return likeliest + log(sum);
}

static struct scratch prepare(struct arena *arena, const struct step_window *w)
{
    struct scratch s = { .at = ARENA_ARRAY(arena, size_t, w->n) };
    double *by_lag = ARENA_ARRAY(arena, double, w->n);
    for (size_t i = 0; i < w->n; i++) {
        by_lag[i] = w->noise.fast * exp(-(double)i / w->noise.fast_samples) +
                    w->noise.slow * exp(-(double)i / w->noise.slow_samples);
        if (!isnan(w->x[i])) {
            s.at[s.m++] = i;
        }
    }
    s.reach = w->longest_ramp < 2 ? 0 : (w->longest_ramp - 1) / 2;
    s.lower = ARENA_ARRAY(arena, double, s.m *s.m);
    s.white = ARENA_ARRAY(arena, double, s.m);
    s.ones = ARENA_ARRAY(arena, double, s.m);
    s.step = ARENA_ARRAY(arena, double, s.m);
    s.sharp = ARENA_ARRAY(arena, double, (w->last - w->first + 1 + 2 * s.reach) * s.m);
    factor(&w->noise, by_lag, s.at, s.m, s.lower);
    double *line = ARENA_ARRAY(arena, double, s.m);
    for (size_t i = 0; i < s.m; i++) {
        line[i] = w->x[s.at[i]] - w->before;
    }
    whiten(s.lower, s.m, line, 0, s.white);
    for (size_t i = 0; i < s.m; i++) {
        line[i] = 1.0;
    }
    whiten(s.lower, s.m, line, 0, s.ones);
    whiten_steps(w, &s, line);
    return s;
}

void step_edge_log_likelihood(struct arena *arena, const struct step_window *window,
                              double log_likelihood[])
{
    const size_t candidates = window->last - window->first + 1;
    struct scratch s = prepare(arena, window);
    double highest = -(double)INFINITY;
    for (size_t c = 0; c < candidates; c++) {
        log_likelihood[c] = s.m == 0 ? 0.0 : candidate_log(window, &s, c);
        highest = log_likelihood[c] > highest ? log_likelihood[c] : highest;
    }
    for (size_t c = 0; c < candidates; c++) {
        log_likelihood[c] -= highest;
    }
}
