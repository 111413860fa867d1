/* server/routes_power.c: critical power, and what heart rate usually answers to power. */
#include "server/routes.h"

#include "server/answers/critical.h"
#include "server/answers/heart.h"
#include "server/answers/teach.h"

#include <math.h>

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

/* What the query names of the session. */
static bool take_wish(const struct api_call *call, struct teach_wish *out, struct error *err)
{
    const struct {
        const char *name;
        int64_t lowest;
        int64_t highest;
        double *value;
    } rows[] = { { "rep_s", 10, 3600, &out->rep_s },
                 { "rest_s", 10, 1800, &out->rest_s },
                 { "target_w", 30, 2000, &out->target_w },
                 { "heart_bpm", 60, 230, &out->heart_bpm } };
    int64_t reps = 0;
    *out = teach_wish_none();
    if (!api_query_number(call, "reps", 1, 20, &reps, err)) {
        return false;
    }
    out->reps = (int)reps;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        int64_t value = -1;
        if (!api_query_number(call, rows[i].name, rows[i].lowest, rows[i].highest, &value, err)) {
            return false;
        }
        *rows[i].value = value < 0 ? (double)NAN : (double)value;
    }
    return true;
}

bool route_get_teach(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct teach_wish wish;
    struct teach_told told;
    if (!take_wish(call, &wish, err) || !find_rider(call, &rider, err) ||
        !teach_take(call->roster, call->arena, &rider, &wish, call->today, &told, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    teach_json(&json, &told, call->today);
    json_end_object(&json);
    return true;
}
