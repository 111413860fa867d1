/* drawing/letters.h: words set in the shipped fonts, for scene, paint and scene_json alone. */
#ifndef DRAWING_LETTERS_H
#define DRAWING_LETTERS_H

#include "drawing/scene.h"

#include <pango/pangocairo.h>

/* Runs set at a size; width > 0 breaks them into lines, else they stay on one.  The caller gives
 * the layout back by g_object_unref. */
PangoLayout *letters_layout(struct fonts *fonts, const struct run runs[], size_t n_runs,
                            double size, double width);

/* From the top of a layout to the base line of its first line, points. */
double letters_baseline(PangoLayout *layout);

#endif
