/* drawing/axis.h: straight scales, round ticks, and labels that never touch.
 *
 * Ticks stand on 1, 2 or 5 times a power of ten, those of time on steps that a clock has.  Labels
 * are thinned by taking the next coarser step until all fit as measured, so that what is left is
 * still evenly spaced; a label that would stick out at an end is moved inwards. */
#ifndef DRAWING_AXIS_H
#define DRAWING_AXIS_H

#include "drawing/scene.h"

/* Values low..high lie at from..to (points, either order).  low < high. */
struct scale {
    double low;
    double high;
    double from;
    double to;
};

double scale_at(const struct scale *scale, double value); /* place of a value, also outside */
double scale_value(const struct scale *scale, double at);

enum axis_kind {
    AXIS_NUMBER, /* "-5", "0", "200", "0.5" (with a true minus sign) */
    AXIS_CHANGE, /* "-5", "0", "+5" */
    AXIS_TIME,   /* seconds: "0 s", "30 s", "1 min 30"; "0 min", "50 min", "1 h", "1 h 10"; "2 h" */
};

struct steps {
    double step;
    double first; /* of the ticks, as a count of steps from 0 */
    size_t n;
};

/* The finest round step that has at most `most` (>= 2) ticks within low..high, which may leave one
 * or none.  low <= high, both finite. */
struct steps axis_steps(enum axis_kind kind, double low, double high, size_t most);

/* The same with the next coarser step. */
struct steps axis_coarser(enum axis_kind kind, double low, double high, const struct steps *steps);

/* The tick i of n, free of summed rounding. */
double axis_value(const struct steps *steps, size_t i);

/* A tick's words. */
void axis_label(enum axis_kind kind, double value, double step, char out[40]);

/* low..high widened outwards to whole steps, of which `most` ticks fit (>= 3: a range about 0 needs
 * them); one value gets room on both sides. */
void axis_widen(enum axis_kind kind, size_t most, double *low, double *high);

struct tick {
    double value;
    double at;          /* its place along the scale */
    const char *words;  /* the scene arena's */
    struct place label; /* what the words cover */
    double label_x;     /* where the words' anchor goes */
};

struct ticks {
    struct tick *tick; /* [n], rising */
    size_t n;
    double step;
};

/* Ticks of a scale that runs across, labels centred under them on baseline_y and kept within
 * left..right; neighbours are at least `gap` points apart.  At most `most` ticks.  The anchor of
 * style must be ANCHOR_MIDDLE. */
struct ticks axis_across(const struct scene *scene, const struct scale *scale, enum axis_kind kind,
                         size_t most, const struct text_style *style, double baseline_y,
                         double left, double right, double gap);

/* Ticks of a scale that runs upwards, labels ending at right_x (anchor of style: ANCHOR_RIGHT),
 * their letters' middle at the tick and kept within the scale's ends, give or take half a letter.
 */
struct ticks axis_upwards(const struct scene *scene, const struct scale *scale, enum axis_kind kind,
                          size_t most, const struct text_style *style, double right_x);

/* Adds a hairline from left to right at each tick of a scale that runs upwards. */
void axis_draw_rules(struct scene *scene, const struct ticks *ticks, double left, double right);

/* Adds the labels of ticks to the scene. */
void axis_draw_labels(struct scene *scene, const struct ticks *ticks,
                      const struct text_style *style);

#endif
