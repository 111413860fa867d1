/* drawing/usual_days.c: how heart rate lay against usual, ride by ride. */
#include "drawing/usual_days.h"

#include "coaching/words/response_words.h"
#include "drawing/date_axis.h"
#include "drawing/dots.h"
#include "drawing/legend.h"

#include <assert.h>
#include <math.h>
#include <string.h>

/* Points. */
static const double PANEL = 112.0;
static const double POWER = 46.0;
static const double HEAD = 13.0;
static const double GAP = 6.0;
static const double WORD_ROW = 11.0; /* over the panel: what is hatched */
static const double LANE = 15.0;     /* of base tests */
static const double DROP = 10.0;
static const double DATES = 14.0;

enum { DAYS_LEAST = 28, MANY = 100, VERDICTS_MOST = 5 };

static const struct text_style heart_style = { FACE_SANS_STRONG, 8.0, COLOUR_HEART_TEXT,
                                               ANCHOR_LEFT };
static const struct text_style power_style = { FACE_SANS_STRONG, 8.0, COLOUR_INK, ANCHOR_LEFT };
static const struct text_style tick_style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_RIGHT };
static const struct text_style limit_style = { FACE_SANS_STRONG, 8.0, COLOUR_INK, ANCHOR_RIGHT };
static const struct text_style date_style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_MIDDLE };
static const struct text_style side_style = { FACE_SERIF, 9.0, COLOUR_INK, ANCHOR_LEFT };
static const struct text_style note_style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_LEFT };
static const struct text_style value_style = { FACE_SANS, 8.0, COLOUR_INK, ANCHOR_LEFT };

struct frame {
    struct scene *scene;
    const struct usual_days *days;
    double x;
    double width;
    struct place panel;
    struct place power;
    double lane_y; /* top of the base tests' lane */
    struct scale at;
    struct scale beats;
    struct scale watts;
    double radius;
    struct place *taken; /* [n_taken] what a value may not touch */
    size_t n_taken;
};

static double width_of(const struct frame *frame, const struct text_style *style, const char *words)
{
    return scene_measure(frame->scene, 0.0, 0.0, style, words).width;
}

static void take(struct frame *frame, struct place place)
{
    frame->taken[frame->n_taken++] = place;
}

/* ---- scales ---- */

/* The same both ways; one ride far out doesn't crush the others. */
static void choose_scales(struct frame *frame)
{
    const struct usual_days *days = frame->days;
    double most = 1.5 * days->line_bpm;
    double low_w = 0.0;
    double most_w = 50.0;
    for (size_t i = 0; i < days->n; i++) {
        if (isfinite(days->days[i].bpm)) {
            most = fmax(most, fmin(fabs(days->days[i].bpm) + 2.0, 3.0 * days->line_bpm));
        }
        if (isfinite(days->days[i].power_w)) {
            most_w = fmax(most_w, days->days[i].power_w);
        }
    }
    double least = -most;
    axis_widen(AXIS_CHANGE, 7, &least, &most);
    most = fmax(most, -least);
    axis_widen(AXIS_NUMBER, 4, &low_w, &most_w);
    frame->beats = (struct scale){ -most, most, 0.0, 0.0 };
    frame->watts = (struct scale){ low_w, most_w, 0.0, 0.0 };
}

static double widest_number(const struct frame *frame)
{
    char words[40];
    axis_label(AXIS_CHANGE, frame->beats.low, 1.0, words);
    double widest = width_of(frame, &tick_style, words);
    axis_label(AXIS_NUMBER, frame->watts.high, 1.0, words);
    widest = fmax(widest, width_of(frame, &tick_style, words));
    return fmax(widest, width_of(frame, &limit_style,
                                 words_signed(frame->scene->arena, frame->days->line_bpm)));
}

static void choose_places(struct frame *frame, double top)
{
    const struct usual_days *days = frame->days;
    const double left = frame->x + widest_number(frame) + 5.0;
    const double side = fmax(width_of(frame, &side_style, words_usual_above()),
                             width_of(frame, &side_style, words_usual_below()));
    const double right = frame->x + frame->width - GAP - side;
    frame->panel = (struct place){ left, top + HEAD + (days->n_gaps > 0 ? WORD_ROW : 0.0) + 3.0,
                                   right - left, PANEL };
    frame->power =
        (struct place){ left, frame->panel.y + PANEL + HEAD + 12.0, right - left, POWER };
    frame->lane_y = frame->power.y + POWER + 3.0;
    frame->beats.from = frame->panel.y + PANEL;
    frame->beats.to = frame->panel.y;
    frame->watts.from = frame->power.y + POWER;
    frame->watts.to = frame->power.y;
    double from = (double)days->from_day;
    double to = (double)days->to_day;
    if (to - from < (double)DAYS_LEAST) {
        from -= ((double)DAYS_LEAST - (to - from)) / 2.0;
        to = from + (double)DAYS_LEAST;
    }
    frame->at = (struct scale){ from, to, left + 5.0, right - 5.0 };
}

/* ---- what is hatched ---- */

static void draw_gaps(struct frame *frame, double words_y)
{
    const struct usual_days *days = frame->days;
    double words_end = frame->panel.x;
    for (size_t i = 0; i < days->n_gaps; i++) {
        const struct usual_gap *gap = &days->gaps[i];
        const double low = frame->panel.x;
        const double high = frame->panel.x + frame->panel.width;
        const double from =
            fmin(fmax(scale_at(&frame->at, (double)gap->from_day - 0.5), low), high);
        const double to = fmin(fmax(scale_at(&frame->at, (double)gap->to_day - 0.5), low), high);
        if (to - from < 0.5) {
            continue;
        }
        scene_hatch(frame->scene, &(struct place){ from, frame->panel.y, to - from, PANEL },
                    COLOUR_MASKED);
        scene_hatch(frame->scene, &(struct place){ from, frame->power.y, to - from, POWER },
                    COLOUR_MASKED);
        const double width = width_of(frame, &note_style, gap->words);
        const double x = fmin(from, high - width);
        if (x >= words_end) {
            scene_text(frame->scene, x, words_y, &note_style, gap->words);
            words_end = x + width + GAP;
        }
    }
}

/* ---- axes ---- */

static void draw_limits(struct frame *frame)
{
    const double line_bpm = frame->days->line_bpm;
    const double right = frame->panel.x + frame->panel.width;
    const double signs[] = { 1.0, -1.0 };
    for (size_t i = 0; i < 2; i++) {
        const double y = scale_at(&frame->beats, signs[i] * line_bpm);
        scene_line(frame->scene, frame->panel.x, y, right + GAP - 2.0, y,
                   &(struct stroke){ COLOUR_INK, 1.1, 0.0 });
        scene_text(frame->scene, right + GAP, i == 0 ? y - 2.0 : y + 8.5, &side_style,
                   i == 0 ? words_usual_above() : words_usual_below());
    }
}

static void draw_beats_axis(struct frame *frame)
{
    struct scene *scene = frame->scene;
    const double right = frame->panel.x + frame->panel.width;
    const double line_bpm = frame->days->line_bpm;
    struct place limits[2];
    for (int i = 0; i < 2; i++) {
        const double value = i == 0 ? line_bpm : -line_bpm;
        limits[i] = scene_text(scene, frame->panel.x - 4.0, scale_at(&frame->beats, value) + 2.9,
                               &limit_style, words_signed(scene->arena, value));
    }
    const struct ticks ticks =
        axis_upwards(scene, &frame->beats, AXIS_CHANGE, 7, &tick_style, frame->panel.x - 4.0);
    for (size_t i = 0; i < ticks.n; i++) {
        const struct tick *tick = &ticks.tick[i];
        const bool is_zero = fabs(tick->value) < 1e-9;
        const struct stroke stroke = { is_zero ? COLOUR_QUIET : COLOUR_HAIRLINE,
                                       is_zero ? 0.7 : 0.5, 0.0 };
        scene_line(scene, frame->panel.x, tick->at, right, tick->at, &stroke);
        if (!place_overlaps(&tick->label, &limits[0]) &&
            !place_overlaps(&tick->label, &limits[1])) {
            scene_text(scene, tick->label_x, tick->label.y + 0.8 * tick_style.size, &tick_style,
                       tick->words);
        }
    }
}

static void draw_power_axis(struct frame *frame)
{
    struct scene *scene = frame->scene;
    scene_text(scene, frame->x, frame->power.y - 6.0, &power_style, "power, W");
    const struct ticks ticks =
        axis_upwards(scene, &frame->watts, AXIS_NUMBER, 3, &tick_style, frame->power.x - 4.0);
    axis_draw_rules(scene, &ticks, frame->power.x, frame->power.x + frame->power.width);
    axis_draw_labels(scene, &ticks, &tick_style);
}

static void draw_dates(struct frame *frame, double y)
{
    struct scene *scene = frame->scene;
    const struct stroke thin = { COLOUR_QUIET, 0.7, 0.0 };
    scene_line(scene, frame->panel.x, y, frame->panel.x + frame->panel.width, y, &thin);
    const struct ticks ticks = date_axis_across(scene, &frame->at, &date_style, y + DATES, frame->x,
                                                frame->x + frame->width, GAP);
    for (size_t i = 0; i < ticks.n; i++) {
        scene_line(scene, ticks.tick[i].at, y, ticks.tick[i].at, y + 3.0, &thin);
        scene_text(scene, ticks.tick[i].label_x, y + DATES, &date_style, ticks.tick[i].words);
    }
}

/* ---- rides ---- */

static double within(const struct scale *scale, double value)
{
    return scale_at(scale, fmin(fmax(value, scale->low), scale->high));
}

/* Upright lines: a tint would vanish behind the dots. */
static void draw_ranges(struct frame *frame)
{
    const struct stroke stroke = { COLOUR_HEART, 0.8, 0.0 };
    for (size_t i = 0; i < frame->days->n; i++) {
        const struct usual_day *day = &frame->days->days[i];
        if (isfinite(day->bpm) && isfinite(day->low_bpm) && isfinite(day->high_bpm)) {
            const double x = scale_at(&frame->at, (double)day->day);
            scene_line(frame->scene, x, within(&frame->beats, day->high_bpm), x,
                       within(&frame->beats, day->low_bpm), &stroke);
        }
    }
}

static void draw_dots(struct frame *frame)
{
    const double r = frame->radius;
    for (size_t i = 0; i < frame->days->n; i++) {
        const struct usual_day *day = &frame->days->days[i];
        const double x = scale_at(&frame->at, (double)day->day);
        if (isfinite(day->bpm)) {
            const double y = within(&frame->beats, day->bpm);
            draw_dot(frame->scene, x, y, r, COLOUR_HEART);
            take(frame, (struct place){ x - r, y - r, 2.0 * r, 2.0 * r });
        }
        if (isfinite(day->power_w)) {
            draw_dot(frame->scene, x, within(&frame->watts, day->power_w), fmin(r, 1.6),
                     COLOUR_POWER);
        }
    }
}

static bool is_free(const struct frame *frame, const struct place *box)
{
    const struct place *panel = &frame->panel;
    if (box->x < panel->x || box->x + box->width > panel->x + panel->width || box->y < panel->y ||
        box->y + box->height > panel->y + PANEL) {
        return false;
    }
    for (size_t i = 0; i < frame->n_taken; i++) {
        if (place_overlaps(box, &frame->taken[i])) {
            return false;
        }
    }
    return true;
}

/* Beats of a ride beyond the line; none where nothing is free. */
static void draw_value(struct frame *frame, const struct usual_day *day)
{
    const char *words = words_signed(frame->scene->arena, day->bpm);
    const double x = scale_at(&frame->at, (double)day->day);
    const double y = within(&frame->beats, day->bpm);
    const double baseline = fmin(fmax(y + 2.9, frame->panel.y + 8.5), frame->panel.y + PANEL - 3.0);
    const double away = frame->radius + 2.5;
    const double sides[] = { x + away, x - away - width_of(frame, &value_style, words) };
    for (size_t side = 0; side < 2; side++) {
        const struct place place =
            scene_measure(frame->scene, sides[side], baseline, &value_style, words);
        if (is_free(frame, &place)) {
            const struct place ground = { place.x - 0.5, place.y, place.width + 1.0, place.height };
            scene_rectangle(frame->scene, &ground, COLOUR_PAPER);
            take(frame, scene_text(frame->scene, sides[side], baseline, &value_style, words));
            return;
        }
    }
}

static void draw_values(struct frame *frame)
{
    const double line_bpm = frame->days->line_bpm;
    const double signs[] = { 1.0, -1.0 };
    for (size_t i = 0; i < 2; i++) {
        const double y = scale_at(&frame->beats, signs[i] * line_bpm);
        take(frame, (struct place){ frame->panel.x, y - 1.0, frame->panel.width, 2.0 });
    }
    for (size_t i = frame->days->n; i > 0; i--) {
        const struct usual_day *day = &frame->days->days[i - 1];
        if (isfinite(day->bpm) && fabs(day->bpm) > line_bpm) {
            draw_value(frame, day);
        }
    }
}

/* ---- base tests and words under it ---- */

static void draw_tests(struct frame *frame)
{
    for (size_t i = 0; i < frame->days->n_tests; i++) {
        const struct base_test *test = &frame->days->tests[i];
        scene_mark(frame->scene, scale_at(&frame->at, (double)test->day), frame->lane_y + 2.0, DROP,
                   test->mark);
    }
}

static bool is_listed(const struct legend_entry entries[], size_t n, const char *words)
{
    for (size_t i = 0; i < n; i++) {
        if (strcmp(entries[i].words, words) == 0) {
            return true;
        }
    }
    return false;
}

/* A range within its own dot isn't to be seen. */
static bool shows_range(const struct frame *frame)
{
    for (size_t i = 0; i < frame->days->n; i++) {
        const struct usual_day *day = &frame->days->days[i];
        if (isfinite(day->bpm) &&
            within(&frame->beats, day->bpm) - within(&frame->beats, day->high_bpm) >
                frame->radius) {
            return true;
        }
    }
    return false;
}

static double draw_legend(const struct frame *frame, double y)
{
    const struct usual_days *days = frame->days;
    struct arena *arena = frame->scene->arena;
    struct legend_entry entries[VERDICTS_MOST + 2];
    size_t n = 0;
    entries[n++] = (struct legend_entry){ .words = words_usual_dot(shows_range(frame)) };
    if (days->n_gaps > 0) {
        entries[n++] = (struct legend_entry){ .words = words_usual_hatched() };
    }
    for (size_t i = 0; i < days->n_tests && n < VERDICTS_MOST + 2; i++) {
        const struct base_test *test = &days->tests[i];
        const char *words = arena_format(arena, "base test: %s", test->verdict);
        if (!is_listed(entries, n, words)) {
            entries[n++] = (struct legend_entry){ true, test->mark, words };
        }
    }
    return legend_draw(frame->scene, frame->x, y, frame->width, entries, n);
}

double usual_days_draw(struct scene *scene, double x, double y, double width,
                       const struct usual_days *days)
{
    assert(width >= USUAL_DAYS_NARROWEST);
    if (days->n == 0) {
        return y;
    }
    struct frame frame = {
        .scene = scene, .days = days, .x = x, .width = width, .radius = days->n > MANY ? 1.3 : 2.0
    };
    frame.taken = ARENA_ARRAY(scene->arena, struct place, 2 * days->n + 2);
    choose_scales(&frame);
    choose_places(&frame, y);
    scene_begin_part(scene, ROLE_FIGURE, days->label);
    scene_text(scene, x, y + 9.0, &heart_style, "heart rate against usual, beats");
    draw_beats_axis(&frame);
    draw_power_axis(&frame);
    draw_gaps(&frame, y + HEAD + 9.0);
    draw_ranges(&frame);
    draw_limits(&frame);
    draw_dots(&frame);
    draw_values(&frame);
    draw_tests(&frame);
    const double axis_y = frame.lane_y + (days->n_tests > 0 ? LANE : 0.0);
    draw_dates(&frame, axis_y);
    const double end = draw_legend(&frame, axis_y + DATES + 6.0);
    scene_end_part(scene);
    return end;
}
