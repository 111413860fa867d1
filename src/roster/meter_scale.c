/* roster/meter_scale.c: a threshold that another meter measured, as the ride's own would show it.
 */
#include "roster/meter_scale.h"

#include "base/dates.h"
#include "maths/distributions.h"
#include "roster/meter_checks.h"
#include "roster/readings.h"

#include <math.h>

/* Half ranges in logarithms add as roots of squares; one that isn't known adds nothing. */
static double widened(double value, double end, double half)
{
    const double own = isnan(end) ? 0.0 : log(end / value);
    return sqrt(own * own + half * half);
}

bool meter_scale_threshold(struct db *db, struct arena *arena, int64_t rider,
                           const int64_t meters[], size_t count, struct fact *fact,
                           const char **how, struct error *err)
{
    struct limits limits;
    struct meter_link *links = NULL;
    size_t n = 0;
    if (!readings_limits(db, arena, rider, &limits, err) ||
        !meter_checks_links(db, arena, rider, NULL, &links, &n, err)) {
        return false;
    }
    const struct meter_link *link = NULL;
    int64_t meter = 0;
    for (size_t i = 0; i < count && link == NULL; i++) {
        meter = meters[i];
        link = meter_link_find(links, n, fact->meter, meter);
    }
    const double sd =
        link == NULL ? meter_link_unchecked_sd(&limits) : meter_link_sd(link, &limits);
    const double half = distributions_normal_quantile(0.95) * sd;
    const double ratio = link == NULL ? 0.0 : meter_link_ratio(link, meter);
    const double low = widened(fact->value, fact->low, half);
    const double high = widened(fact->value, fact->high, half);
    fact->value *= exp(ratio);
    fact->low = fact->value * exp(-low);
    fact->high = fact->value * exp(high);
    if (link == NULL) {
        *how = ", with another meter that was not checked against this one";
        return true;
    }
    char day[11];
    dates_format_day(link->day, day);
    *how = arena_format(arena, ", with another meter, %.1f %% %s by the check of %s",
                        100.0 * fabs(expm1(ratio)), ratio < 0.0 ? "taken off" : "added", day);
    return true;
}
