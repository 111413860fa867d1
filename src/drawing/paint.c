/* drawing/paint.c: one scene as SVG, PNG or PDF, through cairo, or as JSON. */
#include "drawing/paint.h"

#include "base/dates.h"
#include "drawing/drop.h"
#include "drawing/letters.h"
#include "drawing/scene_json.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <math.h>
#include <string.h>
#include <strings.h>

/* A page of many long rides stays far below this. */
static const size_t PICTURE_CAP = 64u * 1000u * 1000u;
static const double PNG_SCALE = 2.0;
static const double HATCH_STEP = 5.0;

struct brush {
    cairo_t *cr;
    const struct scene *scene;
    enum theme theme;
    bool tagged;
};

static const struct {
    const char *ending;
    enum picture picture;
} endings[] = { { ".svg", PICTURE_SVG },
                { ".png", PICTURE_PNG },
                { ".pdf", PICTURE_PDF },
                { ".json", PICTURE_JSON } };

bool picture_of_name(const char *path, enum picture *out, struct error *err)
{
    const size_t length = strlen(path);
    for (size_t i = 0; i < sizeof endings / sizeof endings[0]; i++) {
        const size_t ending = strlen(endings[i].ending);
        if (length > ending && strcasecmp(path + length - ending, endings[i].ending) == 0) {
            *out = endings[i].picture;
            return true;
        }
    }
    return error_set(err, ERROR_USAGE, "%s: a figure's name ends in .svg, .png, .pdf or .json",
                     path);
}

static void set_colour(const struct brush *brush, enum colour colour)
{
    const uint32_t value = colour_value(colour, brush->theme);
    cairo_set_source_rgb(brush->cr, (value >> 16u) / 255.0, ((value >> 8u) & 0xffu) / 255.0,
                         (value & 0xffu) / 255.0);
}

static void paint_words(const struct brush *brush, const struct item *item)
{
    const bool wraps = item->kind == ITEM_PARAGRAPH;
    PangoLayout *layout = letters_layout(brush->scene->fonts, item->runs, item->n_runs, item->size,
                                         wraps ? item->place.width : 0.0);
    PangoAttrList *list = pango_layout_get_attributes(layout);
    size_t from = 0;
    for (size_t i = 0; i < item->n_runs; i++) {
        const uint32_t value = colour_value(item->runs[i].colour, brush->theme);
        PangoAttribute *colour = pango_attr_foreground_new(
            (guint16)(((value >> 16u) & 0xffu) * 257u), (guint16)(((value >> 8u) & 0xffu) * 257u),
            (guint16)((value & 0xffu) * 257u));
        colour->start_index = (guint)from;
        from += strlen(item->runs[i].words);
        colour->end_index = (guint)from;
        pango_attr_list_insert(list, colour);
    }
    pango_layout_set_attributes(layout, list);
    cairo_move_to(brush->cr, item->at.x,
                  wraps ? item->at.y : item->at.y - letters_baseline(layout));
    set_colour(brush, item->runs[0].colour);
    pango_cairo_show_layout(brush->cr, layout);
    g_object_unref(layout);
}

static void trace(cairo_t *cr, const struct item *item)
{
    cairo_move_to(cr, item->points[0].x, item->points[0].y);
    for (size_t i = 1; i < item->n_points; i++) {
        cairo_line_to(cr, item->points[i].x, item->points[i].y);
    }
}

static void set_stroke(const struct brush *brush, const struct stroke *stroke)
{
    set_colour(brush, stroke->colour);
    cairo_set_line_width(brush->cr, stroke->width);
    cairo_set_line_join(brush->cr, CAIRO_LINE_JOIN_ROUND);
    const double dash[] = { stroke->dash, stroke->dash };
    cairo_set_dash(brush->cr, dash, stroke->dash > 0.0 ? 2 : 0, 0.0);
}

static void paint_hatch(const struct brush *brush, const struct item *item)
{
    cairo_t *cr = brush->cr;
    const struct place *place = &item->place;
    cairo_save(cr);
    cairo_rectangle(cr, place->x, place->y, place->width, place->height);
    cairo_clip(cr);
    set_stroke(brush, &(struct stroke){ item->stroke.colour, 0.6, 0.0 });
    /* Lines run on one grid of the page, so that neighbours meet. */
    const double first = floor((place->x - place->height) / HATCH_STEP) * HATCH_STEP;
    const int n = (int)ceil((place->x + place->width - first) / HATCH_STEP);
    for (int i = 0; i < n; i++) {
        const double x = first + i * HATCH_STEP;
        cairo_move_to(cr, x, place->y + place->height);
        cairo_line_to(cr, x + place->height, place->y);
    }
    cairo_stroke(cr);
    cairo_restore(cr);
}

static void trace_drop(cairo_t *cr, double x, double tip, double size, double inset)
{
    const struct drop at = drop_shape(x, tip, size, inset);
    cairo_new_path(cr);
    cairo_move_to(cr, x, at.point);
    cairo_curve_to(cr, x + at.shoulder, at.shoulder_y, x + at.radius, at.flank_y, x + at.radius,
                   at.belly_y);
    cairo_arc(cr, x, at.belly_y, at.radius, 0.0, M_PI);
    cairo_curve_to(cr, x - at.radius, at.flank_y, x - at.shoulder, at.shoulder_y, x, at.point);
    cairo_close_path(cr);
}

static void paint_mark(const struct brush *brush, const struct item *item)
{
    cairo_t *cr = brush->cr;
    const struct point tip = item->points[0];
    const struct stroke stroke = drop_stroke(item->mark, item->size);
    const double width = stroke.width;
    cairo_save(cr);
    if (item->mark == MARK_FULL) {
        set_colour(brush, COLOUR_PLUM);
        trace_drop(cr, tip.x, tip.y, item->size, 0.0);
        cairo_fill(cr);
    } else {
        /* Hollow: what lies behind stays out of sight. */
        set_colour(brush, COLOUR_PAPER);
        trace_drop(cr, tip.x, tip.y, item->size, width / 2.0);
        cairo_fill(cr);
        if (item->mark == MARK_HALF) {
            cairo_save(cr);
            cairo_rectangle(cr, tip.x - item->size, tip.y, item->size, item->size);
            cairo_clip(cr);
            set_colour(brush, COLOUR_PLUM);
            trace_drop(cr, tip.x, tip.y, item->size, width / 2.0);
            cairo_fill(cr);
            cairo_restore(cr);
        }
        set_stroke(brush, &stroke);
        trace_drop(cr, tip.x, tip.y, item->size, width / 2.0);
        cairo_stroke(cr);
    }
    cairo_restore(cr);
}

/* The standard structure types of ISO 32000-1, 14.8.4. */
static const char *const tags[] = { "H1", "H2", "P", "Figure", "Table" };

static void paint_item(const struct brush *brush, const struct item *item)
{
    switch (item->kind) {
    case ITEM_TEXT:
    case ITEM_PARAGRAPH: paint_words(brush, item); break;
    case ITEM_PATH:
        set_stroke(brush, &item->stroke);
        trace(brush->cr, item);
        cairo_stroke(brush->cr);
        break;
    case ITEM_AREA:
        set_colour(brush, item->stroke.colour);
        trace(brush->cr, item);
        cairo_close_path(brush->cr);
        cairo_fill(brush->cr);
        break;
    case ITEM_HATCH: paint_hatch(brush, item); break;
    case ITEM_MARK: paint_mark(brush, item); break;
    case ITEM_BEGIN:
        if (brush->tagged) {
            cairo_tag_begin(brush->cr, tags[item->role], NULL);
        }
        break;
    case ITEM_END:
        if (brush->tagged) {
            cairo_tag_end(brush->cr, tags[item->role]);
        }
        break;
    }
}

/* First of all: a page painted whole makes cairo forget what came before, tags too. */
static void paint_ground(const struct brush *brush)
{
    if (!brush->scene->is_bare) {
        set_colour(brush, COLOUR_PAPER);
        cairo_paint(brush->cr);
    }
}

static void paint_all(const struct brush *brush)
{
    paint_ground(brush);
    if (brush->tagged) {
        cairo_tag_begin(brush->cr, "Document", NULL);
    }
    for (size_t i = 0; i < brush->scene->count; i++) {
        paint_item(brush, &brush->scene->items[i]);
    }
    if (brush->tagged) {
        cairo_tag_end(brush->cr, "Document");
    }
}

static cairo_status_t take(void *closure, const unsigned char *bytes, unsigned int length)
{
    struct text *out = closure;
    text_add_bytes(out, (const char *)bytes, length);
    return out->cut ? CAIRO_STATUS_WRITE_ERROR : CAIRO_STATUS_SUCCESS;
}

static cairo_surface_t *surface_make(const struct scene *scene, enum picture picture,
                                     struct text *out)
{
    if (picture == PICTURE_PNG) {
        return cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)ceil(scene->width * PNG_SCALE),
                                          (int)ceil(scene->height * PNG_SCALE));
    }
    if (picture == PICTURE_SVG) {
        return cairo_svg_surface_create_for_stream(take, out, scene->width, scene->height);
    }
    cairo_surface_t *surface =
        cairo_pdf_surface_create_for_stream(take, out, scene->width, scene->height);
    char date[32];
    dates_format_utc(scene->date_utc, date);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, scene->title);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "Plumbline");
    /* Without it cairo would write the clock. */
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, date);
    return surface;
}

/* The title inside the picture, which cairo's SVG lacks; and out goes the name of the page's group,
 * in which cairo counts the surfaces that this process made. */
static void finish_svg(struct arena *arena, const struct scene *scene, struct text *out)
{
    static const char group[] = "<g id=\"surface";
    const char *root = strstr(out->bytes, "<svg ");
    const char *end = root == NULL ? NULL : strchr(root, '>');
    if (end == NULL) {
        return;
    }
    const size_t before = (size_t)(end + 1 - out->bytes);
    struct text titled = text_begin(arena, PICTURE_CAP);
    text_add_bytes(&titled, out->bytes, before);
    text_add(&titled, "\n<title>");
    for (const char *c = scene->title; *c != '\0'; c++) {
        switch (*c) {
        case '<': text_add(&titled, "&lt;"); break;
        case '>': text_add(&titled, "&gt;"); break;
        case '&': text_add(&titled, "&amp;"); break;
        default: text_add_bytes(&titled, c, 1); break;
        }
    }
    text_add(&titled, "</title>");
    const char *page = strstr(end, group);
    const char *tail = page == NULL ? NULL : strchr(page, '>');
    if (tail != NULL) {
        text_add_bytes(&titled, end + 1, (size_t)(page - (end + 1)));
        text_add(&titled, "<g");
        end = tail - 1;
    }
    text_add_bytes(&titled, end + 1, out->length - (size_t)(end + 1 - out->bytes));
    *out = titled;
}

/* With no theme: colours go by their names. */
static bool paint_json(const struct scene *scene, struct text *bytes, struct bytes *out,
                       struct error *err)
{
    struct json json = json_begin(bytes);
    scene_json(&json, NULL, scene);
    text_add(bytes, "\n");
    if (bytes->cut) {
        return error_set(err, ERROR_INTERNAL,
                         "the figure is larger than 64 MB; ask for less of it");
    }
    *out = (struct bytes){ (const uint8_t *)bytes->bytes, bytes->length };
    return true;
}

/* Writes what is left of it; status: of the drawing. */
static bool end_surface(cairo_surface_t *surface, cairo_status_t status, const char *what,
                        struct error *err)
{
    cairo_surface_finish(surface);
    const cairo_status_t end =
        status == CAIRO_STATUS_SUCCESS ? cairo_surface_status(surface) : status;
    cairo_surface_destroy(surface);
    return end == CAIRO_STATUS_SUCCESS ||
           error_set(err, ERROR_INTERNAL, "%s could not be drawn: %s", what,
                     cairo_status_to_string(end));
}

bool paint_scene(struct arena *arena, const struct scene *scene, enum picture picture,
                 enum theme theme, struct bytes *out, struct error *err)
{
    struct text bytes = text_begin(arena, PICTURE_CAP);
    if (picture == PICTURE_JSON) {
        return paint_json(scene, &bytes, out, err);
    }
    cairo_surface_t *surface = surface_make(scene, picture, &bytes);
    cairo_t *cr = cairo_create(surface);
    const struct brush brush = { cr, scene, theme, picture == PICTURE_PDF };
    if (picture == PICTURE_PNG) {
        cairo_scale(cr, PNG_SCALE, PNG_SCALE);
    }
    paint_all(&brush);
    cairo_show_page(cr);
    cairo_status_t status = cairo_status(cr);
    cairo_destroy(cr);
    if (picture == PICTURE_PNG && status == CAIRO_STATUS_SUCCESS) {
        status = cairo_surface_write_to_png_stream(surface, take, &bytes);
    }
    if (!end_surface(surface, status, "the figure", err)) {
        return false;
    }
    if (picture == PICTURE_SVG) {
        finish_svg(arena, scene, &bytes);
    }
    *out = (struct bytes){ (const uint8_t *)bytes.bytes, bytes.length };
    return true;
}

bool paint_pages(struct arena *arena, const struct scene pages[], size_t n, struct bytes *out,
                 struct error *err)
{
    struct text bytes = text_begin(arena, PICTURE_CAP);
    cairo_surface_t *surface = surface_make(&pages[0], PICTURE_PDF, &bytes);
    cairo_t *cr = cairo_create(surface);
    for (size_t i = 0; i < n; i++) {
        const struct brush brush = { cr, &pages[i], THEME_LIGHT, true };
        cairo_pdf_surface_set_size(surface, pages[i].width, pages[i].height);
        paint_all(&brush);
        cairo_show_page(cr);
    }
    const cairo_status_t status = cairo_status(cr);
    cairo_destroy(cr);
    if (!end_surface(surface, status, "the pages", err)) {
        return false;
    }
    *out = (struct bytes){ (const uint8_t *)bytes.bytes, bytes.length };
    return true;
}
