/* maths/agreement.c: do two methods, or two days, say the same? */
#include "maths/agreement.h"

#include "maths/distributions.h"

#include <math.h>
#include <stdbool.h>

/* Mean and squares about it of the differences of a function of both. */
struct differences {
    size_t n;
    double mean;
    double squares;
};

static double plain(double x)
{
    return x;
}

static struct differences differ(const double a[], const double b[], size_t n, double (*of)(double))
{
    struct differences d = { 0 };
    double sum = 0.0;
    for (size_t i = 0; i < n; i++) {
        if (!isnan(a[i]) && !isnan(b[i])) {
            sum += of(a[i]) - of(b[i]);
            d.n++;
        }
    }
    d.mean = d.n > 0 ? sum / (double)d.n : (double)NAN;
    for (size_t i = 0; i < n; i++) {
        if (!isnan(a[i]) && !isnan(b[i])) {
            const double from_mean = of(a[i]) - of(b[i]) - d.mean;
            d.squares += from_mean * from_mean;
        }
    }
    return d;
}

/* NAN below two. */
static double sd_of(const struct differences *d)
{
    return d->n > 1 ? sqrt(d->squares / (double)(d->n - 1)) : (double)NAN;
}

struct agreement_limits agreement_find_limits(const double a[], const double b[], size_t n,
                                              double factor, double level)
{
    const struct differences d = differ(a, b, n, plain);
    struct agreement_limits limits = { .n = d.n, .bias = d.mean, .sd = sd_of(&d) };
    const double count = (double)d.n;
    const double t = level > 0.0 && level < 1.0
                         ? distributions_t_quantile(0.5 + 0.5 * level, count - 1.0)
                         : (double)NAN;
    limits.bias_se = limits.sd / sqrt(count);
    limits.bias_low = limits.bias - t * limits.bias_se;
    limits.bias_high = limits.bias + t * limits.bias_se;
    limits.limit_se = limits.sd * sqrt(3.0 / count);
    limits.lower = limits.bias - factor * limits.sd;
    limits.lower_low = limits.lower - t * limits.limit_se;
    limits.lower_high = limits.lower + t * limits.limit_se;
    limits.upper = limits.bias + factor * limits.sd;
    limits.upper_low = limits.upper - t * limits.limit_se;
    limits.upper_high = limits.upper + t * limits.limit_se;
    return limits;
}

/* Two-way analysis of variance of n subjects measured twice.  The subjects' mean square comes from
 * the sums of both, the error's from the differences; (ms - me) / (ms + me) for two. */
static double icc_of(const double first[], const double second[], size_t n,
                     const struct differences *change)
{
    double total = 0.0;
    for (size_t i = 0; i < n; i++) {
        if (!isnan(first[i]) && !isnan(second[i])) {
            total += 0.5 * first[i] + 0.5 * second[i];
        }
    }
    const double mean = total / (double)change->n;
    double between = 0.0;
    for (size_t i = 0; i < n; i++) {
        if (!isnan(first[i]) && !isnan(second[i])) {
            const double from_mean = 0.5 * first[i] + 0.5 * second[i] - mean;
            between += 2.0 * from_mean * from_mean;
        }
    }
    const double within = 0.5 * change->squares;
    return between + within > 0.0 ? (between - within) / (between + within) : (double)NAN;
}

struct agreement_repeat agreement_find_repeat(const double first[], const double second[], size_t n)
{
    const struct differences change = differ(second, first, n, plain);
    const double sd = sd_of(&change);
    struct agreement_repeat repeat = {
        .n = change.n,
        .mean_change = change.mean,
        .sd_change = sd,
        .typical_error = sd / sqrt(2.0),
        .cv_pct = (double)NAN,
        .icc = (double)NAN,
        .repeatability = (double)NAN,
    };
    if (change.n < 2) {
        return repeat;
    }
    bool above_zero = true;
    for (size_t i = 0; i < n; i++) {
        if (!isnan(first[i]) && !isnan(second[i])) {
            above_zero = above_zero && first[i] > 0.0 && second[i] > 0.0;
        }
    }
    if (above_zero) {
        const struct differences logs = differ(second, first, n, log);
        repeat.cv_pct = 100.0 * expm1(sd_of(&logs) / sqrt(2.0));
    }
    repeat.icc = icc_of(first, second, n, &change);
    repeat.repeatability =
        2.0 * sqrt(change.squares / (double)change.n + change.mean * change.mean);
    return repeat;
}
