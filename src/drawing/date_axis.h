/* drawing/date_axis.h: days along an axis, ticks on Mondays or on the first of a month.
 *
 *     21 Dec 2026     28 Dec     4 Jan 2027       weeks: 1, 2
 *     Oct 2026    Nov     Dec     Jan 2027        months: 1, 2, 3, 6
 *     2025        2026        2027                years: 1, 2, 5, 10, ...
 *
 * The finest step whose labels fit as measured; the year stands where it begins, and on the first
 * label. */
#ifndef DRAWING_DATE_AXIS_H
#define DRAWING_DATE_AXIS_H

#include "drawing/axis.h"

/* Ticks of days since 1970 along a scale that runs across; the rest as in axis_across.  None where
 * not even one label fits. */
struct ticks date_axis_across(const struct scene *scene, const struct scale *scale,
                              const struct text_style *style, double baseline_y, double left,
                              double right, double gap);

/* "5 Oct", "5 Oct 2026". */
char *date_axis_day(struct arena *arena, int64_t day, bool with_year);

#endif
