/* Regression with autoregressive errors against R's nlme::gls. */
#include "check.h"

#include "maths/gls_mixture.h"

#include <math.h>

enum { MOST = 201, K = 2 };

struct series {
    size_t n;
    double y[MOST];
    double x[MOST * K];
};

static struct series read_series(const char *path, const char *x, double x_from, const char *y)
{
    struct arena *arena = arena_open();
    const struct table table = check_table(arena, path);
    const double *xs = check_column(arena, &table, x);
    const double *ys = check_column(arena, &table, y);
    struct series s = { .n = table.rows };
    check(s.n <= MOST);
    for (size_t i = 0; i < s.n; i++) {
        s.x[K * i] = 1.0;
        s.x[K * i + 1] = xs[i] - x_from;
        s.y[i] = ys[i];
    }
    arena_close(arena);
    return s;
}

/* Source: shared checks GL-05 and GL-03 (R 4.2.2, nlme 3.1-162, corAR1, REML; every digit in
 * gls/expected.csv).  At nlme's own phi the node must give nlme's coefficients, standard errors,
 * sigma and restricted log-likelihood, and that likelihood must be at its top there. */
static void test_gls_node__agrees_with_nlme(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        const char *path;
        const char *x;
        double x_from;
        const char *y;
        double phi;
        double intercept;
        double intercept_se;
        double slope;
        double slope_se;
        double sigma;
        double log_likelihood;
    } rows[] = {
        { "GL-05", "checks/gls/drift_ar1.csv", "minute", 0.0, "hr_bpm", 0.883430884, 138.593875,
          0.933569806, 0.0994817325, 0.0316829094, 1.80738598, -253.876299 },
        { "GL-03", "checks/gls/lakehuron.csv", "year", 1920.0, "level", 0.824767414, 579.174280,
          0.394984837, -0.0194345900, 0.0126641386, 1.26055400, -108.915206 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct series s = read_series(rows[i].path, rows[i].x, rows[i].x_from, rows[i].y);
        const struct gls_mixture_model model = { s.y, s.x, s.n, K, NULL, NULL, 0.0 };
        double work[MOST * (K + 1)];
        struct gls_mixture_node node;
        check(gls_mixture_fit_node(&model, rows[i].phi, 0.0, work, &node));
        check_close(rows[i].name, node.mean[0], rows[i].intercept, 1e-7);
        check_close(rows[i].name, sqrt(node.covariance[0][0]), rows[i].intercept_se, 1e-6);
        check_close(rows[i].name, node.mean[1], rows[i].slope, 1e-7);
        check_close(rows[i].name, sqrt(node.covariance[1][1]), rows[i].slope_se, 1e-6);
        check_close(rows[i].name, sqrt(node.s2), rows[i].sigma, 1e-6);
        check_near(rows[i].name, node.log_likelihood, rows[i].log_likelihood, 1e-5);
        const double top = node.log_likelihood;
        for (int side = -1; side <= 1; side += 2) {
            check(gls_mixture_fit_node(&model, rows[i].phi + 0.002 * side, 0.0, work, &node));
            check(node.log_likelihood < top);
        }
    }
}

/* Source: shared checks GL-05: slope 0.0995 bpm/min, standard error 0.0317 at the best phi; the
 * series was made with slope 0.10.  The mixture knows that phi is uncertain (nlme's own interval
 * for it: 0.784 to 0.939), so its interval must be wider than that at the best phi alone. */
static void test_gls_mixture__first_order_case_agrees_with_nlme(void **state)
{
    (void)state;
    const struct series s = read_series("checks/gls/drift_ar1.csv", "minute", 0.0, "hr_bpm");
    const struct gls_mixture_model model = { s.y, s.x, s.n, K, NULL, NULL, 0.0 };
    enum { NODES = 100 };
    double p1[NODES];
    double prior[NODES];
    double weight[NODES];
    double location[NODES];
    double scale[NODES];
    for (int i = 0; i < NODES; i++) {
        p1[i] = 0.985 * i / (NODES - 1);
        prior[i] = -0.5 * log(1.0 - p1[i] * p1[i]);
    }
    const double p2 = 0.0;
    const double even = 0.0;
    const struct gls_mixture_grid grid = { p1, prior, NODES, &p2, &even, 1 };
    struct gls_mixture mixture = { .weight = weight, .location = location, .scale = scale };
    const double contrast[K] = { 0.0, 1.0 };
    double work[MOST * (K + 1)];
    check(gls_mixture_fit(&model, &grid, contrast, 0.0, work, &mixture));
    check_near("slope", mixture.estimate, 0.0995, 0.005);
    check(mixture.low < 0.10 && 0.10 < mixture.high);
    const double nlme_width = 2.0 * 1.6525 * 0.0316829094; /* t(199) at 95 %, standard tables */
    check(mixture.high - mixture.low > nlme_width);
    check(mixture.high - mixture.low < 2.0 * nlme_width);
    check(mixture.p1_mean > 0.784 && mixture.p1_mean < 0.939);
}

int main(void)
{
    if (!check_need_shared()) {
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_gls_node__agrees_with_nlme),
        cmocka_unit_test(test_gls_mixture__first_order_case_agrees_with_nlme),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
