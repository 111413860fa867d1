/* bench/regression.c: the regression with AR(1) errors, n = 3600, against the obvious way, which
 * whitens every row again at every trial of rho; and what its search costs beyond the one pass.
 * Goal: exact maximum likelihood at most 1.5 times the pass of moments alone. */
#include "bench.h"

#include "maths/gls.h"
#include "maths/maths.h"
#include "maths/random.h"
#include "maths/regression.h"

#include <math.h>

/* One call is microseconds: many are timed together. */
enum { STEPS = 3600, COLUMNS = 2, REPEATS = 100 };

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
};

static struct gls_model model_of(const struct run *run)
{
    return (struct gls_model){ .y = run->y, .x = run->x, .n = STEPS, .k = COLUMNS };
}

static void by_pass(void *with)
{
    const struct gls_model model = model_of(with);
    for (int i = 0; i < REPEATS; i++) {
        struct arena *arena = arena_open();
        gls_moments_make(arena, &model);
        arena_close(arena);
    }
}

static void by_moments(void *with)
{
    struct run *run = with;
    const struct gls_model model = model_of(run);
    for (int i = 0; i < REPEATS; i++) {
        struct arena *arena = arena_open();
        bench_equal("fit", gls_fit(gls_moments_make(arena, &model), run->method, &run->fit));
        arena_close(arena);
    }
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
    bench_equal("rows", regression_fit(run->white_x, run->white_y, STEPS, COLUMNS + 1, run->scratch,
                                       &found));
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

int main(void)
{
    maths_begin();
    struct arena *arena = arena_open();
    struct run *run = ARENA_ARRAY(arena, struct run, 1);
    fill(run, 0);
    run->method = GLS_ML;
    bench_title("AR(1) regression, n = 3600, constant + 2 (gls)", "moments", "rows");
    const double ml_ms = bench_ms(by_moments, run, 31) / REPEATS;
    const double rows_ms = bench_ms(by_rows, run, 3);
    bench_equal("rho and slope", fabs(run->fit.rho - run->rho_by_rows) < 1e-6 &&
                                     fabs(run->fit.coefficient[1] - run->slope_by_rows) < 1e-5);
    bench_row("exact maximum likelihood", ml_ms, rows_ms, (double)NAN);
    const double pass_ms = bench_ms(by_pass, run, 31) / REPEATS;
    bench_most("maximum likelihood / one pass of moments", ml_ms / pass_ms, 1.5);
    run->method = GLS_REML;
    bench_most("restricted likelihood / one pass of moments",
               bench_ms(by_moments, run, 31) / REPEATS / pass_ms, 1.5);
    fill(run, 20);
    run->method = GLS_ML;
    const double gaps_ms = bench_ms(by_moments, run, 31) / REPEATS;
    bench_row("none missing against 5 % missing", gaps_ms, ml_ms, (double)NAN);
    arena_close(arena);
    return 0;
}
