/* drawing/ladder.h: bests from short to long, and whether they changed.
 *
 *   lasting   before   best, W                lower ◂ │ ▸ better than before
 *      10 s      690       701   not tested           │
 *     5 min      287       296   2 Nov, a race    ░░░░│░◇░░░      +3.1 % (−3.0 to 9.2)
 *    20 min      242       259   9 Nov, test          │ ░░◇░░     +7.2 % (1.1 to 13.3)
 *                                                     ▼           one plumb line through all rows
 *
 * With nothing to compare, the figures alone, each with a bar of its watts from 0; a bar that is
 * hollow and open at its end is "at least": the recording can't rule out more. */
#ifndef DRAWING_LADDER_H
#define DRAWING_LADDER_H

#include "drawing/scene.h"

struct ladder_row {
    const char *lasting; /* "5 min" */
    double best_w;       /* NAN = none ridden so long */
    double low_w;        /* its likely range; NAN = not known */
    double high_w;
    bool at_least;     /* missing seconds could hide a better one */
    const char *where; /* "2 Nov, a race", "at 12:40"; NULL = nothing */
    double change_pct; /* against the compared range; NAN = none */
    double change_low_pct;
    double change_high_pct; /* its likely range */
    enum mark mark;         /* of the change */
    const char *instead;    /* words in place of a change: "not tested"; NULL = none */
    double before_w;        /* best of the compared range; NAN, 0 = none */
};

struct ladder {
    const struct ladder_row *rows; /* short to long */
    size_t n_rows;
    bool compares;     /* false: this ride, or this range, alone */
    const char *lower; /* words of the plumb line's sides: "lower", "better than before" */
    const char *higher;
    const char *label; /* a sentence for who can't see it; NULL = a plain one */
};

enum { LADDER_NARROWEST = 210 }; /* points */

/* Draws from x, y (top left) within width as a figure of its own; where that is too narrow
 * for gauges the figures stand alone.  Returns the y below it; of no rows, y. */
double ladder_draw(struct scene *scene, double x, double y, double width,
                   const struct ladder *ladder);

/* Whether there is room for gauges in that width. */
bool ladder_has_gauges(const struct scene *scene, double width, const struct ladder *ladder);

#endif
