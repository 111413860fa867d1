/* honesty/table.c: shares with their uncertainty, as cells of a table. */
#include "honesty/table.h"

#include <math.h>
#include <string.h>

/* z of 95 %: mathematics. */
static const double Z = 1.959963984540054;

void table_wilson(double part, double whole, double *low_pct, double *high_pct)
{
    if (!(whole > 0.0)) {
        *low_pct = 0.0;
        *high_pct = 100.0;
        return;
    }
    const double p = part / whole;
    const double spread = Z * Z / whole;
    const double centre = (p + 0.5 * spread) / (1.0 + spread);
    const double half = Z / (1.0 + spread) * sqrt(p * (1.0 - p) / whole + 0.25 * spread / whole);
    *low_pct = 100.0 * fmax(0.0, centre - half);
    *high_pct = 100.0 * fmin(1.0, centre + half);
}

const char *table_share(struct arena *arena, double part, double whole)
{
    if (!(whole > 0.0)) {
        return "–";
    }
    double low = 0.0;
    double high = 0.0;
    table_wilson(part, whole, &low, &high);
    return arena_format(arena, "%.1f (%.1f–%.1f)", 100.0 * part / whole, low, high);
}

const char *table_plain_share(struct arena *arena, double part, double whole)
{
    return whole > 0.0 ? arena_format(arena, "%.1f", 100.0 * part / whole) : "–";
}

/* The chi-square way to Poisson limits: k (1 - 1/(9k) +- z / (3 sqrt k))^3, k + 1 above. */
static double poisson_limit(double k, double z)
{
    if (!(k > 0.0)) {
        return 0.0;
    }
    const double root = 1.0 - 1.0 / (9.0 * k) + z / (3.0 * sqrt(k));
    return k * root * root * root;
}

const char *table_rate(struct arena *arena, double events, double hours)
{
    if (!(hours > 0.0)) {
        return "–";
    }
    const double per = 100.0 / hours;
    return arena_format(arena, "%.2f (%.2f–%.2f)", events * per, poisson_limit(events, -Z) * per,
                        poisson_limit(events + 1.0, Z) * per);
}

void reasons_add(struct reasons *reasons, const char *code)
{
    size_t i = 0;
    while (i < reasons->n && strcmp(reasons->code[i], code) != 0) {
        i++;
    }
    if (i == sizeof reasons->code / sizeof reasons->code[0]) {
        return; /* sixteen reasons are more than any reading has */
    }
    reasons->code[i] = code;
    reasons->n = i < reasons->n ? reasons->n : i + 1;
    reasons->count[i]++;
}

const char *reasons_text(struct arena *arena, const struct reasons *reasons)
{
    struct reasons left = *reasons;
    const char *words = "";
    for (size_t k = 0; k < left.n; k++) {
        size_t most = 0;
        for (size_t i = 1; i < left.n; i++) {
            most = left.count[i] > left.count[most] ? i : most;
        }
        words = arena_format(arena, "%s%s%s %d", words, k > 0 ? ", " : "", left.code[most],
                             left.count[most]);
        left.count[most] = 0;
    }
    return left.n > 0 ? words : "–";
}
