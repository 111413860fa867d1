/* physiology/zones.h: the table that cuts power into zones, and time spent in each.
 *
 * A zone holds the powers above the zone below it up to its own upper edge, the edge included.
 * Two tables are offered equally, and a zone file replaces either:
 *
 * - seven zones, common practice, no source: up to 55, 75, 90, 105, 120, 150 % of threshold power
 *   and above;
 * - three domains of the literature: moderate up to the lactate threshold, heavy up to critical
 *   power, severe above it (Poole et al. 1988, Ergonomics 31:1265-1279, from memory).  Neither
 *   border is measured here, so both are stand-ins in % of threshold power: 80 % for the first
 *   (common practice, no source), 100 % for the second, since critical power lies only some 3 %
 *   above a threshold from a 20-minute test (Karsten et al. 2021, Front Physiol 11:613151: 256
 *   against 249 W), which is less than either is known by. */
#ifndef PHYSIOLOGY_ZONES_H
#define PHYSIOLOGY_ZONES_H

#include "base/error.h"
#include "base/files.h"

#include <stddef.h>

#define ZONES_MOST 10

struct zones {
    size_t count;                 /* 2..ZONES_MOST */
    double upper_pct[ZONES_MOST]; /* of threshold, ascending; the last is INFINITY */
    char name[ZONES_MOST][32];
};

struct zones zones_default(void);       /* seven zones */
struct zones zones_three_domains(void); /* moderate, heavy, severe */

/* Heart-rate zones in % of the reserve between resting and maximal heart rate: under 30 very light,
 * light from 30, moderate from 40, vigorous from 60, near maximal from 90 (American College of
 * Sports Medicine, from memory). */
struct zones zones_of_reserve(void);

/* A zone file: one line a zone from low to high, "name upper", upper in % of threshold, or "-" in
 * the last line: no upper edge.  Names may hold blanks; '#' begins a comment, empty lines are
 * skipped.  2 to ZONES_MOST zones; edges above 0, at most 1000, and ascending.
 * ERROR_INPUT with one line that names file and line; *out is untouched then. */
MUST_USE bool zones_parse(struct bytes bytes, const char *file, struct zones *out,
                          struct error *err);

/* 0-based zone of a known power at a known threshold; a value on an edge belongs to the lower
 * zone, exactly. */
size_t zones_of(const struct zones *zones, double power_w, double threshold_w);

/* Seconds in each zone: power_w [n], NAN is left out.  seconds beyond zones->count are 0. */
void zones_count(const struct zones *zones, const double power_w[], size_t n, double threshold_w,
                 double seconds[ZONES_MOST]);

#endif
