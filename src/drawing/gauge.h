/* drawing/gauge.h: our own glyph: a verdict as a place on a scale.
 *
 *         passed ◂ │ ▸ not passed
 *       ░░░░░◆░░░░ │                 the drop stands on the bar of its likely range
 *     ┬────┬────┬──┴─┬────┬          the plumb line goes through everything and hangs its bob
 *     0    2    4  ▼ 6    8          below the scale: the estimate never hides the limit
 *                  5                 the limit's own number goes before the round ones
 *                         beats
 */
#ifndef DRAWING_GAUGE_H
#define DRAWING_GAUGE_H

#include "coaching/gauge.h"
#include "drawing/scene.h"

enum { GAUGE_NARROWEST = 200 }; /* points */

/* The verdict's mark. */
enum mark gauge_mark(enum verdict_answer answer);

/* Draws the gauge at x, y (top left), within `width` points (at least GAUGE_NARROWEST), as a figure
 * of its own; with_bar_words says under it what the bar is.  Words are placed as measured: nothing
 * lies on anything else whatever the numbers are.  Returns the y below it. */
double gauge_draw(struct scene *scene, double x, double y, double width, const struct gauge *gauge,
                  bool with_bar_words);

#endif
