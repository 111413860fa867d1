/* drawing/scene.h: what a figure shows, before any output format.
 *
 * A figure is a list of words, lines and areas at places.  Words are measured when they are added,
 * so that whoever lays out knows what collides; tests compare scenes as text; paint.h turns one
 * scene into SVG, PNG or PDF.
 *
 *     (0,0) ──────────► x      lengths in points, 1/72 inch, y downwards
 *       │
 *       ▼ y                    later items lie on top of earlier ones
 */
#ifndef DRAWING_SCENE_H
#define DRAWING_SCENE_H

#include "base/arena.h"
#include "base/text.h"
#include "drawing/fonts.h"
#include "drawing/tokens.h"

#include <stdint.h>

struct point {
    double x;
    double y;
};

/* A rectangle. */
struct place {
    double x;
    double y;
    double width;
    double height;
};

enum anchor { ANCHOR_LEFT, ANCHOR_MIDDLE, ANCHOR_RIGHT };

struct text_style {
    enum face face;
    double size; /* points */
    enum colour colour;
    enum anchor anchor; /* where x lies in the words; paragraphs are always set from the left */
};

/* Words of one look within a paragraph. */
struct run {
    const char *words;
    enum face face;
    enum colour colour;
};

struct stroke {
    enum colour colour;
    double width;
    double dash; /* length of dash and of gap; 0 = solid */
};

/* A verdict's mark: yes, no, on the line, cannot tell. */
enum mark { MARK_FULL, MARK_HOLLOW, MARK_HALF, MARK_DOTTED };

/* What a part of the page is, for readers that can't see it. */
enum role { ROLE_TITLE, ROLE_HEADING, ROLE_PARAGRAPH, ROLE_FIGURE, ROLE_TABLE };

enum item_kind {
    ITEM_TEXT,      /* one line */
    ITEM_PARAGRAPH, /* wrapped to place.width */
    ITEM_PATH,      /* open polyline, stroked */
    ITEM_AREA,      /* closed polygon, filled */
    ITEM_HATCH,     /* diagonal lines in place */
    ITEM_MARK,      /* a drop: tip at points[0], `size` high */
    ITEM_BEGIN,     /* a part with a role begins ... */
    ITEM_END,       /* ... and ends */
};

struct item {
    enum item_kind kind;
    struct place place; /* what it covers, as measured */
    struct run *runs;   /* [n_runs] text and paragraph */
    size_t n_runs;
    struct text_style style;
    struct point at;      /* text: anchor on the base line; paragraph: top left */
    struct point *points; /* [n_points] path and area; of a mark its tip */
    size_t n_points;
    struct stroke stroke; /* of an area only its colour */
    enum mark mark;
    double size;
    enum role role;    /* of begin and of its end */
    const char *label; /* of a part: what it is, in words; NULL = its own words say it */
};

/* The numbers of a figure, for readers that don't see it. */
struct scene_table {
    const char *caption;
    const char *const *heads; /* [n_columns] */
    size_t n_columns;
    const char **cells; /* [n_rows][n_columns]; the first of a row names it; never NULL */
    size_t n_rows;
};

struct scene {
    struct arena *arena;
    struct fonts *fonts;
    const char *title; /* of the document */
    int64_t date_utc;  /* stands in a PDF as its date: the day of what it shows, never the clock */
    double width;
    double height; /* set when the layout is done */
    bool is_bare;  /* no ground is painted: for white paper, where it would cost ink */
    struct item *items;
    size_t count;
    size_t capacity;
    const struct scene_table *table; /* NULL = none: whoever shows it makes its own */
};

/* An empty scene; the fonts must outlive it. */
struct scene scene_begin(struct arena *arena, struct fonts *fonts, const char *title, double width);

/* One line of words; returns what it covers.  Empty words cover nothing. */
struct place scene_text(struct scene *scene, double x, double baseline_y,
                        const struct text_style *style, const char *words);

/* What such words would cover, without adding them. */
struct place scene_measure(const struct scene *scene, double x, double baseline_y,
                           const struct text_style *style, const char *words);

/* Runs one after the other, broken at blanks to `width`; style gives size and line height (1.4
 * times the size). */
struct place scene_paragraph(struct scene *scene, double x, double top_y, double width, double size,
                             const struct run runs[], size_t n_runs);

/* The bytes of such runs that stand in the lines which fit into `height` points, at that width; 0 =
 * not one line does. */
size_t scene_lines_that_fit(const struct scene *scene, double width, double height, double size,
                            const struct run runs[], size_t n_runs);

void scene_line(struct scene *scene, double x1, double y1, double x2, double y2,
                const struct stroke *stroke);
void scene_path(struct scene *scene, const struct point points[], size_t n,
                const struct stroke *stroke);
void scene_area(struct scene *scene, const struct point points[], size_t n, enum colour colour);
void scene_rectangle(struct scene *scene, const struct place *place, enum colour colour);
void scene_hatch(struct scene *scene, const struct place *place, enum colour colour);

/* A drop hanging from its tip, in plum; size is its height. */
void scene_mark(struct scene *scene, double x, double tip_y, double size, enum mark mark);

/* Parts may not overlap and may nest only in a figure or table. */
void scene_begin_part(struct scene *scene, enum role role, const char *label);
void scene_end_part(struct scene *scene);

/* A table for n_rows rows, all cells to be filled by the caller. */
struct scene_table *scene_table_begin(struct arena *arena, const char *caption,
                                      const char *const heads[], size_t n_columns, size_t n_rows);

/* True if two rectangles share more than an edge. */
bool place_overlaps(const struct place *a, const struct place *b);

/* The scene as lines of text, places rounded to a tenth of a point: for tests. */
void scene_dump(const struct scene *scene, struct text *out);

/* Words that run off the page, words that lie on other words, and letters no font has, one line
 * each; nothing when all is well. */
void scene_faults(const struct scene *scene, struct text *out);

#endif
