/* bench/regression.c: the regression with AR(1) errors, n = 3600, against the obvious way, which
 * whitens every row again at every trial of rho; and what its search costs beyond the one pass.
 * And against others: statsmodels, whose estimator is another one and answers alike, not the same;
 * R's arima and nlme::gls, which are exact as ours. */
#include "peer.h"

#include "maths/gls.h"
#include "maths/maths.h"
#include "maths/random.h"
#include "maths/regression.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { STEPS = 3600, COLUMNS = 2, ALL = COLUMNS + 1 };

struct run {
    double y[STEPS];
    double x[STEPS * COLUMNS];
    double white_y[STEPS];
    double white_x[STEPS * (COLUMNS + 1)];
    double scratch[STEPS * (COLUMNS + 2)];
    enum gls_method method;
    struct gls_fit fit;
    double rho_by_rows;
    double slope_by_rows;
    double answer[2 * ALL + 1]; /* coefficients, their errors, rho */
};

static struct gls_model model_of(const struct run *run)
{
    return (struct gls_model){ .y = run->y, .x = run->x, .n = STEPS, .k = COLUMNS };
}

static void by_pass(void *with)
{
    const struct gls_model model = model_of(with);
    struct arena *arena = arena_open();
    gls_moments_make(arena, &model);
    arena_close(arena);
}

static void by_moments(void *with)
{
    struct run *run = with;
    const struct gls_model model = model_of(run);
    struct arena *arena = arena_open();
    if (!gls_fit(gls_moments_make(arena, &model), run->method, &run->fit)) {
        abort();
    }
    for (size_t j = 0; j < ALL; j++) {
        run->answer[j] = run->fit.coefficient[j];
        run->answer[ALL + j] = run->fit.se[j];
    }
    run->answer[2 * ALL] = run->fit.rho;
    arena_close(arena);
}

static double likelihood_by_rows(struct run *run, double rho)
{
    const double scale = 1.0 / sqrt((1.0 - rho) * (1.0 + rho));
    for (size_t i = 0; i < STEPS; i++) {
        const double from = i > 0 ? rho : 0.0;
        const double by = i > 0 ? scale : 1.0;
        const size_t s = i > 0 ? i - 1 : 0;
        run->white_y[i] = by * (run->y[i] - from * run->y[s]);
        run->white_x[i * (COLUMNS + 1)] = by * (1.0 - from);
        for (size_t j = 0; j < COLUMNS; j++) {
            run->white_x[i * (COLUMNS + 1) + 1 + j] =
                by * (run->x[i * COLUMNS + j] - from * run->x[s * COLUMNS + j]);
        }
    }
    struct regression found = { 0 };
    if (!regression_fit(run->white_x, run->white_y, STEPS, COLUMNS + 1, run->scratch, &found)) {
        abort();
    }
    run->slope_by_rows = found.coefficient[1];
    return -0.5 * STEPS * log(found.residual_squares) -
           0.5 * (STEPS - 1) * log((1.0 - rho) * (1.0 + rho));
}

/* Golden section until rho moves by 1e-8 no more: as close as values of a likelihood can tell. */
static void by_rows(void *with)
{
    static const double GOLDEN = 0.6180339887498949;
    struct run *run = with;
    double low = -0.99999;
    double high = 0.99999;
    double a = high - GOLDEN * (high - low);
    double b = low + GOLDEN * (high - low);
    double at_a = likelihood_by_rows(run, a);
    double at_b = likelihood_by_rows(run, b);
    while (high - low > 1e-8) {
        if (at_a > at_b) {
            high = b;
            b = a;
            at_b = at_a;
            a = high - GOLDEN * (high - low);
            at_a = likelihood_by_rows(run, a);
        } else {
            low = a;
            a = b;
            at_a = at_b;
            b = low + GOLDEN * (high - low);
            at_b = likelihood_by_rows(run, b);
        }
    }
    run->rho_by_rows = 0.5 * (low + high);
}

/* One step of gap_every is missing; 0 = none is. */
static void fill(struct run *run, size_t gap_every)
{
    struct random random = random_begin(1);
    double e = 0.0;
    for (size_t i = 0; i < STEPS; i++) {
        const double hour = (double)i / STEPS;
        e = 0.9 * e + random_normal(&random);
        run->x[COLUMNS * i] = hour;
        run->x[COLUMNS * i + 1] = sin(20.0 * hour) + 0.1 * random_normal(&random);
        run->y[i] = 140.0 + 6.0 * hour + 3.0 * run->x[COLUMNS * i + 1] + e;
        if (gap_every > 0 && random_below(&random, gap_every) == 0) {
            run->y[i] = (double)NAN;
        }
    }
}

static struct bench_peer *open_peer(struct arena *arena, const struct run *run, const char *script,
                                    const char *which)
{
    double *numbers = ARENA_ARRAY(arena, double, STEPS *(COLUMNS + 1));
    memcpy(numbers, run->y, sizeof run->y);
    memcpy(numbers + STEPS, run->x, sizeof run->x);
    const char *path =
        bench_file(arena, "regression.f64", numbers, STEPS * (COLUMNS + 1) * sizeof numbers[0]);
    return which != NULL
               ? bench_peer_open(arena, script,
                                 (const char *const[]){ which, path, "3600", "2", NULL })
               : bench_peer_open(arena, script, (const char *const[]){ path, "3600", "2", NULL });
}

/* How far coefficients and their errors lie from nlme::gls, whose search stops at about 1e-7. */
static void print_agreement(struct run *run, struct bench_peer *peer)
{
    double seconds = 0;
    const double *answer = NULL;
    size_t n = 0;
    if (peer == NULL || !bench_peer_run(peer, &seconds, &answer, &n) || n != COUNT(run->answer)) {
        bench_absent("9", "coefficients", "R nlme");
        return;
    }
    by_moments(run);
    bench_agrees("9", "coefficients, largest relative difference", bench_peer_name(peer),
                 bench_difference(run->answer, answer, ALL, 0), 1e-7);
    bench_agrees("9", "their errors, largest relative difference", bench_peer_name(peer),
                 bench_difference(run->answer + ALL, answer + ALL, ALL, 0), 1e-6);
}

static void print_peers(struct arena *arena, struct run *run)
{
    struct bench_peer *glsar = open_peer(arena, run, "regression.py", NULL);
    struct bench_peer *arima = open_peer(arena, run, "regression.R", "arima");
    struct bench_peer *gls = open_peer(arena, run, "regression.R", "gls");
    struct bench_with_peer row = { .goal = "9",
                                   .what = "exact maximum likelihood",
                                   .ours = { by_moments, run },
                                   .answer = run->answer,
                                   .n = ALL,
                                   .tolerance = 0.02,
                                   .floor = 1,
                                   .wanted = 50 };
    bench_against(&row, glsar, "statsmodels");
    /* Its search stops at about 2e-4 of a coefficient; nlme's below is held to 1e-7. */
    row.tolerance = 1e-3;
    row.wanted = 1000;
    bench_against(&row, arima, "R");
    row.n = COUNT(run->answer);
    row.tolerance = 1e-6;
    row.wanted = (double)NAN;
    bench_against(&row, gls, "R nlme");
    print_agreement(run, gls);
    bench_peer_close(glsar);
    bench_peer_close(arima);
    bench_peer_close(gls);
}

/* Any length, for a counter of instructions. */
static int run_once(const char *way, size_t n)
{
    struct arena *arena = arena_open();
    struct random random = random_begin(1);
    double *y = ARENA_ARRAY(arena, double, n);
    double *x = ARENA_ARRAY(arena, double, n *COLUMNS);
    struct gls_fit fit;
    double e = 0;
    for (size_t i = 0; i < n; i++) {
        e = 0.9 * e + random_normal(&random);
        x[COLUMNS * i] = (double)i / (double)n;
        x[COLUMNS * i + 1] = random_normal(&random);
        y[i] = 140 + 6 * x[COLUMNS * i] + 3 * x[COLUMNS * i + 1] + e;
    }
    const struct gls_model model = { .y = y, .x = x, .n = n, .k = COLUMNS };
    if (strcmp(way, "fit") == 0 && !gls_fit(gls_moments_make(arena, &model), GLS_ML, &fit)) {
        return 1;
    }
    arena_close(arena);
    return 0;
}

int main(int argc, char **argv)
{
    maths_begin();
    bench_begin();
    if (argc == 4 && strcmp(argv[1], "once") == 0) {
        return run_once(argv[2], (size_t)strtoul(argv[3], NULL, 10));
    }
    struct arena *arena = arena_open();
    struct run *run = ARENA_ARRAY(arena, struct run, 1);
    const struct bench_way moments = { by_moments, run };
    fill(run, 0);
    run->method = GLS_ML;
    bench_title("Regression with AR(1) errors, n = 3,600, a constant and 2 columns (gls)");
    print_peers(arena, run);
    by_rows(run);
    by_moments(run);
    if (fabs(run->fit.rho - run->rho_by_rows) < 1e-6 &&
        fabs(run->fit.coefficient[1] - run->slope_by_rows) < 1e-5) {
        bench_faster("", "exact maximum likelihood", "every row at every trial",
                     bench_pair(moments, (struct bench_way){ by_rows, run }), (double)NAN);
    } else {
        bench_differs("", "exact maximum likelihood", "every row at every trial", "rho or slope");
    }
    bench_within("9", "exact maximum likelihood", "one pass of moments",
                 bench_pair(moments, (struct bench_way){ by_pass, run }), 1.5);
    run->method = GLS_REML;
    bench_within("", "restricted likelihood", "one pass of moments",
                 bench_pair(moments, (struct bench_way){ by_pass, run }), (double)NAN);
    bench_counts("law", "AR(1) regression, 24 h / 3 h", "3 h", bench_instructions("fit", 86400),
                 bench_instructions("fit", 10800), "instructions", BENCH_AT_MOST, 10);
    arena_close(arena);
    return 0;
}
