/* server/answers/sessions.h: what a rider is to ride, as JSON and as what a device or a calendar
 * takes.
 *
 * Shapes: rider_session, named_session, session_words of api/roster.schema.json. */
#ifndef SERVER_ANSWERS_SESSIONS_H
#define SERVER_ANSWERS_SESSIONS_H

#include "base/files.h"
#include "base/json.h"
#include "coaching/session_library.h"
#include "coaching/session_text.h"
#include "roster/facts.h"
#include "roster/sessions.h"

/* {"number", "day", "name", "kind", "state", "words", "why", "confirmed", "version"} */
void session_json(struct json *json, const char *key, const struct rider_session *row);
void session_fields_json(struct json *json, const struct rider_session *row);

/* One of the library; one of the coach's own. */
void library_session_json(struct json *json, const struct library_session *session);
void own_session_json(struct json *json, const struct own_session *own, bool with_version);

/* "kinds": what a session may be, each with what it is called, and whether work of a ride may be
 * asked by it; into an open object. */
void session_kinds_json(struct json *json);

/* "fault" of what isn't understood, into an open object; null for NULL. */
void session_fault_json(struct json *json, const struct session_fault *fault);

/* "lines", "steps", "dose" into an open object: the session as it is written, as it is ridden, and
 * how much of what it asks.
 *   threshold_w  NAN = not known: no watts beside what is in % */
void session_steps_json(struct json *json, const struct session *session, double threshold_w,
                        const struct limits *limits);

/* "breaches": the safe limits that it would break. */
void session_breaches_json(struct json *json, const struct safe_breach breaches[], size_t n);

/* The workout for a device; ERROR_USAGE if a device takes fewer steps. */
MUST_USE bool session_workout(struct arena *arena, const struct rider_session *row,
                              double threshold_w, int64_t made_utc_s, struct bytes *out,
                              struct error *err);

/* Of rows[n] what the rider was told of (drafts are the coach's own), as a calendar. */
MUST_USE bool session_calendar(struct roster *roster, struct text *out, const struct rider *rider,
                               const struct rider_session rows[], size_t n, int64_t made_utc_s,
                               struct error *err);

/* One that was given, alone: a message that puts it into a calendar, or cancels it there. */
MUST_USE bool session_calendar_entry(struct roster *roster, struct text *out,
                                     const struct rider *rider, const struct rider_session *row,
                                     int64_t made_utc_s, struct error *err);

#endif
