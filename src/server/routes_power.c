/* server/routes_power.c: critical power, and what heart rate usually answers to power. */
#include "server/routes.h"

#include "server/answers/critical.h"
#include "server/answers/heart.h"

static bool find_rider(struct api_call *call, struct rider *out, struct error *err)
{
    int64_t id = 0;
    return api_path_id(call, "rider", &id, err) &&
           riders_row(roster_db(call->roster), call->arena, id, out, err);
}

bool route_get_critical(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct critical_told told;
    if (!find_rider(call, &rider, err) ||
        !critical_take(call->roster, call->arena, &rider, call->today, &told, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    critical_json(&json, &told, call->today);
    json_end_object(&json);
    return true;
}

static bool heart_answer(struct api_call *call, const struct heart_told *told)
{
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    heart_json(&json, told, call->today);
    json_end_object(&json);
    return true;
}

bool route_get_heart(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct heart_told told;
    return find_rider(call, &rider, err) &&
           heart_take_rider(call->roster, call->arena, &rider, call->today, &told, err) &&
           heart_answer(call, &told);
}

bool route_get_ride_heart(struct api_call *call, struct error *err)
{
    int64_t id = 0;
    struct ride_row row = { 0 };
    struct heart_told told;
    return api_path_id(call, "ride", &id, err) &&
           recordings_row(roster_db(call->roster), call->arena, id, &row, err) &&
           heart_take_ride(call->roster, call->arena, &row, call->today, &told, err) &&
           heart_answer(call, &told);
}
