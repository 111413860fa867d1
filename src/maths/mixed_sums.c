/* maths/mixed_sums.c: the likelihood of a mixed model, from sums of products. */
#include "maths/mixed_parts.h"

#include "maths/regression.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_multimin.h>
#include <math.h>
#include <string.h>

static const double LOG_TWO_PI = 1.8378770664093453;

/* ---- rows to sums ---- */

static bool is_whole(const struct mixed_problem *problem, size_t row)
{
    double sum = problem->y[row];
    for (size_t j = 0; j < problem->k; j++) {
        sum += problem->x[row * problem->k + j];
    }
    for (size_t j = 0; j < problem->q; j++) {
        sum += problem->z[row * problem->q + j];
    }
    return isfinite(sum);
}

static void add_row(struct mixed_work *work, const double x[], const double z[], double y,
                    struct mixed_sums *sums)
{
    sums->n++;
    for (size_t i = 0; i < work->q; i++) {
        for (size_t j = 0; j < work->q; j++) {
            sums->zz[i][j] += z[i] * z[j];
        }
        for (size_t j = 0; j < work->k; j++) {
            sums->zx[i][j] += z[i] * x[j];
        }
        sums->zy[i] += z[i] * y;
    }
    for (size_t i = 0; i < work->k; i++) {
        for (size_t j = 0; j < work->k; j++) {
            work->xx[i][j] += x[i] * x[j];
        }
        work->xy[i] += x[i] * y;
    }
    work->yy += y * y;
}

enum mixed_end mixed_prepare(struct arena *arena, const struct mixed_problem *problem,
                             struct mixed_work *work)
{
    const size_t k = problem->k;
    *work = (struct mixed_work){ .k = k,
                                 .q = problem->q,
                                 .groups = problem->groups,
                                 .n_theta = problem->q == 1 ? 1 : MIXED_THETA,
                                 .by_likelihood = problem->by_likelihood };
    work->of = arena_alloc(arena, problem->groups + 1, sizeof *work->of);
    double *x = arena_alloc(arena, (problem->n + 1) * (k + 1), sizeof *x);
    double *y = arena_alloc(arena, problem->n + 1, sizeof *y);
    double *scratch = arena_alloc(arena, (problem->n + 1) * (k + 1), sizeof *scratch);
    for (size_t row = 0; row < problem->n; row++) {
        if (is_whole(problem, row)) {
            for (size_t j = 0; j < k; j++) {
                x[work->n * k + j] = problem->x[row * k + j];
            }
            y[work->n++] = problem->y[row];
        }
    }
    if (work->n <= k) {
        return MIXED_TOO_FEW;
    }
    struct regression plain;
    if (!regression_fit(x, y, work->n, k, scratch, &plain)) {
        return MIXED_NOT_TOLD;
    }
    for (size_t row = 0; row < problem->n; row++) {
        if (is_whole(problem, row)) {
            const double *at = &problem->x[row * k];
            double left = problem->y[row];
            for (size_t j = 0; j < k; j++) {
                left -= plain.coefficient[j] * at[j];
            }
            add_row(work, at, &problem->z[row * problem->q], left, &work->of[problem->group[row]]);
        }
    }
    for (size_t j = 0; j < k; j++) {
        work->taken[j] = plain.coefficient[j];
    }
    double squares = 0.0;
    for (size_t row = 0; row < work->n; row++) {
        squares += y[row] * y[row];
    }
    if (!(work->yy > 1e-24 * squares)) {
        return MIXED_NOT_TOLD;
    }
    for (size_t group = 0; group < work->groups; group++) {
        work->used_groups += work->of[group].n > 0 ? 1 : 0;
    }
    /* A random part for each row would leave nothing to call error. */
    return work->used_groups < 3 || work->n <= work->used_groups * work->q ||
                   work->n <= k + work->n_theta
               ? MIXED_TOO_FEW
               : MIXED_FITTED;
}

/* ---- the likelihood ---- */

/* The root's columns times a subject's sums: L' v, with theta the lower triangle by column. */
static void by_root(const struct mixed_work *work, const double theta[], const double v[],
                    double out[])
{
    if (work->q == 1) {
        out[0] = theta[0] * v[0];
    } else {
        out[0] = theta[0] * v[0] + theta[1] * v[1];
        out[1] = theta[2] * v[1];
    }
}

/* A subject's Cholesky root of L' zz L + 1: {a; b c} as a, b, c. */
static void inner_root(const struct mixed_work *work, const double theta[],
                       const struct mixed_sums *sums, double root[3])
{
    double half[MIXED_RANDOM][MIXED_RANDOM]; /* zz L, then L' zz L */
    if (work->q == 1) {
        root[0] = sqrt(theta[0] * theta[0] * sums->zz[0][0] + 1.0);
        root[1] = 0.0;
        root[2] = 1.0;
        return;
    }
    for (size_t i = 0; i < 2; i++) {
        half[i][0] = sums->zz[i][0] * theta[0] + sums->zz[i][1] * theta[1];
        half[i][1] = sums->zz[i][1] * theta[2];
    }
    const double aa = theta[0] * half[0][0] + theta[1] * half[1][0] + 1.0;
    const double ab = theta[2] * half[1][0];
    const double bb = theta[2] * half[1][1] + 1.0;
    root[0] = sqrt(aa);
    root[1] = ab / root[0];
    root[2] = sqrt(bb - root[1] * root[1]);
}

/* root^-1 v in place. */
static void solve_lower(const struct mixed_work *work, const double root[3], double v[])
{
    v[0] /= root[0];
    if (work->q == 2) {
        v[1] = (v[1] - root[1] * v[0]) / root[2];
    }
}

/* The inverse of a, whose upper half needn't be filled, and ln det a; false where it isn't
 * positive. */
static bool invert(double a[MIXED_FIXED][MIXED_FIXED], size_t k, double *log_det)
{
    gsl_matrix_view view = gsl_matrix_view_array_with_tda(&a[0][0], k, k, MIXED_FIXED);
    if (gsl_linalg_cholesky_decomp1(&view.matrix) != GSL_SUCCESS) {
        return false;
    }
    *log_det = 0.0;
    for (size_t i = 0; i < k; i++) {
        *log_det += 2.0 * log(a[i][i]);
    }
    return gsl_linalg_cholesky_invert(&view.matrix) == GSL_SUCCESS;
}

bool mixed_at(const struct mixed_work *work, const double theta[], struct mixed_parts *out)
{
    const size_t k = work->k;
    double left_xx[MIXED_FIXED][MIXED_FIXED] = { { 0 } };
    double left_xy[MIXED_FIXED];
    double left_yy = work->yy;
    for (size_t i = 0; i < k; i++) {
        left_xy[i] = work->xy[i];
        for (size_t j = 0; j < k; j++) {
            left_xx[i][j] = work->xx[i][j];
        }
    }
    *out = (struct mixed_parts){ 0 };
    for (size_t group = 0; group < work->groups; group++) {
        const struct mixed_sums *sums = &work->of[group];
        if (sums->n == 0) {
            continue;
        }
        double root[3];
        double by_y[MIXED_RANDOM] = { 0 };
        double by_x[MIXED_FIXED][MIXED_RANDOM] = { { 0 } };
        inner_root(work, theta, sums, root);
        out->log_random += 2.0 * (log(root[0]) + (work->q == 2 ? log(root[2]) : 0.0));
        by_root(work, theta, sums->zy, by_y);
        solve_lower(work, root, by_y);
        for (size_t j = 0; j < k; j++) {
            const double column[MIXED_RANDOM] = { sums->zx[0][j], sums->zx[1][j] };
            by_root(work, theta, column, by_x[j]);
            solve_lower(work, root, by_x[j]);
        }
        for (size_t r = 0; r < work->q; r++) {
            left_yy -= by_y[r] * by_y[r];
            for (size_t i = 0; i < k; i++) {
                left_xy[i] -= by_x[i][r] * by_y[r];
                for (size_t j = 0; j < k; j++) {
                    left_xx[i][j] -= by_x[i][r] * by_x[j][r];
                }
            }
        }
    }
    if (!invert(left_xx, k, &out->log_fixed)) {
        return false;
    }
    memcpy(out->inverse, left_xx, sizeof left_xx);
    out->squares = left_yy;
    for (size_t i = 0; i < k; i++) {
        for (size_t j = 0; j < k; j++) {
            out->fixed[i] += out->inverse[i][j] * left_xy[j];
        }
        out->squares -= out->fixed[i] * left_xy[i];
    }
    return isfinite(out->squares) && out->squares > 0.0 && isfinite(out->log_random);
}

static double freedom_of(const struct mixed_work *work)
{
    return (double)(work->by_likelihood ? work->n : work->n - work->k);
}

static double determinants(const struct mixed_work *work, const struct mixed_parts *parts)
{
    return parts->log_random + (work->by_likelihood ? 0.0 : parts->log_fixed);
}

double mixed_criterion(const struct mixed_work *work, const struct mixed_parts *parts)
{
    const double freedom = freedom_of(work);
    return determinants(work, parts) + freedom * (1.0 + LOG_TWO_PI + log(parts->squares / freedom));
}

double mixed_criterion_at(const struct mixed_work *work, const struct mixed_parts *parts, double s)
{
    return determinants(work, parts) + parts->squares / (s * s) +
           freedom_of(work) * (LOG_TWO_PI + 2.0 * log(s));
}

void mixed_effect(const struct mixed_work *work, const double theta[], size_t group,
                  const double fixed[], double effects[])
{
    const struct mixed_sums *sums = &work->of[group];
    double root[3];
    double v[MIXED_RANDOM] = { 0 };
    double left[MIXED_RANDOM] = { 0 };
    for (size_t r = 0; r < work->q; r++) {
        left[r] = sums->zy[r];
        for (size_t j = 0; j < work->k; j++) {
            left[r] -= sums->zx[r][j] * fixed[j];
        }
    }
    inner_root(work, theta, sums, root);
    by_root(work, theta, left, v);
    solve_lower(work, root, v);
    if (work->q == 1) {
        effects[0] = theta[0] * v[0] / root[0];
    } else {
        const double second = v[1] / root[2];
        const double first = (v[0] - root[1] * second) / root[0];
        effects[0] = theta[0] * first;
        effects[1] = theta[1] * first + theta[2] * second;
    }
}

/* ---- the search ---- */

struct search {
    mixed_function *function;
    void *with;
};

static double search_at(const gsl_vector *at, void *with)
{
    const struct search *search = with;
    double plain[MIXED_THETA] = { 0 };
    for (size_t i = 0; i < at->size; i++) {
        plain[i] = gsl_vector_get(at, i);
    }
    const double value = search->function(plain, search->with);
    return isfinite(value) ? value : 1e300;
}

/* One walk of the simplex from where it stands. */
static bool walk(struct search *search, gsl_vector *at, double step, double *least)
{
    gsl_multimin_function f = { search_at, at->size, search };
    gsl_vector *steps = gsl_vector_alloc(at->size);
    gsl_multimin_fminimizer *simplex =
        gsl_multimin_fminimizer_alloc(gsl_multimin_fminimizer_nmsimplex2, at->size);
    bool is_done = false;
    if (steps != NULL && simplex != NULL) {
        gsl_vector_set_all(steps, step);
        bool goes_on = gsl_multimin_fminimizer_set(simplex, &f, at, steps) == GSL_SUCCESS;
        for (int i = 0; i < 2000 && goes_on && !is_done; i++) {
            goes_on = gsl_multimin_fminimizer_iterate(simplex) == GSL_SUCCESS;
            is_done = gsl_multimin_fminimizer_size(simplex) < 1e-11;
        }
        /* A simplex that can't shrink further has met the last digits: that is an end too. */
        is_done = is_done || gsl_multimin_fminimizer_size(simplex) < 1e-6;
        gsl_vector_memcpy(at, simplex->x);
        *least = simplex->fval;
    }
    gsl_multimin_fminimizer_free(simplex);
    gsl_vector_free(steps);
    return is_done;
}

bool mixed_least(mixed_function *function, void *with, double at[], size_t n, double *least)
{
    struct search search = { function, with };
    gsl_vector *place = gsl_vector_alloc(n);
    bool is_done = place != NULL;
    if (is_done) {
        for (size_t i = 0; i < n; i++) {
            gsl_vector_set(place, i, at[i]);
        }
        /* Twice: a simplex may fall asleep on a slope. */
        is_done = walk(&search, place, 0.5, least) && walk(&search, place, 0.1, least);
        for (size_t i = 0; i < n; i++) {
            at[i] = gsl_vector_get(place, i);
        }
    }
    gsl_vector_free(place);
    return is_done && *least < 1e299;
}
