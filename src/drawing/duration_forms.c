/* drawing/duration_forms.c: all-out efforts, the forms fitted to them, and critical power. */
#include "drawing/duration_forms.h"

#include "coaching/words/response_words.h"
#include "coaching/words/words.h"
#include "drawing/axis.h"
#include "drawing/dots.h"
#include "drawing/legend.h"

#include <assert.h>
#include <math.h>

/* Points. */
static const double PANEL = 160.0;
static const double LINE = 12.0;
static const double SAMPLE = 20.0;
static const double COLUMN = 18.0; /* right of the panel: critical power */
static const double DROP = 13.0;
static const double DOT = 2.4;

enum { STEPS = 96, LABELS = 11 };

static const struct text_style legend_style = { FACE_SANS, 8.0, COLOUR_INK, ANCHOR_LEFT };
static const struct text_style watts_style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_RIGHT };
static const struct text_style unit_style = { FACE_SANS_STRONG, 8.0, COLOUR_INK, ANCHOR_LEFT };
static const struct text_style time_style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_MIDDLE };
static const struct text_style value_style = { FACE_SANS, 8.0, COLOUR_INK, ANCHOR_LEFT };

/* The one that decides is solid. */
static const struct stroke strokes[DURATION_FORMS] = {
    [DURATION_WORK] = { COLOUR_QUIET, 0.9, 5.0 },
    [DURATION_INVERSE] = { COLOUR_INK, 1.3, 0.0 },
    [DURATION_HYPERBOLA] = { COLOUR_QUIET, 0.9, 2.0 },
    [DURATION_PEAK] = { COLOUR_QUIET, 0.9, 1.0 },
};

/* The more telling first. */
static const double label_s[LABELS] = { 60, 300, 1200, 180, 720, 10, 30, 600, 120, 1800, 3600 };

struct frame {
    struct scene *scene;
    const struct duration_forms *forms;
    bool is_known;
    struct place panel;
    struct scale watts;
    struct scale time; /* of ln seconds */
};

double duration_form_power(const struct duration_fit *fit, enum duration_form form,
                           double duration_s)
{
    if (!fit->is_fitted || !(duration_s > 0.0)) {
        return (double)NAN;
    }
    const double before_s =
        form == DURATION_PEAK ? fit->w_prime_j / (fit->peak_w - fit->cp_w) : 0.0;
    return fit->cp_w + fit->w_prime_j / (duration_s + before_s);
}

/* ---- what the forms span ---- */

static void include(double value, double *low, double *high)
{
    if (isfinite(value)) {
        *low = fmin(*low, value);
        *high = fmax(*high, value);
    }
}

/* The forms, and the one that decides with its likely range: a higher critical power goes with
 * less work above it. */
static void span_at(const struct power_duration *curve, double t, double *low, double *high)
{
    *low = HUGE_VAL;
    *high = -HUGE_VAL;
    include(curve->cp_w + curve->w_prime_j / t, low, high);
    include(curve->cp_low_w + curve->w_prime_high_j / t, low, high);
    include(curve->cp_high_w + curve->w_prime_low_j / t, low, high);
    for (int form = 0; form < DURATION_FORMS; form++) {
        include(duration_form_power(&curve->forms[form], (enum duration_form)form, t), low, high);
    }
}

/* A sprint says nothing of forms without a peak, and would crush all else. */
static bool is_shown(const struct duration_forms *forms, const struct duration_effort *effort)
{
    const struct power_duration *curve = forms->curve;
    return curve->end != DURATION_KNOWN || curve->forms[DURATION_PEAK].is_fitted ||
           effort->duration_s >= 0.5 * curve->shortest_s;
}

/* ---- scales ---- */

static struct frame choose(struct scene *scene, double x, double width,
                           const struct duration_forms *forms)
{
    const struct power_duration *curve = forms->curve;
    struct frame frame = { .scene = scene,
                           .forms = forms,
                           .is_known = curve->end == DURATION_KNOWN };
    double shortest = 120.0;
    double longest = 1200.0;
    double low = HUGE_VAL;
    double high = 0.0;
    for (size_t i = 0; i < forms->n; i++) {
        if (!is_shown(forms, &forms->efforts[i])) {
            continue;
        }
        shortest = fmin(shortest, forms->efforts[i].duration_s);
        longest = fmax(longest, forms->efforts[i].duration_s);
        include(forms->efforts[i].mean_w, &low, &high);
    }
    shortest = fmax(0.85 * shortest, 1.0);
    longest *= 1.2;
    if (frame.is_known) {
        include(curve->cp_low_w, &low, &high);
        include(curve->cp_high_w, &low, &high);
    }
    const double room = fmax(0.15 * (high - low), 10.0);
    low = fmax(low - room, 0.0);
    high += room;
    axis_widen(AXIS_NUMBER, 7, &low, &high);
    char words[40];
    axis_label(AXIS_NUMBER, high, 1.0, words);
    const double numbers = scene_measure(scene, 0.0, 0.0, &watts_style, words).width + 5.0;
    frame.panel = (struct place){ x + numbers, 0.0,
                                  width - numbers - (frame.is_known ? COLUMN : 0.0), PANEL };
    frame.watts = (struct scale){ low, high, 0.0, 0.0 };
    frame.time = (struct scale){ log(shortest), log(longest), frame.panel.x,
                                 frame.panel.x + frame.panel.width };
    return frame;
}

static double within(const struct scale *scale, double value)
{
    return scale_at(scale, fmin(fmax(value, scale->low), scale->high));
}

/* ---- axes ---- */

static void draw_watts(const struct frame *frame)
{
    const struct ticks ticks = axis_upwards(frame->scene, &frame->watts, AXIS_NUMBER, 7,
                                            &watts_style, frame->panel.x - 4.0);
    axis_draw_rules(frame->scene, &ticks, frame->panel.x, frame->panel.x + frame->panel.width);
    axis_draw_labels(frame->scene, &ticks, &watts_style);
}

static void draw_times(const struct frame *frame, double left, double right)
{
    struct scene *scene = frame->scene;
    const double bottom = frame->panel.y + PANEL;
    const struct stroke thin = { COLOUR_QUIET, 0.7, 0.0 };
    struct place taken[LABELS];
    size_t n_taken = 0;
    scene_line(scene, frame->panel.x, bottom, frame->panel.x + frame->panel.width, bottom, &thin);
    for (size_t i = 0; i < LABELS; i++) {
        const double x = scale_at(&frame->time, log(label_s[i]));
        const char *words = words_duration(scene->arena, label_s[i]);
        const struct place place = scene_measure(scene, x, bottom + 14.0, &time_style, words);
        const struct place wide = { place.x - 6.0, place.y, place.width + 12.0, place.height };
        bool is_free = x >= frame->time.from && x <= frame->time.to && place.x >= left &&
                       place.x + place.width <= right;
        for (size_t k = 0; k < n_taken; k++) {
            is_free = is_free && !place_overlaps(&wide, &taken[k]);
        }
        if (is_free) {
            scene_line(scene, x, bottom, x, bottom + 3.0, &thin);
            taken[n_taken++] = scene_text(scene, x, bottom + 14.0, &time_style, words);
        }
    }
}

/* ---- the band and the lines ---- */

/* Between two durations. */
static void draw_band(const struct frame *frame, double from_s, double to_s, enum colour colour)
{
    struct point points[2 * (STEPS + 1)];
    const double from = log(from_s);
    const double to = log(to_s);
    if (!(to > from)) {
        return;
    }
    for (int i = 0; i <= STEPS; i++) {
        const double at = from + (to - from) * i / STEPS;
        double low;
        double high;
        span_at(frame->forms->curve, exp(at), &low, &high);
        const double x = scale_at(&frame->time, at);
        points[i] = (struct point){ x, within(&frame->watts, high) };
        points[2 * STEPS + 1 - i] = (struct point){ x, within(&frame->watts, low) };
    }
    scene_area(frame->scene, points, 2 * (STEPS + 1), colour);
}

static void draw_bands(const struct frame *frame)
{
    const struct power_duration *curve = frame->forms->curve;
    const double begin = exp(frame->time.low);
    const double end = exp(frame->time.high);
    draw_band(frame, begin, curve->shortest_s, COLOUR_TARGET);
    draw_band(frame, curve->longest_s, end, COLOUR_TARGET);
    draw_band(frame, curve->shortest_s, curve->longest_s, COLOUR_LIKELY);
}

/* As far as it lies within the panel. */
static void draw_form(const struct frame *frame, enum duration_form form)
{
    const struct duration_fit *fit = &frame->forms->curve->forms[form];
    struct point points[STEPS + 1];
    size_t n = 0;
    for (int i = 0; i <= STEPS; i++) {
        const double at = frame->time.low + (frame->time.high - frame->time.low) * i / STEPS;
        const double watts = duration_form_power(fit, form, exp(at));
        if (watts >= frame->watts.low && watts <= frame->watts.high) {
            points[n++] =
                (struct point){ scale_at(&frame->time, at), scale_at(&frame->watts, watts) };
        }
    }
    if (n > 1) {
        scene_path(frame->scene, points, n, &strokes[form]);
    }
}

static void draw_critical(const struct frame *frame)
{
    const struct power_duration *curve = frame->forms->curve;
    struct scene *scene = frame->scene;
    const double y = within(&frame->watts, curve->cp_w);
    const double x = frame->panel.x + frame->panel.width + 9.0;
    const double top = within(&frame->watts, curve->cp_high_w);
    const double end = within(&frame->watts, curve->cp_low_w);
    scene_line(scene, frame->panel.x, y, x, y, &(struct stroke){ COLOUR_PLUM, 0.7, 3.0 });
    scene_rectangle(scene, &(struct place){ x - 3.0, top, 6.0, fmax(end - top, 1.0) },
                    COLOUR_LIKELY);
    scene_mark(scene, x, y - 0.65 * DROP, DROP, MARK_FULL);
}

/* ---- efforts ---- */

/* Watts right of the dot that is taken[dot], or left of it; none where nothing is free. */
static void draw_value(const struct frame *frame, double watts, size_t n_dots, size_t dot,
                       struct place taken[], size_t *n)
{
    const double apart = 4.0; /* between two numbers */
    char words[40];
    axis_label(AXIS_NUMBER, round(watts), 1.0, words);
    const double baseline = taken[dot].y + DOT - 4.0;
    const double width = scene_measure(frame->scene, 0.0, 0.0, &value_style, words).width;
    const double sides[] = { taken[dot].x + DOT + 4.0, taken[dot].x + DOT - 4.0 - width };
    for (size_t side = 0; side < 2; side++) {
        const struct place place =
            scene_measure(frame->scene, sides[side], baseline, &value_style, words);
        const struct place wide = { place.x - apart, place.y, place.width + 2.0 * apart,
                                    place.height };
        bool is_free = place.x >= frame->panel.x && place.y >= frame->panel.y &&
                       place.x + place.width <= frame->panel.x + frame->panel.width;
        for (size_t k = 0; k < *n; k++) {
            is_free = is_free && !place_overlaps(k < n_dots ? &place : &wide, &taken[k]);
        }
        if (is_free) {
            taken[(*n)++] = scene_text(frame->scene, sides[side], baseline, &value_style, words);
            return;
        }
    }
}

static void draw_efforts(const struct frame *frame)
{
    struct scene *scene = frame->scene;
    const struct duration_forms *forms = frame->forms;
    struct place *taken = ARENA_ARRAY(scene->arena, struct place, 2 * forms->n);
    const struct duration_effort **shown =
        ARENA_ARRAY(scene->arena, const struct duration_effort *, forms->n);
    size_t n_shown = 0;
    size_t n_taken = 0;
    for (size_t i = 0; i < forms->n; i++) {
        if (!is_shown(forms, &forms->efforts[i])) {
            continue;
        }
        const double x = within(&frame->time, log(forms->efforts[i].duration_s));
        const double y = within(&frame->watts, forms->efforts[i].mean_w);
        draw_dot(scene, x, y, DOT, COLOUR_POWER);
        taken[n_taken++] = (struct place){ x - DOT, y - DOT, 2.0 * DOT, 2.0 * DOT };
        shown[n_shown++] = &forms->efforts[i];
    }
    for (size_t i = 0; i < n_shown; i++) {
        draw_value(frame, shown[i]->mean_w, n_shown, i, taken, &n_taken);
    }
}

/* ---- under it ---- */

static double add_line(struct scene *scene, double x, double y, double width, const char *words,
                       const struct stroke *stroke)
{
    scene_line(scene, x, y + 6.0, x + SAMPLE, y + 6.0, stroke);
    const double left = x + SAMPLE + 5.0;
    if (left + scene_measure(scene, 0.0, 0.0, &legend_style, words).width <= x + width) {
        scene_text(scene, left, y + 9.0, &legend_style, words);
        return y + LINE;
    }
    const struct run run = { words, FACE_SANS, COLOUR_INK };
    const struct place place = scene_paragraph(scene, left, y, x + width - left, 8.0, &run, 1);
    return place.y + place.height + 2.0;
}

static double draw_words(const struct frame *frame, double x, double y, double width)
{
    struct arena *arena = frame->scene->arena;
    const struct power_duration *curve = frame->forms->curve;
    struct legend_entry entries[3];
    size_t n = 0;
    for (int form = 0; frame->is_known && form < DURATION_FORMS; form++) {
        const struct duration_fit *fit = &curve->forms[form];
        if (fit->is_fitted) {
            y = add_line(frame->scene, x, y, width,
                         words_form(arena, duration_form_name((enum duration_form)form), fit->cp_w,
                                    fit->w_prime_j, form == DURATION_INVERSE),
                         &strokes[form]);
        }
    }
    if (frame->is_known) {
        entries[n++] =
            (struct legend_entry){ true, MARK_FULL,
                                   words_critical_mark(arena, curve->cp_w, curve->cp_low_w,
                                                       curve->cp_high_w) };
    }
    entries[n++] = (struct legend_entry){ .words = words_effort_dot() };
    if (frame->is_known) {
        entries[n++] = (struct legend_entry){ .words = words_forms_band() };
    }
    return legend_draw(frame->scene, x, y, width, entries, n);
}

double duration_forms_draw(struct scene *scene, double x, double y, double width,
                           const struct duration_forms *forms)
{
    assert(width >= DURATION_FORMS_NARROWEST);
    if (forms->n == 0) {
        return y;
    }
    struct frame frame = choose(scene, x, width, forms);
    frame.panel.y = y + 16.0;
    frame.watts.from = frame.panel.y + PANEL;
    frame.watts.to = frame.panel.y;
    scene_begin_part(scene, ROLE_FIGURE,
                     words_durations_figure(scene->arena, forms->n, frame.is_known));
    scene_text(scene, x, y + 9.0, &unit_style, "mean power, W");
    if (frame.is_known) {
        draw_bands(&frame);
    }
    draw_watts(&frame);
    draw_times(&frame, x, x + width);
    for (int form = 0; frame.is_known && form < DURATION_FORMS; form++) {
        draw_form(&frame, (enum duration_form)form);
    }
    if (frame.is_known) {
        draw_critical(&frame);
    }
    draw_efforts(&frame);
    const double end = draw_words(&frame, x, frame.panel.y + PANEL + 20.0, width);
    scene_end_part(scene);
    return end;
}
