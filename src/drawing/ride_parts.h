/* drawing/ride_parts.h: the figures of a ride page, filled from recording and readings.  For
 * this room alone. */
#ifndef DRAWING_RIDE_PARTS_H
#define DRAWING_RIDE_PARTS_H

#include "drawing/ride_page.h"
#include "drawing/traces.h"

/* Power and heart rate of a recording with its masks and pauses, for a figure that wide (points);
 * all else zero.  Both series are the arena's and may be changed. */
struct traces ride_traces_of(struct arena *arena, const struct recording *recording, double width);

/* The two traces, with what was left out hatched and the reading's spans in brackets (NULL = none);
 * returns the y below. */
double ride_traces_draw(struct scene *scene, double x, double y, double width,
                        const struct ride_page *page, const struct reading *reading);

/* The reps as rows. */
double ride_reps_draw(struct scene *scene, double x, double y, double width,
                      const struct ride_page *page);

/* The bests set, in columns read downwards; nothing without one. */
double ride_bests_draw(struct scene *scene, double x, double y, double width,
                       const struct ride_page *page);

#endif
