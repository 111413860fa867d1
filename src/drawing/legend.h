/* drawing/legend.h: verdict marks with their words, and other short words, in lines under a figure.
 */
#ifndef DRAWING_LEGEND_H
#define DRAWING_LEGEND_H

#include "drawing/scene.h"

struct legend_entry {
    bool has_mark;
    enum mark mark;
    const char *words;
};

/* Flows the entries from x, y (top left) within width, each whole; one that is wider than the width
 * is broken into lines of its own.  Returns the y below. */
double legend_draw(struct scene *scene, double x, double y, double width,
                   const struct legend_entry entries[], size_t n);

#endif
