/* roster/zone.h: from instants to local days.  The only place that knows time zones.
 *
 * A zone is a name of the IANA data ("Europe/Berlin", "UTC"); the data come with the machine. */
#ifndef ROSTER_ZONE_H
#define ROSTER_ZONE_H

#include "base/error.h"

#include <stdint.h>

struct zone;

/* False (ERROR_USAGE) if the machine knows no zone of that name. */
MUST_USE bool zone_open(const char *name, struct zone **out, struct error *err);
void zone_close(struct zone *zone); /* NULL is accepted */

/* Seconds that local clocks are ahead of UTC at that instant. */
int32_t zone_offset_s(const struct zone *zone, int64_t utc_s);

/* The local day of an instant: "2026-03-14". */
void zone_day(const struct zone *zone, int64_t utc_s, char out[11]);

#endif
