/* cli/gauge_words.c: the gauge on a terminal. */
#include "cli/gauge_words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { CELLS = 60, TICKS_MOST = 8 };

struct scale {
    double from;
    double step; /* between round ticks */
    int ticks;   /* steps on the scale */
};

/* Round ticks (1, 2 or 5 times a power of ten) that hold limit, estimate and range. */
static struct scale scale_choose(const struct gauge *gauge)
{
    /* The limit sits left of the middle of a scale that shows as much again beyond it. */
    const double least = fmin(0.0, fmin(gauge->low, gauge->estimate));
    const double most = fmax(gauge->limit * 1.4, fmax(gauge->high, gauge->estimate));
    struct scale scale = { 0 };
    scale.step = pow(10.0, floor(log10((most - least) / TICKS_MOST)));
    static const double factors[] = { 1.0, 2.0, 5.0, 10.0 };
    for (size_t i = 0; i < sizeof factors / sizeof factors[0]; i++) {
        const double step = scale.step * factors[i];
        const double from = floor(least / step) * step;
        const double steps = ceil((most - from) / step);
        if (steps <= TICKS_MOST || i + 1 == sizeof factors / sizeof factors[0]) {
            scale.step = step;
            scale.from = from;
            scale.ticks = (int)fmin(steps, TICKS_MOST);
            break;
        }
    }
    return scale;
}

static int cell_of(const struct scale *scale, double value)
{
    const double share = (value - scale->from) / (scale->step * scale->ticks);
    const double cell = round(share * (CELLS - 1));
    return (int)fmin(fmax(cell, 0.0), CELLS - 1.0);
}

static void add_line(struct text *out, size_t indent, const char *cells)
{
    size_t length = strlen(cells);
    while (length > 0 && cells[length - 1] == ' ') {
        length--;
    }
    text_add_format(out, "%*s%.*s\n", (int)indent, "", (int)length, cells);
}

static void add_sides(struct text *out, size_t indent, const struct gauge *gauge, int limit)
{
    const int room = limit - (int)strlen(gauge->below) - 3;
    text_add_format(out, "%*s%s < | > %s\n", (int)indent + (room > 0 ? room : 0), "", gauge->below,
                    gauge->above);
}

static void add_range(struct text *out, size_t indent, const struct gauge *gauge,
                      const struct scale *scale, int limit)
{
    char cells[CELLS + 1];
    memset(cells, ' ', CELLS);
    cells[CELLS] = '\0';
    const int low = cell_of(scale, gauge->low);
    const int high = cell_of(scale, gauge->high);
    for (int i = low; i <= high; i++) {
        cells[i] = '=';
    }
    cells[low] = '[';
    cells[high] = ']';
    cells[limit] = '|';
    /* The estimate never hides the limit. */
    const int drop = cell_of(scale, gauge->estimate);
    if (drop != limit) {
        cells[drop] = 'o';
    }
    add_line(out, indent, cells);
}

static void add_axis(struct text *out, size_t indent, const struct gauge *gauge,
                     const struct scale *scale, int limit)
{
    char axis[CELLS + 1];
    char labels[CELLS + 24];
    memset(axis, '-', CELLS);
    axis[CELLS] = '\0';
    memset(labels, ' ', sizeof labels);
    size_t end = 0;
    for (int t = 0; t <= scale->ticks; t++) {
        const double value = scale->from + t * scale->step;
        const int cell = cell_of(scale, value);
        axis[cell] = '+';
        char label[24];
        const int length =
            snprintf(label, sizeof label, "%g%s%s", value, t == scale->ticks ? " " : "",
                     t == scale->ticks ? gauge->unit : "");
        const size_t fits = length < 0 ? 0 : (size_t)length;
        if ((size_t)cell + fits < sizeof labels) {
            memcpy(labels + cell, label, fits);
            end = (size_t)cell + fits;
        }
    }
    labels[end] = '\0';
    axis[limit] = 'V';
    add_line(out, indent, axis);
    add_line(out, indent, labels);
}

void gauge_words_add(struct text *out, const struct gauge *gauge, size_t indent)
{
    if (!isfinite(gauge->estimate) || !isfinite(gauge->low) || !isfinite(gauge->high) ||
        !isfinite(gauge->limit) || gauge->limit <= 0.0) {
        return;
    }
    const struct scale scale = scale_choose(gauge);
    const int limit = cell_of(&scale, gauge->limit);
    text_add(out, "\n");
    add_sides(out, indent, gauge, limit);
    add_range(out, indent, gauge, &scale, limit);
    add_axis(out, indent, gauge, &scale, limit);
    text_add(out, "\n");
}
