/* server/answers/record.h: the program's record on a roster as JSON (`record` of api/openapi.yaml).
 */
#ifndef SERVER_ANSWERS_RECORD_H
#define SERVER_ANSWERS_RECORD_H

#include "base/json.h"
#include "coaching/record.h"

/* Keys into an open object. */
void record_json(struct json *json, struct arena *arena, const struct record *record,
                 const struct limits *limits, const char *today);

#endif
