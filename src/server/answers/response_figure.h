/* server/answers/response_figure.h: what the figures of response and power are drawn from, for the
 * page and for --figure. */
#ifndef SERVER_ANSWERS_RESPONSE_FIGURE_H
#define SERVER_ANSWERS_RESPONSE_FIGURE_H

#include "drawing/response_figures.h"
#include "roster/recordings.h"
#include "roster/responses.h"
#include "server/answers/weeks.h"

/* Rides against usual, from what was fitted; it refers to both, which must outlive it. */
struct heart_weeks response_weeks_of(struct arena *arena, const struct weeks *weeks,
                                     const struct response_found *found);

/* A ride against what was usual before it; the recording is read from the store. */
MUST_USE bool response_ride_of_row(struct roster *roster, struct arena *arena,
                                   const struct weeks *weeks, const struct response_found *found,
                                   const struct ride_row *row, struct heart_ride *out,
                                   struct error *err);

/* W' left over a ride, with critical power as it was known before its day. */
struct left_told {
    const struct recording *recording;
    struct ride_balance balance;
    const char *instead; /* why it isn't known; NULL = it is */
};
/* ERROR_INPUT: the ride's day isn't known. */
MUST_USE bool response_left_of_row(struct roster *roster, struct arena *arena,
                                   const struct weeks *weeks, const struct ride_row *row,
                                   struct left_told *out, struct error *err);

/* The figures themselves, for the page. */
MUST_USE bool response_figure_weeks(struct roster *roster, const struct weeks *weeks,
                                    const struct figure_maker *maker, struct scene *out,
                                    struct error *err);
MUST_USE bool response_figure_durations(struct roster *roster, const struct weeks *weeks,
                                        const struct figure_maker *maker, struct scene *out,
                                        struct error *err);
MUST_USE bool response_figure_teaching(struct roster *roster, const struct rider *rider,
                                       const char *today, const struct figure_maker *maker,
                                       struct scene *out, struct error *err);
/* Of a ride: "heart", "left".  ERROR_INPUT: the ride's day isn't known; ERROR_NOT_FOUND: no such
 * figure. */
MUST_USE bool response_figure_ride(struct roster *roster, const struct ride_row *row,
                                   const char *name, const char *today,
                                   const struct figure_maker *maker, struct scene *out,
                                   struct error *err);

#endif
