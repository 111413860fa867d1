/* physiology/zones.h: the table that cuts power into zones, and time spent in each.
 *
 * Default: seven zones, common practice, no source: < 55, -75, -90, -105, -120, -150, > 150 % of
 * threshold power. */
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
struct zones zones_three_domains(void); /* moderate, heavy, severe: the literature's */

/* A zone file: one line a zone, "name upper", upper in % of threshold or "-" for the last;
 * '#' begins a comment.  The message names the line. */
MUST_USE bool zones_parse(struct bytes bytes, const char *file, struct zones *out,
                          struct error *err);

/* 0-based zone of a power; a value on an edge belongs to the lower zone. */
size_t zones_of(const struct zones *zones, double power_w, double threshold_w);

/* Seconds in each zone: power_w [n], NAN is left out. */
void zones_count(const struct zones *zones, const double power_w[], size_t n, double threshold_w,
                 double seconds[ZONES_MOST]);

#endif
