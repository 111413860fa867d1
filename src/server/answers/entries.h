/* server/answers/entries.h: a rider's entries as JSON: goals, events, days off, consents.
 *
 *     {"number": 4, "day": "2026-06-14", "name": "Three Lakes", "weight": "A", "note": null}
 *
 * Shapes: api/rider.schema.json. */
#ifndef SERVER_ANSWERS_ENTRIES_H
#define SERVER_ANSWERS_ENTRIES_H

#include "base/json.h"
#include "roster/availability.h"
#include "roster/entries.h"

/* Who reads it may also edit: then the version that was seen and the entry in words go with it. */
enum json_for { JSON_TO_READ, JSON_TO_EDIT };

/* The whole entry; key NULL inside an array. */
void entry_json(struct json *json, const char *key, const struct entry_kind *kind, const void *row,
                enum json_for whom);

/* rows[count] of the kind's struct. */
void entries_json(struct json *json, const char *key, const struct entry_kind *kind,
                  const void *rows, size_t count, enum json_for whom);

/* {"from": "2026-01-05", "days": [{"weekday": 1, "minutes": 60, "place": "indoors"}, ...]} */
void week_json(struct json *json, const char *key, const struct week *week, enum json_for whom);

#endif
