/* drawing/trace_line.h: seconds as lines, at the resolution that can be shown.
 *
 *   seconds   . : ' . | . : ' : . . :  ' . '       one bin is half a point wide, a pixel of the PNG
 *   of a bin  first, lowest, highest, last          in the order of time: what a pixel would show
 * of all of them (Jugel, Jerzak, Hackenbroich and Markl 2014, Proc VLDB Endow 7:797, "M4")
 *
 * Second i stands at i + 0.5, the middle of i..i+1, so that a span that is left out ends where its
 * hatching ends.  Where bins hold no more than four seconds every second is drawn.  A line never
 * crosses missing seconds that can be shown, as wide as a bin or wider; narrower ones, which no
 * pixel could leave empty, don't break it.  A second alone is a dash as wide as itself. */
#ifndef DRAWING_TRACE_LINE_H
#define DRAWING_TRACE_LINE_H

#include "drawing/axis.h"

/* Some seconds of a channel; NAN = missing. */
struct trace {
    const double *value; /* [n] from second 0 */
    size_t n;
};

/* The seconds that begin at or after x->low and end by x->high, as the half open first..end. */
void trace_window(size_t n, const struct scale *x, size_t *first, size_t *end);

/* Where the run that begins at or after first ends: before a gap that can be shown.  Sets *begin to
 * its first known second; both are `end` when none is known. */
size_t trace_run(const struct trace *trace, size_t first, size_t end, const struct scale *x,
                 double bin_width, size_t *begin);

/* The points of one run, whose first and last second are known; at most four a bin of bin_width
 * points:
 *   out  [2 + seconds]
 * Values beyond y's ends are drawn at the end.  Returns how many were written. */
size_t trace_run_points(const struct trace *trace, size_t first, size_t end, const struct scale *x,
                        const struct scale *y, double bin_width, struct point out[]);

/* All runs between x->low and x->high, each a path. */
void trace_line(struct scene *scene, const struct trace *trace, const struct scale *x,
                const struct scale *y, const struct stroke *stroke);

/* The mean of each bin in place of its seconds: for what is dashed, where a path that runs to and
 * fro within a pixel would fill its own gaps, and for the middle of what scatters. */
void trace_mean_line(struct scene *scene, const struct trace *trace, const struct scale *x,
                     const struct scale *y, double bin_width, const struct stroke *stroke);

/* The area between two series by bin; a second counts where both are known. */
void trace_band(struct scene *scene, const struct trace *low, const struct trace *high,
                const struct scale *x, const struct scale *y, double bin_width, enum colour colour);

/* Lowest and highest known value of the seconds first..end; false if none is known. */
bool trace_extremes(const struct trace *trace, size_t first, size_t end, double *lowest,
                    double *highest);

#endif
