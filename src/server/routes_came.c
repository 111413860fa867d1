/* server/routes_came.c: the session that a ride was, asked against done. */
#include "server/routes.h"

#include "roster/came_back.h"
#include "roster/recordings.h"
#include "server/answers/sessions.h"

/* Another recording of the same ride answers as the one that counts. */
static bool find_ride(struct api_call *call, struct ride_row *ride, struct error *err)
{
    struct db *db = roster_db(call->roster);
    int64_t id = 0;
    return api_path_id(call, "ride", &id, err) && recordings_row(db, call->arena, id, ride, err) &&
           (ride->same_as == 0 || recordings_row(db, call->arena, ride->same_as, ride, err));
}

bool route_get_ride_session(struct api_call *call, struct error *err)
{
    struct ride_row ride = { 0 };
    struct came_session one;
    bool found = false;
    if (!find_ride(call, &ride, err) ||
        !came_back_of_ride(call->roster, call->arena, &ride, call->today, &one, &found, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    json_integer(&json, "rider", ride.rider);
    if (found) {
        session_json(&json, "session", &one.row);
        came_back_json(call->arena, &json, "came_back", &one.came);
    } else {
        json_null(&json, "session");
        json_null(&json, "came_back");
    }
    json_end_object(&json);
    return true;
}
