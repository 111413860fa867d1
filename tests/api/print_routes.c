/* tests/api/print_routes.c: the table of routes as JSON, to be compared with the document. */
#include "base/json.h"
#include "server/api.h"

#include <stdio.h>

static const char *kind_name(enum api_kind kind)
{
    switch (kind) {
    case API_READ: return "read";
    case API_WRITE: return "write";
    case API_JOB: return "job";
    case API_SERVER: return "server";
    case API_EVENTS: break;
    }
    return "events";
}

int main(void)
{
    struct arena *arena = arena_open();
    struct text out = text_begin(arena, 1000000);
    struct json json = json_begin(&out);
    json_begin_array(&json, NULL);
    for (size_t i = 0; i < api_route_count; i++) {
        const struct api_route *route = &api_routes[i];
        json_begin_object(&json, NULL);
        json_string(&json, "method", route->method);
        json_string(&json, "pattern", route->pattern);
        json_string(&json, "kind", kind_name(route->kind));
        json_bool(&json, "needs_version", (route->flags & API_NEEDS_VERSION) != 0);
        json_bool(&json, "takes_file", (route->flags & API_TAKES_FILE) != 0);
        json_string(&json, "query", route->query);
        json_string(&json, "request", route->request);
        json_string(&json, "answer", route->answer);
        json_end_object(&json);
    }
    json_end_array(&json);
    puts(out.bytes);
    arena_close(arena);
    return 0;
}
