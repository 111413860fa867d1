/* drawing/trace_line.c: seconds as lines, at the resolution that can be shown. */
#include "drawing/trace_line.h"

#include <math.h>

static const double PIXEL = 0.5; /* points; a PNG has two pixels a point */

void trace_window(size_t n, const struct scale *x, size_t *first, size_t *end)
{
    const double last = fmin(fmax(floor(x->high), 0.0), (double)n);
    const double begin = fmin(fmax(ceil(x->low), 0.0), last);
    *first = (size_t)begin;
    *end = (size_t)last;
}

static double y_at(const struct scale *y, double value)
{
    return scale_at(y, fmin(fmax(value, y->low), y->high));
}

static double x_at(const struct scale *x, size_t second)
{
    return scale_at(x, (double)second + 0.5);
}

static size_t bin_of(const struct scale *x, size_t second, double bin_width)
{
    return (size_t)fmax(floor((x_at(x, second) - x->from) / bin_width), 0.0);
}

static size_t next_known(const struct trace *trace, size_t at, size_t end)
{
    while (at < end && isnan(trace->value[at])) {
        at++;
    }
    return at;
}

static size_t next_missing(const struct trace *trace, size_t at, size_t end)
{
    while (at < end && !isnan(trace->value[at])) {
        at++;
    }
    return at;
}

size_t trace_run(const struct trace *trace, size_t first, size_t end, const struct scale *x,
                 double bin_width, size_t *begin)
{
    *begin = next_known(trace, first, end);
    size_t stop = next_missing(trace, *begin, end);
    for (;;) {
        const size_t again = next_known(trace, stop, end);
        if (again == end || scale_at(x, (double)again) - scale_at(x, (double)stop) >= bin_width) {
            return stop;
        }
        stop = next_missing(trace, again, end);
    }
}

static size_t bin_end(const struct scale *x, size_t at, size_t end, double bin_width)
{
    const size_t bin = bin_of(x, at, bin_width);
    size_t stop = at + 1;
    while (stop < end && bin_of(x, stop, bin_width) == bin) {
        stop++;
    }
    return stop;
}

/* A second alone: a dash across it. */
static size_t lone_second(const struct trace *trace, size_t at, const struct scale *x,
                          const struct scale *y, struct point out[])
{
    const double height = y_at(y, trace->value[at]);
    out[0] = (struct point){ scale_at(x, (double)at), height };
    out[1] = (struct point){ scale_at(x, (double)at + 1.0), height };
    return 2;
}

size_t trace_run_points(const struct trace *trace, size_t first, size_t end, const struct scale *x,
                        const struct scale *y, double bin_width, struct point out[])
{
    if (end == first + 1) {
        return lone_second(trace, first, x, y, out);
    }
    size_t n = 0;
    for (size_t at = first; at < end;) {
        const size_t stop = bin_end(x, at, end, bin_width);
        const size_t head = next_known(trace, at, stop);
        size_t tail = head;
        size_t lowest = head;
        size_t highest = head;
        for (size_t i = head; i < stop; i++) {
            if (!isnan(trace->value[i])) {
                lowest = trace->value[i] < trace->value[lowest] ? i : lowest;
                highest = trace->value[i] > trace->value[highest] ? i : highest;
                tail = i;
            }
        }
        for (size_t i = head; i < stop; i++) {
            if (!isnan(trace->value[i]) &&
                (stop - at <= 4 || i == head || i == lowest || i == highest || i == tail)) {
                out[n++] = (struct point){ x_at(x, i), y_at(y, trace->value[i]) };
            }
        }
        at = stop;
    }
    return n;
}

void trace_line(struct scene *scene, const struct trace *trace, const struct scale *x,
                const struct scale *y, const struct stroke *stroke)
{
    size_t first = 0;
    size_t end = 0;
    trace_window(trace->n, x, &first, &end);
    struct point *points = ARENA_ARRAY(scene->arena, struct point, end - first + 2);
    for (size_t at = first; at < end;) {
        const size_t stop = trace_run(trace, at, end, x, PIXEL, &at);
        if (at < stop) {
            scene_path(scene, points, trace_run_points(trace, at, stop, x, y, PIXEL, points),
                       stroke);
        }
        at = stop;
    }
}

/* Of the known seconds; NAN if there is none. */
static double mean_of(const struct trace *trace, size_t first, size_t end)
{
    double sum = 0.0;
    size_t n = 0;
    for (size_t i = first; i < end; i++) {
        if (!isnan(trace->value[i])) {
            sum += trace->value[i];
            n++;
        }
    }
    return n > 0 ? sum / (double)n : (double)NAN;
}

/* Means of bins of one run; its ends reach to the run's first and last second. */
static size_t mean_points(const struct trace *trace, size_t first, size_t end,
                          const struct scale *x, const struct scale *y, double bin_width,
                          struct point out[])
{
    size_t n = 0;
    for (size_t at = first; at < end;) {
        const size_t stop = bin_end(x, at, end, bin_width);
        const double middle = scale_at(x, ((double)at + (double)stop) / 2.0);
        const double mean = mean_of(trace, at, stop);
        if (!isnan(mean)) {
            out[n++] = (struct point){ middle, y_at(y, mean) };
        }
        at = stop;
    }
    const struct point head = { scale_at(x, (double)first), out[0].y };
    const struct point tail = { scale_at(x, (double)end), out[n - 1].y };
    for (size_t i = n; i > 0; i--) {
        out[i] = out[i - 1];
    }
    out[0] = head;
    out[n + 1] = tail;
    return n + 2;
}

void trace_mean_line(struct scene *scene, const struct trace *trace, const struct scale *x,
                     const struct scale *y, double bin_width, const struct stroke *stroke)
{
    size_t first = 0;
    size_t end = 0;
    trace_window(trace->n, x, &first, &end);
    struct point *points = ARENA_ARRAY(scene->arena, struct point, end - first + 2);
    for (size_t at = first; at < end;) {
        const size_t stop = trace_run(trace, at, end, x, bin_width, &at);
        if (at < stop) {
            scene_path(scene, points, mean_points(trace, at, stop, x, y, bin_width, points),
                       stroke);
        }
        at = stop;
    }
}

void trace_band(struct scene *scene, const struct trace *low, const struct trace *high,
                const struct scale *x, const struct scale *y, double bin_width, enum colour colour)
{
    size_t first = 0;
    size_t end = 0;
    trace_window(low->n < high->n ? low->n : high->n, x, &first, &end);
    /* Both known or neither, so that the two edges have the same runs. */
    double *lower = arena_copy(scene->arena, low->value, end * sizeof low->value[0]);
    double *upper = arena_copy(scene->arena, high->value, end * sizeof high->value[0]);
    for (size_t i = 0; i < end; i++) {
        if (isnan(lower[i]) || isnan(upper[i])) {
            lower[i] = (double)NAN;
            upper[i] = (double)NAN;
        }
    }
    const struct trace under = { lower, end };
    const struct trace over = { upper, end };
    struct point *points = ARENA_ARRAY(scene->arena, struct point, 2 * (end - first + 2));
    for (size_t at = first; at < end;) {
        const size_t stop = trace_run(&over, at, end, x, bin_width, &at);
        if (at < stop) {
            const size_t n = mean_points(&over, at, stop, x, y, bin_width, points);
            const size_t n_under = mean_points(&under, at, stop, x, y, bin_width, &points[n]);
            for (size_t i = 0; i < n_under / 2; i++) {
                const struct point swap = points[n + i];
                points[n + i] = points[n + n_under - 1 - i];
                points[n + n_under - 1 - i] = swap;
            }
            scene_area(scene, points, n + n_under, colour);
        }
        at = stop;
    }
}

bool trace_extremes(const struct trace *trace, size_t first, size_t end, double *lowest,
                    double *highest)
{
    *lowest = (double)INFINITY;
    *highest = -(double)INFINITY;
    for (size_t i = first; i < end && i < trace->n; i++) {
        if (!isnan(trace->value[i])) {
            *lowest = fmin(*lowest, trace->value[i]);
            *highest = fmax(*highest, trace->value[i]);
        }
    }
    return *highest >= *lowest;
}
