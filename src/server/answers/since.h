/* server/answers/since.h: what the page's head lines say: today, last looks, last rides. */
#ifndef SERVER_ANSWERS_SINCE_H
#define SERVER_ANSWERS_SINCE_H

#include "base/json.h"
#include "coaching/rider_history.h"
#include "roster/looked.h"

/* "today" and "today_words" into an open object. */
void today_json(struct json *json, const char *today);

/* `since` of api/openapi.yaml; key NULL at the top. */
void since_json(struct json *json, const char *key, const struct looked *looked);

/* "last_ride": the newest ride of the history, or null. */
void last_ride_json(struct json *json, const struct rider_history *history);

/* The newest ride up to today, of any sport; NULL = none. */
const struct past_ride *last_ride_of(const struct rider_history *history);

#endif
