/* server/answers/weeks.h: a rider's weeks as JSON (`weeks` and `week` of api/roster.schema.json).
 *
 *     struct weeks weeks;
 *     weeks_take(roster, arena, &rider, today, &weeks, &err)
 *     json_begin_object(&json, NULL);
 *     weeks_head_json(&json, &weeks, today);
 *     readings_json(&json, "readings", list, n, more);
 */
#ifndef SERVER_ANSWERS_WEEKS_H
#define SERVER_ANSWERS_WEEKS_H

#include "coaching/ride_json.h"
#include "coaching/rider_readings.h"
#include "roster/came_back.h"
#include "roster/riders.h"

/* A rider, the history up to today, and the limits in force. */
struct weeks {
    struct rider rider;
    struct rider_history history;
    struct limits limits;
    size_t n_waiting; /* rides being read again */
    size_t n_unheld;  /* rides that wait to be held against usual */
};

/* The sessions of the last seven days, and the last weeks counted. */
struct weeks_came {
    struct came_session *sessions; /* [n] given, whose day has come */
    size_t n;
    struct came_weeks weeks;
};
MUST_USE bool weeks_came_take(struct roster *roster, struct arena *arena, const struct weeks *weeks,
                              const char *today, struct weeks_came *out, struct error *err);

/* "came_back": {"sessions": [...], "weeks": "Of 12 sessions ..." or null}, into an open object. */
void weeks_came_json(struct json *json, const struct weeks_came *came);

MUST_USE bool weeks_take(struct roster *roster, struct arena *arena, const struct rider *rider,
                         const char *today, struct weeks *out, struct error *err);

/* Those of `week`, in its order. */
enum { WEEK_READINGS = 9 };
void weeks_readings(const struct rider_readings *all, const struct reading *out[WEEK_READINGS]);

/* Who, today, and how many rides are being read again, or held against usual: keys into an open
 * object. */
void weeks_head_json(struct json *json, const struct weeks *weeks, const char *today);

/* more: what is added to each; NULL = nothing. */
void readings_json(struct json *json, const char *key, const struct reading *const readings[],
                   size_t n, const struct reading_more *more);

void week_load_json(struct json *json, const struct week_load *week);

#endif
