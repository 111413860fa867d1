/* drawing/power_curves.h: greatest mean power against how long it was held, of one range of days or
 * two.
 *
 *   ── 1 October to 11 November 2026
 *   -- 20 August to 30 September 2026          ink solid; the compared range quiet and dashed
 *   W
 *   800 |\_
 *   400 |  \__--__
 *     0 |_________‾‾‾──────
 *       1 s   15 s   1 min   5 min   20 min   1 h       equal steps are equal ratios of time
 *
 * It says what was ridden, not what could have been: a hollow in it was perhaps never tried. */
#ifndef DRAWING_POWER_CURVES_H
#define DRAWING_POWER_CURVES_H

#include "drawing/scene.h"

#include <stdint.h>

enum { POWER_CURVES_NARROWEST = 210 }; /* points */

struct power_curve {
    const int32_t *duration_s; /* [n] rising, from 1 */
    const double *power_w;
    size_t n;
    const char *words; /* which days */
};

/* Draws from x, y (top left) within width as a figure of its own; against NULL = one range alone.
 * Returns the y below; of two curves without a point, y. */
double power_curves_draw(struct scene *scene, double x, double y, double width,
                         const struct power_curve *curve, const struct power_curve *against);

#endif
