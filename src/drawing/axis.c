/* drawing/axis.c: straight scales, round ticks, and labels that never touch. */
#include "drawing/axis.h"

#include <math.h>
#include <stdio.h>

/* Steps of time below which 1, 2, 5, 10 s would be finer than a recording, and beyond which hours
 * double. */
static const double time_steps[] = { 1,   2,    5,    10,   20,   30,    60,    120,   300,
                                     600, 1200, 1800, 3600, 7200, 10800, 21600, 43200, 86400 };
static const size_t n_time_steps = sizeof time_steps / sizeof time_steps[0];

/* A tick that rounding puts a hair outside the range is inside: share of a step. */
static const double HAIR = 1e-9;
/* Letters' height above the base line, as share of the size: where a label's middle is. */
static const double LETTER_HEIGHT = 0.72;

double scale_at(const struct scale *scale, double value)
{
    return scale->from +
           (scale->to - scale->from) * ((value - scale->low) / (scale->high - scale->low));
}

double scale_value(const struct scale *scale, double at)
{
    return scale->low +
           (scale->high - scale->low) * ((at - scale->from) / (scale->to - scale->from));
}

static double coarser_step(enum axis_kind kind, double step)
{
    if (kind == AXIS_TIME) {
        for (size_t i = 0; i < n_time_steps; i++) {
            if (time_steps[i] > step * (1.0 + HAIR)) {
                return time_steps[i];
            }
        }
        return 2.0 * step;
    }
    const double ten = pow(10.0, floor(log10(step * (1.0 + HAIR))));
    const double lead = step / ten;
    return ten * (lead < 1.5 ? 2.0 : lead < 3.5 ? 5.0 : 10.0);
}

static struct steps steps_of(double low, double high, double step)
{
    const double first = ceil(low / step - HAIR);
    const double last = floor(high / step + HAIR);
    return (struct steps){ step, first, last < first ? 0 : (size_t)(last - first) + 1 };
}

struct steps axis_steps(enum axis_kind kind, double low, double high, size_t most)
{
    /* Surely too fine, and coarse enough for the counts below to stay exact. */
    double step = time_steps[0];
    if (kind != AXIS_TIME) {
        const double rough =
            fmax((high - low) / (double)(most + 1), fmax(fabs(low), fabs(high)) * 1e-9);
        step = rough > 0.0 ? pow(10.0, floor(log10(rough))) : 1.0;
    }
    struct steps steps = steps_of(low, high, step);
    while (steps.n > most) {
        steps = axis_coarser(kind, low, high, &steps);
    }
    return steps;
}

struct steps axis_coarser(enum axis_kind kind, double low, double high, const struct steps *steps)
{
    return steps_of(low, high, coarser_step(kind, steps->step));
}

double axis_value(const struct steps *steps, size_t i)
{
    const double count = steps->first + (double)i;
    /* A step below 1 isn't exact, but what it divides is: 3 / 10, not 3 x 0.1. */
    return steps->step < 1.0 ? count / round(1.0 / steps->step) : count * steps->step;
}

static void time_label(double seconds, double step, char out[40])
{
    const long whole = lround(seconds);
    const long hours = whole / 3600;
    const long minutes = whole / 60 % 60;
    const long rest = whole % 60;
    if (step >= 3600.0) {
        snprintf(out, 40, "%ld h", hours);
    } else if (hours > 0 && rest > 0) {
        snprintf(out, 40, "%ld h %02ld:%02ld", hours, minutes, rest);
    } else if (hours > 0) {
        snprintf(out, 40, minutes > 0 ? "%ld h %02ld" : "%ld h", hours, minutes);
    } else if (minutes > 0 && rest > 0) {
        snprintf(out, 40, "%ld min %02ld", minutes, rest);
    } else if (minutes > 0 || step >= 60.0) {
        snprintf(out, 40, "%ld min", minutes);
    } else {
        snprintf(out, 40, "%ld s", rest);
    }
}

void axis_label(enum axis_kind kind, double value, double step, char out[40])
{
    if (kind == AXIS_TIME) {
        time_label(value, step, out);
        return;
    }
    const int decimals = step < 1.0 ? (int)ceil(-log10(step) - HAIR) : 0;
    const bool is_zero = fabs(value) < step / 2.0;
    const char *sign = is_zero               ? ""
                       : value < 0.0         ? "\xe2\x88\x92" /* U+2212 */
                       : kind == AXIS_CHANGE ? "+"
                                             : "";
    snprintf(out, 40, "%s%.*f", sign, decimals, is_zero ? 0.0 : fabs(value));
}

void axis_widen(enum axis_kind kind, size_t most, double *low, double *high)
{
    if (!(*high > *low)) {
        const double room = fmax(fabs(*low) * 0.1, 1.0);
        *low -= room;
        *high += room;
    }
    /* Widening may want a coarser step, and that one wider ends: until both agree. */
    for (;;) {
        const struct steps steps = axis_steps(kind, *low, *high, most < 3 ? 3 : most);
        const double below = floor(*low / steps.step + HAIR);
        const double above = ceil(*high / steps.step - HAIR);
        const struct steps whole = { steps.step, below, 2 };
        *low = axis_value(&whole, 0);
        *high = axis_value(&whole, (size_t)(above - below));
        if ((double)steps.n >= above - below + 1.0) {
            return;
        }
    }
}

static struct ticks make_ticks(const struct scene *scene, const struct scale *scale,
                               enum axis_kind kind, const struct steps *steps)
{
    struct ticks ticks = { ARENA_ARRAY(scene->arena, struct tick, steps->n), steps->n,
                           steps->step };
    for (size_t i = 0; i < steps->n; i++) {
        char words[40];
        const double value = axis_value(steps, i);
        axis_label(kind, value, steps->step, words);
        ticks.tick[i] = (struct tick){ .value = value,
                                       .at = scale_at(scale, value),
                                       .words = arena_string(scene->arena, words) };
    }
    return ticks;
}

/* True if neighbours keep their distance and nothing sticks out. */
static bool labels_fit(const struct ticks *ticks, bool across, double gap, double left,
                       double right)
{
    for (size_t i = 0; i < ticks->n; i++) {
        const struct place *one = &ticks->tick[i].label;
        if (across && (one->x < left - HAIR || one->x + one->width > right + 1e-6)) {
            return false;
        }
        if (i == 0) {
            continue;
        }
        const struct place *before = &ticks->tick[i - 1].label;
        const double apart =
            across
                ? fmax(one->x - (before->x + before->width), before->x - (one->x + one->width))
                : fmax(one->y - (before->y + before->height), before->y - (one->y + one->height));
        if (apart < gap - 1e-9) {
            return false;
        }
    }
    return true;
}

struct ticks axis_across(const struct scene *scene, const struct scale *scale, enum axis_kind kind,
                         size_t most, const struct text_style *style, double baseline_y,
                         double left, double right, double gap)
{
    struct steps steps = axis_steps(kind, scale->low, scale->high, most);
    for (;;) {
        struct ticks ticks = make_ticks(scene, scale, kind, &steps);
        for (size_t i = 0; i < ticks.n; i++) {
            struct tick *tick = &ticks.tick[i];
            const double half = scene_measure(scene, 0.0, 0.0, style, tick->words).width / 2.0;
            tick->label_x = fmin(fmax(tick->at, left + half), fmax(right - half, left + half));
            tick->label = scene_measure(scene, tick->label_x, baseline_y, style, tick->words);
        }
        if (labels_fit(&ticks, true, gap, left, right)) {
            return ticks;
        }
        if (ticks.n <= 1) {
            ticks.n = 0; /* not even one label is as narrow as the axis */
            return ticks;
        }
        steps = axis_coarser(kind, scale->low, scale->high, &steps);
    }
}

struct ticks axis_upwards(const struct scene *scene, const struct scale *scale, enum axis_kind kind,
                          size_t most, const struct text_style *style, double right_x)
{
    struct steps steps = axis_steps(kind, scale->low, scale->high, most);
    for (;;) {
        struct ticks ticks = make_ticks(scene, scale, kind, &steps);
        for (size_t i = 0; i < ticks.n; i++) {
            struct tick *tick = &ticks.tick[i];
            tick->label_x = right_x;
            tick->label = scene_measure(
                scene, right_x, tick->at + LETTER_HEIGHT * style->size / 2.0, style, tick->words);
        }
        if (labels_fit(&ticks, false, 0.2 * style->size, 0.0, 0.0)) {
            return ticks;
        }
        steps = axis_coarser(kind, scale->low, scale->high, &steps);
    }
}

void axis_draw_rules(struct scene *scene, const struct ticks *ticks, double left, double right)
{
    const struct stroke hairline = { COLOUR_HAIRLINE, 0.5, 0.0 };
    for (size_t i = 0; i < ticks->n; i++) {
        scene_line(scene, left, ticks->tick[i].at, right, ticks->tick[i].at, &hairline);
    }
}

void axis_draw_labels(struct scene *scene, const struct ticks *ticks,
                      const struct text_style *style)
{
    for (size_t i = 0; i < ticks->n; i++) {
        const struct tick *tick = &ticks->tick[i];
        /* A label covers 0.8 of the size above its base line: scene_measure. */
        scene_text(scene, tick->label_x, tick->label.y + 0.8 * style->size, style, tick->words);
    }
}
