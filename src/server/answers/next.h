/* server/answers/next.h: what to ride in the coming days, as JSON (`next` of api/openapi.yaml). */
#ifndef SERVER_ANSWERS_NEXT_H
#define SERVER_ANSWERS_NEXT_H

#include "base/json.h"
#include "roster/next.h"

/* The keys of an answer, into an open object. */
void next_json(struct json *json, const struct rider *rider, const struct next_answer *answer);

#endif
