/* server/answers/said.h: what the coach said of a ride, and the changes of the roster, as JSON.
 *
 * Shapes: mark, asked, change of api/roster.schema.json. */
#ifndef SERVER_ANSWERS_SAID_H
#define SERVER_ANSWERS_SAID_H

#include "base/json.h"
#include "roster/asked.h"
#include "roster/changes.h"

/* "was", "spoiled_by" into an open object. */
void mark_json(struct json *json, const struct asked *marks);

/* "kind", "low_pct", ... into an open object. */
void asked_json(struct json *json, const struct asked *asked);

/* A change of the list. */
void change_json(struct json *json, const struct change_line *line);

/* null where there is none: ids begin at 1. */
void id_json(struct json *json, const char *key, int64_t id);

#endif
