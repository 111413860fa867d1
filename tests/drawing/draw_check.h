/* tests/drawing/draw_check.h: what every test of a figure needs. */
#ifndef TESTS_DRAWING_DRAW_CHECK_H
#define TESTS_DRAWING_DRAW_CHECK_H

#include "check.h"

#include "base/data.h"
#include "drawing/scene.h"

#include <math.h>
#include <string.h>

static inline struct fonts *draw_fonts(struct arena *arena)
{
    struct error err = { 0 };
    const char *folder = NULL;
    struct fonts *fonts = NULL;
    check(data_find(arena, "fonts", &folder, &err));
    check(fonts_open(folder, &fonts, &err));
    return fonts;
}

/* No word on another, nothing off the page, every number of every item finite. */
static inline void draw_check_sound(const char *row, const struct scene *scene)
{
    struct text faults = text_begin(scene->arena, 100000);
    scene_faults(scene, &faults);
    check_text(row, faults.bytes, "");
    for (size_t i = 0; i < scene->count; i++) {
        const struct item *item = &scene->items[i];
        if (item->kind == ITEM_BEGIN || item->kind == ITEM_END) {
            continue;
        }
        check(isfinite(item->place.x) && isfinite(item->place.y) && isfinite(item->place.width) &&
              isfinite(item->place.height));
        for (size_t k = 0; k < item->n_points; k++) {
            check(isfinite(item->points[k].x) && isfinite(item->points[k].y));
        }
    }
}

static inline char *draw_dump(const struct scene *scene)
{
    struct text dump = text_begin(scene->arena, 1000000);
    scene_dump(scene, &dump);
    return dump.bytes;
}

#endif
