/* A regression whose errors remember: against the covariance matrix written out in full. */
#include "check.h"

#include "maths/gls_mixture.h"

#include <math.h>
#include <string.h>

enum { STEPS = 24, K = 3 };

/* The twin: correlation of any two steps from the Yule-Walker recursion, the whole matrix, rows of
 * missing steps struck out, and everything by elimination on full matrices. */
struct dense {
    size_t n;
    double v[STEPS][STEPS]; /* correlation of the observed steps */
    double x[STEPS][K];
    double y[STEPS];
};

/* Inverts a symmetric positive matrix by Gauss-Jordan; returns the logarithm of its determinant. */
static double invert(size_t n, double *a, size_t stride)
{
    double log_determinant = 0.0;
    for (size_t p = 0; p < n; p++) {
        const double pivot = a[p * stride + p];
        log_determinant += log(pivot);
        a[p * stride + p] = 1.0;
        for (size_t j = 0; j < n; j++) {
            a[p * stride + j] /= pivot;
        }
        for (size_t i = 0; i < n; i++) {
            const double factor = a[i * stride + p];
            if (i != p) {
                a[i * stride + p] = 0.0;
                for (size_t j = 0; j < n; j++) {
                    a[i * stride + j] -= factor * a[p * stride + j];
                }
            }
        }
    }
    return log_determinant;
}

static struct dense write_out(const struct gls_mixture_model *model, double p1, double p2)
{
    double rho[STEPS] = { 1.0, p1 };
    const double phi1 = p1 * (1.0 - p2);
    for (size_t lag = 2; lag < STEPS; lag++) {
        rho[lag] = phi1 * rho[lag - 1] + p2 * rho[lag - 2];
    }
    struct dense d = { 0 };
    size_t at[STEPS];
    for (size_t t = 0; t < model->n; t++) {
        if (!isnan(model->y[t])) {
            at[d.n] = t;
            d.y[d.n] = model->y[t];
            for (size_t j = 0; j < K; j++) {
                d.x[d.n][j] = model->x[t * K + j];
            }
            d.n++;
        }
    }
    for (size_t i = 0; i < d.n; i++) {
        for (size_t j = 0; j < d.n; j++) {
            d.v[i][j] = rho[at[i] > at[j] ? at[i] - at[j] : at[j] - at[i]];
        }
    }
    return d;
}

static struct gls_mixture_node fit_densely(const struct gls_mixture_model *model, double p1,
                                           double p2)
{
    struct dense d = write_out(model, p1, p2);
    struct gls_mixture_node out = { .freedom = (double)(d.n - K) };
    const double log_v = invert(d.n, &d.v[0][0], STEPS);
    double a[K][K] = { { 0 } };
    double b[K] = { 0 };
    for (size_t i = 0; i < d.n; i++) {
        for (size_t j = 0; j < d.n; j++) {
            for (size_t r = 0; r < K; r++) {
                b[r] += d.x[i][r] * d.v[i][j] * d.y[j];
                for (size_t c = 0; c < K; c++) {
                    a[r][c] += d.x[i][r] * d.v[i][j] * d.x[j][c];
                }
            }
        }
    }
    double inverse[K][K];
    memcpy(inverse, a, sizeof a);
    const double log_a = invert(K, &inverse[0][0], K);
    double plain[K] = { 0 };
    for (size_t r = 0; r < K; r++) {
        for (size_t c = 0; c < K; c++) {
            plain[r] += inverse[r][c] * b[c];
        }
    }
    double square = 0.0;
    double left[STEPS];
    for (size_t i = 0; i < d.n; i++) {
        left[i] = d.y[i];
        for (size_t c = 0; c < K; c++) {
            left[i] -= d.x[i][c] * plain[c];
        }
    }
    for (size_t i = 0; i < d.n; i++) {
        for (size_t j = 0; j < d.n; j++) {
            square += left[i] * d.v[i][j] * left[j];
        }
    }
    out.s2 = square / out.freedom;
    const double pi = 3.14159265358979323846;
    out.log_likelihood =
        -0.5 * (out.freedom * log(2.0 * pi * out.s2) + out.freedom + log_v + log_a);
    for (size_t r = 0; r < K; r++) {
        b[r] /= out.s2;
        for (size_t c = 0; c < K; c++) {
            a[r][c] /= out.s2;
        }
        if (model->prior_sd != NULL && isfinite(model->prior_sd[r])) {
            const double precision = 1.0 / (model->prior_sd[r] * model->prior_sd[r]);
            a[r][r] += precision;
            b[r] += precision * model->prior_mean[r];
        }
    }
    invert(K, &a[0][0], K);
    for (size_t r = 0; r < K; r++) {
        for (size_t c = 0; c < K; c++) {
            out.mean[r] += a[r][c] * b[c];
            out.covariance[r][c] = a[r][c];
        }
    }
    return out;
}

/* Plain numbers without a pattern: the fractional parts of a square root's multiples. */
static double scrambled(size_t i)
{
    const double x = (double)(i * i + 7 * i + 3) * 0.6180339887498949;
    return x - floor(x) - 0.5;
}

struct made {
    double y[STEPS];
    double x[STEPS * K];
};

static struct made make(const char *gaps)
{
    struct made m = { 0 };
    for (size_t t = 0; t < STEPS; t++) {
        m.x[t * K] = 1.0;
        m.x[t * K + 1] = (double)t / STEPS;
        m.x[t * K + 2] = 10.0 * scrambled(t);
        m.y[t] = gaps[t] == '.' ? (double)NAN
                                : 140.0 + 6.0 * m.x[t * K + 1] + 0.3 * m.x[t * K + 2] +
                                      2.0 * scrambled(t / 3 + 40) + scrambled(t + 90);
    }
    return m;
}

static const char *const gap_rows[] = {
    "xxxxxxxxxxxxxxxxxxxxxxxx", "xxxxx.xxxxxxxxxxx..xxxxx", "..xxxx.x.x.xx....xxxxxx.",
    ".x.x.x.x.x.x.x.x.x.x.x.x", "xxxx................xxxx",
};

static void check_same(const char *row, const struct gls_mixture_model *model, double p1, double p2)
{
    double work[STEPS * (K + 1)];
    struct gls_mixture_node fast;
    check(gls_mixture_work(model) <= COUNT(work));
    check(gls_mixture_fit_node(model, p1, p2, work, &fast));
    const struct gls_mixture_node slow = fit_densely(model, p1, p2);
    check_close(row, fast.s2, slow.s2, 1e-8);
    check_near(row, fast.log_likelihood, slow.log_likelihood, 1e-7);
    check_near(row, fast.freedom, slow.freedom, 0.0);
    for (size_t r = 0; r < K; r++) {
        check_near(row, fast.mean[r], slow.mean[r], 1e-7 * (1.0 + fabs(slow.mean[r])));
        for (size_t c = 0; c < K; c++) {
            check_near(row, fast.covariance[r][c], slow.covariance[r][c],
                       1e-7 * (1.0 + fabs(slow.covariance[r][c])));
        }
    }
}

static void test_gls_mixture__node_equals_the_matrix_written_out(void **state)
{
    (void)state;
    static const double p1_rows[] = { -0.4, 0.0, 0.3, 0.9, 0.97 };
    static const double p2_rows[] = { -0.8, -0.2, 0.0, 0.6 };
    const double prior_mean[K] = { 0.0, 0.0, 0.4 };
    const double prior_sd[K] = { (double)INFINITY, (double)INFINITY, 0.1 };
    for (size_t g = 0; g < COUNT(gap_rows); g++) {
        const struct made m = make(gap_rows[g]);
        for (size_t i = 0; i < COUNT(p1_rows); i++) {
            for (size_t j = 0; j < COUNT(p2_rows); j++) {
                struct gls_mixture_model model = { m.y, m.x, STEPS, K, NULL, NULL, 0.0 };
                check_same(gap_rows[g], &model, p1_rows[i], p2_rows[j]);
                model.prior_mean = prior_mean;
                model.prior_sd = prior_sd;
                check_same(gap_rows[g], &model, p1_rows[i], p2_rows[j]);
            }
        }
    }
}

static void test_gls_mixture__column_that_never_moves_is_left_to_its_prior(void **state)
{
    (void)state;
    struct made m = make(gap_rows[0]);
    for (size_t t = 0; t < STEPS; t++) {
        m.x[t * K + 2] = 0.0;
    }
    const double prior_mean[K] = { 0.0, 0.0, 0.4 };
    const double prior_sd[K] = { (double)INFINITY, (double)INFINITY, 0.1 };
    struct gls_mixture_model model = { m.y, m.x, STEPS, K, prior_mean, prior_sd, 0.0 };
    double work[STEPS * (K + 1)];
    struct gls_mixture_node node;
    check(gls_mixture_fit_node(&model, 0.5, 0.1, work, &node));
    check_near("prior mean", node.mean[2], 0.4, 1e-12);
    check_near("prior sd", sqrt(node.covariance[2][2]), 0.1, 1e-12);
    check_near("freedom", node.freedom, STEPS - 2.0, 0.0);
    model.prior_sd = NULL;
    check(!gls_mixture_fit_node(&model, 0.5, 0.1, work, &node));
}

static void test_gls_mixture__too_few_steps_are_refused(void **state)
{
    (void)state;
    const struct made m = make("x.x.x.x.................");
    const struct gls_mixture_model model = { m.y, m.x, STEPS, K, NULL, NULL, 0.0 };
    double work[STEPS * (K + 1)];
    struct gls_mixture_node node;
    check(!gls_mixture_fit_node(&model, 0.5, 0.1, work, &node));
}

/* One node is one t distribution: its quantiles stand in every table.  Here t(21) at 5 and 95 %:
 * +-1.720743 (Student's tables; from memory, agrees with GSL 2.7.1). */
static void test_gls_mixture__one_node_is_one_t_distribution(void **state)
{
    (void)state;
    const struct made m = make(gap_rows[0]);
    const struct gls_mixture_model model = { m.y, m.x, STEPS, K, NULL, NULL, 0.0 };
    const double p1 = 0.4;
    const double p2 = -0.1;
    const double even = 0.0;
    const struct gls_mixture_grid grid = { &p1, &even, 1, &p2, &even, 1 };
    double weight;
    double location;
    double scale;
    struct gls_mixture mixture = { .weight = &weight, .location = &location, .scale = &scale };
    const double contrast[K] = { 0.0, 1.0, 0.0 };
    double work[STEPS * (K + 1)];
    check(gls_mixture_fit(&model, &grid, contrast, 0.0, work, &mixture));
    const struct gls_mixture_node node = fit_densely(&model, p1, p2);
    const double sd = sqrt(node.covariance[1][1]);
    check_near("estimate", mixture.estimate, node.mean[1], 1e-8);
    check_near("5 %", mixture.low, node.mean[1] - 1.720743 * sd, 1e-6 * sd);
    check_near("95 %", mixture.high, node.mean[1] + 1.720743 * sd, 1e-6 * sd);
    check_near("p1", mixture.p1_mean, p1, 1e-12);
    check(gls_mixture_fit(&model, &grid, contrast, 3.0 * sd, work, &mixture));
    check_near("with the form's own spread", mixture.high,
               node.mean[1] + 1.720743 * sd * sqrt(10.0), 1e-5 * sd);
}

/* By hand: two nodes; weights are restricted likelihood times prior, summing to one; the share of
 * the mixture below its low point is 5 %. */
static void test_gls_mixture__weights_are_likelihood_times_prior(void **state)
{
    (void)state;
    const struct made m = make(gap_rows[1]);
    const struct gls_mixture_model model = { m.y, m.x, STEPS, K, NULL, NULL, 0.0 };
    const double p1[2] = { 0.1, 0.8 };
    const double p1_prior[2] = { log(3.0), log(1.0) };
    const double p2 = 0.0;
    const double even = 0.0;
    const struct gls_mixture_grid grid = { p1, p1_prior, 2, &p2, &even, 1 };
    double weight[2];
    double location[2];
    double scale[2];
    struct gls_mixture mixture = { .weight = weight, .location = location, .scale = scale };
    const double contrast[K] = { 0.0, 1.0, 0.0 };
    double work[STEPS * (K + 1)];
    check(gls_mixture_fit(&model, &grid, contrast, 0.0, work, &mixture));
    const struct gls_mixture_node a = fit_densely(&model, p1[0], p2);
    const struct gls_mixture_node b = fit_densely(&model, p1[1], p2);
    const double odds = 3.0 * exp(a.log_likelihood - b.log_likelihood);
    check_close("weight", weight[0], odds / (1.0 + odds), 1e-6);
    check_near("sum", weight[0] + weight[1], 1.0, 1e-12);
    check_near("estimate", mixture.estimate, weight[0] * a.mean[1] + weight[1] * b.mean[1], 1e-7);
    check_near("coefficient", mixture.mean[0], weight[0] * a.mean[0] + weight[1] * b.mean[0], 1e-6);
    check(mixture.low < mixture.estimate && mixture.estimate < mixture.high);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_gls_mixture__node_equals_the_matrix_written_out),
        cmocka_unit_test(test_gls_mixture__column_that_never_moves_is_left_to_its_prior),
        cmocka_unit_test(test_gls_mixture__too_few_steps_are_refused),
        cmocka_unit_test(test_gls_mixture__one_node_is_one_t_distribution),
        cmocka_unit_test(test_gls_mixture__weights_are_likelihood_times_prior),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
