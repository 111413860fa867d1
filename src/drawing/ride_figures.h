/* drawing/ride_figures.h: the figures of a ride, each a scene of its own at a given width: as they
 * stand on its page (ride_page.h), without heading or sentence.  Widths: figure_maker.h.
 *
 * With nothing to show a figure is one sentence that says so. */
#ifndef DRAWING_RIDE_FIGURES_H
#define DRAWING_RIDE_FIGURES_H

#include "drawing/figure_maker.h"
#include "drawing/ride_page.h"

/* The two traces, what was left out hatched; with the spans of a reading in brackets, and for hard
 * work its target ranges (NULL = neither). */
struct scene figure_traces(const struct figure_maker *maker, const struct ride_page *page,
                           const struct reading *reading);

/* The reps as rows of small traces against what was asked. */
struct scene figure_reps(const struct figure_maker *maker, const struct ride_page *page);

/* The bests set in it. */
struct scene figure_ride_bests(const struct figure_maker *maker, const struct ride_page *page);

#endif
