/* drawing/drop.h: the outline of a verdict's mark, for paint and scene_json alone.
 *
 * A round belly, and two sides that run together in the tip.  From the tip a curve over shoulder
 * and flank to the belly's right, half round it, and the same way back on the left. */
#ifndef DRAWING_DROP_H
#define DRAWING_DROP_H

#include "drawing/scene.h"

struct drop {
    double x;
    double point;    /* y of the tip */
    double shoulder; /* of the first control point: how far from x, ... */
    double shoulder_y;
    double flank_y; /* the second lies above the belly's end */
    double belly_y; /* middle of the belly */
    double radius;
};

static inline struct drop drop_shape(double x, double tip_y, double size, double inset)
{
    const double radius = 0.35 * size - inset;
    const double belly_y = tip_y + size - 0.35 * size;
    return (struct drop){
        .x = x,
        .point = tip_y + 1.8 * inset,
        .shoulder = 0.12 * size,
        .shoulder_y = tip_y + 0.26 * size,
        .flank_y = belly_y - 0.62 * radius,
        .belly_y = belly_y,
        .radius = radius,
    };
}

/* The line of a mark that isn't full, and the dashes of a dotted one; 0 = solid. */
static inline struct stroke drop_stroke(enum mark mark, double size)
{
    return (struct stroke){ COLOUR_PLUM, size > 11.0 ? size / 11.0 : 1.0,
                            mark == MARK_DOTTED ? size / 8.0 : 0.0 };
}

#endif
