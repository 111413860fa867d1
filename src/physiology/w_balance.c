/* physiology/w_balance.c: W' left, in two forms. */
#include "physiology/w_balance.h"

#include <math.h>

double w_balance_tau_s(double below_w)
{
    return 546.0 * exp(-0.01 * below_w) + 316.0;
}

static void differential(double cp_w, double w_prime_j, const double power_w[], size_t n,
                         double left_j[])
{
    double left = w_prime_j;
    for (size_t i = 0; i < n; i++) {
        const double above = power_w[i] - cp_w;
        if (above >= 0.0) {
            left -= above;
        } else if (above < 0.0) {
            /* Solved over the second, not stepped: exact however small W' is. */
            left = w_prime_j - (w_prime_j - left) * exp(above / w_prime_j);
        }
        left_j[i] = left;
    }
}

/* Mean of the power below CP, as watts under it; 0 if there is none. */
static double mean_below(double cp_w, const double power_w[], size_t n)
{
    double sum = 0.0;
    size_t count = 0;
    for (size_t i = 0; i < n; i++) {
        if (power_w[i] < cp_w) {
            sum += cp_w - power_w[i];
            count++;
        }
    }
    return count > 0 ? sum / (double)count : 0.0;
}

static void integral(double cp_w, double w_prime_j, const double power_w[], size_t n,
                     double left_j[])
{
    const double fade = exp(-1.0 / w_balance_tau_s(mean_below(cp_w, power_w, n)));
    double spent = 0.0;
    for (size_t i = 0; i < n; i++) {
        if (!isnan(power_w[i])) {
            spent = spent * fade + fmax(power_w[i] - cp_w, 0.0);
        }
        left_j[i] = w_prime_j - spent;
    }
}

void w_balance_trace(enum w_form form, double cp_w, double w_prime_j, const double power_w[],
                     size_t n, double left_j[])
{
    if (form == W_DIFFERENTIAL) {
        differential(cp_w, w_prime_j, power_w, n, left_j);
    } else {
        integral(cp_w, w_prime_j, power_w, n, left_j);
    }
}

double w_balance_cost_j(double cp_w, const double power_w[], size_t from, size_t to)
{
    double sum = 0.0;
    for (size_t i = from; i < to; i++) {
        sum += power_w[i] > cp_w ? power_w[i] - cp_w : 0.0;
    }
    return sum;
}

/* ---- the range ---- */

static double unknown_ratio(const double power_w[], size_t n)
{
    size_t unknown = 0;
    for (size_t i = 0; i < n; i++) {
        unknown += isnan(power_w[i]) ? 1 : 0;
    }
    return n > 0 ? (double)unknown / (double)n : (double)NAN;
}

static void widen(struct w_balance *out, const double trace[])
{
    for (size_t i = 0; i < out->n; i++) {
        out->low_j[i] = fmin(out->low_j[i], trace[i]);
        out->high_j[i] = fmax(out->high_j[i], trace[i]);
    }
}

static void find_least(struct w_balance *out)
{
    out->least_j = out->middle_j[0];
    out->least_low_j = out->low_j[0];
    out->least_high_j = out->high_j[0];
    for (size_t i = 1; i < out->n; i++) {
        if (out->middle_j[i] < out->least_j) {
            out->least_j = out->middle_j[i];
            out->least_at_s = (int32_t)i;
        }
        out->least_low_j = fmin(out->least_low_j, out->low_j[i]);
        out->least_high_j = fmin(out->least_high_j, out->high_j[i]);
    }
    out->is_wrong = out->least_high_j < 0.0;
}

struct w_balance w_balance_read(struct arena *arena, const struct w_rider *rider,
                                const double power_w[], size_t n, const struct limits *limits)
{
    struct w_balance out = { .n = n, .unknown_ratio = unknown_ratio(power_w, n) };
    out.least_j = out.least_low_j = out.least_high_j = (double)NAN;
    if (!(rider->cp_w > 0.0) || !(rider->w_prime_j > 0.0) || n == 0 ||
        out.unknown_ratio > limits->value[LIMIT_W_BALANCE_UNKNOWN_RATIO]) {
        return out;
    }
    out.low_j = arena_alloc(arena, n, sizeof *out.low_j);
    out.high_j = arena_alloc(arena, n, sizeof *out.high_j);
    out.middle_j = arena_alloc(arena, n, sizeof *out.middle_j);
    double *trace = arena_alloc(arena, n, sizeof *trace);
    for (size_t i = 0; i < n; i++) {
        out.low_j[i] = (double)INFINITY;
        out.high_j[i] = -(double)INFINITY;
    }
    const struct {
        double cp_w;
        double w_prime_j;
    } corners[] = { { rider->cp_w, rider->w_prime_j },
                    { rider->cp_low_w, rider->w_prime_high_j },
                    { rider->cp_high_w, rider->w_prime_low_j } };
    for (size_t corner = 0; corner < sizeof corners / sizeof corners[0]; corner++) {
        if (!(corners[corner].cp_w > 0.0) || !(corners[corner].w_prime_j > 0.0)) {
            continue;
        }
        for (int form = 0; form < W_FORMS; form++) {
            w_balance_trace((enum w_form)form, corners[corner].cp_w, corners[corner].w_prime_j,
                            power_w, n, trace);
            widen(&out, trace);
            for (size_t i = 0; corner == 0 && i < n; i++) {
                out.middle_j[i] += trace[i] / W_FORMS;
            }
        }
    }
    out.is_known = true;
    find_least(&out);
    return out;
}
