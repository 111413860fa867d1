/* drawing/usual_days.h: how heart rate lay against usual, ride by ride, with the power of each.
 *
 *   heart rate against usual, beats
 *    +20 |            ill                           what is hatched has its word over it
 *    +11 |────────────////──────── ▴ unusual        the lines go through everything
 *      0 |─ • ─ • ─ ─ //// ─ • ──                   dot: a ride; upright line: its likely range
 *    -11 |────────────////──────── ▾ unusual
 *   power, W
 *    200 | •   •  •         •                       mean power of the same rides
 *      0 |_________________________
 *        ◆ base tests
 *      Aug 2026   Sep      Oct
 *
 * A ride far out stands at the panel's edge with its number. */
#ifndef DRAWING_USUAL_DAYS_H
#define DRAWING_USUAL_DAYS_H

#include "drawing/base_tests.h"

enum { USUAL_DAYS_NARROWEST = 210 }; /* points */

struct usual_day {
    int64_t day;
    double bpm; /* against usual; NAN = not judged: only its power is drawn */
    double low_bpm;
    double high_bpm;
    double power_w;
};

/* Days ill or without rides. */
struct usual_gap {
    int64_t from_day;
    int64_t to_day; /* half open */
    const char *words;
};

struct usual_days {
    const struct usual_day *days; /* [n] by day */
    size_t n;
    const struct usual_gap *gaps; /* [n_gaps] by from_day */
    size_t n_gaps;
    const struct base_test *tests; /* [n_tests] by day: only day, mark and verdict */
    size_t n_tests;
    double line_bpm; /* beyond it, either way, a ride is unusual */
    int64_t from_day;
    int64_t to_day; /* what is shown, both ends included */
    const char *label;
};

/* Draws from x, y (top left) within width as a figure of its own; returns the y below.  Without a
 * ride nothing is drawn: y. */
double usual_days_draw(struct scene *scene, double x, double y, double width,
                       const struct usual_days *days);

#endif
