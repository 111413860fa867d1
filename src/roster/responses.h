/* roster/responses.h: a rider's heart response, from the recordings on file.
 *
 * The sums of each ride are kept with its readings (roster/ride_sums), so a fit is additions; of a
 * ride that was read before they were kept, they are made from its series.  Left out: rides whose
 * recording isn't to be trusted, rides that something spoiled, and days ill. */
#ifndef ROSTER_RESPONSES_H
#define ROSTER_RESPONSES_H

#include "coaching/rider_history.h"
#include "physiology/heart_response.h"
#include "roster/riders.h"

struct response_found {
    struct heart_response response;
    struct response_ride *rides; /* [n] that it was fitted to, oldest first */
    size_t n;
    bool is_withheld; /* medicine that alters heart rate, or pregnancy: nothing is read */
};

/* Fits the response to the rides of the LIMIT_RESPONSE_WINDOW_DAYS before `before_day` (which
 * itself doesn't count: a day is never judged by itself).
 *   history   of the rider, as past_load gives it */
MUST_USE bool responses_fit(struct roster *roster, struct arena *arena, const struct rider *rider,
                            const struct rider_history *history, const struct limits *limits,
                            int64_t before_day, struct response_found *out, struct error *err);

/* What is known for a day that may lie ahead: the response by the rides before it, up to the newest
 * on file, so that a session weeks ahead is foretold by what is known by now.
 *   history     gets the rides before the day
 *   *known_day  gets the newest ride's day; the day before if there is none */
MUST_USE bool responses_known(struct roster *roster, struct arena *arena, const struct rider *rider,
                              int64_t day, const struct limits *limits,
                              struct rider_history *history, int64_t *known_day,
                              struct response_found *out, struct error *err);

/* True if a response may be fitted to the ride: its recording is trusted, nothing spoiled it, and
 * the rider wasn't ill that day.  Its sums may still be too few. */
bool responses_may_use(const struct rider_history *history, const struct past_ride *ride);

/* The sums of one stored recording; *unfit says why there are none. */
MUST_USE bool responses_ride(struct roster *roster, int64_t rider, int64_t recording, int64_t day,
                             const struct limits *limits, struct response_ride *out,
                             enum response_unfit *unfit, struct error *err);

#endif
