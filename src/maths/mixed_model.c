/* maths/mixed_model.c: fits, degrees of freedom and profiles of mixed models. */
#include "maths/mixed_model.h"

#include "maths/distributions.h"
#include "maths/mixed_parts.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <string.h>

const char *mixed_end_name(enum mixed_end end)
{
    static const char *const names[] = { [MIXED_FITTED] = "fitted",
                                         [MIXED_TOO_FEW] = "too-few",
                                         [MIXED_NOT_TOLD] = "not-told",
                                         [MIXED_NO_END] = "no-end" };
    return names[end];
}

static double criterion(const double theta[], void *with)
{
    const struct mixed_work *work = with;
    struct mixed_parts parts;
    return mixed_at(work, theta, &parts) ? mixed_criterion(work, &parts) : (double)INFINITY;
}

/* S over s^2 from its root. */
static void spread_of(const struct mixed_work *work, const double theta[],
                      double out[MIXED_RANDOM][MIXED_RANDOM])
{
    out[0][0] = theta[0] * theta[0];
    out[0][1] = out[1][0] = out[1][1] = 0.0;
    if (work->q == 2) {
        out[0][1] = out[1][0] = theta[0] * theta[1];
        out[1][1] = theta[1] * theta[1] + theta[2] * theta[2];
    }
}

/* ---- Satterthwaite's degrees of freedom ---- */

/* The criterion, and the variances of the fixed part, as functions of theta and ln s. */
static bool both_at(const struct mixed_work *work, const double at[], double *value,
                    double variance[])
{
    struct mixed_parts parts;
    const double s = exp(at[work->n_theta]);
    if (!mixed_at(work, at, &parts)) {
        return false;
    }
    *value = mixed_criterion_at(work, &parts, s);
    for (size_t j = 0; j < work->k; j++) {
        variance[j] = parts.inverse[j][j] * s * s;
    }
    return true;
}

enum { ETA = MIXED_THETA + 1 };

struct curvature {
    double hessian[ETA][ETA];
    double gradient[MIXED_FIXED][ETA]; /* of each variance */
};

/* Fourth-order differences along one number, second-order ones across two: by steps that balance
 * the digits lost against the terms left out. */
static bool bend(const struct mixed_work *work, const double at[ETA], struct curvature *out)
{
    const size_t m = work->n_theta + 1;
    double here;
    double variance[MIXED_FIXED];
    if (!both_at(work, at, &here, variance)) {
        return false;
    }
    for (size_t i = 0; i < m; i++) {
        const double h = 2e-3 * fmax(fabs(at[i]), 0.05);
        double value[4];
        double of[4][MIXED_FIXED];
        static const double PLACES[4] = { -2, -1, 1, 2 };
        for (size_t p = 0; p < 4; p++) {
            double moved[ETA];
            for (size_t j = 0; j < m; j++) {
                moved[j] = at[j] + (i == j ? PLACES[p] * h : 0.0);
            }
            if (!both_at(work, moved, &value[p], of[p])) {
                return false;
            }
        }
        out->hessian[i][i] =
            (-value[0] + 16.0 * value[1] - 30.0 * here + 16.0 * value[2] - value[3]) /
            (12.0 * h * h);
        for (size_t j = 0; j < work->k; j++) {
            out->gradient[j][i] =
                (of[0][j] - 8.0 * of[1][j] + 8.0 * of[2][j] - of[3][j]) / (12.0 * h);
        }
        for (size_t j = 0; j < i; j++) {
            const double g = 2e-3 * fmax(fabs(at[j]), 0.05);
            double corner[2][2];
            double sum = 0.0;
            for (int scale = 1; scale <= 2; scale++) {
                for (int a = 0; a < 2; a++) {
                    for (int b = 0; b < 2; b++) {
                        double moved[ETA];
                        for (size_t l = 0; l < m; l++) {
                            moved[l] = at[l];
                        }
                        moved[i] += (a == 0 ? -h : h) * scale;
                        moved[j] += (b == 0 ? -g : g) * scale;
                        if (!both_at(work, moved, &corner[a][b], variance)) {
                            return false;
                        }
                    }
                }
                const double mixed = (corner[1][1] - corner[1][0] - corner[0][1] + corner[0][0]) /
                                     (4.0 * h * g * scale * scale);
                sum += scale == 1 ? mixed * 4.0 / 3.0 : -mixed / 3.0;
            }
            out->hessian[i][j] = out->hessian[j][i] = sum;
        }
    }
    return true;
}

/* a^-1 b; false where a is singular. */
static bool solve(double a[ETA][ETA], const double b[], size_t m, double x[ETA])
{
    double left[ETA][ETA]; /* the solver writes over it */
    memcpy(left, a, sizeof left);
    memcpy(x, b, m * sizeof x[0]);
    gsl_matrix_view matrix = gsl_matrix_view_array_with_tda(&left[0][0], m, m, ETA);
    gsl_vector_view vector = gsl_vector_view_array(x, m);
    return gsl_linalg_HH_svx(&matrix.matrix, &vector.vector) == GSL_SUCCESS;
}

/* 2 var^2 / variance of var; the variance of theta and ln s is twice the inverse curvature. */
static void find_freedom(const struct mixed_work *work, const double theta[], double s,
                         struct mixed_fit *out)
{
    double at[ETA];
    for (size_t i = 0; i < work->n_theta; i++) {
        at[i] = theta[i];
    }
    at[work->n_theta] = log(s);
    struct curvature curvature = { 0 };
    const bool is_bent = bend(work, at, &curvature);
    for (size_t j = 0; j < work->k; j++) {
        const size_t m = work->n_theta + 1;
        double turned[ETA];
        out->freedom[j] = (double)NAN;
        if (is_bent && solve(curvature.hessian, curvature.gradient[j], m, turned)) {
            double of_variance = 0.0;
            for (size_t i = 0; i < m; i++) {
                of_variance += 2.0 * curvature.gradient[j][i] * turned[i];
            }
            const double variance = out->se[j] * out->se[j];
            out->freedom[j] =
                of_variance > 0.0 ? 2.0 * variance * variance / of_variance : (double)NAN;
        }
        const double half = distributions_t_quantile(0.95, out->freedom[j]) * out->se[j];
        out->low[j] = out->fixed[j] - half;
        out->high[j] = out->fixed[j] + half;
    }
}

/* ---- the fit ---- */

static bool is_at_edge(const struct mixed_work *work, const double theta[])
{
    static const double EDGE = 1e-4;
    return fabs(theta[0]) < EDGE || (work->q == 2 && fabs(theta[2]) < EDGE);
}

/* The least criterion, from a middling start; theta's signs are turned the usual way. */
static bool search(struct mixed_work *work, double theta[MIXED_THETA], double *least)
{
    theta[0] = theta[2] = 1.0; /* subjects differ as much as errors do */
    theta[1] = 0.0;
    if (!mixed_least(criterion, work, theta, work->n_theta, least)) {
        return false;
    }
    if (theta[0] < 0.0) {
        theta[0] = -theta[0];
        theta[1] = -theta[1];
    }
    theta[2] = fabs(theta[2]);
    return true;
}

enum mixed_end mixed_model_fit(struct arena *arena, const struct mixed_problem *problem,
                               struct mixed_fit *out)
{
    struct mixed_work work;
    const enum mixed_end end = mixed_prepare(arena, problem, &work);
    if (end != MIXED_FITTED) {
        return end;
    }
    double theta[MIXED_THETA];
    double least;
    struct mixed_parts parts;
    if (!search(&work, theta, &least) || !mixed_at(&work, theta, &parts)) {
        return MIXED_NO_END;
    }
    const double freedom = (double)(work.by_likelihood ? work.n : work.n - work.k);
    *out = (struct mixed_fit){ .n = work.n,
                               .groups = work.used_groups,
                               .residual = parts.squares / freedom,
                               .criterion = least,
                               .at_edge = is_at_edge(&work, theta) };
    spread_of(&work, theta, out->random);
    for (size_t i = 0; i < MIXED_RANDOM; i++) {
        for (size_t j = 0; j < MIXED_RANDOM; j++) {
            out->random[i][j] *= out->residual;
        }
    }
    out->correlation = out->random[0][1] / sqrt(out->random[0][0] * out->random[1][1]);
    out->effects = arena_alloc(arena, problem->groups * problem->q + 1, sizeof *out->effects);
    for (size_t group = 0; group < problem->groups; group++) {
        mixed_effect(&work, theta, group, parts.fixed, &out->effects[group * problem->q]);
    }
    for (size_t j = 0; j < work.k; j++) {
        out->fixed[j] = work.taken[j] + parts.fixed[j];
        out->se[j] = sqrt(parts.inverse[j][j] * out->residual);
    }
    find_freedom(&work, theta, sqrt(out->residual), out);
    return MIXED_FITTED;
}

/* ---- profiles ---- */

/* One number held, the rest at its best. */
struct held {
    struct arena *arena;
    const struct mixed_problem *problem;
    enum mixed_what what;
    size_t index;
    struct mixed_work work; /* of a coefficient: made anew at each value */
    double value;
};

static double with_sd_held(const double at[], void *with)
{
    const struct held *held = with;
    struct mixed_parts parts;
    /* Of the random sd the free number is ln s; of the residual sd it is theta. */
    const double s = held->what == MIXED_RESIDUAL_SD ? held->value : exp(at[0]);
    double theta[MIXED_THETA] = { at[0], at[1], at[2] };
    if (held->what == MIXED_RANDOM_SD) {
        theta[0] = held->value / s;
    }
    return mixed_at(&held->work, theta, &parts) ? mixed_criterion_at(&held->work, &parts, s)
                                                : (double)INFINITY;
}

/* The problem without its column `index`, whose part is taken from y. */
static bool without_column(struct held *held)
{
    const struct mixed_problem *whole = held->problem;
    const size_t k = whole->k;
    double *x = arena_alloc(held->arena, whole->n * k + 1, sizeof *x);
    double *y = arena_alloc(held->arena, whole->n + 1, sizeof *y);
    for (size_t row = 0; row < whole->n; row++) {
        size_t place = row * (k - 1);
        for (size_t j = 0; j < k; j++) {
            if (j != held->index) {
                x[place++] = whole->x[row * k + j];
            }
        }
        y[row] = whole->y[row] - held->value * whole->x[row * k + held->index];
    }
    struct mixed_problem rest = *whole;
    rest.k = k - 1;
    rest.x = x;
    rest.y = y;
    rest.by_likelihood = true;
    return mixed_prepare(held->arena, &rest, &held->work) == MIXED_FITTED;
}

static double least_held(struct held *held, double value)
{
    double at[MIXED_THETA] = { 1.0, 0.0, 1.0 };
    double least = (double)INFINITY;
    held->value = value;
    if (held->what == MIXED_COEFFICIENT) {
        struct arena *kept = held->arena;
        held->arena = arena_open();
        const bool is_found = without_column(held) && search(&held->work, at, &least);
        arena_close(held->arena);
        held->arena = kept;
        return is_found ? least : (double)INFINITY;
    }
    size_t n = held->work.n_theta;
    if (held->what == MIXED_RANDOM_SD) {
        n = 1;
        at[0] = 0.5 * log(held->work.yy / (double)held->work.n);
    }
    return mixed_least(with_sd_held, held, at, n, &least) ? least : (double)INFINITY;
}

/* From the best value outwards until the line is passed, then by halves. */
static bool end_of(struct held *held, double best, double step, double floor, double line,
                   double *out)
{
    double inside = best;
    double outside = best;
    for (int i = 0; i < 60; i++) {
        outside = fmax(best + step, floor);
        if (least_held(held, outside) > line) {
            break;
        }
        if (outside <= floor) {
            *out = floor;
            return true;
        }
        inside = outside;
        step *= 2.0;
        if (i == 59) {
            return false;
        }
    }
    for (int i = 0; i < 40; i++) {
        const double middle = (inside + outside) / 2.0;
        if (least_held(held, middle) <= line) {
            inside = middle;
        } else {
            outside = middle;
        }
    }
    *out = (inside + outside) / 2.0;
    return true;
}

bool mixed_model_profile(struct arena *arena, const struct mixed_problem *problem,
                         enum mixed_what what, size_t index, double share, double *low,
                         double *high)
{
    struct mixed_problem plain = *problem;
    struct mixed_fit fit;
    plain.by_likelihood = true;
    if ((what == MIXED_RANDOM_SD && problem->q != 1) ||
        (what == MIXED_COEFFICIENT && (problem->k < 2 || index >= problem->k)) ||
        mixed_model_fit(arena, &plain, &fit) != MIXED_FITTED) {
        return false;
    }
    struct held held = { .arena = arena, .problem = &plain, .what = what, .index = index };
    if (mixed_prepare(arena, &plain, &held.work) != MIXED_FITTED) {
        return false;
    }
    const double z = distributions_normal_quantile(0.5 + share / 2.0);
    const double line = fit.criterion + z * z;
    const bool is_sd = what != MIXED_COEFFICIENT;
    const double best = what == MIXED_COEFFICIENT ? fit.fixed[index]
                        : what == MIXED_RANDOM_SD ? sqrt(fit.random[0][0])
                                                  : sqrt(fit.residual);
    const double step = is_sd ? best / 4.0 + 1e-6 * sqrt(fit.residual) : fit.se[index];
    const double none = -(double)INFINITY;
    return end_of(&held, best, -step, is_sd ? 0.0 : none, line, low) &&
           end_of(&held, best, step, none, line, high);
}
