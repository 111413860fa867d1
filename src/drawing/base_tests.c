/* drawing/base_tests.c: the drift of each base test, against the line, over time. */
#include "drawing/base_tests.h"

#include "coaching/words/figure_words.h"
#include "drawing/date_axis.h"
#include "drawing/legend.h"

#include <assert.h>
#include <math.h>
#include <string.h>

/* Points. */
static const double PANEL = 112.0;
static const double HEAD = 13.0;
static const double ROW = 11.0; /* of a threshold's words */
static const double GAP = 6.0;
static const double BAR = 5.0;
static const double DATES = 14.0; /* from the panel to the dates' base line */
static const double CLEAR = 5.0;  /* beside a value: twice what it is from its own drop */

enum { THRESHOLD_ROWS = 3, VERDICTS_MOST = 5 };

static const struct text_style head_style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_LEFT };
static const struct text_style tick_style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_RIGHT };
static const struct text_style limit_style = { FACE_SANS_STRONG, 8.0, COLOUR_INK, ANCHOR_RIGHT };
static const struct text_style date_style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_MIDDLE };
static const struct text_style side_style = { FACE_SERIF, 9.0, COLOUR_INK, ANCHOR_LEFT };
static const struct text_style note_style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_LEFT };
static const struct text_style value_style = { FACE_SANS, 8.0, COLOUR_INK, ANCHOR_LEFT };

static const char above_words[] = "▴ not passed";
static const char below_words[] = "▾ passed";

/* A threshold that is new on its day, and where its words go. */
struct note {
    double x;      /* of its line */
    bool has_line; /* false: in force when the figure begins */
    const char *words;
    double words_x;
    int row; /* -1 = no room for words */
};

struct frame {
    struct scene *scene;
    const struct base_tests *tests;
    double x;
    double width;
    struct place panel;
    struct scale days;
    struct scale beats;
    struct note *notes;
    size_t n_notes;
    int note_rows;
    double drop;
    struct place *taken; /* [n_taken] words and marks that a value's words may not touch */
    size_t n_taken;
};

static double width_of(const struct frame *frame, const struct text_style *style, const char *words)
{
    return scene_measure(frame->scene, 0.0, 0.0, style, words).width;
}

/* ---- scales ---- */

static bool is_judged(const struct base_test *test)
{
    return isfinite(test->drift_bpm);
}

/* Holds 0, the line with room over it, and every estimate; a likely range as far as it doesn't
 * crush them. */
static void choose_beats(struct frame *frame)
{
    const struct base_tests *tests = frame->tests;
    double low = fmin(0.0, tests->line_bpm);
    double high = fmax(1.6 * tests->line_bpm, 1.0);
    for (size_t i = 0; i < tests->n; i++) {
        if (is_judged(&tests->tests[i])) {
            low = fmin(low, tests->tests[i].drift_bpm);
            high = fmax(high, tests->tests[i].drift_bpm);
        }
    }
    const double reach = 0.4 * (high - low);
    const double least = low - reach;
    const double most = high + reach;
    for (size_t i = 0; i < tests->n; i++) {
        const struct base_test *test = &tests->tests[i];
        if (is_judged(test) && test->low_bpm >= least) {
            low = fmin(low, test->low_bpm);
        }
        if (is_judged(test) && test->high_bpm <= most) {
            high = fmax(high, test->high_bpm);
        }
    }
    axis_widen(AXIS_NUMBER, 8, &low, &high);
    frame->beats = (struct scale){ low, high, 0.0, 0.0 };
}

/* Both ends of what is shown, a little apart from the panel's edges; how high it stands is known
 * with the thresholds' words. */
static void choose_places(struct frame *frame)
{
    const struct base_tests *tests = frame->tests;
    char words[40];
    axis_label(AXIS_NUMBER, frame->beats.low, 1.0, words);
    double numbers = width_of(frame, &tick_style, words);
    axis_label(AXIS_NUMBER, frame->beats.high, 1.0, words);
    numbers = fmax(numbers, width_of(frame, &limit_style, words));
    axis_label(AXIS_NUMBER, tests->line_bpm, 0.1, words);
    numbers = fmax(numbers, width_of(frame, &limit_style, words));
    const double left = frame->x + numbers + 5.0;
    const double right =
        frame->x + frame->width - GAP -
        fmax(width_of(frame, &side_style, above_words), width_of(frame, &side_style, below_words));
    frame->panel = (struct place){ left, 0.0, right - left, PANEL };
    const double inset = frame->drop;
    double from = (double)tests->from_day;
    double to = (double)tests->to_day;
    if (to - from < 28.0) {
        /* A single test stands in weeks, not in a day drawn wide. */
        from = from - (28.0 - (to - from)) / 2.0;
        to = from + 28.0;
    }
    frame->days = (struct scale){ from, to, left + inset, right - inset };
}

/* ---- thresholds ---- */

/* Those whose watts differ from the one before; of one day the last counts. */
static void find_notes(struct frame *frame)
{
    const struct base_tests *tests = frame->tests;
    struct arena *arena = frame->scene->arena;
    frame->notes = ARENA_ARRAY(arena, struct note, tests->n_thresholds);
    double before_w = (double)NAN;
    const struct base_test_threshold *in_force = NULL;
    for (size_t i = 0; i < tests->n_thresholds; i++) {
        const struct base_test_threshold *one = &tests->thresholds[i];
        const bool is_last_of_day =
            i + 1 == tests->n_thresholds || tests->thresholds[i + 1].day != one->day;
        if (!is_last_of_day || one->day > tests->to_day) {
            continue;
        }
        if (one->day <= tests->from_day) {
            in_force = one;
            continue;
        }
        if (in_force != NULL) {
            frame->notes[frame->n_notes++] =
                (struct note){ .words = words_threshold(arena, in_force->power_w, true) };
            before_w = in_force->power_w;
            in_force = NULL;
        }
        if (fabs(one->power_w - before_w) < 0.5) {
            continue;
        }
        before_w = one->power_w;
        frame->notes[frame->n_notes] =
            (struct note){ .x = (double)one->day,
                           .has_line = true,
                           .words = words_threshold(arena, one->power_w, frame->n_notes == 0) };
        frame->n_notes++;
    }
    if (in_force != NULL) {
        frame->notes[frame->n_notes++] =
            (struct note){ .words = words_threshold(arena, in_force->power_w, true) };
    }
}

/* The highest row from which down to the panel everything is free from `from` on; -1 if none is. */
static int free_row(const double end[THRESHOLD_ROWS], double from)
{
    int found = -1;
    for (int row = THRESHOLD_ROWS - 1; row >= 0 && end[row] <= from; row--) {
        found = row;
    }
    return found;
}

/* From the left, words right of their line, at the right end left of it: they touch no others, and
 * a line crosses no words on its way down. */
static void place_notes(struct frame *frame)
{
    double end[THRESHOLD_ROWS];
    for (int row = 0; row < THRESHOLD_ROWS; row++) {
        end[row] = frame->panel.x;
    }
    const double right = frame->x + frame->width;
    double last_line = frame->panel.x;
    for (size_t i = 0; i < frame->n_notes; i++) {
        struct note *note = &frame->notes[i];
        note->x = note->has_line ? scale_at(&frame->days, note->x) : frame->panel.x;
        note->words_x = note->x + (note->has_line ? 3.0 : 0.0);
        const double width = width_of(frame, &note_style, note->words);
        double from = note->x;
        if (note->words_x + width > right) {
            note->words_x = note->x - 3.0 - width;
            from = note->words_x < last_line + 3.0 ? -HUGE_VAL : note->words_x;
        }
        note->row = free_row(end, from);
        if (note->row >= 0) {
            end[note->row] = note->words_x + width + GAP;
            frame->note_rows = note->row + 1 > frame->note_rows ? note->row + 1 : frame->note_rows;
        }
        last_line = note->has_line ? note->x : last_line;
    }
}

static void take(struct frame *frame, struct place place)
{
    frame->taken[frame->n_taken++] = place;
}

static void draw_notes(struct frame *frame, double top)
{
    const struct stroke line = { COLOUR_QUIET, 0.6, 2.0 };
    const double bottom = frame->panel.y + PANEL;
    for (size_t i = 0; i < frame->n_notes; i++) {
        const struct note *note = &frame->notes[i];
        const double baseline = top + note->row * ROW + 8.0;
        if (note->row >= 0) {
            scene_text(frame->scene, note->words_x, baseline, &note_style, note->words);
        }
        if (note->has_line) {
            const double from = note->row < 0 ? frame->panel.y : baseline - 6.0;
            scene_line(frame->scene, note->x, from, note->x, bottom, &line);
            take(frame, (struct place){ note->x - 1.0, from, 2.0, bottom - from });
        }
    }
}

/* ---- axes and the line ---- */

static void draw_axes(struct frame *frame)
{
    struct scene *scene = frame->scene;
    const struct place *panel = &frame->panel;
    const double right = panel->x + panel->width;
    const struct stroke hairline = { COLOUR_HAIRLINE, 0.5, 0.0 };
    const double line_y = scale_at(&frame->beats, frame->tests->line_bpm);
    char words[40];
    axis_label(AXIS_NUMBER, frame->tests->line_bpm,
               fabs(frame->tests->line_bpm - round(frame->tests->line_bpm)) < 0.05 ? 1.0 : 0.1,
               words);
    const struct place limit = scene_text(scene, panel->x - 4.0, line_y + 2.9, &limit_style, words);
    struct ticks ticks =
        axis_upwards(scene, &frame->beats, AXIS_NUMBER, 8, &tick_style, panel->x - 4.0);
    for (size_t i = 0; i < ticks.n; i++) {
        const struct tick *tick = &ticks.tick[i];
        if (fabs(tick->at - line_y) > 0.5) {
            scene_line(scene, panel->x, tick->at, right, tick->at, &hairline);
        }
        if (!place_overlaps(&tick->label, &limit)) {
            scene_text(scene, tick->label_x, tick->label.y + 0.8 * tick_style.size, &tick_style,
                       tick->words);
        }
    }
    const double bottom = panel->y + PANEL;
    const struct stroke thin = { COLOUR_QUIET, 0.7, 0.0 };
    scene_line(scene, panel->x, bottom, right, bottom, &thin);
    ticks = date_axis_across(scene, &frame->days, &date_style, bottom + DATES, frame->x,
                             frame->x + frame->width, GAP);
    for (size_t i = 0; i < ticks.n; i++) {
        scene_line(scene, ticks.tick[i].at, bottom, ticks.tick[i].at, bottom + 3.0, &thin);
        scene_text(scene, ticks.tick[i].label_x, bottom + DATES, &date_style, ticks.tick[i].words);
    }
}

/* Last, so that no estimate hides it; edged with paper where it runs through a drop. */
static void draw_line(const struct frame *frame)
{
    struct scene *scene = frame->scene;
    const double y = scale_at(&frame->beats, frame->tests->line_bpm);
    const double right = frame->panel.x + frame->panel.width;
    for (size_t i = 0; i < frame->tests->n; i++) {
        const struct base_test *test = &frame->tests->tests[i];
        if (is_judged(test) && fabs(scale_at(&frame->beats, test->drift_bpm) - y) < frame->drop) {
            const double x = scale_at(&frame->days, (double)test->day);
            const struct stroke halo = { COLOUR_PAPER, 2.4, 0.0 };
            scene_line(scene, x - frame->drop / 2.0, y, x + frame->drop / 2.0, y, &halo);
        }
    }
    scene_line(scene, frame->panel.x, y, right + GAP - 2.0, y,
               &(struct stroke){ COLOUR_INK, 1.1, 0.0 });
    scene_text(scene, right + GAP, y - 3.0, &side_style, above_words);
    scene_text(scene, right + GAP, y + 9.5, &side_style, below_words);
}

/* ---- tests ---- */

static double within(const struct place *panel, double y)
{
    return fmin(fmax(y, panel->y), panel->y + panel->height);
}

static void draw_test(struct frame *frame, const struct base_test *test)
{
    const double x = scale_at(&frame->days, (double)test->day);
    const double bottom = frame->panel.y + PANEL;
    if (!is_judged(test)) {
        scene_mark(frame->scene, x, bottom - frame->drop, frame->drop, test->mark);
        take(frame, (struct place){ x - 0.35 * frame->drop, bottom - frame->drop, 0.7 * frame->drop,
                                    frame->drop });
        return;
    }
    if (isfinite(test->low_bpm) && isfinite(test->high_bpm)) {
        const double top = within(&frame->panel, scale_at(&frame->beats, test->high_bpm));
        const double end = within(&frame->panel, scale_at(&frame->beats, test->low_bpm));
        const struct place bar = { x - BAR / 2.0, top, BAR, fmax(end - top, 1.0) };
        scene_rectangle(frame->scene, &bar, COLOUR_LIKELY);
        take(frame, bar);
    }
    /* The belly's middle stands at the estimate. */
    const double tip = scale_at(&frame->beats, test->drift_bpm) - 0.65 * frame->drop;
    scene_mark(frame->scene, x, tip, frame->drop, test->mark);
    take(frame, (struct place){ x - 0.35 * frame->drop, tip, 0.7 * frame->drop, frame->drop });
}

/* Within the panel, and nearer to nothing than to its own drop, at whose side it stands: two
 * numbers in a row, or one before another's drop, would be read together. */
static bool is_free(const struct frame *frame, const struct place *value, bool right_of_drop)
{
    const struct place *panel = &frame->panel;
    if (value->x < panel->x || value->x + value->width > panel->x + panel->width ||
        value->y < panel->y || value->y + value->height > panel->y + PANEL) {
        return false;
    }
    const struct place apart = { right_of_drop ? value->x : value->x - CLEAR, value->y,
                                 value->width + CLEAR, value->height };
    for (size_t i = 0; i < frame->n_taken; i++) {
        if (place_overlaps(&apart, &frame->taken[i])) {
            return false;
        }
    }
    return true;
}

/* Beats at a drop's right or left; none where nothing is free. */
static void draw_value(struct frame *frame, const struct base_test *test)
{
    char words[40];
    axis_label(AXIS_NUMBER, round(test->drift_bpm), 1.0, words);
    const double x = scale_at(&frame->days, (double)test->day);
    const double baseline = scale_at(&frame->beats, test->drift_bpm) + 2.9;
    const double from_drop = 0.35 * frame->drop + CLEAR / 2.0;
    const double sides[] = { x + from_drop, x - from_drop - width_of(frame, &value_style, words) };
    for (size_t side = 0; side < 2; side++) {
        const struct place place =
            scene_measure(frame->scene, sides[side], baseline, &value_style, words);
        if (is_free(frame, &place, side == 0)) {
            take(frame, scene_text(frame->scene, sides[side], baseline, &value_style, words));
            return;
        }
    }
}

/* The latest first, for it is asked for most. */
static void draw_values(struct frame *frame)
{
    const double line_y = scale_at(&frame->beats, frame->tests->line_bpm);
    take(frame, (struct place){ frame->panel.x, line_y - 1.0, frame->panel.width + GAP, 2.0 });
    for (size_t i = frame->tests->n; i > 0; i--) {
        if (is_judged(&frame->tests->tests[i - 1])) {
            draw_value(frame, &frame->tests->tests[i - 1]);
        }
    }
}

static bool is_listed(const struct legend_entry entries[], size_t n, const struct base_test *test)
{
    for (size_t i = 0; i < n; i++) {
        if (entries[i].mark == test->mark && strcmp(entries[i].words, test->verdict) == 0) {
            return true;
        }
    }
    return false;
}

static double draw_legend(const struct frame *frame, double y)
{
    static const enum mark order[] = { MARK_FULL, MARK_HALF, MARK_HOLLOW, MARK_DOTTED };
    struct legend_entry entries[VERDICTS_MOST + 1];
    size_t n = 0;
    bool any_bar = false;
    for (size_t m = 0; m < sizeof order / sizeof order[0]; m++) {
        for (size_t i = 0; i < frame->tests->n; i++) {
            const struct base_test *test = &frame->tests->tests[i];
            any_bar = any_bar || (is_judged(test) && isfinite(test->low_bpm));
            if (test->mark == order[m] && n < VERDICTS_MOST && !is_listed(entries, n, test)) {
                entries[n++] = (struct legend_entry){ true, test->mark, test->verdict };
            }
        }
    }
    if (any_bar) {
        entries[n++] = (struct legend_entry){ .words = words_likely_bar() };
    }
    return legend_draw(frame->scene, frame->panel.x, y, frame->x + frame->width - frame->panel.x,
                       entries, n);
}

double base_tests_draw(struct scene *scene, double x, double y, double width,
                       const struct base_tests *tests)
{
    assert(width >= BASE_TESTS_NARROWEST);
    if (tests->n == 0) {
        return y;
    }
    struct frame frame = { .scene = scene,
                           .tests = tests,
                           .x = x,
                           .width = width,
                           .drop = tests->n > 40   ? 8.0
                                   : tests->n > 16 ? 10.0
                                                   : 13.0 };
    frame.taken = ARENA_ARRAY(scene->arena, struct place, 3 * tests->n + tests->n_thresholds + 2);
    choose_beats(&frame);
    choose_places(&frame);
    find_notes(&frame);
    place_notes(&frame);
    const double notes_top = y + HEAD;
    frame.panel.y = notes_top + frame.note_rows * ROW + 3.0;
    frame.beats.from = frame.panel.y + PANEL;
    frame.beats.to = frame.panel.y;

    scene_begin_part(scene, ROLE_FIGURE, tests->label);
    scene_text(scene, x, y + 9.0, &head_style, words_beats_over_the_hour());
    draw_axes(&frame);
    draw_notes(&frame, notes_top);
    for (size_t i = 0; i < tests->n; i++) {
        draw_test(&frame, &tests->tests[i]);
    }
    draw_line(&frame);
    draw_values(&frame);
    const double end = draw_legend(&frame, frame.panel.y + PANEL + DATES + 6.0);
    scene_end_part(scene);
    return end;
}
