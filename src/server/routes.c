/* server/routes.c: the table of routes.  One a line: new ones are added often. */
#include "server/answers/answers.h"

#include "server/api.h"

/* clang-format off */
const struct api_route api_routes[] = {
    { "POST", "imports", API_JOB, API_TAKES_FILE, answer_import, "name rider", NULL, "job" },
    { "GET", "jobs", API_SERVER, 0, answer_jobs, NULL, NULL, "jobs" },
    { "GET", "jobs/{job}", API_SERVER, 0, answer_job, NULL, NULL, "job" },
    { "DELETE", "jobs/{job}", API_SERVER, 0, answer_job_cancel, NULL, NULL, "job" },
    { "GET", "jobs/{job}/events", API_EVENTS, 0, NULL, NULL, NULL, NULL },
    { "GET", "events", API_EVENTS, 0, NULL, NULL, NULL, NULL },
    { "DELETE", "session", API_SERVER, 0, answer_session_end, NULL, NULL, NULL },
    { "GET", "session", API_READ, API_OF_THE_MOMENT, answer_session, NULL, NULL, "session" },
};
/* clang-format on */
const size_t api_route_count = sizeof api_routes / sizeof api_routes[0];
