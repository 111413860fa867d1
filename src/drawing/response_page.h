/* drawing/response_page.h: a figure of response_figures.h as one page: the sentences, then the
 * figure.
 *
 * As wide as A4 and as high as it needs.  Scenes live in the arena; fonts must outlive them. */
#ifndef DRAWING_RESPONSE_PAGE_H
#define DRAWING_RESPONSE_PAGE_H

#include "drawing/response_figures.h"
#include "drawing/rider_page.h"

/* What is said before the figure: the answer first. */
struct response_said {
    const char *what;  /* "critical power": of the title */
    const char *under; /* the small line under it */
    const char *const *sentences;
    size_t n;
};

struct scene response_page_critical(const struct rider_page *page, const struct response_said *said,
                                    const struct rider_power *power);

struct scene response_page_weeks(const struct rider_page *page, const struct response_said *said,
                                 const struct heart_weeks *weeks, const struct limits *limits);

/* Heart rate over the ride; under it W' left where it is known (balance NULL = not asked). */
struct scene response_page_ride(const struct rider_page *page, const struct response_said *said,
                                const struct heart_ride *ride, const struct ride_balance *balance,
                                const struct limits *limits);

struct scene response_page_teaching(const struct rider_page *page, const struct response_said *said,
                                    const struct teaching *teaching);

#endif
