/* maths/regression.c: least squares with independent errors. */
#include "maths/regression.h"

#include "maths/summary.h"

#include <assert.h>
#include <math.h>

/* What is left of a column after the others explained it, as a share of its length: below this the
 * sixteen digits of a double leave fewer than six for its coefficient. */
static const double COLUMN_LEAST = 1e-10;

static bool both_known(double x, double y)
{
    return !isnan(x) && !isnan(y);
}

/* Mean of x where y is known too: twice over, so that the second takes the first's rounding. */
static double mean_where(const double x[], const double y[], size_t n, double count)
{
    double mean = 0.0;
    for (int pass = 0; pass < 2; pass++) {
        double sum = 0.0;
        for (size_t i = 0; i < n; i++) {
            sum += both_known(x[i], y[i]) ? x[i] - mean : 0.0;
        }
        mean += sum / count;
    }
    return mean;
}

struct regression_line regression_fit_line(const double x[], const double y[], size_t n)
{
    const double unknown = (double)NAN;
    struct regression_line line = {
        0, unknown, unknown, unknown, unknown, unknown, unknown, unknown
    };
    for (size_t i = 0; i < n; i++) {
        line.n += both_known(x[i], y[i]) ? 1 : 0;
    }
    const double count = (double)line.n;
    if (line.n < 2) {
        return line;
    }
    const double mean_x = mean_where(x, y, n, count);
    const double mean_y = mean_where(y, x, n, count);
    double xx = 0.0;
    double xy = 0.0;
    double yy = 0.0;
    for (size_t i = 0; i < n; i++) {
        if (both_known(x[i], y[i])) {
            xx += (x[i] - mean_x) * (x[i] - mean_x);
            xy += (x[i] - mean_x) * (y[i] - mean_y);
            yy += (y[i] - mean_y) * (y[i] - mean_y);
        }
    }
    /* What rounding leaves of n equal numbers is no spread. */
    if (!(xx > count * COLUMN_LEAST * COLUMN_LEAST * mean_x * mean_x)) {
        return line;
    }
    line.slope = xy / xx;
    line.intercept = mean_y - line.slope * mean_x;
    line.residual_squares = 0.0;
    for (size_t i = 0; i < n; i++) {
        if (both_known(x[i], y[i])) {
            const double rest = (y[i] - mean_y) - line.slope * (x[i] - mean_x);
            line.residual_squares += rest * rest;
        }
    }
    line.r_squared = yy > 0.0 ? 1.0 - line.residual_squares / yy : unknown;
    if (line.n > 2) {
        line.residual_sd = sqrt(line.residual_squares / (count - 2.0));
        line.slope_se = line.residual_sd / sqrt(xx);
        line.intercept_se = line.residual_sd * sqrt(1.0 / count + mean_x * mean_x / xx);
    }
    return line;
}

/* ---- several columns ---- */

/* The kept rows, column after column, y last. */
struct columns {
    double *at; /* [(k + 1) x rows] */
    size_t rows;
    size_t k;
};

static double *column(const struct columns *c, size_t j)
{
    return c->at + j * c->rows;
}

static bool row_is_known(const double row[], size_t k, double y)
{
    bool known = !isnan(y);
    for (size_t j = 0; j < k; j++) {
        known = known && !isnan(row[j]);
    }
    return known;
}

static struct columns keep_known(const double x[], const double y[], size_t n, size_t k,
                                 double work[])
{
    struct columns c = { .at = work, .k = k };
    for (size_t i = 0; i < n; i++) {
        c.rows += row_is_known(x + i * k, k, y[i]) ? 1 : 0;
    }
    size_t row = 0;
    for (size_t i = 0; i < n; i++) {
        if (row_is_known(x + i * k, k, y[i])) {
            for (size_t j = 0; j < k; j++) {
                column(&c, j)[row] = x[i * k + j];
            }
            column(&c, k)[row++] = y[i];
        }
    }
    return c;
}

static double length_from(const double x[], size_t from, size_t n)
{
    double greatest = 0.0;
    for (size_t i = from; i < n; i++) {
        greatest = fmax(greatest, fabs(x[i]));
    }
    double sum = 0.0;
    for (size_t i = from; i < n && greatest > 0.0; i++) {
        sum += (x[i] / greatest) * (x[i] / greatest);
    }
    return greatest * sqrt(sum);
}

/* Reflects columns j.. so that column j ends at its place j; r is what then stands there.  The
 * mirror's vector overwrites column j from j on. */
static void reflect(const struct columns *c, size_t j, double r)
{
    double *mirror = column(c, j);
    mirror[j] -= r;
    double squares = 0.0;
    for (size_t i = j; i < c->rows; i++) {
        squares += mirror[i] * mirror[i];
    }
    for (size_t l = j + 1; l <= c->k; l++) {
        double *other = column(c, l);
        double sum = 0.0;
        for (size_t i = j; i < c->rows; i++) {
            sum += mirror[i] * other[i];
        }
        const double by = 2.0 * sum / squares;
        for (size_t i = j; i < c->rows; i++) {
            other[i] -= by * mirror[i];
        }
    }
}

/* Leaves R above the diagonal, its diagonal in r[], and Q'y in the last column. */
static bool decompose(const struct columns *c, double r[])
{
    double whole[REGRESSION_COLUMNS];
    for (size_t j = 0; j < c->k; j++) {
        whole[j] = length_from(column(c, j), 0, c->rows);
    }
    for (size_t j = 0; j < c->k; j++) {
        const double length = length_from(column(c, j), j, c->rows);
        if (!(length > COLUMN_LEAST * whole[j]) || isinf(length)) {
            return false;
        }
        /* Away from the entry's own sign, so that nothing cancels. */
        r[j] = column(c, j)[j] > 0.0 ? -length : length;
        reflect(c, j, r[j]);
    }
    return true;
}

/* Inverse of R, by columns: R's diagonal in r[], the rest above the diagonal of c. */
static void invert(const struct columns *c, const double r[],
                   double inverse[REGRESSION_COLUMNS][REGRESSION_COLUMNS])
{
    for (size_t l = 0; l < c->k; l++) {
        for (size_t i = 0; i < c->k; i++) {
            inverse[i][l] = 0.0;
        }
        for (size_t i = l + 1; i-- > 0;) {
            double sum = i == l ? 1.0 : 0.0;
            for (size_t j = i + 1; j <= l; j++) {
                sum -= column(c, j)[i] * inverse[j][l];
            }
            inverse[i][l] = sum / r[i];
        }
    }
}

static void fill_covariance(const struct columns *c, const double r[], struct regression *out)
{
    double inverse[REGRESSION_COLUMNS][REGRESSION_COLUMNS];
    invert(c, r, inverse);
    const double variance = out->residual_sd * out->residual_sd;
    for (size_t i = 0; i < c->k; i++) {
        for (size_t j = 0; j < c->k; j++) {
            double sum = 0.0;
            for (size_t l = 0; l < c->k; l++) {
                sum += inverse[i][l] * inverse[j][l];
            }
            out->covariance[i][j] = variance * sum;
        }
        out->se[i] = sqrt(out->covariance[i][i]);
    }
}

bool regression_fit(const double x[], const double y[], size_t n, size_t k, double work[],
                    struct regression *out)
{
    assert(k >= 1 && k <= REGRESSION_COLUMNS);
    const struct columns c = keep_known(x, y, n, k, work);
    if (c.rows < k) {
        return false;
    }
    const double *qy = column(&c, k);
    const double sd_y = summary_sd(qy, c.rows);
    const double squares_y = c.rows > 1 ? sd_y * sd_y * (double)(c.rows - 1) : 0.0;
    double r[REGRESSION_COLUMNS];
    if (!decompose(&c, r)) {
        return false;
    }
    struct regression fit = { .n = c.rows, .k = k };
    for (size_t i = k; i-- > 0;) {
        double sum = qy[i];
        for (size_t j = i + 1; j < k; j++) {
            sum -= column(&c, j)[i] * fit.coefficient[j];
        }
        fit.coefficient[i] = sum / r[i];
        if (!isfinite(fit.coefficient[i])) {
            return false;
        }
    }
    const double rest = length_from(qy, k, c.rows);
    fit.residual_squares = rest * rest;
    fit.residual_sd = c.rows > k ? rest / sqrt((double)(c.rows - k)) : (double)NAN;
    fit.r_squared = squares_y > 0.0 ? 1.0 - fit.residual_squares / squares_y : (double)NAN;
    fill_covariance(&c, r, &fit);
    *out = fit;
    return true;
}
