/* drawing/week_load.h: hours, week by week, against the line of a week jump.
 *
 *   week of  hard days  days off           line of a week jump
 *    5 Oct   ||                    ▬▬▬▬▬▬▬▬▬ 6.5 h  ┐
 *   12 Oct   |          |||        ▬▬▬▬ 3.0 h       │
 *   19 Oct   |||                   ▬▬▬▬▬▬▬▬▬▬▬▬▬▬▬▬▬└┐▬ ◇ 9.8 h  week jump
 *   26 Oct                         [==              │  1.5 h  so far
 *                                                   ▼
 * A row a week, tallies for days; a bar that is hollow and open at its end is of a week that isn't
 * over.  The line has steps: what is usual changes.  Where nothing is usual yet it has a gap.
 * Beyond WEEK_LOAD_ROOMY weeks rows are low, the week stands at the first of a month, and hours are
 * read from the scale. */
#ifndef DRAWING_WEEK_LOAD_H
#define DRAWING_WEEK_LOAD_H

#include "drawing/scene.h"

#include <stdint.h>

enum { WEEK_LOAD_ROOMY = 26, WEEK_LOAD_NARROWEST = 210 };

struct week_row {
    int64_t monday;
    double hours;
    double line_hours; /* more than this is a jump; NAN = nothing is said */
    bool is_jump;
    bool is_over;
    int hard_days;     /* 0..7 */
    int days_off;      /* 0..7 */
    const char *words; /* what else there is to say: "so far"; NULL = nothing */
};

struct week_load_rows {
    const struct week_row *rows;
    size_t n;          /* the oldest first */
    const char *label; /* a sentence for who can't see it */
};

/* Draws from x, y (top left) within width as a figure of its own; returns the y below; of no rows,
 * y. */
double week_load_draw(struct scene *scene, double x, double y, double width,
                      const struct week_load_rows *weeks);

#endif
