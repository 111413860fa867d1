/* server/answers/session.c: what the page needs to know first. */
#include "server/answers/answers.h"

#include "base/json.h"
#include "roster/about.h"
#include "roster/jobs.h"
#include "roster/settings.h"

#include <string.h>

bool answer_session(struct api_call *call, struct error *err)
{
    struct about about = { 0 };
    const char *own_today = NULL;
    size_t waiting = 0;
    if (!about_read(call->roster, call->arena, &about, err) ||
        !settings_get(call->roster, call->arena, SETTING_TODAY, &own_today, err) ||
        !jobs_count(roster_db(call->roster), call->arena, JOB_READ, &waiting, err)) {
        return false;
    }
    /* The name of the file, not its path: who looks over the coach's shoulder needs no folders. */
    const char *place = db_place(roster_db(call->roster));
    const char *slash = strrchr(place, '/');
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    json_string(&json, "version", PLUMBLINE_VERSION);
    json_string(&json, "roster", slash == NULL ? place : slash + 1);
    json_bool(&json, "is_example", own_today != NULL);
    json_string(&json, "today", call->today);
    json_bool(&json, "today_is_own", call->today_is_own);
    json_integer(&json, "riders", about.riders);
    json_integer(&json, "rides", about.rides);
    json_string(&json, "first_day", about.first_day);
    json_string(&json, "last_day", about.last_day);
    json_integer(&json, "waiting", (int64_t)waiting);
    json_end_object(&json);
    return true;
}
