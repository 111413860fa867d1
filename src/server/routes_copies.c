/* server/routes_copies.c: a session drafted again, on other days and for other riders. */
#include "server/routes.h"

#include "roster/sessions.h"
#include "server/write.h"

#include <string.h>

enum { COPIES_MOST = 40 };

/* {"rider": 2, "day": "2026-09-08", "knowingly": ["safe_hard_gap_h"]} */
static bool read_copy(struct api_call *call, const struct body *wish,
                      const struct rider_session *of, struct session_for *out, struct error *err)
{
    static const char *const keys[] = { "rider", "day", "knowingly" };
    struct rider *rider = ARENA_ARRAY(call->arena, struct rider, 1);
    int64_t id = 0;
    if (wish->kind != BODY_OBJECT) {
        return error_set(err, ERROR_USAGE, "to: a list of {\"rider\", \"day\"}");
    }
    out->row = (struct rider_session){
        .name = of->name, .kind = of->kind, .words = of->words, .why = of->why
    };
    if (!body_only(wish, keys, 3, err) || !body_integer(wish, "rider", BODY_NEEDED, &id, err) ||
        !write_day(wish, "day", BODY_NEEDED, &out->row.day, err) ||
        !write_knowingly(call->arena, wish, &out->row.confirmed, err) ||
        !riders_row(roster_db(call->roster), call->arena, id, rider, err)) {
        return false;
    }
    out->rider = rider;
    return true;
}

bool route_post_session_copies(struct api_call *call, struct error *err)
{
    static const char *const keys[] = { "to" };
    struct rider rider = { 0 };
    struct rider_session row = { 0 };
    struct write_done done = { 0 };
    const struct body *list = NULL;
    int64_t number = 0;
    if (!body_only(call->body, keys, 1, err) ||
        !body_list(call->body, "to", BODY_NEEDED, &list, err)) {
        return false;
    }
    if (list->n_items == 0 || list->n_items > COPIES_MOST) {
        return error_set(err, ERROR_USAGE, "to: 1 to %d days and riders", COPIES_MOST);
    }
    struct session_for *rows = ARENA_ARRAY(call->arena, struct session_for, list->n_items);
    if (!write_rider(call, &rider, err) || !api_path_id(call, "number", &number, err) ||
        !entries_find(call->roster, call->arena, &session_kind, &rider, number, &row, err)) {
        return false;
    }
    if (row.entry.version != call->version) {
        return error_set(err, ERROR_CONFLICT,
                         "somebody changed this session meanwhile; look at it again, then copy it");
    }
    call->version = 0;
    for (size_t i = 0; i < list->n_items; i++) {
        if (!read_copy(call, &list->items[i], &row, &rows[i], err)) {
            return false;
        }
    }
    if (!write_begin(call, &done, err) ||
        !sessions_draft_for(call->roster, call->arena, call->now, rows, list->n_items, &done.words,
                            err)) {
        return false;
    }
    return write_end(call, &done, err);
}
