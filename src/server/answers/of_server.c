/* server/answers/of_server.c: what is asked of the server itself, not of the roster. */
#include "server/answers/answers.h"

#include "base/json.h"
#include "roster/jobs.h"
#include "server/server.h"

static bool count_waiting(struct store *store, struct arena *arena, size_t *n, struct error *err)
{
    struct roster *reader = NULL;
    if (!store_reader(store, &reader, err)) {
        return false;
    }
    const bool done = jobs_count(roster_db(reader), arena, JOB_READ, n, err);
    store_reader_back(store, reader);
    return done;
}

bool answer_jobs(struct api_call *call, struct error *err)
{
    struct json json = json_begin(&call->out);
    size_t waiting = 0;
    if (!count_waiting(call->house->store, call->arena, &waiting, err)) {
        return false;
    }
    json_begin_object(&json, NULL);
    json_begin_array(&json, "jobs");
    tasks_write_all(call->server->tasks, &json);
    json_end_array(&json);
    json_integer(&json, "rides_being_read_again", (int64_t)waiting);
    json_end_object(&json);
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
