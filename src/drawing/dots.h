/* drawing/dots.h: a round dot: something that was measured.  Verdicts are drops. */
#ifndef DRAWING_DOTS_H
#define DRAWING_DOTS_H

#include "drawing/scene.h"

#include <math.h>

static inline void draw_dot(struct scene *scene, double x, double y, double radius,
                            enum colour colour)
{
    enum { CORNERS = 16 };
    struct point points[CORNERS];
    for (int i = 0; i < CORNERS; i++) {
        const double turn = 6.283185307179586 * i / CORNERS;
        points[i] = (struct point){ x + radius * cos(turn), y + radius * sin(turn) };
    }
    scene_area(scene, points, CORNERS, colour);
}

#endif
