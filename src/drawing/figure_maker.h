/* drawing/figure_maker.h: a scene for one figure at a given width.
 *
 * Width is in points, the unit of every length in a scene; letters are 8 to 10.5 points high.  A
 * page on a screen that draws a point as 4/3 px has them as paper has, one that draws it as 1.5 px
 * somewhat larger: it asks for its own width over that factor.  A width out of
 * FIGURE_NARROWEST..FIGURE_WIDEST is taken as the nearer of them.
 *
 * Scenes live in the arena; fonts must outlive them, and are for one thread at a time. */
#ifndef DRAWING_FIGURE_MAKER_H
#define DRAWING_FIGURE_MAKER_H

#include "drawing/scene.h"

enum { FIGURE_NARROWEST = 215, FIGURE_WIDEST = 1200 };

struct figure_maker {
    struct arena *arena;
    struct fonts *fonts;
    double width; /* points */
};

static inline struct scene figure_begin(const struct figure_maker *maker, const char *title)
{
    const double least = FIGURE_NARROWEST;
    const double most = FIGURE_WIDEST;
    const double width = maker->width > least ? maker->width : least;
    return scene_begin(maker->arena, maker->fonts, title, width < most ? width : most);
}

/* In the place of a figure, or over it; returns the y below. */
static inline double figure_sentence(struct scene *scene, double x, double y, double width,
                                     const char *words)
{
    const struct run run = { words, FACE_SANS, COLOUR_QUIET };
    scene_begin_part(scene, ROLE_PARAGRAPH, NULL);
    const struct place place = scene_paragraph(scene, x, y, width, 8.0, &run, 1);
    scene_end_part(scene);
    return place.y + place.height;
}

#endif
