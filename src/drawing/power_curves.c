/* drawing/power_curves.c: greatest mean power against how long it was held. */
#include "drawing/power_curves.h"

#include "coaching/words/figure_words.h"
#include "coaching/words/words.h"
#include "drawing/axis.h"

#include <assert.h>
#include <math.h>

/* Points. */
static const double PANEL = 150.0;
static const double LINE = 12.0;   /* of the legend */
static const double SAMPLE = 16.0; /* a piece of line in the legend */
static const double APART = 0.4;   /* points of a curve that are nearer are left out */

static const struct text_style legend_style = { FACE_SANS, 8.0, COLOUR_INK, ANCHOR_LEFT };
static const struct text_style unit_style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_RIGHT };
static const struct text_style watts_style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_RIGHT };
static const struct text_style time_style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_MIDDLE };

static const struct stroke curve_stroke = { COLOUR_POWER, 1.2, 0.0 };
static const struct stroke against_stroke = { COLOUR_QUIET, 1.0, 3.0 };

/* The more telling first: a label that has no room beside these stays out. */
static const int32_t label_s[] = { 60,  1200, 5,  300,  3600, 15,    1,     10800,
                                   600, 120,  30, 1800, 7200, 21600, 43200, 86400 };

struct frame {
    struct scene *scene;
    struct place panel;
    struct scale watts;
    struct scale time; /* of ln seconds */
};

static bool is_empty(const struct power_curve *curve)
{
    return curve == NULL || curve->n == 0;
}

static void widen(const struct power_curve *curve, double *most_w, double *most_s)
{
    for (size_t i = 0; !is_empty(curve) && i < curve->n; i++) {
        *most_w = fmax(*most_w, curve->power_w[i]);
        *most_s = fmax(*most_s, (double)curve->duration_s[i]);
    }
}

static double add_legend(struct scene *scene, double x, double y, double width,
                         const struct power_curve *curve, const struct stroke *stroke)
{
    if (curve == NULL) {
        return y;
    }
    scene_line(scene, x, y + 6.0, x + SAMPLE, y + 6.0, stroke);
    const double left = x + SAMPLE + 5.0;
    const char *words = is_empty(curve)
                            ? arena_format(scene->arena, "%s: %s", curve->words, words_no_bests())
                            : curve->words;
    if (left + scene_measure(scene, 0.0, 0.0, &legend_style, words).width <= x + width) {
        scene_text(scene, left, y + 9.0, &legend_style, words);
        return y + LINE;
    }
    const struct run run = { words, FACE_SANS, COLOUR_INK };
    const struct place place = scene_paragraph(scene, left, y, x + width - left, 8.0, &run, 1);
    return place.y + place.height + 2.0;
}

static void draw_watts(const struct frame *frame)
{
    const struct ticks ticks = axis_upwards(frame->scene, &frame->watts, AXIS_NUMBER, 7,
                                            &watts_style, frame->panel.x - 4.0);
    axis_draw_rules(frame->scene, &ticks, frame->panel.x, frame->panel.x + frame->panel.width);
    axis_draw_labels(frame->scene, &ticks, &watts_style);
}

static void draw_times(const struct frame *frame, double right)
{
    enum { LABELS = sizeof label_s / sizeof label_s[0] };
    struct scene *scene = frame->scene;
    const double bottom = frame->panel.y + PANEL;
    const struct stroke thin = { COLOUR_QUIET, 0.7, 0.0 };
    struct place taken[LABELS] = { { 0 } };
    size_t n_taken = 0;
    scene_line(scene, frame->panel.x, bottom, frame->panel.x + frame->panel.width, bottom, &thin);
    for (size_t i = 0; i < LABELS; i++) {
        const double x = scale_at(&frame->time, log((double)label_s[i]));
        if (x > frame->panel.x + frame->panel.width + 0.1) {
            continue;
        }
        const char *words = words_duration(scene->arena, label_s[i]);
        struct place place = scene_measure(scene, x, bottom + 14.0, &time_style, words);
        const double middle = fmin(x, right - place.width / 2.0);
        place.x = middle - place.width / 2.0;
        bool is_free = true;
        for (size_t k = 0; k < n_taken; k++) {
            is_free = is_free && (place.x >= taken[k].x + taken[k].width + 6.0 ||
                                  place.x + place.width + 6.0 <= taken[k].x);
        }
        if (is_free) {
            scene_line(scene, x, bottom, x, bottom + 3.0, &thin);
            taken[n_taken++] = scene_text(scene, middle, bottom + 14.0, &time_style, words);
        }
    }
}

static void draw_curve(const struct frame *frame, const struct power_curve *curve,
                       const struct stroke *stroke)
{
    if (is_empty(curve)) {
        return;
    }
    struct point *points = ARENA_ARRAY(frame->scene->arena, struct point, curve->n);
    size_t n = 0;
    for (size_t i = 0; i < curve->n; i++) {
        const double x = scale_at(&frame->time, log((double)curve->duration_s[i]));
        const bool is_end = i == 0 || i + 1 == curve->n;
        if (is_end || x - points[n - 1].x >= APART) {
            points[n++] = (struct point){ x, scale_at(&frame->watts, curve->power_w[i]) };
        }
    }
    scene_path(frame->scene, points, n, stroke);
}

double power_curves_draw(struct scene *scene, double x, double y, double width,
                         const struct power_curve *curve, const struct power_curve *against)
{
    assert(width >= POWER_CURVES_NARROWEST);
    if (is_empty(curve) && is_empty(against)) {
        return y;
    }
    double low = 0.0;
    double most_w = 1.0;
    double most_s = 60.0;
    widen(curve, &most_w, &most_s);
    widen(against, &most_w, &most_s);
    axis_widen(AXIS_NUMBER, 7, &low, &most_w);
    scene_begin_part(
        scene, ROLE_FIGURE,
        words_power_curves(scene->arena, curve->words, against == NULL ? NULL : against->words));
    y = add_legend(scene, x, y, width, curve, &curve_stroke);
    y = add_legend(scene, x, y, width, against, &against_stroke) + 16.0;
    char words[40];
    axis_label(AXIS_NUMBER, most_w, 1.0, words);
    const double numbers = scene_measure(scene, 0.0, 0.0, &watts_style, words).width + 5.0;
    struct frame frame = { .scene = scene,
                           .panel = { x + numbers, y, width - numbers, PANEL },
                           .watts = { 0.0, most_w, y + PANEL, y },
                           .time = { 0.0, log(most_s), x + numbers + 5.0, x + width - 2.0 } };
    scene_text(scene, frame.panel.x - 4.0, y - 6.0, &unit_style, "W");
    draw_watts(&frame);
    draw_times(&frame, x + width);
    draw_curve(&frame, against, &against_stroke);
    draw_curve(&frame, curve, &curve_stroke);
    scene_end_part(scene);
    return y + PANEL + 18.0;
}
