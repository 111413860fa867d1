/* server/request_work.c: requests that take work: the routes' handlers, jobs, streams of events. */
#include "server/request_parts.h"

#include "server/login.h"
#include "server/answering.h"
#include "server/upload.h"

#include <string.h>

static const char NOT_KEPT[] = "no-store";
static const char JSON_TYPE[] = "application/json";

static void fill_call(const struct request *request, struct arena *arena,
                      const struct store_state *state, struct api_call *call)
{
    *call = (struct api_call){ .arena = arena,
                               .place = store_place(request->house->store),
                               .now = store_now(),
                               .today_is_own = state->today_is_own,
                               .path = request->path,
                               .query = request->parts.query,
                               .version = request->version };
    memcpy(call->today, state->today, sizeof call->today);
    call->out = text_begin(call->arena, ANSWERING_BYTES_MOST);
}

/* Nothing, or {}, where the route takes nothing. */
static bool take_body(const struct request *request, struct api_call *call, struct error *err)
{
    const struct bytes bytes = { (const uint8_t *)request->body.bytes, request->body.length };
    if (bytes.size > 0 && !body_read(call->arena, bytes, &call->body, err)) {
        return false;
    }
    return request->route->request != NULL || call->body == NULL || call->body->n_items == 0 ||
           error_set(err, ERROR_USAGE, "nothing may be sent to this address, or {}");
}

/* Made here and now; once, whoever asks for it meanwhile. */
static bool run_read(struct request *request, const struct store_state *state,
                     struct api_call *call, struct error *err)
{
    struct kept *all = request->server->kept;
    if (call->body != NULL) {
        /* What was sent isn't in the key, and is asked once. */
        const bool made = answering_make(request->house->store, request->route, call, err);
        if (made) {
            request_answer_kept(request, answering_keep(all, NULL, state->generation, call));
        }
        return made;
    }
    const char *key = request_key(request, state);
    struct kept_answer *kept = kept_find_or_make(all, key, state->generation);
    if (kept != NULL) {
        request_answer_kept(request, kept);
        return true;
    }
    const bool done = answering_make(request->house->store, request->route, call, err);
    if (done) {
        request_answer_kept(request, answering_keep(all, key, state->generation, call));
    }
    kept_made(all, key);
    return done;
}

static bool run_write(struct request *request, struct api_call *call, struct error *err)
{
    call->roster = store_writer(request->house->store);
    const bool done = request->route->handler(call, err);
    store_writer_back(request->house->store);
    rereader_kick(request->house->rereader);
    return done;
}

/* The job keeps what it needs in an arena of its own: the request ends before it begins. */
static bool fill_job(struct request *request, struct arena *own, const struct store_state *state,
                     struct api_call *call, struct error *err)
{
    struct router_address parts;
    const struct api_route *route = NULL;
    fill_call(request, own, state, call);
    call->server = request->server;
    if (!router_read(own, request->address, &parts, err)) {
        return false;
    }
    call->query = parts.query;
    (void)router_find(own, api_routes, api_route_count, request->method,
                      parts.parts + ROUTER_PREFIX_PARTS, parts.n_parts - ROUTER_PREFIX_PARTS,
                      &route, &call->path);
    if (!take_body(request, call, err)) {
        return false;
    }
    call->upload = request->has_upload ? &request->upload : NULL;
    return call->upload == NULL || upload_rewind(call->upload, err);
}

/* 202, and where the job is. */
static bool answer_job(struct request *request, int64_t id, struct error *err)
{
    struct text out = text_begin(request->arena, 8000);
    struct json json = json_begin(&out);
    if (!tasks_write(request->server->tasks, id, false, &json, err)) {
        return false;
    }
    request->answer =
        (struct answer){ .status = 202,
                         .type = JSON_TYPE,
                         .bytes = out.bytes,
                         .size = out.length,
                         .location =
                             arena_format(request->arena, ROUTER_PREFIX "jobs/%lld", (long long)id),
                         .cache = NOT_KEPT };
    return true;
}

static bool run_job(struct request *request, const struct store_state *state, struct error *err)
{
    struct api_call call;
    struct arena *own = arena_open();
    int64_t id = 0;
    if (!fill_job(request, own, state, &call, err)) {
        arena_close(own);
        return false;
    }
    const bool begun =
        tasks_begin(request->server->tasks, request->house->store, request->route, &call, &id, err);
    request->upload.fd = -1; /* the job's now */
    return begun && answer_job(request, id, err);
}

/* A glance long, or as long as whoever asks is ready to wait. */
static int64_t wait_ms(const struct request *request)
{
    const long long wished_s = access_wait_s(request->headers.prefer);
    return wished_s < 0                    ? SERVER_GLANCE_MS
           : wished_s > SERVER_WAIT_S_MOST ? SERVER_WAIT_S_MOST * 1000
                                           : wished_s * 1000;
}

/* A read that is a job as soon as it takes longer than whoever asks will wait. */
static bool run_answer(struct request *request, const struct store_state *state, struct error *err)
{
    struct api_call call;
    struct arena *own = arena_open();
    struct tasks *tasks = request->server->tasks;
    struct kept_answer *made = NULL;
    int64_t id = 0;
    const struct task_answer answer = { request->server->kept, request_key(request, state),
                                        state->generation };
    if (!fill_job(request, own, state, &call, err)) {
        arena_close(own);
        return false;
    }
    call.server = NULL;
    if (!tasks_begin_answer(tasks, request->house->store, request->route, &call, &answer, &id,
                            err) ||
        !tasks_take_answer(tasks, id, wait_ms(request), &made, err)) {
        return false;
    }
    if (made == NULL) {
        return answer_job(request, id, err);
    }
    request_answer_kept(request, made);
    return true;
}

/* What is true when it begins comes first, so that nothing is missed in between. */
static bool run_events(struct request *request, const struct store_state *state, struct error *err)
{
    struct server *server = request->server;
    struct api_call call = { .path = request->path };
    int64_t topic = 0;
    struct text out = text_begin(request->arena, 8000);
    struct json json = json_begin(&out);
    const bool is_job = request->path.n > 0;
    if (is_job && (!api_path_id(&call, "job", &topic, err) ||
                   !tasks_write(server->tasks, topic, false, &json, err))) {
        return false;
    }
    if (!is_job) {
        text_add_format(&out, "{\"generation\":%llu}", (unsigned long long)state->generation);
    }
    struct listener *listener =
        events_listen(server->events, topic, request->listener_calls, request->connection);
    if (listener == NULL) {
        return error_set(err, ERROR_BUSY, "%d pages listen already; close one and try again",
                         EVENTS_LISTENERS_MOST);
    }
    events_greet(listener, is_job ? "job" : "hello", out.bytes);
    if (is_job && tasks_is_over(server->tasks, topic)) {
        events_end(server->events, topic);
    }
    request->answer = (struct answer){
        .status = 200, .type = "text/event-stream", .listener = listener, .cache = NOT_KEPT
    };
    return true;
}

static void answer_call(struct request *request, const struct api_call *call)
{
    request->answer = (struct answer){ .status = call->location != NULL  ? 201
                                                 : call->out.length == 0 ? 204
                                                                         : 200,
                                       .type = call->type != NULL ? call->type : JSON_TYPE,
                                       .bytes = call->out.bytes,
                                       .size = call->out.length,
                                       .location = call->location,
                                       .cache = NOT_KEPT };
}

static bool run_call(struct request *request, const struct store_state *state, struct error *err)
{
    struct api_call call;
    fill_call(request, request->arena, state, &call);
    if (!take_body(request, &call, err)) {
        return false;
    }
    if (request->route->kind == API_READ) {
        return run_read(request, state, &call, err);
    }
    call.server = request->route->kind == API_SERVER ? request->server : NULL;
    call.house = request->house;
    call.key = request->key;
    const bool done = request->route->kind == API_SERVER ? request->route->handler(&call, err)
                                                         : run_write(request, &call, err);
    request->version = call.version;
    if (done) {
        answer_call(request, &call);
    }
    return done;
}

void request_work(struct request *request)
{
    const struct store_state *state = &request->state;
    struct error err = { 0 };
    if (login_is_asked(request)) {
        login_answer(request);
        return;
    }
    bool done = request_look(request, &err);
    if (done) {
        switch (request->route->kind) {
        case API_READ:
            done = (request->route->flags & API_AT_ONCE) != 0 ? run_call(request, state, &err)
                                                              : run_answer(request, state, &err);
            break;
        case API_WRITE:
        case API_SERVER: done = run_call(request, state, &err); break;
        case API_JOB: done = run_job(request, state, &err); break;
        case API_EVENTS: done = run_events(request, state, &err); break;
        }
    }
    if (!done && err.kind == ERROR_CONFLICT && request->version > 0) {
        /* The version that was seen isn't the one that is there. */
        request_refuse(request, 412, &err);
    } else if (!done) {
        request_refuse_kind(request, &err);
    }
}
