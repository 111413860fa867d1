/* drawing/paint.h: one scene as SVG, PNG, PDF or JSON. */
#ifndef DRAWING_PAINT_H
#define DRAWING_PAINT_H

#include "base/files.h"
#include "drawing/scene.h"

enum picture { PICTURE_SVG, PICTURE_PNG, PICTURE_PDF, PICTURE_JSON };

/* The picture meant by a file's name (".svg", ".png", ".pdf", ".json"); false (ERROR_USAGE)
 * otherwise. */
MUST_USE bool picture_of_name(const char *path, enum picture *out, struct error *err);

/* The scene's bytes in the arena.  The same scene gives the same bytes: no clock, no path, no
 * installed font goes in.  PNG has two pixels a point; a PDF is tagged, titled and of one page;
 * JSON (scene_json.h) has no theme.  False: ERROR_INTERNAL when cairo fails. */
MUST_USE bool paint_scene(struct arena *arena, const struct scene *scene, enum picture picture,
                          enum theme theme, struct bytes *out, struct error *err);

/* Pages of their own sizes, in their order, as one PDF in the light theme; title and date are the
 * first's.  n at least 1. */
MUST_USE bool paint_pages(struct arena *arena, const struct scene pages[], size_t n,
                          struct bytes *out, struct error *err);

#endif
