/* server/routes_came.c: the session that a ride was, asked against done. */
#include "server/routes.h"

#include "base/dates.h"
#include "roster/came_back.h"
#include "roster/readings.h"
#include "roster/recordings.h"
#include "server/answers/sessions.h"

#include <string.h>

/* The one that this ride came back of, ridden on its day or moved to another; NULL = none. */
static const struct came_session *session_of(const struct came_session rows[], size_t n,
                                             int64_t ride)
{
    for (size_t i = 0; i < n; i++) {
        if (rows[i].came.ride == ride) {
            return &rows[i];
        }
    }
    return NULL;
}

/* Sessions that may be the ride's: so many days around it as a session may move. */
static bool take_sessions(struct api_call *call, const struct ride_row *ride,
                          struct came_session **out, size_t *n, struct error *err)
{
    struct limits limits;
    if (!readings_limits(roster_db(call->roster), call->arena, ride->rider, &limits, err)) {
        return false;
    }
    const int64_t days = (int64_t)limits.value[LIMIT_CAME_BACK_DAYS];
    return came_back_list(call->roster, call->arena, ride->rider,
                          entry_day_after(call->arena, ride->local_day, -days),
                          entry_day_after(call->arena, ride->local_day, days + 1), call->today, out,
                          n, err);
}

bool route_get_ride_session(struct api_call *call, struct error *err)
{
    int64_t id = 0;
    struct ride_row ride = { 0 };
    struct came_session *rows = NULL;
    size_t n = 0;
    if (!api_path_id(call, "ride", &id, err) ||
        !recordings_row(roster_db(call->roster), call->arena, id, &ride, err) ||
        (ride.local_day != NULL && !take_sessions(call, &ride, &rows, &n, err))) {
        return false;
    }
    const struct came_session *one = session_of(rows, n, ride.same_as == 0 ? id : ride.same_as);
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    json_integer(&json, "rider", ride.rider);
    if (one == NULL) {
        json_null(&json, "session");
    } else {
        session_json(&json, "session", &one->row);
    }
    if (one == NULL) {
        json_null(&json, "came_back");
    } else {
        came_back_json(call->arena, &json, "came_back", &one->came);
    }
    json_end_object(&json);
    return true;
}
