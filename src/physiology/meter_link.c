/* physiology/meter_link.c: two power meters that were ridden against each other. */
#include "physiology/meter_link.h"

#include <math.h>

const struct meter_link *meter_link_find(const struct meter_link links[], size_t n, int64_t a,
                                         int64_t b)
{
    for (size_t i = n; i > 0; i--) {
        const struct meter_link *link = &links[i - 1];
        if ((link->first == a && link->second == b) || (link->first == b && link->second == a)) {
            return link;
        }
    }
    return NULL;
}

double meter_link_ratio(const struct meter_link *link, int64_t to)
{
    return link->second == to ? link->log_ratio : -link->log_ratio;
}

double meter_link_sd(const struct meter_link *link, const struct limits *limits)
{
    const double precision = limits->value[LIMIT_METER_PRECISION_PCT] / 100.0;
    return sqrt(link->day_sd * link->day_sd + 2.0 * precision * precision);
}

double meter_link_unchecked_sd(const struct limits *limits)
{
    return sqrt(2.0) * limits->value[LIMIT_METER_TRUENESS_PCT] / 100.0;
}
