/* maths/gls_mixture.c: a regression whose errors remember, mixed over how much. */
#include "maths/gls_mixture.h"

#include "maths/distributions.h"

#include <assert.h>
#include <math.h>
#include <string.h>

/* A pivot below this share of its column's own sum of squares is rounding, not information:
 * mathematics of double precision with room for a badly scaled X. */
static const double PIVOT_LEAST = 1e-10;

/* Logarithm of the lightest weight beside the heaviest that is kept: 1e-13. */
static const double LIGHTEST = -30.0;

enum { COLUMNS = GLS_MIXTURE_COLUMNS };

/* Lower triangle of a small symmetric matrix, and after decomposing of its Cholesky factor. */
struct small {
    size_t k;
    double at[COLUMNS][COLUMNS];
};

/* In place.  A pivot that is nothing leaves a zero row and column: kept[] says which columns
 * carry information.  Returns their number. */
static size_t decompose(struct small *m, bool kept[])
{
    size_t n_kept = 0;
    for (size_t j = 0; j < m->k; j++) {
        const double whole = m->at[j][j];
        double pivot = whole;
        for (size_t l = 0; l < j; l++) {
            pivot -= m->at[j][l] * m->at[j][l];
        }
        kept[j] = pivot > PIVOT_LEAST * whole && whole > 0.0;
        m->at[j][j] = kept[j] ? sqrt(pivot) : 0.0;
        n_kept += kept[j];
        for (size_t i = j + 1; i < m->k; i++) {
            double sum = m->at[i][j];
            for (size_t l = 0; l < j; l++) {
                sum -= m->at[i][l] * m->at[j][l];
            }
            m->at[i][j] = kept[j] ? sum / m->at[j][j] : 0.0;
        }
    }
    return n_kept;
}

/* Solves L u = b, columns without information giving 0. */
static void solve_lower(const struct small *l, const double b[], double u[])
{
    for (size_t i = 0; i < l->k; i++) {
        double sum = b[i];
        for (size_t j = 0; j < i; j++) {
            sum -= l->at[i][j] * u[j];
        }
        u[i] = l->at[i][i] > 0.0 ? sum / l->at[i][i] : 0.0;
    }
}

/* Solves L' b = u. */
static void solve_upper(const struct small *l, const double u[], double b[])
{
    for (size_t i = l->k; i-- > 0;) {
        double sum = u[i];
        for (size_t j = i + 1; j < l->k; j++) {
            sum -= l->at[j][i] * b[j];
        }
        b[i] = l->at[i][i] > 0.0 ? sum / l->at[i][i] : 0.0;
    }
}

size_t gls_mixture_work(const struct gls_mixture_model *model)
{
    return model->n * (model->k + 1);
}

/* Rows of X and y turned into independent ones of variance s2: the innovations of an
 * autoregression of order two, by the Kalman recursion, which skips a missing step exactly
 * (Jones 1980).  The state is (e_t, e_t-1) with covariance v; the errors' own variance is 1.
 *   rows  [count x (k + 1)] by row, y last
 * Returns count, and the logarithm of the determinant of the errors' correlation matrix. */
static size_t whiten(const struct gls_mixture_model *model, double p1, double p2, double rows[],
                     double *log_determinant)
{
    const size_t width = model->k + 1;
    /* Barndorff-Nielsen and Schou 1973: the second partial autocorrelation is the second weight. */
    const double first = p1 * (1.0 - p2);
    const double second = p2;
    const double innovation = (1.0 - p1 * p1) * (1.0 - p2 * p2);
    double v00 = 1.0;
    double v01 = p1;
    double v11 = 1.0;
    double now[COLUMNS + 1] = { 0 };    /* predicted e_t of every column, and of y */
    double before[COLUMNS + 1] = { 0 }; /* and e_t-1 */
    size_t count = 0;
    *log_determinant = 0.0;
    for (size_t t = 0; t < model->n; t++) {
        if (!isnan(model->y[t])) {
            double *row = &rows[count * width];
            const double scale = sqrt(v00);
            const double pull = v01 / v00;
            for (size_t j = 0; j < width; j++) {
                const double seen = j < model->k ? model->x[t * model->k + j] : model->y[t];
                row[j] = (seen - now[j]) / scale;
                before[j] += pull * (seen - now[j]);
                now[j] = seen;
            }
            *log_determinant += log(v00);
            v11 -= pull * v01;
            v00 = 0.0;
            v01 = 0.0;
            count++;
        }
        for (size_t j = 0; j < width; j++) {
            const double next = first * now[j] + second * before[j];
            before[j] = now[j];
            now[j] = next;
        }
        const double next00 =
            first * first * v00 + 2.0 * first * second * v01 + second * second * v11 + innovation;
        const double next01 = first * v00 + second * v01;
        v11 = v00;
        v00 = next00;
        v01 = next01;
    }
    return count;
}

/* The cross products of the rows, y as the last of k + 1 columns. */
static struct small cross_products(const double rows[], size_t count, size_t k)
{
    struct small m = { .k = k };
    const size_t width = k + 1;
    for (size_t i = 0; i < count; i++) {
        const double *row = &rows[i * width];
        for (size_t a = 0; a < k; a++) {
            for (size_t b = 0; b <= a; b++) {
                m.at[a][b] += row[a] * row[b];
            }
        }
    }
    return m;
}

static double residual_square(const double rows[], size_t count, size_t k, const double b[])
{
    double sum = 0.0;
    for (size_t i = 0; i < count; i++) {
        const double *row = &rows[i * (k + 1)];
        double left = row[k];
        for (size_t j = 0; j < k; j++) {
            left -= row[j] * b[j];
        }
        sum += left * left;
    }
    return sum;
}

/* Adds the prior rows at residual variance s2 and fills mean and covariance.  False when a column
 * has neither information nor a prior row. */
static bool add_priors(const struct gls_mixture_model *model, const struct small *products,
                       const double moment[], struct gls_mixture_node *out)
{
    const size_t k = model->k;
    struct small whole = { .k = k };
    double right[COLUMNS] = { 0 };
    for (size_t a = 0; a < k; a++) {
        for (size_t b = 0; b <= a; b++) {
            whole.at[a][b] = products->at[a][b] / out->s2;
        }
        right[a] = moment[a] / out->s2;
        if (model->prior_sd != NULL && isfinite(model->prior_sd[a])) {
            const double precision = 1.0 / (model->prior_sd[a] * model->prior_sd[a]);
            whole.at[a][a] += precision;
            right[a] += precision * model->prior_mean[a];
        }
    }
    bool kept[COLUMNS] = { 0 };
    if (decompose(&whole, kept) < k) {
        return false;
    }
    double half[COLUMNS] = { 0 };
    solve_lower(&whole, right, half);
    solve_upper(&whole, half, out->mean);
    for (size_t j = 0; j < k; j++) {
        double unit[COLUMNS] = { 0 };
        unit[j] = 1.0;
        solve_lower(&whole, unit, half);
        solve_upper(&whole, half, out->covariance[j]);
    }
    return true;
}

bool gls_mixture_fit_node(const struct gls_mixture_model *model, double p1, double p2,
                          double work[], struct gls_mixture_node *out)
{
    const size_t k = model->k;
    assert(k >= 1 && k <= COLUMNS);
    double log_determinant = 0.0;
    const size_t count = whiten(model, p1, p2, work, &log_determinant);
    if (count < k + 2) {
        return false;
    }
    *out = (struct gls_mixture_node){ 0 };
    const struct small products = cross_products(work, count, k);
    double moment[COLUMNS] = { 0 };
    for (size_t i = 0; i < count; i++) {
        for (size_t j = 0; j < k; j++) {
            moment[j] += work[i * (k + 1) + j] * work[i * (k + 1) + k];
        }
    }
    struct small factor = products;
    bool kept[COLUMNS] = { 0 };
    const size_t n_kept = decompose(&factor, kept);
    double half[COLUMNS] = { 0 };
    double plain[COLUMNS] = { 0 };
    solve_lower(&factor, moment, half);
    solve_upper(&factor, half, plain);
    out->freedom = (double)(count - n_kept);
    /* A fit without any residual would make every interval 0 wide: the least variance is rounding
     * beside the data's own size, so that all nodes stay finite. */
    const double zeros[COLUMNS] = { 0 };
    const double least = PIVOT_LEAST * PIVOT_LEAST * residual_square(work, count, k, zeros);
    const double square = fmax(residual_square(work, count, k, plain), fmax(least, 1e-300));
    out->s2 = fmax(square / out->freedom, model->least_sd * model->least_sd);
    double log_information = 0.0;
    for (size_t j = 0; j < k; j++) {
        log_information += kept[j] ? 2.0 * log(factor.at[j][j]) : 0.0;
    }
    /* log(2 pi): mathematics. */
    const double log_two_pi = 1.8378770664093454836;
    out->log_likelihood = -0.5 * (out->freedom * (log_two_pi + log(out->s2)) + square / out->s2 +
                                  log_determinant + log_information);
    return add_priors(model, &products, moment, out);
}

/* Weights from logarithms, summing to 1. */
static void normalise(double weight[], size_t count)
{
    double most = -(double)INFINITY;
    for (size_t i = 0; i < count; i++) {
        most = fmax(most, weight[i]);
    }
    double sum = 0.0;
    for (size_t i = 0; i < count; i++) {
        /* A part this light moves no digit, and most of a grid is that light: not looked at. */
        weight[i] = weight[i] - most < LIGHTEST ? 0.0 : exp(weight[i] - most);
        sum += weight[i];
    }
    for (size_t i = 0; i < count; i++) {
        weight[i] /= sum;
    }
}

/* Means over the nodes seen so far, in weights relative to the best of them. */
struct running {
    double best; /* logarithm of the best node's weight */
    double weight;
    double mean[COLUMNS];
    double p1;
};

static void add_node(struct running *running, const struct gls_mixture_node *node, size_t k,
                     double p1, double log_weight)
{
    if (log_weight > running->best) {
        const double shrink = exp(running->best - log_weight);
        running->weight *= shrink;
        running->p1 *= shrink;
        for (size_t a = 0; a < k; a++) {
            running->mean[a] *= shrink;
        }
        running->best = log_weight;
    }
    const double weight = exp(log_weight - running->best);
    running->weight += weight;
    running->p1 += weight * p1;
    for (size_t a = 0; a < k; a++) {
        running->mean[a] += weight * node->mean[a];
    }
}

bool gls_mixture_fit(const struct gls_mixture_model *model, const struct gls_mixture_grid *grid,
                     const double contrast[], double form_sd, double work[],
                     struct gls_mixture *mixture)
{
    const size_t k = model->k;
    struct running running = { .best = -(double)INFINITY };
    mixture->count = grid->n_p1 * grid->n_p2;
    for (size_t i = 0; i < mixture->count; i++) {
        const size_t i1 = i / grid->n_p2;
        const size_t i2 = i % grid->n_p2;
        struct gls_mixture_node node;
        if (!gls_mixture_fit_node(model, grid->p1[i1], grid->p2[i2], work, &node)) {
            return false;
        }
        double location = 0.0;
        double variance = form_sd * form_sd;
        for (size_t a = 0; a < k; a++) {
            location += contrast[a] * node.mean[a];
            for (size_t b = 0; b < k; b++) {
                variance += contrast[a] * node.covariance[a][b] * contrast[b];
            }
        }
        mixture->location[i] = location;
        mixture->scale[i] = sqrt(variance);
        mixture->weight[i] = node.log_likelihood + grid->p1_log_prior[i1] + grid->p2_log_prior[i2];
        mixture->freedom = node.freedom;
        add_node(&running, &node, k, grid->p1[i1], mixture->weight[i]);
    }
    normalise(mixture->weight, mixture->count);
    mixture->estimate = 0.0;
    for (size_t i = 0; i < mixture->count; i++) {
        mixture->estimate += mixture->weight[i] * mixture->location[i];
    }
    for (size_t a = 0; a < k; a++) {
        mixture->mean[a] = running.mean[a] / running.weight;
    }
    mixture->p1_mean = running.p1 / running.weight;
    const struct distributions_t_mixture parts = {
        .count = mixture->count,
        .weight = mixture->weight,
        .centre = mixture->location,
        .scale = mixture->scale,
        .freedom = mixture->freedom,
    };
    mixture->low = distributions_t_mixture_quantile(&parts, 0.05);
    mixture->high = distributions_t_mixture_quantile(&parts, 0.95);
    return true;
}
