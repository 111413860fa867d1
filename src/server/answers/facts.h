/* server/answers/facts.h: a rider's dated facts as JSON and in words. */
#ifndef SERVER_ANSWERS_FACTS_H
#define SERVER_ANSWERS_FACTS_H

#include "roster/facts.h"
#include "server/answers/entries.h"

/* An element of a list ("from", "value", ...): `fact` of api/rider.schema.json. */
void fact_json(struct json *json, enum fact_kind kind, const struct fact *fact, enum json_for whom);

/* What is in force ("value", "day", ...): `figure` of the same; NULL = null. */
void figure_json(struct json *json, enum fact_kind kind, const struct fact *fact);

/* "246 W (likely 234 to 258) since 2026-03-01, 20-minute test, by the Crank (serial 41877)" */
const char *figure_in_words(struct arena *arena, enum fact_kind kind, const struct fact *fact);

#endif
