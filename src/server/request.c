/* server/request.c: from a request to its answer. */
#include "server/request.h"

#include "server/log.h"
#include "server/login.h"
#include "server/pages.h"
#include "server/problem.h"
#include "server/upload.h"

#include <string.h>
#include <time.h>
#include <unistd.h>

/* A page and an answer with riders in it are kept by no browser on disk: the roster alone is. */
static const char NOT_KEPT[] = "no-store";
static const char ASKED_AGAIN[] = "no-cache";
static const char FOR_EVER[] = "public, max-age=31536000, immutable";

static const char JSON_TYPE[] = "application/json";
static const char HTML_TYPE[] = "text/html; charset=utf-8";

#define ANSWER_BYTES_MOST (64u * 1000u * 1000u)

static int64_t steady_s(void)
{
    struct timespec now = { 0 };
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec;
}

/* ---- answers ---- */

static void answer_page(struct request *request, int status, const struct text *page)
{
    request->answer = (struct answer){ .status = status,
                                       .type = HTML_TYPE,
                                       .bytes = page->bytes,
                                       .size = page->length,
                                       .cache = NOT_KEPT };
}

void request_refuse(struct request *request, int status, const struct error *err)
{
    struct text out = text_begin(request->arena, 8000);
    const char *place = store_place(request->house->store);
    if (request->is_api) {
        problem_write(&out, status, err, place);
        request->answer = (struct answer){ .type = "application/problem+json",
                                           .bytes = out.bytes,
                                           .size = out.length };
    } else {
        pages_problem(&out, status, problem_detail(request->arena, err, place));
        answer_page(request, status, &out);
    }
    request->answer.status = status;
    request->answer.cache = NOT_KEPT;
    request->answer.retry_after_s = status == 503 ? 2 : 0;
}

static void refuse_kind(struct request *request, const struct error *err)
{
    if (err->kind == ERROR_INTERNAL || err->kind == ERROR_STORAGE) {
        log_error("%s: %s", request->label, err->message);
    }
    request_refuse(request, problem_status(err->kind), err);
}

static void refuse_words(struct request *request, int status, enum error_kind kind,
                         const char *words)
{
    struct error err = { 0 };
    error_set(&err, kind, "%s", words);
    request_refuse(request, status, &err);
}

static void go_to(struct request *request, const char *location, const char *set_cookie)
{
    request->answer = (struct answer){ .status = 303,
                                       .type = HTML_TYPE,
                                       .bytes = "",
                                       .location = location,
                                       .set_cookie = set_cookie,
                                       .cache = NOT_KEPT };
}

static const char *cookie_for(const struct request *request, const char *key)
{
    const struct server *server = request->server;
    return arena_format(request->arena, "%s=%s; Path=/; HttpOnly; SameSite=Strict%s",
                        server->cookie, key, server->is_secure ? "; Secure" : "");
}

/* ---- the beginning ---- */

static bool is_method(const struct request *request, const char *method)
{
    return strcmp(request->method, method) == 0;
}

static enum access_kind kind_of(const struct request *request)
{
    const bool is_read = is_method(request, "GET");
    if (!request->is_api) {
        return is_read ? ACCESS_PAGE : ACCESS_FORM;
    }
    return is_read                                                                   ? ACCESS_READ
           : request->route != NULL && (request->route->flags & API_TAKES_FILE) != 0 ? ACCESS_FILE
                                                                                     : ACCESS_WRITE;
}

static bool begins_with(const char *text, const char *with)
{
    return strncmp(text, with, strlen(with)) == 0;
}

/* The route, if it is one of the API; *found tells the rest. */
static enum router_found find_route(struct request *request)
{
    const size_t before = 2; /* "api", "1" */
    const struct router_address *parts = &request->parts;
    request->is_api = parts->n_parts > 0 && strcmp(parts->parts[0], "api") == 0;
    if (!request->is_api || parts->n_parts < before || strcmp(parts->parts[1], "1") != 0) {
        return ROUTER_NONE;
    }
    const enum router_found found = router_find(
        request->arena, api_routes, api_route_count, request->method, parts->parts + before,
        parts->n_parts - before, &request->route, &request->path);
    if (found == ROUTER_OTHER_METHOD) {
        request->answer.allow = router_allowed(request->arena, api_routes, api_route_count,
                                               parts->parts + before, parts->n_parts - before);
    }
    return found;
}

static bool is_let_in(struct request *request)
{
    struct server *server = request->server;
    char key[ACCESS_KEY_SIZE];
    if (!access_cookie(request->headers.cookie, server->cookie, key) ||
        !sessions_know(server->sessions, key, steady_s())) {
        return false;
    }
    memcpy(request->key, key, sizeof key);
    return true;
}

/* The printed address; true when this is one, and answered. */
static bool take_token(struct request *request)
{
    const struct api_words *query = &request->parts.query;
    struct server *server = request->server;
    char key[ACCESS_KEY_SIZE];
    if (request->is_api || request->parts.n_parts > 0 || query->n != 1 ||
        strcmp(query->items[0].name, "token") != 0 || !is_method(request, "GET")) {
        return false;
    }
    if (request->key[0] != '\0') {
        go_to(request, "/", NULL); /* it is let in already: the token is for somebody else */
    } else if (!server->is_beyond &&
               sessions_spend(server->sessions, query->items[0].value, steady_s(), key)) {
        go_to(request, "/", cookie_for(request, key));
    } else {
        struct text out = text_begin(request->arena, 8000);
        pages_no_way_in(&out, true);
        answer_page(request, 401, &out);
    }
    return true;
}

static void show_way_in(struct request *request)
{
    struct text out = text_begin(request->arena, 8000);
    if (request->is_api) {
        refuse_words(request, 401, ERROR_DENIED,
                     "this browser isn't let in: open the address that plumbline serve prints");
    } else if (request->server->is_beyond) {
        pages_password(&out, NULL);
        answer_page(request, 401, &out);
    } else {
        pages_no_way_in(&out, false);
        answer_page(request, 401, &out);
    }
}

static bool has_body(const struct request *request)
{
    return request->headers.access.has_body;
}

/* What the route says of the request, before its body comes. */
static bool check_route(struct request *request, enum router_found found)
{
    struct error err = { 0 };
    const struct api_route *route = request->route;
    const char *allow = request->answer.allow;
    if (found == ROUTER_OTHER_METHOD) {
        refuse_words(request, 405, ERROR_USAGE, "this address doesn't know that method");
        request->answer.allow = allow;
        return false;
    }
    if (found == ROUTER_NONE || route == NULL) {
        refuse_words(request, 404, ERROR_NOT_FOUND, "there is no such address");
        return false;
    }
    if (!router_query_is_known(route, &request->parts.query, &err)) {
        refuse_kind(request, &err);
        return false;
    }
    request->version = (int64_t)access_version(request->headers.if_match);
    if (request->version < 0) {
        refuse_words(request, 400, ERROR_USAGE, "If-Match: is no version; write it as \"12\"");
        return false;
    }
    if ((route->flags & API_NEEDS_VERSION) != 0 && request->version == 0) {
        refuse_words(request, 428, ERROR_USAGE,
                     "say with If-Match which version was seen, so that no other change is lost");
        return false;
    }
    return true;
}

/* How much may come, and where it goes. */
static void await_body(struct request *request)
{
    struct error err = { 0 };
    struct server *server = request->server;
    const bool is_file = request->kind == ACCESS_FILE;
    const int64_t most = is_file ? SERVER_UPLOAD_BYTES_MOST : (int64_t)BODY_BYTES_MOST;
    if (request->headers.length > most) {
        refuse_words(request, 413, ERROR_TOO_LARGE,
                     is_file ? "the file is larger than 256 MB; is it one recording?"
                             : "the JSON is larger than 1 MB");
        return;
    }
    if (!is_file) {
        request->body = text_begin(request->arena, BODY_BYTES_MOST);
        request->wants = has_body(request) ? REQUEST_WANTS_BODY : REQUEST_WANTS_NOTHING;
        return;
    }
    if (atomic_fetch_add(&server->uploads, 1) >= SERVER_UPLOADS_MOST) {
        atomic_fetch_sub(&server->uploads, 1);
        refuse_words(request, 503, ERROR_BUSY, "two files are being taken already; try again");
        return;
    }
    request->has_upload = true;
    request->wants = REQUEST_WANTS_FILE;
    if (!upload_open(store_place(request->house->store), &request->upload, &err)) {
        refuse_kind(request, &err);
    }
}

void request_begin(struct request *request)
{
    struct error err = { 0 };
    const char *why = NULL;
    request->upload.fd = -1;
    request->label = "-";
    request->is_api = begins_with(request->address, ROUTER_PREFIX);
    if (request->headers.bytes > REQUEST_HEADER_BYTES_MOST) {
        refuse_words(request, 431, ERROR_TOO_LARGE, "the headers are larger than 16 kB");
        return;
    }
    /* Two lengths are how one request is hidden in another (RFC 9112, section 6.3). */
    if (request->headers.n_lengths > 1 ||
        (request->headers.n_lengths > 0 && request->headers.is_chunked)) {
        refuse_words(request, 400, ERROR_USAGE, "the headers of the request are broken");
        request->answer.closes = true;
        return;
    }
    if (!router_read(request->arena, request->address, &request->parts, &err)) {
        request_refuse(request, err.kind == ERROR_TOO_LARGE ? 414 : 400, &err);
        return;
    }
    const enum router_found found = find_route(request);
    request->label = request->route != NULL ? request->route->pattern : request->label;
    request->kind = kind_of(request);
    const int status =
        access_check(&request->server->rules, request->kind, &request->headers.access, &why);
    if (status != 0) {
        refuse_words(request, status, status == 403 ? ERROR_DENIED : ERROR_USAGE, why);
        return;
    }
    const bool is_known = is_let_in(request);
    if (take_token(request)) {
        return;
    }
    if (!request->is_api) {
        if (login_is_asked(request)) {
            await_body(request);
        } else if (!is_method(request, "GET")) {
            refuse_words(request, 405, ERROR_USAGE, "pages are only looked at");
            request->answer.allow = "GET, HEAD";
        }
        return;
    }
    if (!is_known) {
        show_way_in(request);
    } else if (check_route(request, found)) {
        await_body(request);
    }
}

bool request_take(struct request *request, const char *bytes, size_t n)
{
    struct error err = { 0 };
    bool taken = true;
    if (request->wants == REQUEST_WANTS_FILE) {
        taken = upload_add(&request->upload, bytes, n, SERVER_UPLOAD_BYTES_MOST, &err);
    } else if (request->wants == REQUEST_WANTS_BODY) {
        text_add_bytes(&request->body, bytes, n);
        taken =
            !request->body.cut || error_set(&err, ERROR_TOO_LARGE, "the JSON is larger than 1 MB");
    } else if (request->answer.status == 0) {
        taken = error_set(&err, ERROR_USAGE, "nothing may be sent to this address");
    }
    if (!taken) {
        refuse_kind(request, &err);
    }
    return taken;
}

/* ---- pages and their parts ---- */

static void answer_asset(struct request *request, const struct asset *asset)
{
    struct answer answer = { .status = 200,
                             .type = asset->type,
                             .etag = asset->etag,
                             .cache = asset->is_hashed ? FOR_EVER : ASKED_AGAIN };
    struct error err = { 0 };
    struct bytes plain = { 0 };
    const char *damaged = NULL;
    if (access_etag_matches(request->headers.if_none_match, asset->etag)) {
        answer.status = 304;
        answer.bytes = "";
    } else if (access_takes_gzip(request->headers.accept_encoding)) {
        answer.bytes = (const char *)asset->gzip;
        answer.size = asset->gzip_size;
        answer.is_gzip = true;
    } else if (files_gunzip(request->arena, (struct bytes){ asset->gzip, asset->gzip_size },
                            asset->size, &plain, &damaged, &err)) {
        answer.bytes = (const char *)plain.at;
        answer.size = plain.size;
    } else {
        refuse_kind(request, &err);
        return;
    }
    request->answer = answer;
}

/* A page of the application has no ending; a file has. */
static bool is_page_address(const struct request *request)
{
    const struct router_address *parts = &request->parts;
    return parts->n_parts == 0 || (strcmp(parts->parts[0], "assets") != 0 &&
                                   strchr(parts->parts[parts->n_parts - 1], '.') == NULL);
}

static void answer_page_or_part(struct request *request)
{
    struct text out = text_begin(request->arena, 8000);
    if (strcmp(request->parts.path, PAGES_STYLE_PATH) == 0) {
        request->answer = (struct answer){ .status = 200,
                                           .type = "text/css; charset=utf-8",
                                           .bytes = pages_style,
                                           .size = strlen(pages_style),
                                           .cache = ASKED_AGAIN };
        return;
    }
    if (request->key[0] == '\0') {
        show_way_in(request);
        return;
    }
    const struct asset *asset =
        is_page_address(request) ? asset_page() : asset_find(request->parts.path);
    request->label = is_page_address(request) ? "page" : "asset";
    if (asset != NULL) {
        answer_asset(request, asset);
    } else if (is_page_address(request)) {
        pages_not_built(&out);
        answer_page(request, 200, &out);
    } else {
        refuse_words(request, 404, ERROR_NOT_FOUND, "there is no such address");
    }
}

/* ---- what is kept ---- */

static void answer_kept(struct request *request, struct kept_answer *kept)
{
    request->answer = (struct answer){ .status = 200,
                                       .type = kept->type,
                                       .kept = kept,
                                       .bytes = kept->bytes,
                                       .size = kept->size,
                                       .etag = kept->etag,
                                       .cache = NOT_KEPT };
    if (access_etag_matches(request->headers.if_none_match, kept->etag)) {
        request->answer.status = 304;
        request->answer.bytes = "";
        request->answer.size = 0;
    }
}

/* NULL for an answer that isn't kept. */
static const char *key_of(const struct request *request, const struct store_state *state)
{
    return (request->route->flags & API_OF_THE_MOMENT) != 0
               ? NULL
               : arena_format(request->arena, "%p %s %s", (const void *)request->house->store,
                              state->today, request->address);
}

static bool answer_if_kept(struct request *request)
{
    struct store_state state;
    struct error err = { 0 };
    if (!store_look(request->house->store, &state, &err)) {
        refuse_kind(request, &err);
        return true;
    }
    const char *key = key_of(request, &state);
    struct kept_answer *kept =
        key == NULL ? NULL : kept_find(request->server->kept, key, state.generation);
    if (kept != NULL) {
        answer_kept(request, kept);
    }
    return kept != NULL;
}

bool request_quick(struct request *request)
{
    if (request->answer.status != 0) {
        return true;
    }
    if (request->route == NULL && !login_is_asked(request)) {
        answer_page_or_part(request);
        return true;
    }
    return request->route != NULL && request->route->kind == API_READ && answer_if_kept(request);
}

/* ---- work ---- */

static void fill_call(struct request *request, const struct store_state *state,
                      struct api_call *call)
{
    *call = (struct api_call){ .arena = request->arena,
                               .place = store_place(request->house->store),
                               .now = store_now(),
                               .today_is_own = state->today_is_own,
                               .path = request->path,
                               .query = request->parts.query,
                               .version = request->version };
    memcpy(call->today, state->today, sizeof call->today);
    call->out = text_begin(call->arena, ANSWER_BYTES_MOST);
}

struct reading_call {
    const struct api_route *route;
    struct api_call *call;
};

static bool read_in_one(struct db *db, void *context, struct error *err)
{
    const struct reading_call *reading = context;
    (void)db;
    /* It may be the second try. */
    reading->call->out = text_begin(reading->call->arena, ANSWER_BYTES_MOST);
    return reading->route->handler(reading->call, err);
}

static bool run_read(struct request *request, struct api_call *call, struct error *err)
{
    struct store *store = request->house->store;
    struct reading_call reading = { request->route, call };
    if (!store_reader(store, &call->roster, err)) {
        return false;
    }
    const bool done = db_read(roster_db(call->roster), read_in_one, &reading, err);
    store_reader_back(store, call->roster);
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
static bool run_job(struct request *request, const struct store_state *state, struct error *err)
{
    struct api_call call;
    struct router_address parts = { 0 };
    struct arena *own = arena_open();
    struct arena *before = request->arena;
    int64_t id = 0;
    const struct api_route *route = NULL;
    bool done = router_read(own, request->address, &parts, err);
    request->arena = own;
    fill_call(request, state, &call);
    request->arena = before;
    call.query = parts.query;
    call.server = request->server;
    (void)router_find(own, api_routes, api_route_count, request->method, parts.parts + 2,
                      parts.n_parts - 2, &route, &call.path);
    done = done &&
           (request->body.length == 0 ||
            body_read(own,
                      (struct bytes){ (const uint8_t *)request->body.bytes, request->body.length },
                      &call.body, err));
    if (done && request->has_upload) {
        done = upload_rewind(&request->upload, err);
        call.upload = &request->upload;
    }
    if (!done) {
        arena_close(own);
        return false;
    }
    done =
        tasks_begin(request->server->tasks, request->house->store, request->route, &call, &id, err);
    request->upload.fd = -1; /* the job's now */
    if (done) {
        struct text out = text_begin(request->arena, 8000);
        struct json json = json_begin(&out);
        done = tasks_write(request->server->tasks, id, false, &json, err);
        request->answer =
            (struct answer){ .status = 202,
                             .type = JSON_TYPE,
                             .bytes = out.bytes,
                             .size = out.length,
                             .location = arena_format(request->arena, ROUTER_PREFIX "jobs/%lld",
                                                      (long long)id),
                             .cache = NOT_KEPT };
    }
    return done;
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

static void answer_call(struct request *request, struct api_call *call,
                        const struct store_state *state)
{
    const char *type = call->type != NULL ? call->type : JSON_TYPE;
    if (request->route->kind == API_READ) {
        answer_kept(request, kept_add(request->server->kept, key_of(request, state),
                                      state->generation, call->out.bytes, call->out.length, type));
        return;
    }
    request->answer = (struct answer){ .status = call->location != NULL  ? 201
                                                 : call->out.length == 0 ? 204
                                                                         : 200,
                                       .type = type,
                                       .bytes = call->out.bytes,
                                       .size = call->out.length,
                                       .location = call->location,
                                       .cache = NOT_KEPT };
}

static bool run_call(struct request *request, const struct store_state *state, struct error *err)
{
    struct api_call call;
    fill_call(request, state, &call);
    if (request->body.length > 0 &&
        !body_read(request->arena,
                   (struct bytes){ (const uint8_t *)request->body.bytes, request->body.length },
                   &call.body, err)) {
        return false;
    }
    if (request->route->request == NULL && call.body != NULL && call.body->n_items > 0) {
        return error_set(err, ERROR_USAGE, "nothing may be sent to this address, or {}");
    }
    bool done = false;
    if (request->route->kind == API_SERVER) {
        call.server = request->server;
        call.house = request->house;
        call.key = request->key;
        done = request->route->handler(&call, err);
    } else {
        done = request->route->kind == API_READ ? run_read(request, &call, err)
                                                : run_write(request, &call, err);
    }
    if (done && call.out.cut) {
        return error_set(err, ERROR_TOO_LARGE, "the answer is larger than 64 MB; ask for less");
    }
    if (done) {
        answer_call(request, &call, state);
    }
    return done;
}

void request_work(struct request *request)
{
    struct store_state state;
    struct error err = { 0 };
    if (login_is_asked(request)) {
        login_answer(request);
        return;
    }
    bool done = store_look(request->house->store, &state, &err);
    if (done) {
        switch (request->route->kind) {
        case API_READ:
        case API_WRITE:
        case API_SERVER: done = run_call(request, &state, &err); break;
        case API_JOB: done = run_job(request, &state, &err); break;
        case API_EVENTS: done = run_events(request, &state, &err); break;
        }
    }
    if (!done && err.kind == ERROR_CONFLICT && request->version > 0) {
        /* The version that was seen isn't the one that is there. */
        request_refuse(request, 412, &err);
    } else if (!done) {
        refuse_kind(request, &err);
    }
}

void request_close(struct request *request)
{
    if (request->has_upload) {
        atomic_fetch_sub(&request->server->uploads, 1);
        if (request->upload.fd >= 0) {
            close(request->upload.fd);
        }
    }
    events_leave(request->answer.listener);
    kept_let_go(request->answer.kept);
    request->answer = (struct answer){ 0 };
}
