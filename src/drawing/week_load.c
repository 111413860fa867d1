/* drawing/week_load.c: hours, week by week, against the line of a week jump. */
#include "drawing/week_load.h"

#include "base/dates.h"
#include "coaching/words/figure_words.h"
#include "coaching/words/words.h"
#include "drawing/axis.h"
#include "drawing/date_axis.h"
#include "drawing/legend.h"

#include <assert.h>
#include <math.h>

/* Points. */
static const double SIZE = 9.0;
static const double HEAD = 15.0;
static const double GAP = 9.0;
static const double STROKE = 3.2; /* from one tally stroke to the next */
static const double DROP = 10.0;
static const double BOB = 7.0;
static const double LEAST_BARS = 30.0;

static const struct text_style head_style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_LEFT };
static const struct text_style week_style = { FACE_SANS_STRONG, 9.0, COLOUR_INK, ANCHOR_RIGHT };
static const struct text_style month_style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_RIGHT };
static const struct text_style hours_style = { FACE_SANS, 9.0, COLOUR_INK, ANCHOR_LEFT };
static const struct text_style words_style = { FACE_SERIF_ITALIC, 9.0, COLOUR_QUIET, ANCHOR_LEFT };
static const struct text_style side_style = { FACE_SERIF, 9.0, COLOUR_INK, ANCHOR_LEFT };
static const struct text_style tick_style = { FACE_SANS, 8.0, COLOUR_QUIET, ANCHOR_MIDDLE };

struct frame {
    struct scene *scene;
    const struct week_load_rows *weeks;
    double x;
    double width;
    double end;
    double week; /* right of the week's words */
    double hard; /* left of the tallies */
    double off;
    const char *hard_head;
    const char *off_head;
    struct scale bars;
    double row; /* height */
    bool roomy;
    bool month_said;    /* the first has the year */
    struct point *line; /* [n_line] corners of the stepped line since its last gap */
    size_t n_line;
};

static double width_of(const struct frame *frame, const struct text_style *style, const char *words)
{
    return words == NULL ? 0.0 : scene_measure(frame->scene, 0.0, 0.0, style, words).width;
}

static char *hours_words(const struct frame *frame, double hours)
{
    return arena_format(frame->scene->arena, "%.1f h", hours);
}

static bool is_narrow(const struct frame *frame)
{
    return frame->width < 380.0;
}

/* The year stands with the first week, where there is room, and with the first of another year. */
static char *week_words(const struct frame *frame, size_t i)
{
    const struct week_row *rows = frame->weeks->rows;
    const int64_t year = dates_civil_from_utc(rows[i].monday * 86400).year;
    const bool is_new = i > 0 && dates_civil_from_utc(rows[i - 1].monday * 86400).year != year;
    return date_axis_day(frame->scene->arena, rows[i].monday,
                         is_new || (i == 0 && !is_narrow(frame)));
}

/* "Oct", of a week in which a month begins, in January or if asked with the year; NULL of the
 * others. */
static char *month_words(const struct frame *frame, size_t i, bool with_year)
{
    const int64_t monday = frame->weeks->rows[i].monday;
    for (int64_t day = monday; day < monday + 7; day++) {
        if (dates_civil_from_utc(day * 86400).day == 1) {
            const int64_t year = dates_civil_from_utc(day * 86400).year;
            const bool is_january = dates_civil_from_utc(day * 86400).month == 1;
            const char *words = date_axis_day(frame->scene->arena, day, false);
            return is_january || with_year
                       ? arena_format(frame->scene->arena, "%s %lld", words + 2, (long long)year)
                       : arena_string(frame->scene->arena, words + 2);
        }
    }
    return NULL;
}

static double tally_width(int n)
{
    return n <= 0 ? 0.0 : (n >= 5 ? n - 1 : n) * STROKE + (n > 5 ? STROKE : 0.0);
}

/* Short heads where it is narrow: the figure's label has them whole. */
static void choose_columns(struct frame *frame)
{
    const struct week_load_rows *weeks = frame->weeks;
    frame->hard_head = words_hard_days(!is_narrow(frame));
    frame->off_head = words_days_off(!is_narrow(frame));
    double week = 0.0;
    double hard = width_of(frame, &head_style, frame->hard_head);
    double off = width_of(frame, &head_style, frame->off_head);
    double most = 1.0;
    for (size_t i = 0; i < weeks->n; i++) {
        const struct week_row *row = &weeks->rows[i];
        week =
            fmax(week, frame->roomy ? width_of(frame, &week_style, week_words(frame, i))
                                    : width_of(frame, &month_style, month_words(frame, i, true)));
        hard = fmax(hard, tally_width(row->hard_days));
        off = fmax(off, tally_width(row->days_off));
        most = fmax(most, row->hours);
        most = isnan(row->line_hours) ? most : fmax(most, row->line_hours);
    }
    week = fmax(week, width_of(frame, &head_style, words_week_of()));
    frame->week = frame->x + week;
    frame->hard = frame->week + GAP;
    frame->off = frame->hard + hard + GAP;
    /* The longest bar leaves room for its mark and its hours. */
    const double room =
        frame->roomy ? DROP + width_of(frame, &hours_style, hours_words(frame, most)) + 8.0 : DROP;
    frame->bars = (struct scale){ 0.0, most, frame->off + off + GAP, frame->end - room };
    if (frame->bars.to - frame->bars.from < LEAST_BARS) {
        /* Numbers so long that no bar has room: only of hours that no week has. */
        frame->bars.to = frame->bars.from;
    }
}

/* ---- a row ---- */

/* Strokes as in a notebook: the fifth crosses four. */
static void draw_tally(struct scene *scene, double x, double middle, double height, int n,
                       enum colour colour)
{
    const struct stroke stroke = { colour, 1.2, 0.0 };
    const double top = middle - height / 2.0;
    double at = x + 0.6;
    for (int i = 1; i <= n; i++) {
        if (i % 5 == 0) {
            scene_line(scene, at - 4.6 * STROKE, top + height - 1.0, at - 0.4 * STROKE, top + 1.0,
                       &stroke);
            at += 0.5 * STROKE;
            continue;
        }
        scene_line(scene, at, top, at, top + height, &stroke);
        at += STROKE;
    }
}

static void draw_bar(const struct frame *frame, const struct week_row *row, double middle)
{
    const double height = frame->roomy ? 5.0 : fmin(4.0, frame->row - 2.0);
    const double top = middle - height / 2.0;
    const double right = scale_at(&frame->bars, row->hours);
    if (row->hours <= 0.0) {
        return;
    }
    if (!row->is_over) {
        const struct point points[] = { { right, top },
                                        { frame->bars.from, top },
                                        { frame->bars.from, top + height },
                                        { right, top + height } };
        scene_path(frame->scene, points, 4, &(struct stroke){ COLOUR_INK, 0.8, 0.0 });
        return;
    }
    const struct place bar = { frame->bars.from, top, right - frame->bars.from, height };
    scene_rectangle(frame->scene, &bar, COLOUR_QUIET);
}

/* Hours behind the bar, and behind the line if that runs through their place; then the words, or a
 * line of their own.  Returns the y below. */
static double draw_words(const struct frame *frame, const struct week_row *row, double top)
{
    struct scene *scene = frame->scene;
    const double middle = top + frame->row / 2.0;
    const double baseline = middle + 0.36 * SIZE;
    /* Where nothing was ridden the words say so. */
    const bool says_none = row->hours <= 0.0 && row->words != NULL;
    const char *hours = says_none ? "" : hours_words(frame, row->hours);
    const double width = width_of(frame, &hours_style, hours);
    double at = scale_at(&frame->bars, row->hours) + 4.0;
    if (row->is_jump) {
        scene_mark(scene, at + 0.35 * DROP, middle - 0.62 * DROP, DROP, MARK_HOLLOW);
        at += 0.7 * DROP + 3.0;
    }
    const double line =
        isnan(row->line_hours) ? -HUGE_VAL : scale_at(&frame->bars, row->line_hours);
    if (line > at - 4.0 && line < at + width + 3.0) {
        at = line + 5.0;
    }
    at = fmin(at, frame->end - width);
    const struct place place = scene_text(scene, at, baseline, &hours_style, hours);
    if (row->words == NULL) {
        return top + frame->row;
    }
    const double own = width_of(frame, &words_style, row->words);
    const double from = place.x + (says_none ? 0.0 : place.width + 6.0);
    if (from + own <= frame->end && !(line > from - 3.0 && line < from + own + 3.0)) {
        scene_text(scene, from, baseline, &words_style, row->words);
        return top + frame->row;
    }
    if (line + 5.0 + own <= frame->end && line + 5.0 >= from) {
        scene_text(scene, line + 5.0, baseline, &words_style, row->words);
        return top + frame->row;
    }
    /* Under it, on the wider side of the line. */
    const struct run run = { row->words, FACE_SERIF_ITALIC, COLOUR_QUIET };
    double left = frame->hard;
    double right = frame->end;
    if (line > left && line - left >= right - line) {
        right = line - 5.0;
    } else if (line > left) {
        left = line + 5.0;
    }
    const struct place under =
        scene_paragraph(scene, left, baseline + 3.0, right - left, SIZE, &run, 1);
    return fmax(top + frame->row, under.y + under.height + 2.0);
}

static void end_line(struct frame *frame)
{
    scene_path(frame->scene, frame->line, frame->n_line, &(struct stroke){ COLOUR_INK, 1.0, 0.0 });
    frame->n_line = 0;
}

static void add_to_line(struct frame *frame, const struct week_row *row, double top, double bottom)
{
    if (isnan(row->line_hours)) {
        end_line(frame);
        return;
    }
    const double x = scale_at(&frame->bars, row->line_hours);
    frame->line[frame->n_line++] = (struct point){ x, top };
    frame->line[frame->n_line++] = (struct point){ x, bottom };
}

static double draw_row(struct frame *frame, size_t i, double top, double *label_end)
{
    struct scene *scene = frame->scene;
    const struct week_row *row = &frame->weeks->rows[i];
    const double middle = top + frame->row / 2.0;
    const double tally = frame->roomy ? 8.0 : fmin(5.0, frame->row - 1.5);
    draw_tally(scene, frame->hard, middle, tally, row->hard_days, COLOUR_INK);
    draw_tally(scene, frame->off, middle, tally, row->days_off, COLOUR_MASKED);
    draw_bar(frame, row, middle);
    double bottom = top + frame->row;
    if (frame->roomy) {
        scene_text(scene, frame->week, middle + 0.36 * SIZE, &week_style, week_words(frame, i));
        bottom = draw_words(frame, row, top);
    } else {
        const char *month = month_words(frame, i, !frame->month_said);
        if (month != NULL && middle - 4.0 >= *label_end) {
            scene_text(scene, frame->week, middle + 2.9, &month_style, month);
            *label_end = middle + 6.0;
            frame->month_said = true;
        }
        if (row->is_jump) {
            scene_mark(scene, scale_at(&frame->bars, row->hours) + 0.45 * DROP, middle - 5.0, 8.0,
                       MARK_HOLLOW);
        }
    }
    add_to_line(frame, row, top, bottom);
    return bottom;
}

/* ---- what stands above and below ---- */

static size_t first_with_line(const struct week_load_rows *weeks)
{
    size_t i = 0;
    while (i < weeks->n && isnan(weeks->rows[i].line_hours)) {
        i++;
    }
    return i;
}

/* The line's words where it begins: right of it, or left where they don't fit there. */
static void draw_head(const struct frame *frame, double baseline)
{
    struct scene *scene = frame->scene;
    const double week = width_of(frame, &head_style, words_week_of());
    scene_text(scene, frame->week - week, baseline, &head_style, words_week_of());
    scene_text(scene, frame->hard, baseline, &head_style, frame->hard_head);
    const struct place off = scene_text(scene, frame->off, baseline, &head_style, frame->off_head);
    const size_t first = first_with_line(frame->weeks);
    if (first == frame->weeks->n) {
        return;
    }
    const double line = scale_at(&frame->bars, frame->weeks->rows[first].line_hours);
    const char *right = words_jump_side(true);
    const char *left = words_jump_side(false);
    if (line + 4.0 + width_of(frame, &side_style, right) <= frame->end) {
        scene_text(scene, line + 4.0, baseline, &side_style, right);
    } else if (line - 4.0 - width_of(frame, &side_style, left) >= off.x + off.width + GAP) {
        scene_text(scene, line - 4.0 - width_of(frame, &side_style, left), baseline, &side_style,
                   left);
    }
}

static double draw_scale(const struct frame *frame, double y)
{
    const struct stroke thin = { COLOUR_QUIET, 0.7, 0.0 };
    const struct ticks ticks = axis_across(frame->scene, &frame->bars, AXIS_NUMBER, 6, &tick_style,
                                           y + 12.0, frame->bars.from - GAP / 2.0, frame->end, 6.0);
    scene_line(frame->scene, frame->bars.from, y, frame->bars.to, y, &thin);
    for (size_t i = 0; i < ticks.n; i++) {
        scene_line(frame->scene, ticks.tick[i].at, y, ticks.tick[i].at, y + 3.0, &thin);
    }
    axis_draw_labels(frame->scene, &ticks, &tick_style);
    return y + 15.0;
}

static double draw_legend(const struct frame *frame, double y)
{
    const struct week_load_rows *weeks = frame->weeks;
    struct legend_entry entries[4];
    size_t n = 0;
    bool jump = false;
    for (size_t i = 0; i < weeks->n; i++) {
        jump = jump || weeks->rows[i].is_jump;
    }
    if (!frame->roomy) {
        entries[n++] = (struct legend_entry){ .words = words_hours_scale() };
    }
    if (jump) {
        entries[n++] = (struct legend_entry){ true, MARK_HOLLOW, words_verdict(VERDICT_JUMP) };
    }
    if (first_with_line(weeks) == weeks->n) {
        entries[n++] = (struct legend_entry){ .words = words_no_jump_line() };
    } else if (!isnan(weeks->rows[weeks->n - 1].line_hours)) {
        entries[n++] = (struct legend_entry){ .words = words_jump_line() };
    }
    if (!weeks->rows[weeks->n - 1].is_over && weeks->rows[weeks->n - 1].hours > 0.0) {
        entries[n++] = (struct legend_entry){ .words = words_hollow_week() };
    }
    return legend_draw(frame->scene, frame->x, y, frame->width, entries, n);
}

double week_load_draw(struct scene *scene, double x, double y, double width,
                      const struct week_load_rows *weeks)
{
    assert(width >= WEEK_LOAD_NARROWEST);
    if (weeks->n == 0) {
        return y;
    }
    const bool roomy = weeks->n <= WEEK_LOAD_ROOMY;
    struct frame frame = { .scene = scene,
                           .weeks = weeks,
                           .x = x,
                           .width = width,
                           .end = x + width,
                           .row = roomy ? 16.0 : 7.0,
                           .roomy = roomy,
                           .line = ARENA_ARRAY(scene->arena, struct point, 2 * weeks->n) };
    choose_columns(&frame);
    const struct stroke hairline = { COLOUR_HAIRLINE, 0.5, 0.0 };
    scene_begin_part(scene, ROLE_FIGURE, weeks->label);
    draw_head(&frame, y + 10.0);
    y += HEAD;
    scene_line(scene, x, y, x + width, y, &hairline);
    double label_end = y;
    for (size_t i = 0; i < weeks->n; i++) {
        y = draw_row(&frame, i, y, &label_end);
        if (roomy) {
            scene_line(scene, x, y, x + width, y, &hairline);
        }
    }
    const bool hangs = frame.n_line > 0;
    const double line = hangs ? frame.line[frame.n_line - 1].x : 0.0;
    if (hangs) {
        frame.line[frame.n_line - 1].y += 2.0;
    }
    end_line(&frame);
    if (hangs) {
        const struct point bob[] = { { line - BOB / 2.0, y + 2.0 },
                                     { line + BOB / 2.0, y + 2.0 },
                                     { line, y + 2.0 + BOB } };
        scene_area(scene, bob, 3, COLOUR_INK);
    }
    y = roomy ? y + (hangs ? BOB : 0.0) + 4.0 : draw_scale(&frame, y + (hangs ? BOB + 3.0 : 1.0));
    y = draw_legend(&frame, y + 2.0);
    scene_end_part(scene);
    return y;
}
