/* drawing/scene.c: what a figure shows, before any output format. */
#include "drawing/scene.h"

#include "drawing/letters.h"

#include <assert.h>
#include <math.h>
#include <string.h>

/* A drop is as wide as this share of its height. */
static const double MARK_WIDTH = 0.74;

struct scene scene_begin(struct arena *arena, struct fonts *fonts, const char *title, double width)
{
    return (struct scene){
        .arena = arena, .fonts = fonts, .title = arena_string(arena, title), .width = width
    };
}

struct scene_table *scene_table_begin(struct arena *arena, const char *caption,
                                      const char *const heads[], size_t n_columns, size_t n_rows)
{
    struct scene_table *table = ARENA_ARRAY(arena, struct scene_table, 1);
    *table = (struct scene_table){
        .caption = caption,
        .heads = arena_copy(arena, heads, n_columns * sizeof heads[0]),
        .n_columns = n_columns,
        .cells = ARENA_ARRAY(arena, const char *, n_rows *n_columns),
        .n_rows = n_rows,
    };
    return table;
}

static struct item *add(struct scene *scene, enum item_kind kind)
{
    scene->items = arena_grow(scene->arena, scene->items, scene->count, &scene->capacity,
                              sizeof *scene->items);
    struct item *item = &scene->items[scene->count++];
    *item = (struct item){ .kind = kind };
    return item;
}

static struct place place_of(const struct point points[], size_t n)
{
    double left = (double)INFINITY;
    double right = -(double)INFINITY;
    double top = (double)INFINITY;
    double bottom = -(double)INFINITY;
    for (size_t i = 0; i < n; i++) {
        left = fmin(left, points[i].x);
        right = fmax(right, points[i].x);
        top = fmin(top, points[i].y);
        bottom = fmax(bottom, points[i].y);
    }
    return (struct place){ left, top, right - left, bottom - top };
}

/* What ink and line height cover; the layout's own top left is the origin. */
static struct place extents(PangoLayout *layout)
{
    PangoRectangle logical;
    pango_layout_get_extents(layout, NULL, &logical);
    return (struct place){ pango_units_to_double(logical.x), pango_units_to_double(logical.y),
                           pango_units_to_double(logical.width),
                           pango_units_to_double(logical.height) };
}

static double anchored(double x, double width, enum anchor anchor)
{
    switch (anchor) {
    case ANCHOR_LEFT: return x;
    case ANCHOR_MIDDLE: return x - width / 2.0;
    case ANCHOR_RIGHT: return x - width;
    }
    return x;
}

/* The letters' own height, without the space that a line leaves round them: what must not lie on
 * other words. */
struct place scene_measure(const struct scene *scene, double x, double baseline_y,
                           const struct text_style *style, const char *words)
{
    if (words == NULL || words[0] == '\0') {
        return (struct place){ x, baseline_y, 0.0, 0.0 };
    }
    const struct run run = { words, style->face, style->colour };
    PangoLayout *layout = letters_layout(scene->fonts, &run, 1, style->size, 0.0);
    const struct place box = extents(layout);
    g_object_unref(layout);
    return (struct place){ anchored(x, box.width, style->anchor), baseline_y - 0.8 * style->size,
                           box.width, style->size };
}

struct place scene_text(struct scene *scene, double x, double baseline_y,
                        const struct text_style *style, const char *words)
{
    const struct place place = scene_measure(scene, x, baseline_y, style, words);
    if (words == NULL || words[0] == '\0') {
        return place;
    }
    const struct run run = { arena_string(scene->arena, words), style->face, style->colour };
    struct item *item = add(scene, ITEM_TEXT);
    item->style = *style;
    item->at = (struct point){ place.x, baseline_y };
    item->runs = arena_copy(scene->arena, &run, sizeof run);
    item->n_runs = 1;
    item->size = style->size;
    item->place = place;
    return place;
}

struct place scene_paragraph(struct scene *scene, double x, double top_y, double width, double size,
                             const struct run runs[], size_t n_runs)
{
    struct run *own = arena_copy(scene->arena, runs, n_runs * sizeof runs[0]);
    for (size_t i = 0; i < n_runs; i++) {
        own[i].words = arena_string(scene->arena, own[i].words);
    }
    PangoLayout *layout = letters_layout(scene->fonts, own, n_runs, size, width);
    const struct place box = extents(layout);
    g_object_unref(layout);
    struct item *item = add(scene, ITEM_PARAGRAPH);
    item->at = (struct point){ x, top_y };
    item->runs = own;
    item->n_runs = n_runs;
    item->size = size;
    item->place = (struct place){ x, top_y, width, box.height };
    return item->place;
}

size_t scene_lines_that_fit(const struct scene *scene, double width, double height, double size,
                            const struct run runs[], size_t n_runs)
{
    PangoLayout *layout = letters_layout(scene->fonts, runs, n_runs, size, width);
    PangoLayoutIter *line = pango_layout_get_iter(layout);
    size_t bytes = 0;
    do {
        PangoRectangle box;
        pango_layout_iter_get_line_extents(line, NULL, &box);
        if (pango_units_to_double(box.y + box.height) > height) {
            break;
        }
        const PangoLayoutLine *at = pango_layout_iter_get_line_readonly(line);
        bytes = (size_t)at->start_index + (size_t)at->length;
    } while (pango_layout_iter_next_line(line));
    pango_layout_iter_free(line);
    g_object_unref(layout);
    return bytes;
}

void scene_path(struct scene *scene, const struct point points[], size_t n,
                const struct stroke *stroke)
{
    if (n < 2) {
        return;
    }
    struct item *item = add(scene, ITEM_PATH);
    item->points = arena_copy(scene->arena, points, n * sizeof points[0]);
    item->n_points = n;
    item->stroke = *stroke;
    item->place = place_of(points, n);
}

void scene_line(struct scene *scene, double x1, double y1, double x2, double y2,
                const struct stroke *stroke)
{
    const struct point points[] = { { x1, y1 }, { x2, y2 } };
    scene_path(scene, points, 2, stroke);
}

void scene_area(struct scene *scene, const struct point points[], size_t n, enum colour colour)
{
    if (n < 3) {
        return;
    }
    struct item *item = add(scene, ITEM_AREA);
    item->points = arena_copy(scene->arena, points, n * sizeof points[0]);
    item->n_points = n;
    item->stroke.colour = colour;
    item->place = place_of(points, n);
}

void scene_rectangle(struct scene *scene, const struct place *place, enum colour colour)
{
    const double right = place->x + place->width;
    const double bottom = place->y + place->height;
    const struct point corners[] = {
        { place->x, place->y }, { right, place->y }, { right, bottom }, { place->x, bottom }
    };
    scene_area(scene, corners, 4, colour);
}

void scene_hatch(struct scene *scene, const struct place *place, enum colour colour)
{
    struct item *item = add(scene, ITEM_HATCH);
    item->place = *place;
    item->stroke.colour = colour;
}

void scene_mark(struct scene *scene, double x, double tip_y, double size, enum mark mark)
{
    const struct point tip = { x, tip_y };
    struct item *item = add(scene, ITEM_MARK);
    item->points = arena_copy(scene->arena, &tip, sizeof tip);
    item->n_points = 1;
    item->size = size;
    item->mark = mark;
    item->place = (struct place){ x - MARK_WIDTH * size / 2.0, tip_y, MARK_WIDTH * size, size };
}

void scene_begin_part(struct scene *scene, enum role role, const char *label)
{
    struct item *item = add(scene, ITEM_BEGIN);
    item->role = role;
    item->label = arena_string(scene->arena, label);
}

void scene_end_part(struct scene *scene)
{
    size_t open = 1;
    size_t i = scene->count;
    while (i > 0 && open > 0) {
        const enum item_kind kind = scene->items[--i].kind;
        open += kind == ITEM_END ? 1 : 0;
        open -= kind == ITEM_BEGIN ? 1 : 0;
    }
    assert(open == 0);
    const enum role role = scene->items[i].role;
    add(scene, ITEM_END)->role = role;
}

bool place_overlaps(const struct place *a, const struct place *b)
{
    return a->x < b->x + b->width && b->x < a->x + a->width && a->y < b->y + b->height &&
           b->y < a->y + a->height;
}

/* ---- for tests ---- */

static const char *const role_names[] = { "title", "heading", "paragraph", "figure", "table" };
static const char *const mark_names[] = { "full", "hollow", "half", "dotted" };

static void dump_place(struct text *out, const char *what, const struct place *place)
{
    text_add_format(out, "%s %.1f,%.1f %.1fx%.1f", what, place->x, place->y, place->width,
                    place->height);
}

static void dump_words(struct text *out, const struct item *item)
{
    text_add(out, " \"");
    for (size_t i = 0; i < item->n_runs; i++) {
        text_add(out, item->runs[i].words);
    }
    text_add(out, "\"\n");
}

static void dump_points(struct text *out, const char *what, const struct item *item)
{
    text_add_format(out, "%s %s %zu points", what, colour_name(item->stroke.colour),
                    item->n_points);
    dump_place(out, "", &item->place);
    text_add(out, "\n");
}

void scene_dump(const struct scene *scene, struct text *out)
{
    text_add_format(out, "scene \"%s\" %.1fx%.1f\n", scene->title, scene->width, scene->height);
    for (size_t i = 0; i < scene->count; i++) {
        const struct item *item = &scene->items[i];
        switch (item->kind) {
        case ITEM_TEXT:
            dump_place(out, "text", &item->place);
            dump_words(out, item);
            break;
        case ITEM_PARAGRAPH:
            dump_place(out, "paragraph", &item->place);
            dump_words(out, item);
            break;
        case ITEM_PATH: dump_points(out, "path", item); break;
        case ITEM_AREA: dump_points(out, "area", item); break;
        case ITEM_HATCH:
            dump_place(out, "hatch", &item->place);
            text_add(out, "\n");
            break;
        case ITEM_MARK:
            text_add_format(out, "mark %s %.1f,%.1f\n", mark_names[item->mark], item->points[0].x,
                            item->points[0].y);
            break;
        case ITEM_BEGIN:
            text_add_format(out, "begin %s%s%s\n", role_names[item->role],
                            item->label == NULL ? "" : " ", item->label == NULL ? "" : item->label);
            break;
        case ITEM_END: text_add(out, "end\n"); break;
        }
    }
}

static bool has_words(const struct item *item)
{
    return item->kind == ITEM_TEXT || item->kind == ITEM_PARAGRAPH;
}

static int unknown_letters(const struct scene *scene, const struct item *item)
{
    PangoLayout *layout = letters_layout(scene->fonts, item->runs, item->n_runs, item->size,
                                         item->kind == ITEM_PARAGRAPH ? item->place.width : 0.0);
    const int unknown = pango_layout_get_unknown_glyphs_count(layout);
    g_object_unref(layout);
    return unknown;
}

static bool runs_off(const struct scene *scene, const struct item *item)
{
    const double slack = 0.5;
    return item->place.x < -slack || item->place.y < -slack ||
           item->place.x + item->place.width > scene->width + slack ||
           item->place.y + item->place.height > scene->height + slack;
}

static void add_fault(struct text *out, const char *what, const struct item *item)
{
    text_add_format(out, "%s:", what);
    dump_place(out, "", &item->place);
    if (has_words(item)) {
        dump_words(out, item);
    } else {
        text_add(out, "\n");
    }
}

void scene_faults(const struct scene *scene, struct text *out)
{
    for (size_t i = 0; i < scene->count; i++) {
        const struct item *item = &scene->items[i];
        if (item->kind == ITEM_BEGIN || item->kind == ITEM_END) {
            continue;
        }
        if (runs_off(scene, item)) {
            add_fault(out, "off the page", item);
        }
        if (!has_words(item)) {
            continue;
        }
        if (unknown_letters(scene, item) > 0) {
            add_fault(out, "letters no font has", item);
        }
        for (size_t k = i + 1; k < scene->count; k++) {
            const struct item *other = &scene->items[k];
            if (has_words(other) && place_overlaps(&item->place, &other->place)) {
                add_fault(out, "words on words", item);
                add_fault(out, "  that is on", other);
            }
        }
    }
}
