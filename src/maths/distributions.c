/* maths/distributions.c: the normal and Student's t, and mixtures of t. */
#include "maths/distributions.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdbool.h>

/* Where halving stops, in greatest scales: far below any digit that is shown. */
static const double QUANTILE_TOLERANCE = 1e-10;

/* Parts further apart than so many of the narrowest's scale don't make one smooth rise. */
static const double SMOOTH_WIDTHS = 1e3;

/* Parts that weigh less than this share of the heaviest are left out: a thousand of them move a
 * cdf by 1e-11. */
static const double WEIGHT_LEAST = 1e-14;

double distributions_normal_cdf(double x)
{
    return gsl_cdf_ugaussian_P(x);
}

/* p of 0 and 1 belongs to no finite x; the library loops or fails there. */
static bool is_inside(double p)
{
    return p > 0.0 && p < 1.0;
}

static double edge_quantile(double p)
{
    if (!(p >= 0.0 && p <= 1.0)) {
        return (double)NAN;
    }
    return p < 0.5 ? -(double)INFINITY : (double)INFINITY;
}

double distributions_normal_quantile(double p)
{
    return is_inside(p) ? gsl_cdf_ugaussian_Pinv(p) : edge_quantile(p);
}

/* k f(x) F(x)^(k - 1), and that times x and x^2. */
static void largest_density(double x, double k, double out[2])
{
    const double share = distributions_normal_cdf(x);
    const double density = gsl_ran_ugaussian_pdf(x);
    const double d = k * density * pow(share, k - 1.0);
    out[0] = x * d;
    out[1] = x * x * d;
}

void distributions_normal_largest(size_t k, double *mean, double *variance)
{
    /* Beyond 9 the density of 1000 draws is below 1e-15.  For so smooth a function that is nothing
     * at both ends plain sums are exact but for exp(-2 (pi sd / step)^2), nothing at these steps.
     */
    enum { STEPS = 180 };
    const double from = -9.0;
    const double step = 18.0 / STEPS;
    *mean = (double)NAN;
    *variance = (double)NAN;
    if (k == 0) {
        return;
    }
    double first = 0.0;
    double second = 0.0;
    for (int i = 0; i <= STEPS; i++) {
        double at[2];
        largest_density(from + step * i, (double)k, at);
        first += at[0];
        second += at[1];
    }
    *mean = first * step;
    *variance = second * step - *mean * *mean;
}

double distributions_t_cdf(double x, double freedom)
{
    if (isnan(x) || !(freedom > 0.0)) {
        return (double)NAN;
    }
    if (isinf(x)) {
        return x > 0.0 ? 1.0 : 0.0;
    }
    return isinf(freedom) ? gsl_cdf_ugaussian_P(x) : gsl_cdf_tdist_P(x, freedom);
}

double distributions_t_quantile(double p, double freedom)
{
    if (!(freedom > 0.0)) {
        return (double)NAN;
    }
    if (!is_inside(p)) {
        return edge_quantile(p);
    }
    return isinf(freedom) ? gsl_cdf_ugaussian_Pinv(p) : gsl_cdf_tdist_Pinv(p, freedom);
}

/* ---- mixtures ---- */

struct weights {
    double heaviest;
    double least; /* parts below this are left out */
    double total; /* of the others */
};

/* False when nothing has weight or a part with weight is out of range. */
static bool weigh(const struct distributions_t_mixture *mixture, struct weights *weights)
{
    *weights = (struct weights){ 0 };
    if (!(mixture->freedom > 0.0)) {
        return false;
    }
    for (size_t i = 0; i < mixture->count; i++) {
        const double weight = mixture->weight[i];
        if (!(weight >= 0.0) || isinf(weight)) {
            return false;
        }
        if (weight > 0.0 && !(isfinite(mixture->centre[i]) && isfinite(mixture->scale[i]) &&
                              mixture->scale[i] >= 0.0)) {
            return false;
        }
        weights->heaviest = fmax(weights->heaviest, weight);
    }
    weights->least = WEIGHT_LEAST * weights->heaviest;
    for (size_t i = 0; i < mixture->count; i++) {
        if (mixture->weight[i] > weights->least) {
            weights->total += mixture->weight[i];
        }
    }
    return weights->heaviest > 0.0 && isfinite(weights->total);
}

static double share_below(const struct distributions_t_mixture *mixture,
                          const struct weights *weights, double x)
{
    double sum = 0.0;
    for (size_t i = 0; i < mixture->count; i++) {
        if (mixture->weight[i] > weights->least) {
            const double from_centre = x - mixture->centre[i];
            if (mixture->scale[i] > 0.0) {
                sum += mixture->weight[i] *
                       distributions_t_cdf(from_centre / mixture->scale[i], mixture->freedom);
            } else {
                sum += from_centre >= 0.0 ? mixture->weight[i] : 0.0;
            }
        }
    }
    return sum / weights->total;
}

double distributions_t_mixture_cdf(const struct distributions_t_mixture *mixture, double x)
{
    struct weights weights;
    if (isnan(x) || !weigh(mixture, &weights)) {
        return (double)NAN;
    }
    return share_below(mixture, &weights, x);
}

/* The place where a quantile is sought, and how far the shares at its ends are from p. */
struct bracket {
    double low, high;
    double below, above; /* share - p: < 0, >= 0 */
};

static void look_at(const struct distributions_t_mixture *mixture, const struct weights *weights,
                    double p, double x, struct bracket *bracket)
{
    if (x > bracket->low && x < bracket->high) {
        const double off = share_below(mixture, weights, x) - p;
        if (off < 0.0) {
            bracket->low = x;
            bracket->below = off;
        } else {
            bracket->high = x;
            bracket->above = off;
        }
    }
}

/* Were the mixture one t of its own mean and spread, the quantile would be here: a tenth of the
 * spread on either side mostly holds it.  t: the quantile of the t itself. */
static void guess(const struct distributions_t_mixture *mixture, const struct weights *weights,
                  double p, double t, struct bracket *bracket)
{
    double mean = 0.0;
    double square = 0.0;
    for (size_t i = 0; i < mixture->count; i++) {
        if (mixture->weight[i] > weights->least) {
            mean += mixture->weight[i] / weights->total * mixture->centre[i];
        }
    }
    for (size_t i = 0; i < mixture->count; i++) {
        if (mixture->weight[i] > weights->least) {
            const double off = mixture->centre[i] - mean;
            square += mixture->weight[i] / weights->total *
                      (off * off + mixture->scale[i] * mixture->scale[i]);
        }
    }
    const double spread = sqrt(square);
    look_at(mixture, weights, p, mean + (t - 0.1) * spread, bracket);
    look_at(mixture, weights, p, mean + (t + 0.1) * spread, bracket);
}

/* Draws the ends together until they are `tolerance` apart.  The ITP method (Oliveira and Takahashi
 * 2020, ACM Trans. Math. Softw. 47(1), from memory; k1 = 0.2 over the width, k2 = 2, n0 = 1): a
 * secant step, moved a little towards the middle, and never further from it than halving would
 * still make good. */
static void narrow(const struct distributions_t_mixture *mixture, const struct weights *weights,
                   double p, double tolerance, struct bracket *bracket)
{
    const double begun = bracket->high - bracket->low;
    double room = tolerance * exp2(ceil(log2(begun / tolerance)) + 1.0);
    while (bracket->high - bracket->low > tolerance) {
        const double width = bracket->high - bracket->low;
        const double middle = bracket->low + 0.5 * width;
        room *= 0.5;
        const double reach = fmax(room - 0.5 * width, 0.0);
        const double rise = bracket->above - bracket->below;
        const double secant = rise > 0.0 ? bracket->low - bracket->below * (width / rise) : middle;
        const double off = middle - secant;
        const double moved = secant + copysign(fmin(0.2 / begun * width * width, fabs(off)), off);
        double at = fabs(moved - middle) <= reach ? moved : middle - copysign(reach, off);
        /* Never nearer to an end than half the tolerance: it couldn't come over to the other. */
        at = fmin(fmax(at, bracket->low + 0.5 * tolerance), bracket->high - 0.5 * tolerance);
        if (!(at > bracket->low && at < bracket->high)) {
            break;
        }
        look_at(mixture, weights, p, at, bracket);
    }
}

double distributions_t_mixture_quantile(const struct distributions_t_mixture *mixture, double p)
{
    struct weights weights;
    if (!is_inside(p) || !weigh(mixture, &weights)) {
        return (double)NAN;
    }
    /* The quantile lies between the least and the greatest of the parts' own. */
    const double t = distributions_t_quantile(p, mixture->freedom);
    double low = (double)INFINITY;
    double high = -(double)INFINITY;
    double widest = 0.0;
    double narrowest = (double)INFINITY;
    for (size_t i = 0; i < mixture->count; i++) {
        if (mixture->weight[i] > weights.least) {
            const double own = mixture->centre[i] + t * mixture->scale[i];
            low = fmin(low, own);
            high = fmax(high, own);
            widest = fmax(widest, mixture->scale[i]);
            narrowest = fmin(narrowest, mixture->scale[i]);
        }
    }
    /* By steps that suit a smooth rise, but for mixtures that are none; the rest by halving. */
    if (narrowest > 0.0 && high - low < SMOOTH_WIDTHS * narrowest &&
        high - low > QUANTILE_TOLERANCE * widest) {
        struct bracket bracket = { low, high, share_below(mixture, &weights, low) - p,
                                   share_below(mixture, &weights, high) - p };
        if (bracket.below < 0.0 && bracket.above >= 0.0) {
            guess(mixture, &weights, p, t, &bracket);
            narrow(mixture, &weights, p, QUANTILE_TOLERANCE * widest, &bracket);
        }
        low = bracket.low;
        high = bracket.high;
    }
    while (high - low > QUANTILE_TOLERANCE * widest) {
        const double middle = low + 0.5 * (high - low);
        if (!(middle > low && middle < high)) {
            break;
        }
        if (share_below(mixture, &weights, middle) < p) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return high;
}
