/* drawing/base_tests.h: the drift of each base test, against the line, over time.
 *
 *   beats over the hour
 *      threshold 231 W        |246 W
 *   20 |     ░               |
 *      |     ◇               |          not passed
 *   10 |─────░───────────────────────── the line goes through everything
 *      |             ░       |          passed
 *    0 |             ◆       |   ◆
 *      Aug 2026   Sep      Oct    Nov
 *   ◆ passed  ◇ not passed       bar: likely range, 9 times in 10
 *
 * A test that couldn't be judged has no place on the scale: its dotted drop stands on the axis.  A
 * likely range that would crush the others runs to the panel's edge. */
#ifndef DRAWING_BASE_TESTS_H
#define DRAWING_BASE_TESTS_H

#include "drawing/scene.h"

#include <stdint.h>

enum { BASE_TESTS_NARROWEST = 210 }; /* points */

struct base_test {
    int64_t day;
    double drift_bpm; /* NAN = not judged */
    double low_bpm;   /* likely range; NAN = none */
    double high_bpm;
    enum mark mark;
    const char *verdict; /* "passed": what the mark means, in the legend */
};

/* In force from a day on. */
struct base_test_threshold {
    int64_t day;
    double power_w;
};

struct base_tests {
    const struct base_test *tests; /* [n] by day */
    size_t n;
    const struct base_test_threshold *thresholds; /* [n_thresholds] by day */
    size_t n_thresholds;
    double line_bpm;
    int64_t from_day; /* what is shown, both ends included */
    int64_t to_day;
    const char *label; /* a sentence for who can't see it */
};

/* Draws from x, y (top left) within width as a figure of its own; returns the y below.  Without any
 * test nothing is drawn: y. */
double base_tests_draw(struct scene *scene, double x, double y, double width,
                       const struct base_tests *tests);

#endif
