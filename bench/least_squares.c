/* bench/least_squares.c: a nonlinear fit of three parameters to 300 points against scipy and R. */
#include "peer.h"

#include "maths/least_squares.h"
#include "maths/maths.h"
#include "maths/random.h"

#include <math.h>
#include <stdlib.h>

enum { POINTS = 300, PARAMETERS = 3 };

struct run {
    double x[POINTS];
    double y[POINTS];
    double answer[PARAMETERS];
    bool without_slope;
};

static const double start[PARAMETERS] = { 120, -20, 60 };

/* level + size exp(-x / constant) */
static bool model(const double b[], void *with, double value[], double slope[])
{
    const struct run *run = with;
    for (size_t i = 0; i < POINTS; i++) {
        const double e = exp(-run->x[i] / b[2]);
        if (value != NULL) {
            value[i] = b[0] + b[1] * e;
        }
        if (slope != NULL) {
            slope[3 * i] = 1;
            slope[3 * i + 1] = e;
            slope[3 * i + 2] = b[1] * e * run->x[i] / (b[2] * b[2]);
        }
    }
    return true;
}

static void by_ours(void *with)
{
    struct run *run = with;
    struct arena *arena = arena_open();
    const struct least_squares_problem problem = { .model = model,
                                                   .with = run,
                                                   .without_slope = run->without_slope,
                                                   .n = POINTS,
                                                   .k = PARAMETERS,
                                                   .y = run->y,
                                                   .start = start };
    struct least_squares_fit fit;
    if (least_squares_fit(arena, &problem, &fit) != LEAST_SQUARES_FITTED) {
        abort();
    }
    for (size_t j = 0; j < PARAMETERS; j++) {
        run->answer[j] = fit.parameter[j];
    }
    arena_close(arena);
}

int main(void)
{
    maths_begin();
    bench_begin();
    struct arena *arena = arena_open();
    struct run *run = ARENA_ARRAY(arena, struct run, 1);
    struct random random = random_begin(3);
    for (size_t i = 0; i < POINTS; i++) {
        run->x[i] = (double)i;
        run->y[i] = 150 - 60 * exp(-run->x[i] / 45) + 2 * random_normal(&random);
    }
    bench_title("A nonlinear fit, 3 parameters, 300 points (least_squares)");
    const char *path = bench_file(arena, "points.f64", run->x, 2 * sizeof run->x);
    const char *const words[] = { path, "300", "120", "-20", "60", NULL };
    struct bench_peer *scipy = bench_peer_open(arena, "least_squares.py", words);
    struct bench_peer *r = bench_peer_open(arena, "least_squares.R", words);
    struct bench_with_peer row = { .goal = "10",
                                   .what = "exponential, slopes given",
                                   .ours = { by_ours, run },
                                   .answer = run->answer,
                                   .n = PARAMETERS,
                                   .tolerance = 1e-5,
                                   .wanted = 8 };
    bench_against(&row, scipy, "scipy");
    row.wanted = 30;
    bench_against(&row, r, "R");
    run->without_slope = true;
    row.what = "exponential, differences as they use";
    row.goal = "";
    row.wanted = (double)NAN;
    bench_against(&row, scipy, "scipy");
    bench_peer_close(scipy);
    bench_peer_close(r);
    arena_close(arena);
    return 0;
}
