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

/* Whitening: out = L^-1 x, with L the Cholesky factor of the covariance of the known samples.  The
 * noise is two first-order processes and white noise, so the same numbers come as innovations over
 * their standard deviations, sample by sample (Kalman 1960, J Basic Eng 82:35-45): a series costs
 * what it is long, not its square, and L is never built. */
struct gains {
    double fast; /* how much of an innovation each process takes */
    double slow;
    double scale;      /* the innovation's standard deviation */
    double fast_keeps; /* of each process up to the next sample */
    double slow_keeps;
};

static void find_gains(const struct step_noise *noise, const size_t at[], size_t m,
                       struct gains gains[])
{
    /* A share of the variance keeps it regular without white noise. */
    const double white = noise->white + 1e-9 * (noise->white + noise->fast + noise->slow);
    double ff = noise->fast; /* covariance of what is not known of the two */
    double fs = 0.0;
    double ss = noise->slow;
    for (size_t i = 0; i < m; i++) {
        struct gains *g = &gains[i];
        const double f = ff + fs;
        const double s = fs + ss;
        const double variance = f + s + white;
        const double gap = i + 1 < m ? (double)(at[i + 1] - at[i]) : 1.0;
        *g = (struct gains){ f / variance, s / variance, sqrt(variance),
                             exp(-gap / noise->fast_samples), exp(-gap / noise->slow_samples) };
        ff -= g->fast * f;
        fs -= g->fast * s;
        ss -= g->slow * s;
        ff = g->fast_keeps * g->fast_keeps * (ff - noise->fast) + noise->fast;
        fs *= g->fast_keeps * g->slow_keeps;
        ss = g->slow_keeps * g->slow_keeps * (ss - noise->slow) + noise->slow;
    }
}

/* x is 0 before sample `from`, and so is what it becomes. */
static void whiten(const struct gains gains[], size_t m, const double x[], size_t from,
                   double out[])
{
    double fast = 0.0;
    double slow = 0.0;
    for (size_t i = 0; i < from; i++) {
        out[i] = 0.0;
    }
    for (size_t i = from; i < m; i++) {
        const struct gains *g = &gains[i];
        const double innovation = x[i] - fast - slow;
        out[i] = innovation / g->scale;
        fast = g->fast_keeps * (fast + g->fast * innovation);
        slow = g->slow_keeps * (slow + g->slow * innovation);
    }
}

/* A ramp of 2 h + 1 samples is the mean of as many sharp steps, so whatever is needed of ramps
 * comes from products of sharp steps, each worked out once:
 *
 *     step . step = mean over rows r, s of row r . row s      (rows at most 2 reach apart)
 *
 * Working each ramp out from its samples took 8 times as long. */
struct scratch {
    size_t m;            /* known samples */
    size_t *at;          /* [m] their places */
    struct gains *gains; /* [m] */
    double *white;       /* [m] the data about the level before, whitened */
    double *ones;        /* [m] a constant, whitened */
    double *sharp;       /* [rows x m] sharp steps, whitened: row 0 is at first - reach */
    size_t rows;         /* candidates + 2 reach */
    size_t reach;        /* of the widest ramp, to each side */
    double *row_ones;    /* [rows] row . ones */
    double *row_white;   /* [rows] row . white */
    double *gram;        /* [rows x (2 reach + 1)] row r . row r + d */
    double ones_ones;
    double ones_white;
    double white_white;
};

static double dot(const double a[], const double b[], size_t n)
{
    double sum = 0.0;
    for (size_t i = 0; i < n; i++) {
        sum += a[i] * b[i];
    }
    return sum;
}

/* A sharp step at every place that a candidate's widest ramp touches. */
static void whiten_steps(const struct step_window *w, struct scratch *s, double line[])
{
    for (size_t r = 0; r < s->rows; r++) {
        size_t from = 0;
        while (from < s->m && s->at[from] + s->reach < w->first + r) {
            from++;
        }
        for (size_t i = 0; i < s->m; i++) {
            line[i] = i < from ? 0.0 : 1.0;
        }
        whiten(s->gains, s->m, line, from, &s->sharp[r * s->m]);
    }
}

/* All that candidates need of the rows. */
static void multiply(struct scratch *s)
{
    const size_t width = 2 * s->reach + 1;
    s->ones_ones = dot(s->ones, s->ones, s->m);
    s->ones_white = dot(s->ones, s->white, s->m);
    s->white_white = dot(s->white, s->white, s->m);
    for (size_t r = 0; r < s->rows; r++) {
        const double *row = &s->sharp[r * s->m];
        s->row_ones[r] = dot(row, s->ones, s->m);
        s->row_white[r] = dot(row, s->white, s->m);
        for (size_t d = 0; d < width && r + d < s->rows; d++) {
            s->gram[r * width + d] = dot(row, row + d * s->m, s->m);
        }
    }
}

/* Products of one ramp with the constant, with the data and with itself. */
struct ramp {
    double ones;
    double white;
    double itself;
};

/* Minus twice the log likelihood of one step, both levels integrated out under independent normal
 * priors: before = constant - step, after = step. */
static double deviance(const struct step_window *w, const struct scratch *s,
                       const struct ramp *step)
{
    const double jump = w->after - w->before;
    const double os = step->ones;
    const double ss = step->itself;
    /* r = data - jump x step */
    const double one_r = s->ones_white - jump * os;
    const double sr = step->white - jump * ss;
    const double rr = s->white_white - 2.0 * jump * step->white + jump * jump * ss;
    const double vb = w->before_sd * w->before_sd;
    const double va = w->after_sd * w->after_sd;
    const double bb = s->ones_ones - 2.0 * os + ss + 1.0 / vb;
    const double ba = os - ss;
    const double aa = ss + 1.0 / va;
    const double br = one_r - sr;
    const double det = bb * aa - ba * ba;
    const double explained = (br * br * aa - 2.0 * br * sr * ba + sr * sr * bb) / det;
    return rr - explained + log(det * vb * va);
}

/* The sums of a ramp with rows low..high, made from those with low + 1..high - 1. */
static void widen(const struct scratch *s, size_t low, size_t high, struct ramp *sums)
{
    const size_t width = 2 * s->reach + 1;
    sums->ones += s->row_ones[low];
    sums->white += s->row_white[low];
    sums->itself += s->gram[low * width];
    if (high == low) {
        return;
    }
    sums->ones += s->row_ones[high];
    sums->white += s->row_white[high];
    sums->itself += s->gram[high * width] + 2.0 * s->gram[low * width + (high - low)];
    for (size_t r = low + 1; r < high; r++) {
        sums->itself += 2.0 * (s->gram[low * width + (r - low)] + s->gram[r * width + (high - r)]);
    }
}

/* Log of the sum of the likelihoods of all ramps about candidate c (0 = first). */
static double candidate_log(const struct step_window *w, const struct scratch *s, size_t c)
{
    double likeliest = -(double)INFINITY;
    double sum = 0.0; /* relative to the likeliest, so that nothing under- or overflows */
    struct ramp sums = { 0 };
    for (size_t half = 0; half <= s->reach; half++) {
        widen(s, c + s->reach - half, c + s->reach + half, &sums);
        const double k = (double)(2 * half + 1);
        const struct ramp step = { sums.ones / k, sums.white / k, sums.itself / (k * k) };
        const double ll = -0.5 * deviance(w, s, &step);
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
    for (size_t i = 0; i < w->n; i++) {
        if (!isnan(w->x[i])) {
            s.at[s.m++] = i;
        }
    }
    s.reach = w->longest_ramp < 2 ? 0 : (w->longest_ramp - 1) / 2;
    s.gains = ARENA_ARRAY(arena, struct gains, s.m);
    s.white = ARENA_ARRAY(arena, double, s.m);
    s.ones = ARENA_ARRAY(arena, double, s.m);
    s.rows = w->last - w->first + 1 + 2 * s.reach;
    s.sharp = ARENA_ARRAY(arena, double, s.rows *s.m);
    s.row_ones = ARENA_ARRAY(arena, double, s.rows);
    s.row_white = ARENA_ARRAY(arena, double, s.rows);
    s.gram = ARENA_ARRAY(arena, double, s.rows *(2 * s.reach + 1));
    find_gains(&w->noise, s.at, s.m, s.gains);
    double *line = ARENA_ARRAY(arena, double, s.m);
    for (size_t i = 0; i < s.m; i++) {
        line[i] = w->x[s.at[i]] - w->before;
    }
    whiten(s.gains, s.m, line, 0, s.white);
    for (size_t i = 0; i < s.m; i++) {
        line[i] = 1.0;
    }
    whiten(s.gains, s.m, line, 0, s.ones);
    whiten_steps(w, &s, line);
    multiply(&s);
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
