/* server/routes.c: the table of routes.  One a line: new ones are added often. */
#include "server/answers/answers.h"

#include "server/api.h"

/* clang-format off */
const struct api_route api_routes[] = {
    { "GET", "session", API_READ, API_OF_THE_MOMENT, answer_session, NULL, NULL, "Session" },
};
/* clang-format on */
const size_t api_route_count = sizeof api_routes / sizeof api_routes[0];
