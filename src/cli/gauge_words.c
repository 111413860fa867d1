/* cli/gauge_words.c: the gauge on a terminal. */
#include "cli/gauge_words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Words and the scale's last number may stand a little beyond the scale. */
enum { CELLS = 60, ROW = 72, STEPS_MOST = 8 };

struct row {
    char cells[ROW + 1];
};

static struct row row_empty(void)
{
    struct row row;
    memset(row.cells, ' ', ROW);
    row.cells[ROW] = '\0';
    return row;
}

static void row_put(struct row *row, int at, const char *words)
{
    for (size_t i = 0; words[i] != '\0'; i++) {
        const size_t cell = (size_t)at + i;
        if (cell < ROW) {
            row->cells[cell] = words[i];
        }
    }
}

/* Whether nothing stands in at..at+length and one cell to each side. */
static bool row_is_free(const struct row *row, int at, int length)
{
    if (at < 0 || at + length > ROW) {
        return false;
    }
    for (int i = at - 1; i <= at + length; i++) {
        if (i >= 0 && i < ROW && row->cells[i] != ' ') {
            return false;
        }
    }
    return true;
}

static void row_add(struct text *out, size_t indent, const struct row *row)
{
    size_t length = ROW;
    while (length > 0 && row->cells[length - 1] == ' ') {
        length--;
    }
    if (length > 0) {
        text_add_format(out, "%*s%.*s\n", (int)indent, "", (int)length, row->cells);
    }
}

static int cell_of(const struct gauge_scale *scale, double value)
{
    const double share = (value - scale->from) / (scale->step * scale->steps);
    const double cell = round(share * (CELLS - 1));
    return (int)fmin(fmax(cell, 0.0), CELLS - 1.0);
}

/* Where the words of a side belong: ending at the line, between the lines, or beginning at it. */
static int side_at(const struct gauge *gauge, size_t side, int length, const int limits[])
{
    if (side == 0) {
        return limits[0] - length - 1;
    }
    if (side == gauge->n_limits) {
        return limits[gauge->n_limits - 1] + 2;
    }
    return (limits[0] + limits[1] + 1 - length) / 2;
}

/* Words that don't fit at their line go into a row of their own above, as near as they may. */
static void add_sides(struct text *out, size_t indent, const struct gauge *gauge,
                      const int limits[])
{
    struct row row = row_empty();
    for (size_t i = 0; i < gauge->n_limits; i++) {
        row.cells[limits[i]] = '|';
    }
    const size_t n = gauge->n_limits + 1;
    for (size_t side = 0; side < n; side++) {
        char words[64];
        const int length = snprintf(words, sizeof words, "%s%s%s", side == n - 1 ? "> " : "",
                                    gauge->sides[side], side == 0 ? " <" : "");
        const int at = side_at(gauge, side, length, limits);
        if (row_is_free(&row, at, length)) {
            row_put(&row, at, words);
        } else {
            struct row above = row_empty();
            row_put(&above, at < 0 ? 0 : at + length > ROW ? ROW - length : at, words);
            row_add(out, indent, &above);
        }
    }
    row_add(out, indent, &row);
}

static void add_range(struct text *out, size_t indent, const struct gauge *gauge,
                      const struct gauge_scale *scale, const int limits[])
{
    struct row row = row_empty();
    if (isfinite(gauge->low) && isfinite(gauge->high)) {
        const int low = cell_of(scale, gauge->low);
        const int high = cell_of(scale, gauge->high);
        for (int i = low; i <= high; i++) {
            row.cells[i] = '=';
        }
        row.cells[low] = gauge->low < scale->from ? '<' : '[';
        row.cells[high] = gauge->high > gauge_scale_to(scale) ? '>' : ']';
    }
    const int drop = cell_of(scale, gauge->estimate);
    row.cells[drop] = 'o';
    /* The estimate never hides the limit. */
    for (size_t i = 0; i < gauge->n_limits; i++) {
        row.cells[limits[i]] = '|';
    }
    row_add(out, indent, &row);
}

static void add_axis(struct text *out, size_t indent, const struct gauge *gauge,
                     const struct gauge_scale *scale, const int limits[])
{
    struct row axis = row_empty();
    struct row labels = row_empty();
    memset(axis.cells, '-', CELLS);
    for (int t = 0; t <= scale->steps; t++) {
        const double value = scale->from + t * scale->step;
        const int cell = cell_of(scale, value);
        axis.cells[cell] = '+';
        char label[64];
        const bool last = t == scale->steps;
        /* Away from 0 rounding leaves 1e-17 and the like. */
        snprintf(label, sizeof label, "%g%s%s", fabs(value) < scale->step / 2.0 ? 0.0 : value,
                 last ? " " : "", last ? gauge->unit : "");
        if (row_is_free(&labels, cell, (int)strlen(label))) {
            row_put(&labels, cell, label);
        }
    }
    for (size_t i = 0; i < gauge->n_limits; i++) {
        axis.cells[limits[i]] = 'V';
    }
    row_add(out, indent, &axis);
    row_add(out, indent, &labels);
}

void gauge_words_add(struct text *out, const struct gauge *gauge, size_t indent)
{
    if (!isfinite(gauge->estimate)) {
        return;
    }
    const struct gauge_scale scale = gauge_scale_choose(gauge, STEPS_MOST);
    int limits[2] = { 0 };
    for (size_t i = 0; i < gauge->n_limits; i++) {
        limits[i] = cell_of(&scale, gauge->limits[i]);
    }
    text_add(out, "\n");
    add_sides(out, indent, gauge, limits);
    add_range(out, indent, gauge, &scale, limits);
    add_axis(out, indent, gauge, &scale, limits);
    if (gauge->what != NULL) {
        text_add_format(out, "%*s%s\n", (int)indent, "", gauge->what);
    }
    text_add(out, "\n");
}
