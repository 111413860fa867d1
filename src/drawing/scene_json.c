/* drawing/scene_json.c: a scene as JSON. */
#include "drawing/scene_json.h"

#include "drawing/drop.h"
#include "drawing/letters.h"

#include <math.h>
#include <string.h>

static const char *const faces[] = {
    [FACE_SERIF] = "serif",
    [FACE_SERIF_ITALIC] = "serif-italic",
    [FACE_SERIF_STRONG] = "serif-strong",
    [FACE_SANS] = "sans",
    [FACE_SANS_STRONG] = "sans-strong",
};
/* SVG 2, 11.10.1: the values of text-anchor. */
static const char *const anchors[] = { "start", "middle", "end" };
static const char *const marks[] = { "full", "hollow", "half", "dotted" };
static const char *const roles[] = { "title", "heading", "paragraph", "figure", "table" };

const char *face_name(enum face face)
{
    return faces[face];
}

static void length_json(struct json *json, const char *key, double value)
{
    json_number(json, key, value, 1);
}

static void text_json(struct json *json, const struct item *item)
{
    const double part = item->style.anchor == ANCHOR_LEFT     ? 0.0
                        : item->style.anchor == ANCHOR_MIDDLE ? 0.5
                                                              : 1.0;
    length_json(json, "x", item->at.x + part * item->place.width);
    length_json(json, "y", item->at.y);
    json_string(json, "anchor", anchors[item->style.anchor]);
    length_json(json, "size", item->size);
    json_string(json, "face", faces[item->runs[0].face]);
    json_string(json, "colour", colour_name(item->runs[0].colour));
    json_string(json, "words", item->runs[0].words);
    length_json(json, "width", item->place.width);
}

/* The parts of runs that lie within bytes from..to of a paragraph. */
static void line_runs_json(struct json *json, struct arena *arena, const struct item *item,
                           size_t from, size_t to)
{
    size_t begin = 0;
    json_begin_array(json, "runs");
    for (size_t i = 0; i < item->n_runs; i++) {
        const size_t end = begin + strlen(item->runs[i].words);
        const size_t first = begin > from ? begin : from;
        const size_t last = end < to ? end : to;
        if (first < last) {
            const char *words = arena_format(arena, "%.*s", (int)(last - first),
                                             item->runs[i].words + first - begin);
            json_begin_object(json, NULL);
            json_string(json, "face", faces[item->runs[i].face]);
            json_string(json, "colour", colour_name(item->runs[i].colour));
            json_string(json, "words", words);
            json_end_object(json);
        }
        begin = end;
    }
    json_end_array(json);
}

static bool ends_line(char letter)
{
    return letter == ' ' || letter == '\n';
}

/* A line as pango broke it, without the blanks at its end. */
static void line_json(struct json *json, const struct scene *scene, const struct item *item,
                      PangoLayoutIter *at, const char *words)
{
    const PangoLayoutLine *line = pango_layout_iter_get_line_readonly(at);
    PangoRectangle logical;
    pango_layout_iter_get_line_extents(at, NULL, &logical);
    const size_t from = (size_t)line->start_index;
    size_t to = from + (size_t)line->length;
    while (to > from && ends_line(words[to - 1])) {
        to--;
    }
    if (to == from) {
        return;
    }
    json_begin_object(json, NULL);
    length_json(json, "x", item->at.x + pango_units_to_double(logical.x));
    length_json(json, "y", item->at.y + pango_units_to_double(pango_layout_iter_get_baseline(at)));
    line_runs_json(json, scene->arena, item, from, to);
    json_end_object(json);
}

static void paragraph_json(struct json *json, const struct scene *scene, const struct item *item)
{
    length_json(json, "x", item->at.x);
    length_json(json, "y", item->at.y);
    length_json(json, "width", item->place.width);
    length_json(json, "height", item->place.height);
    length_json(json, "size", item->size);
    PangoLayout *layout =
        letters_layout(scene->fonts, item->runs, item->n_runs, item->size, item->place.width);
    PangoLayoutIter *at = pango_layout_get_iter(layout);
    json_begin_array(json, "lines");
    do {
        line_json(json, scene, item, at, pango_layout_get_text(layout));
    } while (pango_layout_iter_next_line(at));
    json_end_array(json);
    pango_layout_iter_free(at);
    g_object_unref(layout);
}

static void points_json(struct json *json, const struct item *item)
{
    json_string(json, "colour", colour_name(item->stroke.colour));
    if (item->kind == ITEM_PATH) {
        json_number(json, "stroke_width", item->stroke.width, 2);
        json_number(json, "dash", item->stroke.dash, 2);
    }
    json_begin_array(json, "points");
    for (size_t i = 0; i < item->n_points; i++) {
        length_json(json, NULL, item->points[i].x);
        length_json(json, NULL, item->points[i].y);
    }
    json_end_array(json);
}

static void place_json(struct json *json, const struct place *place)
{
    length_json(json, "x", place->x);
    length_json(json, "y", place->y);
    length_json(json, "width", place->width);
    length_json(json, "height", place->height);
}

/* SVG 2, 9.3: the left half alone, or both. */
static const char *drop_path(struct arena *arena, const struct drop *drop, bool whole)
{
    struct text path = text_begin(arena, 400);
    text_add_format(&path, "M%.2f %.2f", drop->x, drop->point);
    if (whole) {
        text_add_format(&path, "C%.2f %.2f %.2f %.2f %.2f %.2f", drop->x + drop->shoulder,
                        drop->shoulder_y, drop->x + drop->radius, drop->flank_y,
                        drop->x + drop->radius, drop->belly_y);
    } else {
        text_add_format(&path, "L%.2f %.2f", drop->x, drop->belly_y + drop->radius);
    }
    text_add_format(&path, "A%.2f %.2f 0 0 1 %.2f %.2f", drop->radius, drop->radius,
                    drop->x - drop->radius, drop->belly_y);
    text_add_format(&path, "C%.2f %.2f %.2f %.2f %.2f %.2fZ", drop->x - drop->radius, drop->flank_y,
                    drop->x - drop->shoulder, drop->shoulder_y, drop->x, drop->point);
    return path.bytes;
}

static void mark_json(struct json *json, struct arena *arena, const struct item *item)
{
    const struct point tip = item->points[0];
    const struct stroke stroke = drop_stroke(item->mark, item->size);
    const bool full = item->mark == MARK_FULL;
    const struct drop drop = drop_shape(tip.x, tip.y, item->size, full ? 0.0 : stroke.width / 2.0);
    length_json(json, "x", tip.x);
    length_json(json, "y", tip.y);
    length_json(json, "size", item->size);
    json_string(json, "mark", marks[item->mark]);
    json_string(json, "outline", drop_path(arena, &drop, true));
    json_string(json, "left_half", item->mark == MARK_HALF ? drop_path(arena, &drop, false) : NULL);
    json_number(json, "stroke_width", full ? 0.0 : stroke.width, 2);
    json_number(json, "dash", stroke.dash, 2);
}

static void item_json(struct json *json, const struct scene *scene, const struct item *item)
{
    static const char *const kinds[] = {
        [ITEM_TEXT] = "text",   [ITEM_PARAGRAPH] = "paragraph",
        [ITEM_PATH] = "path",   [ITEM_AREA] = "area",
        [ITEM_HATCH] = "hatch", [ITEM_MARK] = "mark",
        [ITEM_BEGIN] = "begin", [ITEM_END] = "end",
    };
    json_begin_object(json, NULL);
    json_string(json, "kind", kinds[item->kind]);
    switch (item->kind) {
    case ITEM_TEXT: text_json(json, item); break;
    case ITEM_PARAGRAPH: paragraph_json(json, scene, item); break;
    case ITEM_PATH:
    case ITEM_AREA: points_json(json, item); break;
    case ITEM_HATCH:
        json_string(json, "colour", colour_name(item->stroke.colour));
        place_json(json, &item->place);
        break;
    case ITEM_MARK: mark_json(json, scene->arena, item); break;
    case ITEM_BEGIN:
        json_string(json, "role", roles[item->role]);
        json_string(json, "label", item->label);
        break;
    case ITEM_END: json_string(json, "role", roles[item->role]); break;
    }
    json_end_object(json);
}

static void table_json(struct json *json, const struct scene_table *table)
{
    json_begin_object(json, "table");
    json_string(json, "caption", table->caption);
    json_begin_array(json, "heads");
    for (size_t i = 0; i < table->n_columns; i++) {
        json_string(json, NULL, table->heads[i]);
    }
    json_end_array(json);
    json_begin_array(json, "rows");
    for (size_t row = 0; row < table->n_rows; row++) {
        json_begin_array(json, NULL);
        for (size_t i = 0; i < table->n_columns; i++) {
            json_string(json, NULL, table->cells[row * table->n_columns + i]);
        }
        json_end_array(json);
    }
    json_end_array(json);
    json_end_object(json);
}

void scene_json(struct json *json, const char *key, const struct scene *scene)
{
    json_begin_object(json, key);
    json_string(json, "title", scene->title);
    length_json(json, "width", scene->width);
    length_json(json, "height", scene->height);
    json_begin_array(json, "items");
    for (size_t i = 0; i < scene->count; i++) {
        item_json(json, scene, &scene->items[i]);
    }
    json_end_array(json);
    if (scene->table != NULL) {
        table_json(json, scene->table);
    }
    json_end_object(json);
}
