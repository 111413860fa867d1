/* Where a series steps: against a likelihood written out in full, and on series whose step is
 * known. */
#include "check.h"

#include "maths/random.h"
#include "maths/step_edge.h"

#include <math.h>

/* ---- the twin: the Gaussian density of the whole window, levels and all, by elimination ---- */

static double covariance_of(const struct step_noise *noise, double lag)
{
    return noise->fast * exp(-lag / noise->fast_samples) +
           noise->slow * exp(-lag / noise->slow_samples) +
           (lag < 0.5 ? noise->white + 1e-9 * (noise->white + noise->fast + noise->slow) : 0.0);
}

/* Log density of x with mean and covariance of one ramp: elimination gives determinant and
 * solution at once. */
static double log_density(const struct step_window *w, size_t c, size_t ramp)
{
    enum { MOST = 40 };
    double a[MOST][MOST + 1];
    double x[MOST];
    double share[MOST];
    size_t at[MOST];
    size_t n = 0;
    for (size_t i = 0; i < w->n; i++) {
        if (!isnan(w->x[i])) {
            const double s = ((double)i + 0.5 - ((double)c - 0.5 * (double)ramp)) / (double)ramp;
            share[n] = s < 0.0 ? 0.0 : (s > 1.0 ? 1.0 : s);
            x[n] = w->x[i] - (w->before + (w->after - w->before) * share[n]);
            at[n++] = i;
        }
    }
    for (size_t i = 0; i < n; i++) {
        for (size_t j = 0; j < n; j++) {
            a[i][j] = covariance_of(&w->noise, fabs((double)at[i] - (double)at[j])) +
                      w->before_sd * w->before_sd * (1.0 - share[i]) * (1.0 - share[j]) +
                      w->after_sd * w->after_sd * share[i] * share[j];
        }
        a[i][n] = x[i];
    }
    double log_det = 0.0;
    for (size_t i = 0; i < n; i++) {
        log_det += log(a[i][i]);
        for (size_t k = i + 1; k < n; k++) {
            const double f = a[k][i] / a[i][i];
            for (size_t j = i; j <= n; j++) {
                a[k][j] -= f * a[i][j];
            }
        }
    }
    double quadratic = 0.0;
    double solution[MOST];
    for (size_t i = n; i-- > 0;) {
        double sum = a[i][n];
        for (size_t j = i + 1; j < n; j++) {
            sum -= a[i][j] * solution[j];
        }
        solution[i] = sum / a[i][i];
        quadratic += solution[i] * x[i];
    }
    return -0.5 * (log_det + quadratic);
}

static void test_step_edge__likelihood_is_that_of_the_whole_window(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    struct random r = random_begin(1);
    for (int ride = 0; ride < 20; ride++) {
        double x[36];
        for (size_t i = 0; i < 36; i++) {
            x[i] = (i < 17 ? 5.0 : 5.5) + 0.2 * random_normal(&r);
            x[i] = random_uniform(&r) < 0.15 ? (double)NAN : x[i];
        }
        const struct step_window window = {
            .x = x,
            .n = 36,
            .before = 5.0,
            .before_sd = 0.1,
            .after = 5.6,
            .after_sd = 0.2,
            .noise = { 0.01, 0.02, 0.01, 3.0, 20.0 },
            .first = 8,
            .last = 28,
            .longest_ramp = 5,
        };
        double got[21];
        double want[21];
        double highest = -(double)INFINITY;
        step_edge_log_likelihood(arena, &window, got);
        for (size_t c = 8; c <= 28; c++) {
            double sum = 0.0;
            for (size_t ramp = 1; ramp <= 5; ramp += 2) {
                sum += exp(log_density(&window, c, ramp));
            }
            want[c - 8] = log(sum);
            highest = fmax(highest, want[c - 8]);
        }
        for (size_t i = 0; i < 21; i++) {
            check_near("candidate", got[i], want[i] - highest, 1e-6);
        }
    }
    arena_close(arena);
}

static void test_step_edge__a_clean_step_is_found_to_the_sample(void **state)
{
    (void)state;
    struct arena *arena = arena_open();
    double x[60];
    for (size_t at = 10; at <= 50; at += 5) {
        for (size_t i = 0; i < 60; i++) {
            x[i] = i < at ? 1.0 : 2.0;
        }
        const struct step_window window = { .x = x,
                                            .n = 60,
                                            .before = 1.0,
                                            .before_sd = 0.1,
                                            .after = 2.0,
                                            .after_sd = 0.1,
                                            .noise = { 1e-3, 0, 0, 4.0, 25.0 },
                                            .first = 2,
                                            .last = 58,
                                            .longest_ramp = 1 };
        double ll[57];
        step_edge_log_likelihood(arena, &window, ll);
        for (size_t i = 0; i < 57; i++) {
            check(i + 2 == at ? ll[i] > -1e-12 : ll[i] < -1.0);
        }
    }
    arena_close(arena);
}

/* In noise that remembers, the probability that the likelihood gives must be that with which it is
 * right, and its best candidate must beat that of least squares (white noise, same variance). */
static void test_step_edge__probabilities_are_honest_in_noise_that_remembers(void **state)
{
    (void)state;
    enum { N = 80, RIDES = 400 };
    struct random r = random_begin(7);
    double claimed = 0.0;
    double right = 0.0;
    double right_white = 0.0;
    for (int ride = 0; ride < RIDES; ride++) {
        struct arena *arena = arena_open();
        const size_t at = 25 + (size_t)random_below(&r, 30);
        const double phi[2] = { exp(-1.0 / 4.0), exp(-1.0 / 25.0) };
        double fast = random_normal(&r);
        double slow = random_normal(&r);
        double x[N];
        for (size_t i = 0; i < N; i++) {
            fast = phi[0] * fast + sqrt(1.0 - phi[0] * phi[0]) * random_normal(&r);
            slow = phi[1] * slow + sqrt(1.0 - phi[1] * phi[1]) * random_normal(&r);
            x[i] = (i < at ? 0.0 : 0.6) + 0.1 * random_normal(&r) + 0.15 * fast + 0.15 * slow;
        }
        struct step_window window = { .x = x,
                                      .n = N,
                                      .before = 0.0,
                                      .before_sd = 0.05,
                                      .after = 0.6,
                                      .after_sd = 0.05,
                                      .noise = { 0.01, 0.0225, 0.0225, 4.0, 25.0 },
                                      .first = 20,
                                      .last = 60,
                                      .longest_ramp = 1 };
        for (int white = 0; white < 2; white++) {
            double ll[41];
            step_edge_log_likelihood(arena, &window, ll);
            size_t best = 0;
            double sum = 0.0;
            double near = 0.0;
            for (size_t i = 0; i < 41; i++) {
                best = ll[i] > ll[best] ? i : best;
                sum += exp(ll[i]);
            }
            for (size_t i = best < 3 ? 0 : best - 3; i <= best + 3 && i < 41; i++) {
                near += exp(ll[i]);
            }
            const bool hit = best + 20 + 3 >= at && best + 20 <= at + 3;
            if (white == 0) {
                claimed += near / sum;
                right += hit;
            } else {
                right_white += hit;
            }
            window.noise = (struct step_noise){ 0.055, 0, 0, 4.0, 25.0 };
        }
        arena_close(arena);
    }
    /* 400 rides: a standard error of 1.5 points at 90 % */
    check_near("claimed and right", claimed / RIDES, right / RIDES, 0.05);
    check(right >= right_white);
}

static void test_step_edge__noise_is_told_by_its_memory(void **state)
{
    (void)state;
    enum { N = 40000 };
    struct arena *arena = arena_open();
    struct random r = random_begin(3);
    double *x = ARENA_ARRAY(arena, double, N);
    const double phi = exp(-1.0 / 4.0);
    double fast = random_normal(&r);
    for (size_t i = 0; i < N; i++) {
        fast = phi * fast + sqrt(1.0 - phi * phi) * random_normal(&r);
        x[i] = random_normal(&r) + 2.0 * fast;
        x[i] = i % 50 == 0 ? (double)NAN : x[i];
    }
    const struct step_noise noise = step_noise_fit(x, N, 60, 4.0, 25.0, 0.01);
    check_near("white", noise.white, 1.0, 0.15);
    check_near("fast", noise.fast, 4.0, 0.4);
    check_near("slow", noise.slow, 0.0, 0.3);
    arena_close(arena);
}

static void test_step_edge__little_data_gives_the_floor(void **state)
{
    (void)state;
    const double x[] = { 0.1, (double)NAN, -0.1, (double)NAN };
    const struct step_noise noise = step_noise_fit(x, 4, 60, 4.0, 25.0, 0.5);
    check_near("white", noise.white, 0.5, 1e-12);
    check_near("fast", noise.fast, 0.0, 1e-12);
    struct arena *arena = arena_open();
    const double gaps[] = { (double)NAN, (double)NAN, (double)NAN };
    const struct step_window window = {
        .x = gaps, .n = 3, .before_sd = 1, .after_sd = 1, .noise = noise, .first = 1, .last = 2
    };
    double ll[2] = { 1, 1 };
    step_edge_log_likelihood(arena, &window, ll);
    check_near("nothing known", ll[0], ll[1], 0.0);
    arena_close(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_step_edge__likelihood_is_that_of_the_whole_window),
        cmocka_unit_test(test_step_edge__a_clean_step_is_found_to_the_sample),
        cmocka_unit_test(test_step_edge__probabilities_are_honest_in_noise_that_remembers),
        cmocka_unit_test(test_step_edge__noise_is_told_by_its_memory),
        cmocka_unit_test(test_step_edge__little_data_gives_the_floor),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
