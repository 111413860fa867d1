/* drawing/rep_rows.c: reps as rows of small traces against what was asked. */
#include "drawing/rep_rows.h"

#include "coaching/words/figure_words.h"
#include "drawing/trace_line.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Points. */
static const double SIZE = 9.0;
static const double GAP = 10.0;
static const double MARK_SIZE = 11.0;
static const double TALL = 28.0;
static const double LOW = 19.0;

static const double LEAST_REST = 120.0;    /* for trace and verdict, or the row becomes two lines */
static const double SHORT_REP = 1.0 / 6.0; /* of the longest: see the header */
static const double LEFT_OUT_RATIO = 0.02; /* of the seconds, at each end of the scale */

static const struct text_style number_style = { FACE_SANS_STRONG, 9.0, COLOUR_INK, ANCHOR_LEFT };
static const struct text_style range_style = { FACE_SANS, 8.0, COLOUR_PLUM, ANCHOR_LEFT };
static const struct text_style figure_style = { FACE_SANS, 9.0, COLOUR_INK, ANCHOR_LEFT };
static const struct text_style right_style = { FACE_SANS, 9.0, COLOUR_INK, ANCHOR_RIGHT };

/* Reps first..end-1, drawn as one. */
struct group {
    size_t first;
    size_t end;
    char *number;
    char *range; /* NULL: none, or as in the row above */
    char *mean;
    char *time;
};

struct columns {
    double number; /* left */
    double trace;
    double range;
    double mean; /* right */
    double time; /* left from here on */
    double mark;
    double verdict;
    double end;
    bool narrow; /* range, times and verdict go on a line of their own under the trace */
};

static bool same_double(double a, double b)
{
    return (isnan(a) && isnan(b)) || (isinf(a) && isinf(b)) || fabs(a - b) < 0.5;
}

static bool same_text(const char *a, const char *b)
{
    return a == b || (a != NULL && b != NULL && strcmp(a, b) == 0);
}

static bool same_range(const struct rep_row *a, const struct rep_row *b)
{
    return same_double(a->low_w, b->low_w) && same_double(a->high_w, b->high_w);
}

static bool go_together(const struct rep_row *a, const struct rep_row *b)
{
    return same_range(a, b) && same_text(a->verdict, b->verdict) &&
           (a->verdict == NULL || a->mark == b->mark) && (a->n_efforts > 1) == (b->n_efforts > 1);
}

/* ---- words ---- */

static void add_clock(struct text *text, double seconds)
{
    const long long whole = llround(seconds);
    if (whole >= 3600) {
        text_add_format(text, "%lld:%02lld:%02lld", whole / 3600, whole / 60 % 60, whole % 60);
    } else {
        text_add_format(text, "%lld:%02lld", whole / 60, whole % 60);
    }
}

static char *range_words(struct arena *arena, const struct rep_row *row)
{
    if (isnan(row->low_w) && isnan(row->high_w)) {
        return NULL;
    }
    if (isnan(row->high_w) || isinf(row->high_w)) {
        return arena_format(arena, "from %.0f W", row->low_w);
    }
    if (isnan(row->low_w)) {
        return arena_format(arena, "to %.0f W", row->high_w);
    }
    return arena_format(arena, "%.0f–%.0f W", row->low_w, row->high_w);
}

static char *mean_words(struct arena *arena, const struct rep_row rows[], const struct group *group)
{
    double lowest = (double)INFINITY;
    double highest = -(double)INFINITY;
    for (size_t i = group->first; i < group->end; i++) {
        if (!isnan(rows[i].mean_w)) {
            lowest = fmin(lowest, rows[i].mean_w);
            highest = fmax(highest, rows[i].mean_w);
        }
    }
    if (highest < lowest) {
        return arena_string(arena, "–");
    }
    if (llround(lowest) == llround(highest)) {
        return arena_format(arena, "%.0f W", lowest);
    }
    return arena_format(arena, "%.0f–%.0f W", lowest, highest);
}

/* "4:00 · 1:40 in range"; of a block "10 × 0:30 · 4:00 in range"; of several reps their sums. */
static char *time_words(struct arena *arena, const struct rep_row rows[], const struct group *group)
{
    double duration = 0.0;
    double in_range = 0.0;
    long efforts = 0;
    for (size_t i = group->first; i < group->end; i++) {
        duration += rows[i].duration_s;
        in_range += rows[i].in_range_s;
        efforts += rows[i].n_efforts > 1 ? rows[i].n_efforts : 1;
    }
    struct text text = text_begin(arena, 200);
    if (efforts > 1) {
        text_add_format(&text, "%ld × ", efforts);
        add_clock(&text, duration / (double)efforts);
    } else {
        add_clock(&text, duration);
    }
    if (!isnan(in_range)) {
        text_add(&text, " · ");
        add_clock(&text, in_range);
        text_add(&text, " in range");
    }
    return text.bytes;
}

/* ---- layout ---- */

static struct group *make_groups(struct arena *arena, const struct rep_rows *reps, size_t *n)
{
    struct group *groups = ARENA_ARRAY(arena, struct group, reps->n_rows);
    const bool together = reps->n_rows > REP_ROWS_SINGLE;
    *n = 0;
    for (size_t i = 0; i < reps->n_rows; i++) {
        if (together && *n > 0 && go_together(&reps->rows[groups[*n - 1].first], &reps->rows[i])) {
            groups[*n - 1].end = i + 1;
            continue;
        }
        groups[(*n)++] = (struct group){ .first = i, .end = i + 1 };
    }
    for (size_t i = 0; i < *n; i++) {
        struct group *group = &groups[i];
        const struct rep_row *first = &reps->rows[group->first];
        const struct rep_row *last = &reps->rows[group->end - 1];
        group->number = group->end == group->first + 1
                            ? arena_string(arena, first->number)
                            : arena_format(arena, "%s–%s", first->number, last->number);
        if (i == 0 || !same_range(first, &reps->rows[groups[i - 1].first])) {
            group->range = range_words(arena, first);
        }
        group->mean = mean_words(arena, reps->rows, group);
        group->time = time_words(arena, reps->rows, group);
    }
    return groups;
}

static double width_of(const struct scene *scene, const struct text_style *style, const char *words)
{
    return words == NULL ? 0.0 : scene_measure(scene, 0.0, 0.0, style, words).width;
}

/* Figures take what they need; trace and verdict share the rest. */
static struct columns make_columns(const struct scene *scene, double x, double width,
                                   const struct group groups[], size_t n)
{
    double number = 0.0;
    double range = 0.0;
    double mean = 0.0;
    double time = 0.0;
    for (size_t i = 0; i < n; i++) {
        number = fmax(number, width_of(scene, &number_style, groups[i].number));
        range = fmax(range, width_of(scene, &range_style, groups[i].range));
        mean = fmax(mean, width_of(scene, &figure_style, groups[i].mean));
        time = fmax(time, width_of(scene, &figure_style, groups[i].time));
    }
    const double fixed = number + range + mean + time + MARK_SIZE + 4.0 * GAP + 8.0;
    const double rest = width - fixed;
    struct columns columns = {
        .number = x, .trace = x + number + GAP, .end = x + width, .narrow = rest < LEAST_REST
    };
    if (columns.narrow) {
        columns.mean = columns.end;
        columns.range = columns.end - mean - GAP;
        columns.mark = columns.trace + MARK_SIZE / 2.0;
        columns.verdict = columns.trace + MARK_SIZE + 4.0;
        return columns;
    }
    columns.range = columns.trace + fmin(rest * 0.45, 130.0) + 4.0;
    columns.mean = columns.range + range + GAP + mean;
    columns.time = columns.mean + GAP;
    columns.mark = columns.time + time + GAP + MARK_SIZE / 2.0;
    columns.verdict = columns.mark + MARK_SIZE / 2.0 + 4.0;
    return columns;
}

static int compare(const void *a, const void *b)
{
    const double left = *(const double *)a;
    const double right = *(const double *)b;
    return (left > right) - (left < right);
}

/* From the 2nd to the 98th of 100 seconds of all reps, and every range. */
static struct scale make_y(struct arena *arena, const struct rep_rows *reps)
{
    size_t n = 0;
    for (size_t i = 0; i < reps->n_rows; i++) {
        n += reps->rows[i].n_seconds;
    }
    double *all = ARENA_ARRAY(arena, double, n);
    size_t known = 0;
    double low = (double)INFINITY;
    double high = -(double)INFINITY;
    for (size_t i = 0; i < reps->n_rows; i++) {
        const struct rep_row *row = &reps->rows[i];
        for (size_t k = 0; k < row->n_seconds; k++) {
            if (!isnan(row->power_w[k])) {
                all[known++] = row->power_w[k];
            }
        }
        low = isnan(row->low_w) ? low : fmin(low, row->low_w);
        high = isnan(row->high_w) || isinf(row->high_w) ? high : fmax(high, row->high_w);
    }
    if (known > 0) {
        qsort(all, known, sizeof all[0], compare);
        const size_t left_out = (size_t)(LEFT_OUT_RATIO * (double)known);
        low = fmin(low, all[left_out]);
        high = fmax(high, all[known - 1 - left_out]);
    }
    low = isinf(low) ? fmin(high, 0.0) : low;
    high = isinf(high) ? low : high;
    low = isinf(low) ? 0.0 : low;
    high = isinf(high) ? 0.0 : high;
    const double air = fmax(0.1 * (high - low), 10.0);
    return (struct scale){ low - air, high + air, 0.0, 0.0 };
}

/* The second that fills a trace's width; 0 = each rep's own. */
static double common_seconds(const struct rep_rows *reps)
{
    double shortest = (double)INFINITY;
    double longest = 1.0;
    for (size_t i = 0; i < reps->n_rows; i++) {
        shortest = fmin(shortest, (double)reps->rows[i].n_seconds);
        longest = fmax(longest, (double)reps->rows[i].n_seconds);
    }
    return shortest < SHORT_REP * longest ? 0.0 : longest;
}

/* ---- drawing ---- */

static void draw_trace(struct scene *scene, const struct rep_row rows[], const struct group *group,
                       const struct place *place, const struct scale *y, double seconds)
{
    const struct rep_row *first = &rows[group->first];
    double longest = 1.0;
    for (size_t i = group->first; i < group->end; i++) {
        longest = fmax(longest, (double)rows[i].n_seconds);
    }
    const struct scale x = { 0.0, seconds > 0.0 ? seconds : longest, place->x,
                             place->x + place->width };
    const double right = scale_at(&x, longest);
    const bool is_judged = !isnan(first->low_w) || !isnan(first->high_w);
    const double top = scale_at(y, isnan(first->high_w) ? y->high : fmin(first->high_w, y->high));
    const double bottom = scale_at(y, isnan(first->low_w) ? y->low : first->low_w);
    if (is_judged) {
        const struct place tint = { x.from, top, right - x.from, bottom - top };
        scene_rectangle(scene, &tint, COLOUR_TARGET);
    }
    const bool several = group->end - group->first > 1;
    for (size_t i = group->first; i < group->end; i++) {
        const struct trace trace = { rows[i].power_w, rows[i].n_seconds };
        trace_line(scene, &trace, &x, y,
                   &(struct stroke){ COLOUR_POWER, several ? 0.4 : 0.7, 0.0 });
    }
    /* The range's ends once more: short efforts hide its tint. */
    const struct stroke edge = { COLOUR_PLUM, 0.5, 0.0 };
    if (!isnan(first->low_w)) {
        scene_line(scene, x.from, bottom, right, bottom, &edge);
    }
    if (!isnan(first->high_w) && !isinf(first->high_w)) {
        scene_line(scene, x.from, top, right, top, &edge);
    }
}

static double draw_row(struct scene *scene, const struct rep_rows *reps, const struct group *group,
                       const struct columns *at, struct scale y, double seconds, double top,
                       double height)
{
    const struct rep_row *row = &reps->rows[group->first];
    const double baseline = top + height / 2.0 + 0.36 * SIZE;
    const struct place place = { at->trace, top + 3.0, at->range - 4.0 - at->trace, height - 6.0 };
    y.from = place.y + place.height;
    y.to = place.y;
    draw_trace(scene, reps->rows, group, &place, &y, seconds);
    scene_text(scene, at->number, baseline, &number_style, group->number);
    scene_text(scene, at->mean, baseline, &right_style, group->mean);
    const bool is_judged = row->verdict != NULL && row->verdict[0] != '\0';
    if (at->narrow) {
        const struct run runs[] = {
            { group->range == NULL ? "" : group->range, FACE_SANS, COLOUR_PLUM },
            { group->range == NULL ? "" : "  ", FACE_SANS, COLOUR_PLUM },
            { group->time, FACE_SANS, COLOUR_INK },
            { is_judged ? "  " : "", FACE_SANS, COLOUR_INK },
            { is_judged ? row->verdict : "", FACE_SERIF, COLOUR_INK },
        };
        if (is_judged) {
            scene_mark(scene, at->mark, top + height, MARK_SIZE, row->mark);
        }
        const struct place words =
            scene_paragraph(scene, at->verdict, top + height - 1.0, at->end - at->verdict, SIZE,
                            runs, sizeof runs / sizeof runs[0]);
        return words.y + words.height + 4.0;
    }
    if (group->range != NULL) {
        scene_text(scene, at->range, baseline, &range_style, group->range);
    }
    scene_text(scene, at->time, baseline, &figure_style, group->time);
    double bottom = top + height;
    if (is_judged) {
        scene_mark(scene, at->mark, top + (height - MARK_SIZE) / 2.0, MARK_SIZE, row->mark);
        const struct run run = { row->verdict, FACE_SERIF, COLOUR_INK };
        const struct place words = scene_paragraph(scene, at->verdict, baseline - 1.02 * SIZE - 1.0,
                                                   at->end - at->verdict, 10.0, &run, 1);
        bottom = fmax(bottom, words.y + words.height + 3.0);
    }
    return bottom;
}

double rep_rows_draw(struct scene *scene, double x, double y, double width,
                     const struct rep_rows *reps)
{
    assert(width >= REP_ROWS_NARROWEST);
    if (reps->n_rows == 0) {
        return y;
    }
    size_t n = 0;
    const struct group *groups = make_groups(scene->arena, reps, &n);
    const struct columns columns = make_columns(scene, x, width, groups, n);
    const struct scale watts = make_y(scene->arena, reps);
    const double seconds = common_seconds(reps);
    const double height = n <= REP_ROWS_TALL ? TALL : LOW;
    const struct stroke hairline = { COLOUR_HAIRLINE, 0.5, 0.0 };

    scene_begin_part(scene, ROLE_FIGURE,
                     reps->label != NULL ? reps->label
                                         : words_rep_rows(scene->arena, (int)reps->n_rows));
    if (n < reps->n_rows) {
        const struct run run = { words_reps_grouped(scene->arena, (int)reps->n_rows),
                                 FACE_SERIF_ITALIC, COLOUR_QUIET };
        y += scene_paragraph(scene, x, y, width, 10.0, &run, 1).height + 4.0;
    }
    scene_line(scene, x, y, x + width, y, &hairline);
    for (size_t i = 0; i < n; i++) {
        y = draw_row(scene, reps, &groups[i], &columns, watts, seconds, y, height);
        scene_line(scene, x, y, x + width, y, &hairline);
    }
    scene_end_part(scene);
    return y;
}
