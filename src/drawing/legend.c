/* drawing/legend.c: verdict marks with their words, in lines under a figure. */
#include "drawing/legend.h"

#include <math.h>

static const double SIZE = 8.0;
static const double LINE = 13.0;
static const double MARK = 10.0;
static const double MARK_ROOM = 11.0; /* from a mark's left to its words */
static const double GAP = 14.0;       /* between entries */

static const struct text_style style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_LEFT };

double legend_draw(struct scene *scene, double x, double y, double width,
                   const struct legend_entry entries[], size_t n)
{
    double at = x;
    for (size_t i = 0; i < n; i++) {
        const double room = entries[i].has_mark ? MARK_ROOM : 0.0;
        const double own = room + scene_measure(scene, 0.0, 0.0, &style, entries[i].words).width;
        if (at > x && at + own > x + width) {
            at = x;
            y += LINE;
        }
        if (entries[i].has_mark) {
            scene_mark(scene, at + 0.4 * MARK, y + 0.5, MARK, entries[i].mark);
        }
        if (own <= width) {
            scene_text(scene, at + room, y + 9.0, &style, entries[i].words);
            at += own + GAP;
            continue;
        }
        const struct run run = { entries[i].words, FACE_SANS, COLOUR_QUIET };
        const struct place place =
            scene_paragraph(scene, at + room, y + 1.0, width - room, SIZE, &run, 1);
        y = place.y + place.height + 2.0 - (i + 1 < n ? 0.0 : LINE);
        at = x;
    }
    return n == 0 ? y : y + LINE;
}
