/* drawing/rider_figures.h: the figures about a rider, each a scene of its own at a given width.
 *
 * For a page that draws a scene (scene_json.h) beside its own sentence; the command line puts the
 * same figures on a page of theirs (rider_page.h).  Nothing but the figure is in it: no heading, no
 * reading's text.
 *
 * Widths: figure_maker.h.
 *
 * With nothing to show a figure is one sentence that says so. */
#ifndef DRAWING_RIDER_FIGURES_H
#define DRAWING_RIDER_FIGURES_H

#include "coaching/rider_readings.h"
#include "drawing/base_tests.h"
#include "drawing/figure_maker.h"
#include "drawing/power_curves.h"

#include <stdint.h>

/* The gauge of a reading, of a rider's or a ride's; false if its verdict is no place on a scale.
 * with_bar_words: says under it what the bar is. */
bool figure_gauge(const struct figure_maker *maker, const struct reading *reading,
                  bool with_bar_words, struct scene *out);

/* The ladder of bests of both windows that were compared, each with its change and likely range, or
 * why there is none. */
struct scene figure_ladder(const struct figure_maker *maker, const struct rider_progress *progress);

/* The drift of each base test from `from_day` to today against the line, and where the threshold
 * changed; from_day INT64_MIN = all. */
struct scene figure_base_tests(const struct figure_maker *maker,
                               const struct rider_history *history, int64_t from_day,
                               const struct limits *limits);

/* Hours week by week. */
struct scene figure_week_load(const struct figure_maker *maker, const struct load_weeks *load);

/* Greatest mean power against duration: of one range, or of two (against NULL = one). */
struct scene figure_curves(const struct figure_maker *maker, const struct power_curve *curve,
                           const struct power_curve *against);

/* A base test as it stands in a figure over time. */
struct base_test rider_base_test_of(const struct past_ride *ride);

/* The same as parts of a larger scene: from x, y (top left) within width, at least
 * FIGURE_NARROWEST; each returns the y below. */
double rider_ladder_draw(struct scene *scene, double x, double y, double width,
                         const struct rider_progress *progress);
double rider_base_tests_draw(struct scene *scene, double x, double y, double width,
                             const struct rider_history *history, int64_t from_day,
                             const struct limits *limits);
double rider_week_load_draw(struct scene *scene, double x, double y, double width,
                            const struct load_weeks *load);

#endif
