/* drawing/response_figures.h: figures of what only a model can say, each a scene of its own: heart
 * rate against what power usually brings, critical power, W' left, and one session ridden in two
 * ways.
 *
 * Heart rate never stands without the power beside it.  Every scene has a table of its numbers
 * (scene.h).  Widths: figure_maker.h.  `instead` of each is the sentence that says why something
 * isn't known; it stands over what can be drawn all the same, or in its place; NULL = a plain one.
 */
#ifndef DRAWING_RESPONSE_FIGURES_H
#define DRAWING_RESPONSE_FIGURES_H

#include "coaching/ride_balance.h"
#include "coaching/rider_history.h"
#include "coaching/rider_power.h"
#include "coaching/teaching.h"
#include "drawing/figure_maker.h"
#include "physiology/heart_response.h"

/* Heart rate over a ride against what its power usually brings, power above, the difference under
 * it. */
struct heart_ride {
    const struct recording *recording;
    const struct heart_response *response; /* from rides before it; not fitted = nothing expected */
    const char *instead;
};
struct scene figure_heart_ride(const struct figure_maker *maker, const struct heart_ride *ride,
                               const struct limits *limits);

/* Rides against usual over weeks. */
struct heart_weeks {
    const struct heart_response *response;
    const struct response_ride *rides; /* [n] that it was fitted to, by day */
    size_t n;
    const struct rider_history *history; /* base tests, breaks, days ill */
    const char *instead;
};
struct scene figure_heart_weeks(const struct figure_maker *maker, const struct heart_weeks *weeks,
                                const struct limits *limits);

/* Efforts, fitted forms, critical power. */
struct scene figure_durations(const struct figure_maker *maker, const struct rider_power *power,
                              const char *instead);

/* W' left over a ride, its reps in brackets. */
struct scene figure_left(const struct figure_maker *maker, const struct recording *recording,
                         const struct ride_balance *balance, const char *instead);

/* The same session ridden to power and to heart rate. */
struct scene figure_teaching(const struct figure_maker *maker, const struct teaching *teaching,
                             const char *instead);

/* The same as parts of a larger scene: from x, y (top left) within width, at least
 * FIGURE_NARROWEST; each returns the y below. */
double response_heart_ride_draw(struct scene *scene, double x, double y, double width,
                                const struct heart_ride *ride, const struct limits *limits);
double response_heart_weeks_draw(struct scene *scene, double x, double y, double width,
                                 const struct heart_weeks *weeks, const struct limits *limits);
double response_durations_draw(struct scene *scene, double x, double y, double width,
                               const struct rider_power *power, const char *instead);
double response_left_draw(struct scene *scene, double x, double y, double width,
                          const struct recording *recording, const struct ride_balance *balance,
                          const char *instead);
double response_teaching_draw(struct scene *scene, double x, double y, double width,
                              const struct teaching *teaching, const char *instead);

#endif
