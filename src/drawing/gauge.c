/* drawing/gauge.c: our own glyph: a verdict as a place on a scale. */
#include "drawing/gauge.h"

#include <math.h>
#include <stdio.h>

/* How it is laid out, in points: the look, no choice about a rider. */
static const double DROP = 15.0;        /* height of the drop */
static const double BAR = 7.0;          /* height of the bar; it stands on the scale */
static const double ROW = 13.0;         /* a row of side words */
static const double LINE_ABOVE = 20.0;  /* from the side words' row down to the scale */
static const double BOB = 8.0;          /* below the scale */
static const double NUMBERS = 19.5;     /* from the scale to the numbers' base line */
static const double CAPTION = 14.0;     /* a line of the caption */
static const double GAP = 6.0;          /* between words, and from words to a line */
static const double ARROW = 3.5;        /* half the height of a side's arrow */
static const double TICKS_APART = 34.0; /* the least room a tick is given */
static const double DROP_HALF = 0.35;   /* of its height: half the drop's width */

static const struct text_style SIDE = { FACE_SERIF, 10.5, COLOUR_INK, ANCHOR_LEFT };
static const struct text_style NUMBER = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_MIDDLE };
static const struct text_style LIMIT = { FACE_SANS_STRONG, 8.0, COLOUR_INK, ANCHOR_MIDDLE };
static const struct text_style UNDER = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_LEFT };

struct frame {
    struct scene *scene;
    const struct gauge *gauge;
    double x;
    double width;
    double inset; /* from the frame to the scale's ends */
    struct gauge_scale scale;
    double limits[2]; /* places of the limits */
};

enum mark gauge_mark(enum verdict_answer answer)
{
    switch (answer) {
    case ANSWER_YES: return MARK_FULL;
    case ANSWER_NO: return MARK_HOLLOW;
    case ANSWER_ON_THE_LINE: return MARK_HALF;
    case ANSWER_CANNOT_TELL: break;
    }
    return MARK_DOTTED;
}

/* "-5" with a true minus; as many digits as the step asks for. */
static const char *number_words(const struct frame *frame, double value)
{
    const double shown = fabs(value) < frame->scale.step * 1e-6 ? 0.0 : value;
    return arena_format(frame->scene->arena, "%s%.7g", shown < 0.0 ? "\u2212" : "", fabs(shown));
}

/* A limit is a line of the table or what was asked: whole, or to one digit. */
static const char *limit_words(const struct frame *frame, double value)
{
    const double tenth = round(value * 10.0) / 10.0;
    return number_words(frame, tenth);
}

static double at(const struct frame *frame, double value)
{
    const double share =
        (value - frame->scale.from) / (gauge_scale_to(&frame->scale) - frame->scale.from);
    return frame->x + frame->inset +
           fmin(fmax(share, 0.0), 1.0) * (frame->width - 2.0 * frame->inset);
}

static double words_width(const struct frame *frame, const struct text_style *style,
                          const char *words)
{
    return scene_measure(frame->scene, 0.0, 0.0, style, words).width;
}

/* The scale's ends leave room for half a number, also a limit's, and half a drop. */
static void choose_scale(struct frame *frame)
{
    const int most = (int)fmin(fmax(floor(frame->width / TICKS_APART), 2.0), 8.0);
    frame->scale = gauge_scale_choose(frame->gauge, most);
    const double from = frame->scale.from;
    const double to = gauge_scale_to(&frame->scale);
    double widest = fmax(words_width(frame, &NUMBER, number_words(frame, from)),
                         words_width(frame, &NUMBER, number_words(frame, to)));
    for (size_t i = 0; i < frame->gauge->n_limits; i++) {
        const char *words = limit_words(frame, frame->gauge->limits[i]);
        widest = fmax(widest, words_width(frame, &LIMIT, words));
    }
    frame->inset = fmax(widest / 2.0, DROP * DROP_HALF + 2.0);
    for (size_t i = 0; i < frame->gauge->n_limits; i++) {
        frame->limits[i] = at(frame, frame->gauge->limits[i]);
    }
}

/* ---- the words of the sides ---- */

/* A side's words with an arrow that points away from the line; between two lines no arrow. */
struct side {
    const char *words;
    int arrow; /* -1 left of the words' end, +1 before the words, 0 none */
    double width;
    double x; /* left end */
    int row;  /* 0 = beside the line; higher rows lie above the lines' tops */
};

static double arrow_room(const struct side *side)
{
    return side->arrow == 0 ? 0.0 : ARROW + 3.0;
}

static bool hits(const struct side *a, double x, double width)
{
    return x < a->x + a->width + GAP && a->x < x + width + GAP;
}

/* Beside the line if that is free, else in a row of its own above. */
static size_t place_sides(const struct frame *frame, struct side sides[3])
{
    const struct gauge *gauge = frame->gauge;
    const size_t n = gauge->n_limits + 1;
    const double right = frame->x + frame->width;
    int rows = 0;
    for (size_t i = 0; i < n; i++) {
        struct side *side = &sides[i];
        *side = (struct side){ .words = gauge->sides[i],
                               .arrow = i == 0       ? -1
                                        : i + 1 == n ? 1
                                                     : 0 };
        side->width = words_width(frame, &SIDE, side->words) + arrow_room(side);
        double x = (frame->limits[0] + frame->limits[gauge->n_limits - 1] - side->width) / 2.0;
        if (side->arrow < 0) {
            x = frame->limits[0] - GAP - side->width;
        } else if (side->arrow > 0) {
            x = frame->limits[gauge->n_limits - 1] + GAP;
        }
        bool fits = x >= frame->x && x + side->width <= right;
        for (size_t k = 0; k < i; k++) {
            fits = fits && !(sides[k].row == 0 && hits(&sides[k], x, side->width));
        }
        for (size_t k = 0; k < gauge->n_limits; k++) {
            const bool clear = frame->limits[k] <= x - GAP / 2.0 ||
                               frame->limits[k] >= x + side->width + GAP / 2.0;
            fits = fits && clear;
        }
        side->x = fmin(fmax(x, frame->x), right - side->width);
        side->row = fits ? 0 : ++rows;
    }
    return (size_t)rows;
}

static void draw_arrow(struct scene *scene, double tip_x, double y, double direction)
{
    const double back = tip_x - direction * ARROW;
    const struct point corners[] = { { tip_x, y }, { back, y - ARROW }, { back, y + ARROW } };
    scene_area(scene, corners, 3, COLOUR_INK);
}

/* Returns the top of the lines. */
static double draw_sides(const struct frame *frame, double y)
{
    struct side sides[3] = { 0 };
    const size_t rows = place_sides(frame, sides);
    const double top = y + (double)rows * ROW;
    for (size_t i = 0; i <= frame->gauge->n_limits; i++) {
        const struct side *side = &sides[i];
        const double baseline = top - (double)side->row * ROW + 9.5;
        const double middle = baseline - 3.3;
        if (side->arrow > 0) {
            draw_arrow(frame->scene, side->x + ARROW, middle, 1.0);
            scene_text(frame->scene, side->x + arrow_room(side), baseline, &SIDE, side->words);
        } else {
            scene_text(frame->scene, side->x, baseline, &SIDE, side->words);
        }
        if (side->arrow < 0) {
            draw_arrow(frame->scene, side->x + side->width - ARROW, middle, -1.0);
        }
    }
    return top;
}

/* ---- bar, scale, drop, lines ---- */

/* An end of the bar that lies beyond the scale: three teeth, as torn paper. */
static void draw_torn(struct scene *scene, double x, double y, double direction)
{
    const double tooth = BAR / 3.0;
    const double depth = direction * 3.0;
    const struct point edge[] = {
        { x + depth, y },
        { x, y },
        { x - depth, y + tooth / 2.0 },
        { x, y + tooth },
        { x - depth, y + 1.5 * tooth },
        { x, y + 2.0 * tooth },
        { x - depth, y + 2.5 * tooth },
        { x, y + BAR },
        { x + depth, y + BAR },
    };
    scene_area(scene, edge, sizeof edge / sizeof edge[0], COLOUR_PAPER);
}

static void draw_bar(const struct frame *frame, double axis_y)
{
    const struct gauge *gauge = frame->gauge;
    if (!isfinite(gauge->estimate) || isnan(gauge->low) || isnan(gauge->high)) {
        return;
    }
    const double low = at(frame, gauge->low);
    const double high = at(frame, gauge->high);
    /* The thinnest bar still shows on both sides of nothing. */
    const double width = fmax(high - low, 1.0);
    const struct place place = { low, axis_y - BAR, width, BAR };
    scene_rectangle(frame->scene, &place, COLOUR_LIKELY);
    if (gauge->low < frame->scale.from) {
        draw_torn(frame->scene, low, place.y, -1.0);
    }
    if (gauge->high > gauge_scale_to(&frame->scale)) {
        draw_torn(frame->scene, high, place.y, 1.0);
    }
}

/* The limits' numbers first; a round number that would touch one of them stays out. */
static void draw_numbers(const struct frame *frame, double axis_y)
{
    struct scene *scene = frame->scene;
    const struct gauge *gauge = frame->gauge;
    struct place taken[2];
    size_t n_taken = 0;
    const double baseline = axis_y + NUMBERS;
    const char *words = limit_words(frame, gauge->limits[0]);
    if (gauge->n_limits == 2) {
        const char *second = limit_words(frame, gauge->limits[1]);
        const double apart = frame->limits[1] - frame->limits[0];
        const double need =
            (words_width(frame, &LIMIT, words) + words_width(frame, &LIMIT, second)) / 2.0;
        if (apart >= need + GAP) {
            taken[n_taken++] = scene_text(scene, frame->limits[1], baseline, &LIMIT, second);
            taken[n_taken++] = scene_text(scene, frame->limits[0], baseline, &LIMIT, words);
        } else {
            words = arena_format(scene->arena, "%s\u2013%s", words, second);
        }
    }
    if (n_taken == 0) {
        const double middle = (frame->limits[0] + frame->limits[gauge->n_limits - 1]) / 2.0;
        const double half = words_width(frame, &LIMIT, words) / 2.0;
        const double x = fmin(fmax(middle, frame->x + half), frame->x + frame->width - half);
        taken[n_taken++] = scene_text(scene, x, baseline, &LIMIT, words);
    }
    double end = -HUGE_VAL;
    for (int t = 0; t <= frame->scale.steps; t++) {
        const double value = frame->scale.from + t * frame->scale.step;
        const char *number = number_words(frame, value);
        const struct place place =
            scene_measure(scene, at(frame, value), baseline, &NUMBER, number);
        bool fits = place.x >= end + GAP;
        for (size_t i = 0; i < n_taken; i++) {
            fits = fits && (place.x >= taken[i].x + taken[i].width + GAP ||
                            place.x + place.width + GAP <= taken[i].x);
        }
        if (fits) {
            scene_text(scene, at(frame, value), baseline, &NUMBER, number);
            end = place.x + place.width;
        }
    }
}

static void draw_scale(const struct frame *frame, double axis_y)
{
    const struct stroke thin = { COLOUR_QUIET, 0.7, 0.0 };
    const struct gauge_scale *scale = &frame->scale;
    scene_line(frame->scene, at(frame, scale->from), axis_y, at(frame, gauge_scale_to(scale)),
               axis_y, &thin);
    for (int t = 0; t <= scale->steps; t++) {
        const double x = at(frame, scale->from + t * scale->step);
        scene_line(frame->scene, x, axis_y, x, axis_y + 3.0, &thin);
    }
}

/* The line goes through bar and drop, edged with paper so that it shows on plum. */
static void draw_limit(const struct frame *frame, double x, double top, double axis_y)
{
    struct scene *scene = frame->scene;
    const double drop = at(frame, frame->gauge->estimate);
    if (isfinite(frame->gauge->estimate) && fabs(drop - x) <= DROP * DROP_HALF + 2.0) {
        const struct stroke halo = { COLOUR_PAPER, 2.6, 0.0 };
        scene_line(scene, x, axis_y - DROP - 1.0, x, axis_y - 0.5, &halo);
    }
    const struct stroke line = { COLOUR_INK, 1.1, 0.0 };
    scene_line(scene, x, top, x, axis_y + BOB / 2.0, &line);
    const struct point bob[] = {
        { x - 2.6, axis_y + 2.0 }, { x + 2.6, axis_y + 2.0 },       { x + 2.6, axis_y + BOB / 2.0 },
        { x, axis_y + BOB + 2.0 }, { x - 2.6, axis_y + BOB / 2.0 },
    };
    scene_area(scene, bob, sizeof bob / sizeof bob[0], COLOUR_INK);
}

static double draw_caption(const struct frame *frame, double y, bool with_bar_words)
{
    struct scene *scene = frame->scene;
    const struct gauge *gauge = frame->gauge;
    double x = frame->x + frame->inset;
    const double right = frame->x + frame->width;
    if (!isfinite(gauge->estimate)) {
        /* No place on the scale, so none is drawn. */
        scene_mark(scene, x + 4.0, y - 9.0, 11.0, gauge_mark(gauge->answer));
        const struct place words = scene_text(scene, x + 12.0, y, &UNDER, "not known");
        x = words.x + words.width + 2.0 * GAP;
    }
    const char *what = gauge->what == NULL ? gauge->unit : gauge->what;
    const char *bar = with_bar_words && isfinite(gauge->estimate) ? gauge->bar : NULL;
    if (bar != NULL) {
        const char *both = arena_format(scene->arena, "%s; %s", what, bar);
        if (x + words_width(frame, &UNDER, both) <= right) {
            scene_text(scene, x, y, &UNDER, both);
            return y;
        }
    }
    /* The longest caption there is fits the narrowest gauge, but not beside "not known". */
    if (x + words_width(frame, &UNDER, what) > right) {
        x = frame->x;
        y += isfinite(gauge->estimate) ? 0.0 : CAPTION;
    }
    scene_text(scene, x, y, &UNDER, what);
    if (bar != NULL) {
        y += CAPTION;
        scene_text(scene, x, y, &UNDER, bar);
    }
    return y;
}

double gauge_draw(struct scene *scene, double x, double y, double width, const struct gauge *gauge,
                  bool with_bar_words)
{
    struct frame frame = { .scene = scene, .gauge = gauge, .x = x, .width = width };
    choose_scale(&frame);
    scene_begin_part(scene, ROLE_FIGURE, gauge_in_words(scene->arena, gauge));
    const double top = draw_sides(&frame, y);
    const double axis_y = top + ROW + LINE_ABOVE;
    draw_bar(&frame, axis_y);
    draw_scale(&frame, axis_y);
    if (isfinite(gauge->estimate)) {
        scene_mark(scene, at(&frame, gauge->estimate), axis_y - DROP, DROP,
                   gauge_mark(gauge->answer));
    }
    for (size_t i = 0; i < gauge->n_limits; i++) {
        draw_limit(&frame, frame.limits[i], top + 1.0, axis_y);
    }
    draw_numbers(&frame, axis_y);
    const double end = draw_caption(&frame, axis_y + NUMBERS + CAPTION, with_bar_words);
    scene_end_part(scene);
    return end + 4.0;
}
