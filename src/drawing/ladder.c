/* drawing/ladder.c: bests from short to long, and whether they changed. */
#include "drawing/ladder.h"

#include "coaching/words/figure_words.h"
#include "drawing/axis.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>

/* Points. */
static const double SIZE = 9.0;
static const double HEAD_HEIGHT = 16.0;
static const double ROW_HEIGHT = 18.0;
static const double GAP = 10.0;
static const double DROP = 11.0;
static const double BAR_HEIGHT = 5.0;
static const double BOB = 7.0;
static const double LEAST_GAUGE = 80.0;

static const struct text_style head_left = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_LEFT };
static const struct text_style head_right = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_RIGHT };
static const struct text_style lasting_style = { FACE_SANS_STRONG, 9.0, COLOUR_INK, ANCHOR_RIGHT };
static const struct text_style figure_style = { FACE_SANS, 9.0, COLOUR_INK, ANCHOR_RIGHT };
static const struct text_style before_style = { FACE_SANS, 9.0, COLOUR_QUIET, ANCHOR_RIGHT };
static const struct text_style likely_style = { FACE_SANS, 8.0, COLOUR_PLUM, ANCHOR_LEFT };
static const struct text_style least_style = { FACE_SERIF_ITALIC, 9.0, COLOUR_QUIET, ANCHOR_RIGHT };
static const struct text_style side_left = { FACE_SERIF, 9.0, COLOUR_INK, ANCHOR_LEFT };
static const struct text_style side_right = { FACE_SERIF, 9.0, COLOUR_INK, ANCHOR_RIGHT };

static const char lasting_head[] = "lasting";
static const char before_head[] = "before";
static const char best_head[] = "best, W";
static const char change_head[] = "change";
static const char at_least[] = "at least";

/* Words of a row, set once. */
struct words {
    char *best;
    char *before; /* NULL = none */
    char *likely; /* "290–301"; NULL = none */
    char *change; /* "+3.1 % (−3.0 to 9.2)"; NULL = none */
};

struct columns {
    double left;
    double lasting; /* right */
    double before;  /* right; of no row: that of lasting */
    double least;   /* right of "at least" */
    double best;    /* right */
    double likely;  /* left */
    double where;   /* left */
    double where_width;
    double gauge; /* left */
    double gauge_end;
    double end;
    bool narrow; /* no gauge; what has no room goes on a line of its own */
};

/* A number with its sign, for words: a true minus. */
static void add_signed(struct text *text, double value, bool plus)
{
    const bool is_zero = fabs(value) < 0.05;
    text_add_format(text, "%s%.1f",
                    is_zero       ? ""
                    : value < 0.0 ? "−"
                    : plus        ? "+"
                                  : "",
                    is_zero ? 0.0 : fabs(value));
}

static struct words *make_words(struct arena *arena, const struct ladder *ladder)
{
    struct words *words = ARENA_ARRAY(arena, struct words, ladder->n_rows);
    for (size_t i = 0; i < ladder->n_rows; i++) {
        const struct ladder_row *row = &ladder->rows[i];
        words[i].best = isnan(row->best_w) ? arena_string(arena, "–")
                                           : arena_format(arena, "%.0f", row->best_w);
        if (ladder->compares && row->before_w > 0.0) {
            words[i].before = arena_format(arena, "%.0f", row->before_w);
        }
        if (!isnan(row->best_w) && !isnan(row->low_w) && !isnan(row->high_w)) {
            words[i].likely = arena_format(arena, "%.0f–%.0f", row->low_w, row->high_w);
        }
        if (ladder->compares && row->instead == NULL && !isnan(row->change_pct)) {
            struct text text = text_begin(arena, 200);
            add_signed(&text, row->change_pct, true);
            text_add(&text, " %");
            if (!isnan(row->change_low_pct) && !isnan(row->change_high_pct)) {
                text_add(&text, " (");
                add_signed(&text, row->change_low_pct, false);
                text_add(&text, " to ");
                add_signed(&text, row->change_high_pct, false);
                text_add(&text, ")");
            }
            words[i].change = text.bytes;
        }
    }
    return words;
}

static double width_of(const struct scene *scene, const struct text_style *style, const char *words)
{
    return words == NULL ? 0.0 : scene_measure(scene, 0.0, 0.0, style, words).width;
}

/* Figures take what they need; words and gauge share the rest. */
static struct columns make_columns(const struct scene *scene, double x, double width,
                                   const struct ladder *ladder, const struct words words[])
{
    double lasting = width_of(scene, &head_right, lasting_head);
    double best = width_of(scene, &head_right, best_head);
    double before = 0.0;
    double least = 0.0;
    double likely = 0.0;
    double change = 0.0;
    double where = 0.0;
    for (size_t i = 0; i < ladder->n_rows; i++) {
        const struct ladder_row *row = &ladder->rows[i];
        lasting = fmax(lasting, width_of(scene, &lasting_style, row->lasting));
        best = fmax(best, width_of(scene, &figure_style, words[i].best));
        if (words[i].before != NULL) {
            before = fmax(before, width_of(scene, &head_right, before_head));
            before = fmax(before, width_of(scene, &before_style, words[i].before));
        }
        least = row->at_least ? width_of(scene, &least_style, at_least) + 4.0 : least;
        likely = fmax(likely, width_of(scene, &likely_style, words[i].likely));
        change = fmax(change, width_of(scene, &figure_style, words[i].change));
        where = fmax(where, width_of(scene, &head_left, row->where));
        where = fmax(where, ladder->compares ? 0.0 : width_of(scene, &side_left, row->instead));
    }
    struct columns at = { .left = x, .lasting = x + lasting, .end = x + width };
    at.before = at.lasting + (before > 0.0 ? GAP + before : 0.0);
    at.least = at.before + GAP + least - 4.0;
    at.best = at.before + GAP + least + best;
    at.likely = at.best + 4.0;
    at.where = at.likely + likely + GAP;
    at.gauge_end = at.end - (change > 0.0 ? change + GAP : 0.0);
    const double rest = at.gauge_end - at.where;
    at.where_width = fmin(where + 1.0, rest * 0.45);
    at.gauge = at.where + at.where_width + GAP;
    if (at.gauge_end - at.gauge < LEAST_GAUGE) {
        at.narrow = true;
        at.before = at.lasting;
        at.least = at.lasting + GAP + least - 4.0;
        at.best = at.lasting + GAP + least + best;
        at.where = at.lasting + GAP;
        at.where_width = at.end - at.where;
    }
    return at;
}

static bool has_change(const struct ladder *ladder, size_t i)
{
    return ladder->compares && ladder->rows[i].instead == NULL &&
           !isnan(ladder->rows[i].change_pct);
}

/* Both sides of no change as far as the furthest end, so that the line hangs in the middle. */
static struct scale change_scale(const struct ladder *ladder, const struct columns *at)
{
    double furthest = 1.0;
    for (size_t i = 0; i < ladder->n_rows; i++) {
        const struct ladder_row *row = &ladder->rows[i];
        if (has_change(ladder, i)) {
            furthest = fmax(furthest, fabs(row->change_pct));
            furthest =
                isnan(row->change_low_pct) ? furthest : fmax(furthest, fabs(row->change_low_pct));
            furthest =
                isnan(row->change_high_pct) ? furthest : fmax(furthest, fabs(row->change_high_pct));
        }
    }
    return (struct scale){ -furthest, furthest, at->gauge + DROP / 2.0,
                           at->gauge_end - DROP / 2.0 };
}

static struct scale watt_scale(const struct ladder *ladder, const struct columns *at)
{
    double most = 1.0;
    for (size_t i = 0; i < ladder->n_rows; i++) {
        const struct ladder_row *row = &ladder->rows[i];
        most = isnan(row->best_w) ? most : fmax(most, row->best_w);
        most = isnan(row->high_w) ? most : fmax(most, row->high_w);
    }
    return (struct scale){ 0.0, most, at->gauge, at->gauge_end };
}

static void draw_change(struct scene *scene, const struct ladder_row *row,
                        const struct scale *scale, double middle)
{
    if (!isnan(row->change_low_pct) && !isnan(row->change_high_pct)) {
        const double left = scale_at(scale, row->change_low_pct);
        const struct place bar = { left, middle - BAR_HEIGHT / 2.0,
                                   scale_at(scale, row->change_high_pct) - left, BAR_HEIGHT };
        scene_rectangle(scene, &bar, COLOUR_LIKELY);
    }
    scene_mark(scene, scale_at(scale, row->change_pct), middle - DROP * 0.62, DROP, row->mark);
}

/* A bar of watts from 0; open at its end, and hollow, where there may be more. */
static void draw_bar(struct scene *scene, const struct ladder_row *row, const struct scale *scale,
                     double middle)
{
    const double right = scale_at(scale, row->best_w);
    const double top = middle - BAR_HEIGHT / 2.0;
    if (!isnan(row->low_w) && !isnan(row->high_w)) {
        const double from = scale_at(scale, row->low_w);
        const struct place likely = { from, top - 2.0, scale_at(scale, row->high_w) - from,
                                      BAR_HEIGHT + 4.0 };
        scene_rectangle(scene, &likely, COLOUR_LIKELY);
    }
    if (row->at_least) {
        const struct point points[] = { { right, top },
                                        { scale->from, top },
                                        { scale->from, top + BAR_HEIGHT },
                                        { right, top + BAR_HEIGHT } };
        scene_path(scene, points, 4, &(struct stroke){ COLOUR_INK, 0.7, 0.0 });
        return;
    }
    const struct place bar = { scale->from, top + 1.5, right - scale->from, BAR_HEIGHT - 3.0 };
    scene_rectangle(scene, &bar, COLOUR_INK);
}

static const char *or_nothing(const char *words)
{
    return words == NULL ? "" : words;
}

/* Beside the best, where no gauge stands between. */
static bool has_room_for_change(const struct scene *scene, const struct words *words,
                                const struct columns *at)
{
    return !at->narrow ||
           at->best + GAP + DROP + width_of(scene, &figure_style, words->change) <= at->end;
}

/* Where a best was ridden, and the words in place of a change, which run up to the plumb line.
 * Returns the y below them. */
static double draw_place(struct scene *scene, const struct ladder *ladder,
                         const struct ladder_row *row, const struct words *words,
                         const struct columns *at, double baseline)
{
    struct arena *arena = scene->arena;
    const char *likely = at->narrow ? or_nothing(words->likely) : "";
    const char *instead = or_nothing(row->instead);
    const char *where = or_nothing(row->where);
    if (at->narrow && words->before != NULL) {
        where = arena_format(arena, "%s%s%s W before", where, where[0] == '\0' ? "" : "; ",
                             words->before);
    }
    const char *change = has_room_for_change(scene, words, at) ? "" : or_nothing(words->change);
    if (likely[0] == '\0' && where[0] == '\0' && instead[0] == '\0' && change[0] == '\0') {
        return baseline;
    }
    const bool more = where[0] != '\0' || instead[0] != '\0';
    const struct run runs[] = {
        { change, FACE_SANS, COLOUR_INK },
        { change[0] != '\0' && (more || likely[0] != '\0') ? "  " : "", FACE_SANS, COLOUR_QUIET },
        { likely, FACE_SANS, COLOUR_PLUM },
        { likely[0] != '\0' && more ? "  " : "", FACE_SANS, COLOUR_QUIET },
        { where, FACE_SANS, COLOUR_QUIET },
        { where[0] != '\0' && instead[0] != '\0' ? ": " : "", FACE_SANS, COLOUR_QUIET },
        { instead, FACE_SERIF_ITALIC, COLOUR_QUIET },
    };
    double width = at->where_width;
    if (!at->narrow && ladder->compares && instead[0] != '\0') {
        width = fmax(width, (at->gauge + at->gauge_end) / 2.0 - 6.0 - at->where);
    }
    const double top = baseline - 0.96 * 8.0 + (at->narrow ? 12.0 : 0.0);
    const struct place place =
        scene_paragraph(scene, at->where, top, width, 8.0, runs, sizeof runs / sizeof runs[0]);
    return place.y + place.height;
}

static double draw_row(struct scene *scene, const struct ladder *ladder, size_t i,
                       const struct words *words, const struct columns *at,
                       const struct scale *scale, double top)
{
    const struct ladder_row *row = &ladder->rows[i];
    const double middle = top + ROW_HEIGHT / 2.0;
    const double baseline = middle + 0.36 * SIZE;
    scene_text(scene, at->lasting, baseline, &lasting_style, row->lasting);
    scene_text(scene, at->best, baseline, &figure_style, words->best);
    if (row->at_least && !isnan(row->best_w)) {
        scene_text(scene, at->least, baseline, &least_style, at_least);
    }
    if (words->before != NULL && !at->narrow) {
        scene_text(scene, at->before, baseline, &before_style, words->before);
    }
    double left = at->end;
    if (words->change != NULL && has_room_for_change(scene, words, at)) {
        left = scene_text(scene, at->end, baseline, &figure_style, words->change).x - 2.0;
    }
    if (at->narrow && has_change(ladder, i)) {
        /* No gauge shows it: the mark stands with the number, or alone over it. */
        scene_mark(scene, left - 0.4 * DROP, middle - 0.55 * DROP, DROP, row->mark);
    }
    if (!at->narrow) {
        scene_text(scene, at->likely, baseline, &likely_style, words->likely);
        if (has_change(ladder, i)) {
            draw_change(scene, row, scale, middle);
        } else if (!ladder->compares && !isnan(row->best_w)) {
            draw_bar(scene, row, scale, middle);
        }
    }
    return fmax(top + ROW_HEIGHT, draw_place(scene, ladder, row, words, at, baseline) + 2.0);
}

/* The words of both sides at the line, where they have room: a side that hasn't is left out. */
static void draw_sides(struct scene *scene, const struct ladder *ladder, const struct columns *at,
                       double line, double baseline)
{
    const char *lower = ladder->lower == NULL ? "lower" : ladder->lower;
    const char *higher = ladder->higher == NULL ? "higher" : ladder->higher;
    const char *left = arena_format(scene->arena, "%s ◂", lower);
    const char *right = arena_format(scene->arena, "▸ %s", higher);
    if (line - 5.0 - width_of(scene, &side_right, left) >= at->likely) {
        scene_text(scene, line - 5.0, baseline, &side_right, left);
    }
    if (line + 5.0 + width_of(scene, &side_left, right) <= at->end) {
        scene_text(scene, line + 5.0, baseline, &side_left, right);
    }
}

bool ladder_has_gauges(const struct scene *scene, double width, const struct ladder *ladder)
{
    const struct words *words = make_words(scene->arena, ladder);
    return !make_columns(scene, 0.0, width, ladder, words).narrow;
}

static bool any_change(const struct ladder *ladder)
{
    size_t i = 0;
    while (i < ladder->n_rows && !has_change(ladder, i)) {
        i++;
    }
    return i < ladder->n_rows;
}

double ladder_draw(struct scene *scene, double x, double y, double width,
                   const struct ladder *ladder)
{
    assert(width >= LADDER_NARROWEST);
    if (ladder->n_rows == 0) {
        return y;
    }
    const struct words *words = make_words(scene->arena, ladder);
    const struct columns at = make_columns(scene, x, width, ladder, words);
    const bool plumb = ladder->compares && !at.narrow;
    const struct scale scale =
        ladder->compares ? change_scale(ladder, &at) : watt_scale(ladder, &at);
    const struct stroke hairline = { COLOUR_HAIRLINE, 0.5, 0.0 };

    scene_begin_part(scene, ROLE_FIGURE,
                     ladder->label != NULL
                         ? ladder->label
                         : words_ladder(scene->arena, (int)ladder->n_rows, ladder->compares));
    scene_text(scene, at.lasting, y + 10.0, &head_right, lasting_head);
    scene_text(scene, at.best, y + 10.0, &head_right, best_head);
    if (at.before > at.lasting) {
        scene_text(scene, at.before, y + 10.0, &head_right, before_head);
    }
    const double line = scale_at(&scale, 0.0);
    if (plumb) {
        draw_sides(scene, ladder, &at, line, y + 10.0);
    } else if (any_change(ladder)) {
        scene_text(scene, at.end, y + 10.0, &head_right, change_head);
    }
    const double top = y + 2.0;
    y += HEAD_HEIGHT;
    scene_line(scene, x, y, x + width, y, &hairline);
    for (size_t i = 0; i < ladder->n_rows; i++) {
        y = draw_row(scene, ladder, i, &words[i], &at, &scale, y);
        scene_line(scene, x, y, x + width, y, &hairline);
    }
    if (plumb) {
        /* Last, so that no estimate hides it. */
        scene_line(scene, line, top, line, y + 2.0, &(struct stroke){ COLOUR_INK, 1.0, 0.0 });
        const struct point bob[] = { { line - BOB / 2.0, y + 2.0 },
                                     { line + BOB / 2.0, y + 2.0 },
                                     { line, y + 2.0 + BOB } };
        scene_area(scene, bob, 3, COLOUR_INK);
        y += BOB + 4.0;
    }
    scene_end_part(scene);
    return y;
}
