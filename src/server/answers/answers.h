/* server/answers/answers.h: the handlers of the API; server/routes.c says which route has which. */
#ifndef SERVER_ANSWERS_ANSWERS_H
#define SERVER_ANSWERS_ANSWERS_H

#include "server/api.h"

/* Jobs of the server, newest first; one with its result; asked to stop.  The browser's session
 * ended: its cookie is worth nothing any more. */
MUST_USE bool answer_jobs(struct api_call *call, struct error *err);
MUST_USE bool answer_job(struct api_call *call, struct error *err);
MUST_USE bool answer_job_cancel(struct api_call *call, struct error *err);
MUST_USE bool answer_session_end(struct api_call *call, struct error *err);

/* The example roster in the place of the coach's own, as a job; and back, with the session. */
MUST_USE bool answer_example(struct api_call *call, struct error *err);
MUST_USE bool answer_example_leave(struct api_call *call, struct error *err);

/* A file that came, as a job. */
MUST_USE bool answer_import(struct api_call *call, struct error *err);

#endif
