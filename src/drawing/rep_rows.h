/* drawing/rep_rows.h: reps as rows of small traces against what was asked.
 *
 *    1  ▔╲▁▁▁░░  261-295   278 W   4:00 · 1:40 in range   ◇ started too hard
 *    2  ▔╲▁░░░░  261-295   277 W   4:00 · 1:35 in range   ◇ started too hard
 *
 * All rows share one scale of watts, and one of time unless a rep is less than a sixth of the
 * longest, where each fills its width.  The scale leaves out the lowest and highest 2 % of the
 * seconds, so that a coasting second doesn't flatten the others; such a second runs along the
 * row's edge.  A row says its range unless the row above has the same.
 *
 * Up to REP_ROWS_TALL rows are tall; more are low; beyond REP_ROWS_SINGLE neighbours with the same
 * mark, words and range share a row, their traces one over the other, their means as a range. */
#ifndef DRAWING_REP_ROWS_H
#define DRAWING_REP_ROWS_H

#include "drawing/scene.h"

enum { REP_ROWS_TALL = 8, REP_ROWS_SINGLE = 20 };

struct rep_row {
    const char *number;    /* as in the text */
    const double *power_w; /* [n_seconds] from its start; NAN = unknown */
    size_t n_seconds;
    double low_w; /* what was asked; NAN or infinite = open on that side, both NAN = nothing */
    double high_w;
    double mean_w;     /* NAN = unknown */
    double duration_s; /* of the work: of a block of short efforts the sum of its on-parts */
    double in_range_s; /* NAN = not judged */
    int n_efforts;     /* of a block of short efforts; 0 or 1 = a plain rep */
    enum mark mark;
    const char *verdict; /* "started too hard"; NULL = no verdict, no mark */
};

struct rep_rows {
    const struct rep_row *rows;
    size_t n_rows;
    const char *label; /* a sentence for who can't see it; NULL = a plain one */
};

enum { REP_ROWS_NARROWEST = 210 }; /* points */

/* Draws from x, y (top left) within width as a figure of its own; where that is narrow,
 * range, times and verdict go under the trace.  Returns the y below it; of no rows, y. */
double rep_rows_draw(struct scene *scene, double x, double y, double width,
                     const struct rep_rows *reps);

#endif
