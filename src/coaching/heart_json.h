/* coaching/heart_json.h: a rider's heart response as JSON, for the command line, the page and the
 * store alike. */
#ifndef COACHING_HEART_JSON_H
#define COACHING_HEART_JSON_H

#include "base/json.h"
#include "physiology/heart_response.h"

/* An object under that key; numbers are null unless it is fitted. */
void heart_json_response(struct json *json, const char *key, const struct heart_response *response);

/* An array under that key: each of rides[n] that it was fitted to, with how it lay against a usual
 * that was fitted without it. */
void heart_json_rides(struct json *json, const char *key, const struct heart_response *response,
                      const struct response_ride rides[], size_t n);

#endif
