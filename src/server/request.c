/* server/request.c: from a request to its answer. */
#include "server/request_parts.h"

#include "base/clock.h"
#include "server/log.h"
#include "server/login.h"
#include "server/pages.h"
#include "server/problem.h"
#include "server/upload.h"

#include <string.h>
#include <unistd.h>

/* A page and an answer with riders in it are kept by no browser on disk: the roster alone is. */
static const char NOT_KEPT[] = "no-store";
static const char ASKED_AGAIN[] = "no-cache";
static const char FOR_EVER[] = "public, max-age=31536000, immutable";

static const char HTML_TYPE[] = "text/html; charset=utf-8";

/* ---- answers ---- */

void request_answer_page(struct request *request, int status, const struct text *page)
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
    const char *place = store_said_place(request->house->store);
    if (request->is_api) {
        problem_write(&out, status, err, place);
        request->answer = (struct answer){ .type = "application/problem+json",
                                           .bytes = out.bytes,
                                           .size = out.length };
    } else {
        pages_problem(&out, status, problem_detail(request->arena, err, place));
        request_answer_page(request, status, &out);
    }
    request->answer.status = status;
    request->answer.cache = NOT_KEPT;
    request->answer.retry_after_s = status == 503 ? 2 : 0;
}

void request_refuse_kind(struct request *request, const struct error *err)
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

void request_go_to(struct request *request, const char *location, const char *key)
{
    const struct server *server = request->server;
    request->answer = (struct answer){
        .status = 303, .type = HTML_TYPE, .bytes = "", .location = location, .cache = NOT_KEPT
    };
    if (key != NULL) {
        request->answer.set_cookie =
            arena_format(request->arena, "%s=%s; Path=/; HttpOnly; SameSite=Strict%s",
                         server->cookie, key, server->is_secure ? "; Secure" : "");
    }
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
    const size_t before = ROUTER_PREFIX_PARTS;
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
        !sessions_know(server->sessions, key, clock_steady_s())) {
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
        /* It is let in already: the token is for somebody else. */
        request_go_to(request, "/", NULL);
    } else if (!server->is_beyond &&
               sessions_spend(server->sessions, query->items[0].value, clock_steady_s(), key)) {
        request_go_to(request, "/", key);
    } else {
        struct text out = text_begin(request->arena, 8000);
        pages_no_way_in(&out, true);
        request_answer_page(request, 401, &out);
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
        request_answer_page(request, 401, &out);
    } else {
        pages_no_way_in(&out, false);
        request_answer_page(request, 401, &out);
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
        request_refuse_kind(request, &err);
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
        request_refuse_kind(request, &err);
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
        request_refuse_kind(request, &err);
    }
    return taken;
}

/* ---- pages and their parts ---- */

static void answer_asset(struct request *request, const struct asset *asset)
{
    struct answer answer = { .status = 200,
                             .type = asset->type,
                             .etag = asset->etag,
                             .varies = true,
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
        request_refuse_kind(request, &err);
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
        request_answer_page(request, 200, &out);
    } else {
        refuse_words(request, 404, ERROR_NOT_FOUND, "there is no such address");
    }
}

/* ---- what is kept ---- */

void request_answer_kept(struct request *request, struct kept_answer *kept)
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

/* Whatever the zone, a day begins at a quarter of an hour. */
const char *request_key(const struct request *request, const struct store_state *state)
{
    static const int64_t QUARTER_S = 900;
    const bool of_moment = (request->route->flags & API_OF_THE_MOMENT) != 0;
    return arena_format(request->arena, "%p %s %lld %s", (const void *)request->house->store,
                        state->today, (long long)(of_moment ? store_now().utc_s / QUARTER_S : 0),
                        request->address);
}

bool request_look(struct request *request, struct error *err)
{
    request->is_looked =
        request->is_looked || store_look(request->house->store, &request->state, err);
    return request->is_looked;
}

static bool answer_if_kept(struct request *request)
{
    struct error err = { 0 };
    if (!request_look(request, &err)) {
        request_refuse_kind(request, &err);
        return true;
    }
    const char *key = request_key(request, &request->state);
    struct kept_answer *kept = kept_find(request->server->kept, key, request->state.generation);
    if (kept != NULL) {
        request_answer_kept(request, kept);
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
