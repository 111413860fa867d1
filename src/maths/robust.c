/* maths/robust.c: trends that a few wild points can't turn. */
#include "maths/robust.h"

#include "maths/distributions.h"
#include "maths/summary.h"

#include <gsl/gsl_sort.h>
#include <math.h>

/* Largest number of points whose orders are counted, as R's cor.test does below 50; there half a
 * step of s makes 0.001 of a p near 0.05. */
enum { EXACT_MOST = 50 };

static bool both_known(const double x[], const double y[], size_t i)
{
    return isfinite(x[i]) && isfinite(y[i]);
}

static int sign_of(double x)
{
    return (x > 0.0) - (x < 0.0);
}

static bool are_equal(double a, double b)
{
    return !(a < b) && !(b < a);
}

/* What the pairs of n points add up to. */
struct pairs {
    size_t n;
    double s;      /* concordant minus discordant */
    double all;    /* n (n - 1) / 2 */
    double tied_x; /* pairs with the same x */
    double tied_y;
    double variance; /* of s when x and y are independent */
};

/* Ties of one coordinate, group by group: a group is met at its first member. */
struct ties {
    double pairs; /* sum of t (t - 1) / 2 over groups of t */
    double third; /* sum of t (t - 1)(2 t + 5) */
    double cubes; /* sum of t (t - 1)(t - 2) */
};

static struct ties ties_of(const double v[], const double x[], const double y[], size_t n)
{
    struct ties ties = { 0 };
    for (size_t i = 0; i < n; i++) {
        if (!both_known(x, y, i)) {
            continue;
        }
        bool is_first = true;
        double t = 1.0;
        for (size_t j = 0; j < i && is_first; j++) {
            is_first = !(both_known(x, y, j) && are_equal(v[i], v[j]));
        }
        for (size_t j = i + 1; j < n && is_first; j++) {
            t += both_known(x, y, j) && are_equal(v[i], v[j]) ? 1.0 : 0.0;
        }
        if (is_first) {
            ties.pairs += t * (t - 1.0) / 2.0;
            ties.third += t * (t - 1.0) * (2.0 * t + 5.0);
            ties.cubes += t * (t - 1.0) * (t - 2.0);
        }
    }
    return ties;
}

static struct pairs count_pairs(const double x[], const double y[], size_t n)
{
    struct pairs pairs = { 0 };
    for (size_t i = 0; i < n; i++) {
        if (!both_known(x, y, i)) {
            continue;
        }
        pairs.n++;
        for (size_t j = i + 1; j < n; j++) {
            if (both_known(x, y, j)) {
                pairs.s += sign_of(x[j] - x[i]) * sign_of(y[j] - y[i]);
            }
        }
    }
    const double m = (double)pairs.n;
    const struct ties in_x = ties_of(x, x, y, n);
    const struct ties in_y = ties_of(y, x, y, n);
    pairs.all = m * (m - 1.0) / 2.0;
    pairs.tied_x = in_x.pairs;
    pairs.tied_y = in_y.pairs;
    /* Kendall 1970, eq. 4.4. */
    pairs.variance = (m * (m - 1.0) * (2.0 * m + 5.0) - in_x.third - in_y.third) / 18.0;
    if (m > 2.0) {
        pairs.variance += in_x.cubes * in_y.cubes / (9.0 * m * (m - 1.0) * (m - 2.0));
    }
    if (m > 1.0) {
        pairs.variance += in_x.pairs * in_y.pairs * 2.0 / (m * (m - 1.0));
    }
    return pairs;
}

/* ---- the line ---- */

/* The slopes of all pairs with different x, sorted; returns their number. */
static size_t sorted_slopes(const double x[], const double y[], size_t n, double slopes[])
{
    size_t count = 0;
    for (size_t i = 0; i < n; i++) {
        for (size_t j = i + 1; j < n && both_known(x, y, i); j++) {
            if (both_known(x, y, j) && !are_equal(x[i], x[j])) {
                slopes[count++] = (y[j] - y[i]) / (x[j] - x[i]);
            }
        }
    }
    gsl_sort(slopes, 1, count);
    return count;
}

static double median_where(const double v[], const double x[], const double y[], size_t n,
                           double work[])
{
    for (size_t i = 0; i < n; i++) {
        work[i] = both_known(x, y, i) ? v[i] : (double)NAN;
    }
    /* In place: the gaps are closed from the front. */
    return summary_median(work, n, work);
}

struct robust_line robust_fit_line(struct arena *arena, const double x[], const double y[],
                                   size_t n, double level)
{
    const double unknown = (double)NAN;
    const struct pairs pairs = count_pairs(x, y, n);
    struct robust_line line = { pairs.n, unknown, unknown, unknown, unknown };
    double *slopes = ARENA_ARRAY(arena, double, pairs.n > 1 ? pairs.n * (pairs.n - 1) / 2 : 1);
    const size_t count = sorted_slopes(x, y, n, slopes);
    if (count == 0) {
        return line;
    }
    line.slope =
        count % 2 == 1 ? slopes[count / 2] : 0.5 * slopes[count / 2 - 1] + 0.5 * slopes[count / 2];
    if (level > 0.0 && level < 1.0) {
        /* Places from 1: (N - z sd) / 2 from below, and the one after (N + z sd) / 2. */
        const double reach =
            distributions_normal_quantile(0.5 + 0.5 * level) * sqrt(fmax(pairs.variance, 0.0));
        const double low = floor(0.5 * ((double)count - reach) + 0.5) - 1.0;
        const double high = floor(0.5 * ((double)count + reach) + 0.5);
        line.low = slopes[(size_t)fmax(low, 0.0)];
        line.high = slopes[(size_t)fmin(high, (double)(count - 1))];
    }
    double *work = ARENA_ARRAY(arena, double, n);
    line.intercept = median_where(y, x, y, n, work) - line.slope * median_where(x, x, y, n, work);
    return line;
}

/* ---- ranks ---- */

/* Share of the n! orders that have at most `most` pairs out of order.  Orders of j + 1 things with
 * k inversions: the new thing adds 0 to j of them. */
static double share_of_orders(size_t n, size_t most)
{
    double share[EXACT_MOST * (EXACT_MOST - 1) / 2 + 1] = { 1.0 };
    double next[EXACT_MOST * (EXACT_MOST - 1) / 2 + 1];
    size_t last = 0; /* most inversions so far */
    for (size_t things = 2; things <= n; things++) {
        const size_t last_next = last + things - 1;
        for (size_t k = 0; k <= last_next; k++) {
            next[k] = 0.0;
            for (size_t added = 0; added < things && added <= k; added++) {
                next[k] += k - added <= last ? share[k - added] : 0.0;
            }
            next[k] /= (double)things;
        }
        last = last_next;
        for (size_t k = 0; k <= last; k++) {
            share[k] = next[k];
        }
    }
    double sum = 0.0;
    for (size_t k = 0; k <= most && k <= last; k++) {
        sum += share[k];
    }
    return sum;
}

struct robust_kendall robust_find_kendall(const double x[], const double y[], size_t n)
{
    const struct pairs pairs = count_pairs(x, y, n);
    struct robust_kendall kendall = { pairs.n, pairs.s, (double)NAN, (double)NAN, false };
    const double scale = sqrt(pairs.all - pairs.tied_x) * sqrt(pairs.all - pairs.tied_y);
    if (!(scale > 0.0)) {
        return kendall;
    }
    kendall.tau = pairs.s / scale;
    kendall.p_is_exact = pairs.n <= EXACT_MOST && !(pairs.tied_x + pairs.tied_y > 0.0);
    if (kendall.p_is_exact) {
        /* The rarer side: as many pairs out of order, or in order, as the less of the two. */
        const size_t rarer = (size_t)(0.5 * (pairs.all - fabs(pairs.s)));
        kendall.p = fmin(1.0, 2.0 * share_of_orders(pairs.n, rarer));
    } else {
        kendall.p =
            fmin(1.0, 2.0 * distributions_normal_cdf(-fabs(pairs.s) / sqrt(pairs.variance)));
    }
    return kendall;
}

/* Twice the rank of v[i] less n + 1, so that it is whole and sums to 0. */
static double centred_rank(const double v[], const double x[], const double y[], size_t n, size_t i)
{
    double rank = 0.0;
    for (size_t j = 0; j < n; j++) {
        rank += both_known(x, y, j) ? sign_of(v[i] - v[j]) : 0;
    }
    return rank;
}

double robust_find_spearman(const double x[], const double y[], size_t n)
{
    double xx = 0.0;
    double xy = 0.0;
    double yy = 0.0;
    for (size_t i = 0; i < n; i++) {
        if (both_known(x, y, i)) {
            const double rank_x = centred_rank(x, x, y, n, i);
            const double rank_y = centred_rank(y, x, y, n, i);
            xx += rank_x * rank_x;
            xy += rank_x * rank_y;
            yy += rank_y * rank_y;
        }
    }
    return xx > 0.0 && yy > 0.0 ? xy / (sqrt(xx) * sqrt(yy)) : (double)NAN;
}
