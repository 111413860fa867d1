/* maths/summary.c: one number for a whole series. */
#include "maths/summary.h"

#include <gsl/gsl_sort.h>
#include <math.h>
#include <stdbool.h>

/* 1 / z(3/4), z the standard normal quantile: mathematics, not a choice. */
static const double MAD_TO_SD = 1.482602218505602;

/* A sum with its rounding error beside it (Neumaier 1974, Z Angew Math Mech 54:39-51). */
struct carry {
    double sum;
    double lost;
};

static void carry_add(struct carry *carry, double term)
{
    const double sum = carry->sum + term;
    carry->lost +=
        fabs(carry->sum) >= fabs(term) ? (carry->sum - sum) + term : (term - sum) + carry->sum;
    carry->sum = sum;
}

static double carry_total(const struct carry *carry)
{
    return carry->sum + carry->lost;
}

size_t summary_count(const double x[], size_t n)
{
    size_t count = 0;
    for (size_t i = 0; i < n; i++) {
        count += isnan(x[i]) ? 0 : 1;
    }
    return count;
}

double summary_mean(const double x[], size_t n)
{
    struct carry total = { 0 };
    size_t count = 0;
    for (size_t i = 0; i < n; i++) {
        if (!isnan(x[i])) {
            carry_add(&total, x[i]);
            count++;
        }
    }
    return count > 0 ? carry_total(&total) / (double)count : (double)NAN;
}

/* Sum of squares about the mean.  What the mean's own rounding leaves over is taken back (Chan,
 * Golub and LeVeque 1983, Am Stat 37:242-247, eq. 1.7). */
static double squares_about(const double x[], size_t n, double mean, size_t count)
{
    struct carry squares = { 0 };
    struct carry rest = { 0 };
    for (size_t i = 0; i < n; i++) {
        if (!isnan(x[i])) {
            carry_add(&squares, (x[i] - mean) * (x[i] - mean));
            carry_add(&rest, x[i] - mean);
        }
    }
    const double left = carry_total(&rest);
    return fmax(carry_total(&squares) - left * left / (double)count, 0.0);
}

double summary_sd(const double x[], size_t n)
{
    const size_t count = summary_count(x, n);
    if (count < 2) {
        return (double)NAN;
    }
    return sqrt(squares_about(x, n, summary_mean(x, n), count) / (double)(count - 1));
}

double summary_autocorrelation(const double x[], size_t n)
{
    const size_t count = summary_count(x, n);
    const double mean = summary_mean(x, n);
    struct carry products = { 0 };
    size_t pairs = 0;
    for (size_t i = 1; i < n; i++) {
        if (!isnan(x[i - 1]) && !isnan(x[i])) {
            carry_add(&products, (x[i - 1] - mean) * (x[i] - mean));
            pairs++;
        }
    }
    const double squares = pairs > 0 ? squares_about(x, n, mean, count) : 0.0;
    if (!(squares > 0.0)) {
        return (double)NAN;
    }
    return carry_total(&products) / squares * ((double)(count - 1) / (double)pairs);
}

double summary_correlation(const double x[], const double y[], size_t n)
{
    struct carry sum_x = { 0 };
    struct carry sum_y = { 0 };
    double count = 0.0;
    for (size_t i = 0; i < n; i++) {
        if (!isnan(x[i]) && !isnan(y[i])) {
            carry_add(&sum_x, x[i]);
            carry_add(&sum_y, y[i]);
            count += 1.0;
        }
    }
    if (count < 2.0) {
        return (double)NAN;
    }
    const double mean_x = carry_total(&sum_x) / count;
    const double mean_y = carry_total(&sum_y) / count;
    struct carry xx = { 0 };
    struct carry xy = { 0 };
    struct carry yy = { 0 };
    for (size_t i = 0; i < n; i++) {
        if (!isnan(x[i]) && !isnan(y[i])) {
            carry_add(&xx, (x[i] - mean_x) * (x[i] - mean_x));
            carry_add(&xy, (x[i] - mean_x) * (y[i] - mean_y));
            carry_add(&yy, (y[i] - mean_y) * (y[i] - mean_y));
        }
    }
    /* Two roots: the product of the sums may overflow where they don't. */
    const double scale = sqrt(carry_total(&xx)) * sqrt(carry_total(&yy));
    return scale > 0.0 ? fmax(-1.0, fmin(1.0, carry_total(&xy) / scale)) : (double)NAN;
}

/* ---- order ---- */

static size_t copy_known(const double x[], size_t n, double work[])
{
    size_t kept = 0;
    for (size_t i = 0; i < n; i++) {
        if (!isnan(x[i])) {
            work[kept++] = x[i];
        }
    }
    return kept;
}

static void swap(double x[], size_t i, size_t j)
{
    const double held = x[i];
    x[i] = x[j];
    x[j] = held;
}

/* Puts the middle one of first, middle and last in the middle. */
static void order_three(double x[], size_t first, size_t last)
{
    const size_t middle = first + (last - first) / 2;
    if (x[middle] < x[first]) {
        swap(x, middle, first);
    }
    if (x[last] < x[first]) {
        swap(x, last, first);
    }
    if (x[last] < x[middle]) {
        swap(x, last, middle);
    }
}

/* Moves samples until x[k] is where sorting would put it, none before it is greater and none
 * behind it less (Hoare 1961, Commun ACM 4:321, algorithm 65).  Input made to defeat it is sorted
 * instead, once it took more rounds than halving would by far: time stays n log n at worst. */
static double select_in_place(double x[], size_t n, size_t k)
{
    size_t first = 0;
    size_t last = n - 1;
    size_t rounds_left = 64;
    while (last - first > 2) {
        if (rounds_left-- == 0) {
            gsl_sort(x + first, 1, last - first + 1);
            return x[k];
        }
        order_three(x, first, last);
        const double pivot = x[first + (last - first) / 2];
        size_t i = first;
        size_t j = last;
        do {
            while (x[i] < pivot) {
                i++;
            }
            while (x[j] > pivot) {
                j--;
            }
            if (i <= j) {
                swap(x, i, j);
                i++;
                j--;
            }
        } while (i <= j);
        /* Between j and i all equal the pivot. */
        if (k <= j) {
            last = j;
        } else if (k >= i) {
            first = i;
        } else {
            return x[k];
        }
    }
    if (last > first) {
        order_three(x, first, last);
    }
    return x[k];
}

/* p of 0..1 among n >= 1 samples. */
static double quantile_in_place(double x[], size_t n, double p)
{
    const double place = p * (double)(n - 1);
    const size_t below = (size_t)floor(place);
    const double share = place - (double)below;
    const double low = select_in_place(x, n, below);
    if (!(share > 0.0) || below + 1 >= n) {
        return low;
    }
    double high = x[below + 1];
    for (size_t i = below + 2; i < n; i++) {
        high = fmin(high, x[i]);
    }
    return low + share * (high - low);
}

double summary_quantile(const double x[], size_t n, double p, double work[])
{
    const size_t kept = copy_known(x, n, work);
    const bool asked_well = p >= 0.0 && p <= 1.0;
    return kept > 0 && asked_well ? quantile_in_place(work, kept, p) : (double)NAN;
}

double summary_median(const double x[], size_t n, double work[])
{
    return summary_quantile(x, n, 0.5, work);
}

/* Of n >= 0 samples without gaps.  An infinite median leaves no distance from it known. */
static double robust_sd_in_place(double x[], size_t n)
{
    const double centre = n > 0 ? quantile_in_place(x, n, 0.5) : (double)NAN;
    for (size_t i = 0; i < n; i++) {
        x[i] = fabs(x[i] - centre);
    }
    const size_t kept = copy_known(x, n, x);
    return kept > 0 ? MAD_TO_SD * quantile_in_place(x, kept, 0.5) : (double)NAN;
}

double summary_robust_sd(const double x[], size_t n, double work[])
{
    return robust_sd_in_place(work, copy_known(x, n, work));
}

double summary_noise_sd(const double x[], size_t n, double work[])
{
    size_t kept = 0;
    for (size_t i = 1; i < n; i++) {
        const double step = x[i] - x[i - 1];
        if (!isnan(step)) {
            work[kept++] = step;
        }
    }
    return robust_sd_in_place(work, kept) / sqrt(2.0);
}
