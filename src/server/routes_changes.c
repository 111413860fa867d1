/* server/routes_changes.c: what was changed, and taking it back. */
#include "server/routes.h"

#include "server/answers/said.h"
#include "server/write.h"

bool route_get_changes(struct api_call *call, struct error *err)
{
    enum { CHANGES = 50, CHANGES_MOST = 500 };
    struct change_line *lines = NULL;
    size_t count = 0;
    int64_t n = CHANGES;
    if (!api_query_number(call, "n", 1, CHANGES_MOST, &n, err) ||
        !changes_list(call->roster, call->arena, (size_t)n, &lines, &count, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    json_begin_array(&json, "changes");
    for (size_t i = 0; i < count; i++) {
        change_json(&json, &lines[i]);
    }
    json_end_array(&json);
    json_end_object(&json);
    return true;
}

bool route_post_undo(struct api_call *call, struct error *err)
{
    struct write_done done = { 0 };
    struct change_line undone = { 0 };
    struct change_line *newest = NULL;
    size_t count = 0;
    int64_t id = 0;
    if (!api_path_id(call, "change", &id, err) || !write_begin(call, &done, err) ||
        !changes_undo(call->roster, call->arena, call->now, id, &undone, err) ||
        !changes_list(call->roster, call->arena, 1, &newest, &count, err)) {
        return false;
    }
    /* Taking back is a change of its own, with its own words. */
    done.words = count > 0 ? newest[0].words : undone.words;
    return write_end(call, &done, err);
}
