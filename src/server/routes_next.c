/* server/routes_next.c: what a rider should ride in the coming days; drafted, or all called off. */
#include "server/routes.h"

#include "server/answers/next.h"
#include "server/write.h"

#include <string.h>

bool route_get_next(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct next_answer *answer = ARENA_ARRAY(call->arena, struct next_answer, 1);
    int64_t days = 0;
    if (!write_rider(call, &rider, err) ||
        !api_query_number(call, "days", 1, NEXT_DAYS_MOST, &days, err) ||
        !next_take(call->roster, call->arena, &rider, call->today, (int)days, answer, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    next_json(&json, &rider, answer);
    json_end_object(&json);
    return true;
}

static bool read_numbers(const struct body *list, size_t numbers[NEXT_MOST], size_t *n,
                         struct error *err)
{
    for (size_t i = 0; i < list->n_items; i++) {
        const struct body *item = &list->items[i];
        if (item->kind != BODY_INTEGER || item->integer < 1 || item->integer > NEXT_MOST ||
            *n >= NEXT_MOST) {
            return error_set(err, ERROR_USAGE, "numbers: up to %d numbers of proposals", NEXT_MOST);
        }
        numbers[(*n)++] = (size_t)item->integer;
    }
    return true;
}

/* Nothing is proposed by a page that has changed since it was seen. */
bool route_post_next(struct api_call *call, struct error *err)
{
    static const char *const keys[] = { "mark", "days", "numbers" };
    struct rider rider = { 0 };
    struct next_answer *answer = ARENA_ARRAY(call->arena, struct next_answer, 1);
    struct rider_session *rows = NULL;
    struct write_done done = { 0 };
    const struct body *list = NULL;
    const char *mark = NULL;
    size_t numbers[NEXT_MOST];
    size_t n = 0;
    size_t n_rows = 0;
    int64_t days = 0;
    if (!body_only(call->body, keys, 3, err) ||
        !body_text(call->body, "mark", BODY_NEEDED, &mark, err) ||
        !body_integer(call->body, "days", BODY_MAY_LACK, &days, err) ||
        !body_list(call->body, "numbers", BODY_NEEDED, &list, err) ||
        !read_numbers(list, numbers, &n, err)) {
        return false;
    }
    if (n == 0 || days < 0 || days > NEXT_DAYS_MOST) {
        return error_set(err, ERROR_USAGE,
                         n == 0 ? "numbers: say which proposals"
                                : "days: 1 to 14 may be asked for");
    }
    if (!write_rider(call, &rider, err) ||
        !next_take(call->roster, call->arena, &rider, call->today, (int)days, answer, err)) {
        return false;
    }
    if (strcmp(mark, answer->mark) != 0) {
        return error_set(err, ERROR_CONFLICT,
                         "what is proposed has changed since it was shown; look again");
    }
    if (!write_begin(call, &done, err) ||
        !next_draft(call->roster, call->arena, call->now, &rider, answer, numbers, n, &rows,
                    &n_rows, &done.words, err)) {
        return false;
    }
    done.number = n_rows == 1 ? rows[0].entry.id : 0;
    done.version = n_rows == 1 ? rows[0].entry.version : 0;
    return write_end(call, &done, err);
}

bool route_post_withdrawal(struct api_call *call, struct error *err)
{
    static const char *const keys[] = { "from" };
    struct rider rider = { 0 };
    struct write_done done = { 0 };
    const char *from = call->today;
    size_t n = 0;
    return body_only(call->body, keys, 1, err) &&
           write_day(call->body, "from", BODY_MAY_LACK, &from, err) &&
           write_rider(call, &rider, err) && write_begin(call, &done, err) &&
           sessions_withdraw_from(call->roster, call->arena, call->now, &rider, from, NULL, NULL,
                                  &n, &done.words, err) &&
           write_end(call, &done, err);
}
