/* drawing/scene_json.h: a scene as JSON, for a page that draws it as SVG elements of its own.
 *
 *     {"title": "…", "width": 520, "height": 91, "items": [
 *       {"kind": "text", "x": 15.3, "y": 20, "anchor": "start", "size": 8, "face": "sans",
 *        "colour": "quiet", "words": "lasting", "width": 25}, …]}
 *
 * Shape: api/scene.schema.json.  Lengths in points with one decimal, y downwards; colours by the
 * names of tokens.def, never by value, so that one scene does for light and dark; words by the
 * names of fonts.h's faces.  Paragraphs come broken into lines, as measured: whoever draws needs no
 * measuring of its own.  Items in the order of painting.  "table": the same numbers in words, of
 * figures that have one of their own. */
#ifndef DRAWING_SCENE_JSON_H
#define DRAWING_SCENE_JSON_H

#include "base/json.h"
#include "drawing/scene.h"

/* key NULL inside an array and at the top. */
void scene_json(struct json *json, const char *key, const struct scene *scene);

/* As it stands in "face": "serif", "sans-strong". */
const char *face_name(enum face face);

#endif
