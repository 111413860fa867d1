/* server/answers/of_server.c: what is asked of the server itself, not of the roster. */
#include "server/answers/answers.h"

#include "base/json.h"
#include "server/server.h"

bool answer_jobs(struct api_call *call, struct error *err)
{
    struct json json = json_begin(&call->out);
    (void)err;
    json_begin_array(&json, NULL);
    tasks_write_all(call->server->tasks, &json);
    json_end_array(&json);
    return true;
}

bool answer_job(struct api_call *call, struct error *err)
{
    struct json json = json_begin(&call->out);
    int64_t id = 0;
    return api_path_id(call, "job", &id, err) &&
           tasks_write(call->server->tasks, id, true, &json, err);
}

bool answer_job_cancel(struct api_call *call, struct error *err)
{
    int64_t id = 0;
    return api_path_id(call, "job", &id, err) && tasks_cancel(call->server->tasks, id, err) &&
           answer_job(call, err);
}

bool answer_session_end(struct api_call *call, struct error *err)
{
    (void)err;
    sessions_end(call->server->sessions, call->key);
    return true;
}
