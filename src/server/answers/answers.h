/* server/answers/answers.h: the handlers of the API; server/routes.c says which route has which. */
#ifndef SERVER_ANSWERS_ANSWERS_H
#define SERVER_ANSWERS_ANSWERS_H

#include "server/api.h"

/* What the page needs to know first: version, which roster, its today, what waits. */
MUST_USE bool answer_session(struct api_call *call, struct error *err);

#endif
