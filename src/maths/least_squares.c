/* maths/least_squares.c: the search, its curves for bounds, and the checks of where it ended. */
#include "maths/least_squares.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_multifit_nlinear.h>
#include <math.h>
#include <string.h>

enum { MOST_STEPS = 200 };

/* Steps go on until they move no parameter by more than this share: the last digits that a sum of
 * squares can tell are about root(epsilon), and each step near the end doubles the right ones. */
static const double STEP_SHARE = 1e-9;

/* How nearly at right angles the residuals must stand to every direction of the parameters (the
 * cosine), and below which share of y they are rounding alone, where angles say nothing. */
static const double RIGHT_ANGLE = 1e-6;
static const double ROUNDING_SHARE = 1e-13;

/* A direction whose length, columns scaled alike, is below this share of the longest isn't told. */
static const double TOLD_SHARE = 1e-9;

/* On a bound: within this share of the room (both bounds) or of the start's distance (one). */
static const double BOUND_SHARE = 1e-7;

/* A residual that no sum of squares with an answer reaches. */
static const double FAR_OFF = 1e150;

/* The way from the search's free number u to a parameter. */
struct curve {
    double low;
    double high;
    double scale; /* of the parameter's distance from its one bound */
};

struct search {
    const struct least_squares_problem *problem;
    double *root_weight; /* [n] 0 = left out */
    double *value;       /* [n] scratch */
    double *slope;       /* [n x k] of the last parameters tried; NULL: the model gives none */
    double tried[LEAST_SQUARES_PARAMETERS];
    struct curve curve[LEAST_SQUARES_PARAMETERS];
    size_t kept;
};

const char *least_squares_end_name(enum least_squares_end end)
{
    static const char *const names[] = {
        [LEAST_SQUARES_FITTED] = "fitted",       [LEAST_SQUARES_TOO_FEW] = "too-few",
        [LEAST_SQUARES_BAD_START] = "bad-start", [LEAST_SQUARES_NO_END] = "no-end",
        [LEAST_SQUARES_NOT_TOLD] = "not-told",
    };
    return names[end];
}

/* ---- curves ---- */

static bool has_low(const struct curve *curve)
{
    return curve->low > -(double)INFINITY;
}

static bool has_high(const struct curve *curve)
{
    return curve->high < (double)INFINITY;
}

static double curve_parameter(const struct curve *curve, double u)
{
    if (has_low(curve) && has_high(curve)) {
        return curve->low + 0.5 * (curve->high - curve->low) * (1.0 + sin(u));
    }
    /* root(u^2 + 1) - 1 without its cancelling for small u. */
    const double away = curve->scale * u * u / (sqrt(u * u + 1.0) + 1.0);
    return has_low(curve) ? curve->low + away : has_high(curve) ? curve->high - away : u;
}

static double curve_slope(const struct curve *curve, double u)
{
    if (has_low(curve) && has_high(curve)) {
        return 0.5 * (curve->high - curve->low) * cos(u);
    }
    const double slope = curve->scale * u / sqrt(u * u + 1.0);
    return has_low(curve) ? slope : has_high(curve) ? -slope : 1.0;
}

/* Sets the curve up and gives the u of the start; false: the start isn't inside. */
static bool curve_begin(struct curve *curve, double low, double high, double start, double *u)
{
    *curve = (struct curve){ low, high, 1.0 };
    if (!isfinite(start) || !(start > low && start < high)) {
        return false;
    }
    *u = start;
    if (has_low(curve) && has_high(curve)) {
        *u = asin(2.0 * (start - low) / (high - low) - 1.0);
    } else if (has_low(curve) || has_high(curve)) {
        /* The start lies at u = root 3, where away = scale. */
        curve->scale = has_low(curve) ? start - low : high - start;
        *u = sqrt(3.0);
    }
    return true;
}

/* -1 on the lower bound, 1 on the upper, 0 on none. */
static int bound_of(const struct curve *curve, double parameter)
{
    const double room = has_low(curve) && has_high(curve) ? curve->high - curve->low : curve->scale;
    if (has_low(curve) && parameter - curve->low <= BOUND_SHARE * room) {
        return -1;
    }
    return has_high(curve) && curve->high - parameter <= BOUND_SHARE * room ? 1 : 0;
}

/* ---- what the library asks ---- */

static void take_parameters(const struct search *search, const gsl_vector *u, double parameter[])
{
    for (size_t j = 0; j < search->problem->k; j++) {
        parameter[j] = curve_parameter(&search->curve[j], gsl_vector_get(u, j));
    }
}

/* Residuals m - y, each times the root of its weight.  Where the model has no answer they are so
 * large that the search turns back; an error would end it. */
static int ask_residuals(const gsl_vector *u, void *with, gsl_vector *f)
{
    struct search *search = with;
    const struct least_squares_problem *problem = search->problem;
    double parameter[LEAST_SQUARES_PARAMETERS];
    take_parameters(search, u, parameter);
    /* A point that is tried is taken as a rule, and asked for its slopes next. */
    memcpy(search->tried, parameter, problem->k * sizeof parameter[0]);
    const bool answered = problem->model(parameter, problem->with, search->value, search->slope);
    for (size_t i = 0; i < problem->n; i++) {
        double residual = 0;
        if (search->root_weight[i] > 0) {
            residual =
                answered ? search->root_weight[i] * (search->value[i] - problem->y[i]) : FAR_OFF;
        }
        gsl_vector_set(f, i, isfinite(residual) ? residual : FAR_OFF);
    }
    return GSL_SUCCESS;
}

/* Slopes by u, each times the root of its weight.  The library's matrix lies in one piece. */
static int ask_slopes(const gsl_vector *u, void *with, gsl_matrix *slopes)
{
    struct search *search = with;
    const struct least_squares_problem *problem = search->problem;
    const size_t k = problem->k;
    double parameter[LEAST_SQUARES_PARAMETERS];
    double along[LEAST_SQUARES_PARAMETERS];
    take_parameters(search, u, parameter);
    if (memcmp(parameter, search->tried, k * sizeof parameter[0]) != 0) {
        memcpy(search->tried, parameter, k * sizeof parameter[0]);
        if (!problem->model(parameter, problem->with, search->value, search->slope)) {
            return GSL_EDOM;
        }
    }
    for (size_t j = 0; j < k; j++) {
        along[j] = curve_slope(&search->curve[j], gsl_vector_get(u, j));
    }
    for (size_t i = 0; i < problem->n; i++) {
        const double *from = search->slope + i * k;
        double *row = slopes->data + i * k;
        for (size_t j = 0; j < k; j++) {
            row[j] = search->root_weight[i] > 0 ? from[j] * search->root_weight[i] * along[j] : 0;
        }
    }
    return GSL_SUCCESS;
}

/* ---- before and after ---- */

static enum least_squares_end begin(struct arena *arena, struct search *search, double u[])
{
    const struct least_squares_problem *problem = search->problem;
    search->root_weight = ARENA_ARRAY(arena, double, problem->n);
    search->value = ARENA_ARRAY(arena, double, problem->n);
    if (!problem->without_slope) {
        search->slope = arena_alloc(arena, problem->n * problem->k, sizeof search->slope[0]);
    }
    for (size_t i = 0; i < problem->n; i++) {
        const double weight = problem->weight != NULL ? problem->weight[i] : 1.0;
        if (isfinite(problem->y[i]) && weight > 0 && isfinite(weight)) {
            search->root_weight[i] = sqrt(weight);
            search->kept++;
        }
    }
    for (size_t j = 0; j < problem->k; j++) {
        const double low = problem->low != NULL ? problem->low[j] : -(double)INFINITY;
        const double high = problem->high != NULL ? problem->high[j] : (double)INFINITY;
        if (!curve_begin(&search->curve[j], low, high, problem->start[j], &u[j])) {
            return LEAST_SQUARES_BAD_START;
        }
    }
    if (!problem->model(problem->start, problem->with, search->value, NULL)) {
        return LEAST_SQUARES_BAD_START;
    }
    for (size_t i = 0; i < problem->n; i++) {
        if (search->root_weight[i] > 0 && !isfinite(search->value[i])) {
            return LEAST_SQUARES_BAD_START;
        }
    }
    return search->kept < problem->k ? LEAST_SQUARES_TOO_FEW : LEAST_SQUARES_FITTED;
}

/* Whether the sum falls only across the bound that parameter j lies on; along is its slope by u. */
static bool is_held(const struct search *search, const struct least_squares_fit *fit, size_t j,
                    double u, double along)
{
    /* of the sign that the slope by the parameter itself has */
    const double slope = along * curve_slope(&search->curve[j], u);
    const int bound = bound_of(&search->curve[j], fit->parameter[j]);
    return bound != 0 && bound * slope <= 0;
}

/* Whether no direction of the parameters lowers the sum any more. */
static bool is_lowest(const struct search *search, const struct least_squares_fit *fit,
                      const gsl_vector *u, const gsl_vector *f, const gsl_matrix *slopes)
{
    const struct least_squares_problem *problem = search->problem;
    double size = 0;
    for (size_t i = 0; i < problem->n; i++) {
        if (search->root_weight[i] > 0) {
            const double weighed = search->root_weight[i] * problem->y[i];
            size += weighed * weighed;
        }
    }
    const double left = gsl_blas_dnrm2(f);
    if (left <= ROUNDING_SHARE * sqrt(size)) {
        return true;
    }
    for (size_t j = 0; j < problem->k; j++) {
        const gsl_vector_const_view column = gsl_matrix_const_column(slopes, j);
        double along = 0;
        gsl_blas_ddot(&column.vector, f, &along);
        if (!is_held(search, fit, j, gsl_vector_get(u, j), along) &&
            !(fabs(along) <= RIGHT_ANGLE * left * gsl_blas_dnrm2(&column.vector))) {
            return false;
        }
    }
    return true;
}

/* The inverse of the free parameters' cross products from their columns, which are first scaled to
 * the same length, so that what is told doesn't hang on units.  False: not told. */
static bool invert(gsl_matrix *free, gsl_matrix *inverse, double length[])
{
    const size_t k = free->size2;
    for (size_t j = 0; j < k; j++) {
        gsl_vector_view column = gsl_matrix_column(free, j);
        length[j] = gsl_blas_dnrm2(&column.vector);
        if (!(length[j] > 0) || !isfinite(length[j])) {
            return false;
        }
        gsl_vector_scale(&column.vector, 1.0 / length[j]);
    }
    /* The library sets rows of directions below the share to zero: their variance would be none. */
    if (gsl_multifit_nlinear_covar(free, TOLD_SHARE, inverse) != GSL_SUCCESS) {
        return false;
    }
    for (size_t j = 0; j < k; j++) {
        if (!(gsl_matrix_get(inverse, j, j) > 0)) {
            return false;
        }
    }
    return true;
}

/* Covariance of the parameters off their bounds.  False: the data don't tell them apart. */
static bool take_covariance(const struct search *search, const gsl_vector *u,
                            const gsl_matrix *slopes, struct least_squares_fit *out)
{
    size_t at[LEAST_SQUARES_PARAMETERS] = { 0 };
    double length[LEAST_SQUARES_PARAMETERS] = { 0 };
    size_t k = 0;
    for (size_t j = 0; j < out->k; j++) {
        if (!out->at_bound[j]) {
            at[k++] = j;
        }
    }
    const size_t spare = out->n - k;
    out->residual_sd = spare > 0 ? sqrt(out->residual_squares / (double)spare) : (double)NAN;
    for (size_t j = 0; j < out->k; j++) {
        out->se[j] = (double)NAN;
    }
    if (k == 0) {
        return true;
    }
    gsl_matrix *free = gsl_matrix_alloc(slopes->size1, k);
    gsl_matrix *inverse = gsl_matrix_alloc(k, k);
    for (size_t j = 0; j < k; j++) {
        const double along = curve_slope(&search->curve[at[j]], gsl_vector_get(u, at[j]));
        for (size_t i = 0; i < slopes->size1; i++) {
            gsl_matrix_set(free, i, j, gsl_matrix_get(slopes, i, at[j]) / along);
        }
    }
    const bool told = invert(free, inverse, length);
    const double sd = search->problem->variance_known ? 1.0 : out->residual_sd;
    for (size_t i = 0; told && i < k; i++) {
        for (size_t j = 0; j < k; j++) {
            out->covariance[at[i]][at[j]] =
                gsl_matrix_get(inverse, i, j) / length[i] / length[j] * sd * sd;
        }
        out->se[at[i]] = sqrt(out->covariance[at[i]][at[i]]);
    }
    gsl_matrix_free(free);
    gsl_matrix_free(inverse);
    return told;
}

/* Where the search ended, looked at. */
static enum least_squares_end judge(const struct search *search,
                                    gsl_multifit_nlinear_workspace *work,
                                    struct least_squares_fit *out)
{
    const gsl_vector *u = gsl_multifit_nlinear_position(work);
    const gsl_vector *f = gsl_multifit_nlinear_residual(work);
    const gsl_matrix *slopes = gsl_multifit_nlinear_jac(work);
    struct least_squares_fit fit = { .n = search->kept,
                                     .k = search->problem->k,
                                     .steps = gsl_multifit_nlinear_niter(work) };
    take_parameters(search, u, fit.parameter);
    for (size_t j = 0; j < fit.k; j++) {
        fit.at_bound[j] = bound_of(&search->curve[j], fit.parameter[j]) != 0;
    }
    gsl_blas_ddot(f, f, &fit.residual_squares);
    if (!is_lowest(search, &fit, u, f, slopes)) {
        return LEAST_SQUARES_NO_END;
    }
    if (!take_covariance(search, u, slopes, &fit)) {
        return LEAST_SQUARES_NOT_TOLD;
    }
    *out = fit;
    return LEAST_SQUARES_FITTED;
}

/* Steps until they hardly move anything, none is found that lowers the sum (at the end rounding
 * hides them), or there were enough: which it was, judge sees. */
static void walk(gsl_multifit_nlinear_workspace *work, size_t most)
{
    int why = 0;
    for (size_t i = 0; i < most; i++) {
        if (gsl_multifit_nlinear_iterate(work) != GSL_SUCCESS ||
            gsl_multifit_nlinear_test(STEP_SHARE, 0, 0, &why, work) == GSL_SUCCESS) {
            return;
        }
    }
}

static enum least_squares_end search_by(const gsl_multifit_nlinear_solver *solver,
                                        struct search *search, const double start[],
                                        struct least_squares_fit *out)
{
    const struct least_squares_problem *problem = search->problem;
    gsl_multifit_nlinear_parameters settings = gsl_multifit_nlinear_default_parameters();
    settings.solver = solver;
    settings.fdtype = GSL_MULTIFIT_NLINEAR_CTRDIFF;
    gsl_multifit_nlinear_fdf asked = { .f = ask_residuals,
                                       .df = problem->without_slope ? NULL : ask_slopes,
                                       .n = problem->n,
                                       .p = problem->k,
                                       .params = search };
    gsl_multifit_nlinear_workspace *work =
        gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &settings, problem->n, problem->k);
    const gsl_vector_const_view u = gsl_vector_const_view_array(start, problem->k);
    enum least_squares_end end = LEAST_SQUARES_BAD_START;
    if (gsl_multifit_nlinear_init(&u.vector, &asked, work) == GSL_SUCCESS) {
        walk(work, problem->most_steps > 0 ? problem->most_steps : MOST_STEPS);
        end = judge(search, work, out);
    }
    gsl_multifit_nlinear_free(work);
    return end;
}

enum least_squares_end least_squares_fit(struct arena *arena,
                                         const struct least_squares_problem *problem,
                                         struct least_squares_fit *out)
{
    struct search search = { .problem = problem };
    double start[LEAST_SQUARES_PARAMETERS] = { 0 };
    const enum least_squares_end ready = begin(arena, &search, start);
    if (ready != LEAST_SQUARES_FITTED) {
        return ready;
    }
    /* Steps from normal equations take half the time and lose half the digits of a step, not of
     * where steps end; only a problem that they can't finish gets the slower ones. */
    const enum least_squares_end end =
        search_by(gsl_multifit_nlinear_solver_cholesky, &search, start, out);
    return end == LEAST_SQUARES_FITTED || end == LEAST_SQUARES_BAD_START
               ? end
               : search_by(gsl_multifit_nlinear_solver_qr, &search, start, out);
}
