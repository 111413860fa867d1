/* server/routes_record.c: what came next of the program's own verdicts on this roster. */
#include "roster/readings.h"
#include "roster/record.h"
#include "server/answers/record.h"
#include "server/routes.h"

bool route_get_record(struct api_call *call, struct error *err)
{
    struct record record;
    struct limits limits;
    if (!record_take(call->roster, call->arena, call->today, &record, err) ||
        !readings_limits(roster_db(call->roster), call->arena, 0, &limits, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    record_json(&json, call->arena, &record, &limits, call->today);
    json_end_object(&json);
    return true;
}
