/* physiology/meter_link.h: two power meters that were ridden against each other.
 *
 *     first meter ──── second reads above it by ln r ± sd ──── second meter
 *
 * A link is what a meter check of one ride left (physiology/meter_check).  On any other day both
 * meters repeat themselves to LIMIT_METER_PRECISION_PCT only, which is added wherever a link is
 * used.  Links aren't chained: two meters are linked if one ride held both. */
#ifndef PHYSIOLOGY_METER_LINK_H
#define PHYSIOLOGY_METER_LINK_H

#include "limits/limits.h"

#include <stddef.h>
#include <stdint.h>

struct meter_link {
    int64_t first; /* meters: equipment */
    int64_t second;
    double log_ratio;    /* ln of what the second shows over what the first shows */
    double day_sd;       /* of it, on the day of the check */
    int64_t day;         /* of the check, since 1970 */
    int64_t changed_day; /* one of the two was changed after it; INT64_MIN = not that one knows */
};

/* The newest link of the two, in whichever order; NULL if there is none.  Links stand by age, the
 * oldest first. */
const struct meter_link *meter_link_find(const struct meter_link links[], size_t n, int64_t a,
                                         int64_t b);

/* ln of what `to` shows over what the other meter of the link shows. */
double meter_link_ratio(const struct meter_link *link, int64_t to);

/* Standard deviation of that on any day. */
double meter_link_sd(const struct meter_link *link, const struct limits *limits);

/* Standard deviation of the same where there is no link: each is off by an error of its own,
 * LIMIT_METER_TRUENESS_PCT. */
double meter_link_unchecked_sd(const struct limits *limits);

#endif
