/* server/http.c: the library that speaks HTTP, and the threads that answer. */
#include "server/http.h"

#include "base/clock.h"
#include "server/log.h"
#include "server/request.h"

#include <errno.h>
#include <microhttpd.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <time.h>
#include <unistd.h>

/* The rest of a body that is refused is taken up to this, so that the answer isn't lost in a reset
 * of the connection; and the slowest that bytes may come or go. */
static const int64_t DISCARDED_MOST = 1100000;
static const int64_t SLOWEST_BYTES_S = 10000;
static const size_t CONNECTION_MEMORY = 40000; /* headers in and out, and a piece of a body */

enum line_state {
    LINE_WAITS,   /* for the headers of a request */
    LINE_TAKES,   /* a body */
    LINE_WORKS,   /* asleep, until a worker is done */
    LINE_ANSWERS, /* until all is sent */
    LINE_LISTENS, /* to events, for as long as it likes */
};

/* A connection. */
struct line {
    struct http *http;
    int fd;
    enum line_state state;
    int64_t due_ms; /* closed when it is in the same state by then */
    struct line *before;
    struct line *after;
};

enum exchange_state { EXCHANGE_NEW, EXCHANGE_TAKES, EXCHANGE_DISCARDS, EXCHANGE_READY };

/* A request on its connection. */
struct exchange {
    struct http *http;
    struct line *line;
    struct MHD_Connection *connection;
    struct request request;
    enum exchange_state state;
    int64_t discarded;
    struct timespec began;
    struct exchange *next; /* in the queue */
};

struct http {
    struct server *server;
    struct MHD_Daemon *daemon;
    int socket;
    int64_t patience_ms;

    pthread_mutex_t lines_lock; /* both below */
    struct line *lines;
    size_t n_busy; /* lines that take, work or answer */

    pthread_mutex_t lock; /* all below */
    pthread_cond_t moved;
    struct exchange *first;
    struct exchange **last;
    bool is_closing;
    pthread_t workers[HTTP_WORKERS];
    size_t n_workers;
};

/* ---- connections, and how long each may take ---- */

static bool is_busy(enum line_state state)
{
    return state == LINE_TAKES || state == LINE_WORKS || state == LINE_ANSWERS;
}

/* bytes: how many are to come or go. */
static void line_goes_on(struct line *line, enum line_state state, int64_t bytes)
{
    struct http *http = line->http;
    pthread_mutex_lock(&http->lines_lock);
    http->n_busy -= is_busy(line->state) ? 1 : 0;
    http->n_busy += is_busy(state) ? 1 : 0;
    line->state = state;
    line->due_ms = clock_steady_ms() + http->patience_ms + 1000 * bytes / SLOWEST_BYTES_S;
    /* Silence is the library's to notice; here it is a request that comes byte by byte. */
    line->due_ms += state == LINE_WAITS ? http->patience_ms : 0;
    pthread_mutex_unlock(&http->lines_lock);
}

/* Of a body without a length each piece pays for the next. */
static void line_gets(struct line *line, int64_t bytes)
{
    pthread_mutex_lock(&line->http->lines_lock);
    line->due_ms += 1000 * bytes / SLOWEST_BYTES_S;
    pthread_mutex_unlock(&line->http->lines_lock);
}

static void line_open(struct http *http, struct MHD_Connection *connection, void **socket_context)
{
    struct line *line = calloc(1, sizeof *line);
    if (line == NULL) {
        abort();
    }
    line->http = http;
    line->fd = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD)->connect_fd;
    pthread_mutex_lock(&http->lines_lock);
    line->after = http->lines;
    if (http->lines != NULL) {
        http->lines->before = line;
    }
    http->lines = line;
    pthread_mutex_unlock(&http->lines_lock);
    line_goes_on(line, LINE_WAITS, 0);
    *socket_context = line;
}

static void line_close(struct line *line)
{
    struct http *http = line->http;
    pthread_mutex_lock(&http->lines_lock);
    http->n_busy -= is_busy(line->state) ? 1 : 0;
    if (line->before != NULL) {
        line->before->after = line->after;
    } else {
        http->lines = line->after;
    }
    if (line->after != NULL) {
        line->after->before = line->before;
    }
    pthread_mutex_unlock(&http->lines_lock);
    free(line);
}

static void notice_connection(void *context, struct MHD_Connection *connection,
                              void **socket_context, enum MHD_ConnectionNotificationCode code)
{
    if (code == MHD_CONNECTION_NOTIFY_STARTED) {
        line_open(context, connection, socket_context);
    } else if (*socket_context != NULL) {
        line_close(*socket_context);
        *socket_context = NULL;
    }
}

/* Under the lock a line isn't closed, so its descriptor is still its own. */
void http_tick(struct http *http)
{
    const int64_t now = clock_steady_ms();
    pthread_mutex_lock(&http->lines_lock);
    for (struct line *line = http->lines; line != NULL; line = line->after) {
        const bool may_be_late = line->state == LINE_WORKS || line->state == LINE_LISTENS;
        if (!may_be_late && now > line->due_ms) {
            shutdown(line->fd, SHUT_RDWR);
        }
    }
    pthread_mutex_unlock(&http->lines_lock);
}

/* ---- listeners ---- */

static void put_to_sleep(void *context)
{
    MHD_suspend_connection(((struct exchange *)context)->connection);
}

static void wake_up(void *context)
{
    MHD_resume_connection(((struct exchange *)context)->connection);
}

/* The browser has shut its end: there is nothing to read and never will be. */
static bool is_gone(void *context)
{
    const union MHD_ConnectionInfo *info = MHD_get_connection_info(
        ((struct exchange *)context)->connection, MHD_CONNECTION_INFO_CONNECTION_FD);
    char byte = 0;
    if (info == NULL) {
        return false;
    }
    const ssize_t n = recv(info->connect_fd, &byte, 1, MSG_PEEK | MSG_DONTWAIT);
    return n == 0 || (n < 0 && errno != EAGAIN && errno != EWOULDBLOCK && errno != EINTR);
}

static const struct listener_calls listener_calls = { put_to_sleep, wake_up, is_gone };

static ssize_t read_events(void *context, uint64_t position, char *out, size_t room)
{
    (void)position;
    const ssize_t n = events_take(context, out, room);
    return n < 0 ? MHD_CONTENT_READER_END_OF_STREAM : n;
}

/* ---- answers ---- */

static void let_kept_go(void *context)
{
    kept_let_go(context);
}

static struct MHD_Response *make_response(struct answer *answer)
{
    if (answer->listener != NULL) {
        return MHD_create_response_from_callback(MHD_SIZE_UNKNOWN, 4096, read_events,
                                                 answer->listener, NULL);
    }
    if (answer->kept != NULL && answer->size > 0) {
        struct kept_answer *kept = answer->kept;
        answer->kept = NULL; /* the response holds it */
        return MHD_create_response_from_buffer_with_free_callback_cls(kept->size, kept->bytes,
                                                                      let_kept_go, kept);
    }
    /* The arena lives until the exchange is over; the library doesn't write here. */
    return MHD_create_response_from_buffer(answer->size, (void *)(uintptr_t)answer->bytes,
                                           MHD_RESPMEM_PERSISTENT);
}

static void add(struct MHD_Response *response, const char *name, const char *value)
{
    if (value != NULL) {
        (void)MHD_add_response_header(response, name, value);
    }
}

/* With every answer.  Sources: Content Security Policy Level 3; the HTML and Fetch Standards. */
static void add_shields(struct MHD_Response *response)
{
    static const char *const shields[][2] = {
        { "Content-Security-Policy",
          "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
          "font-src 'self'; connect-src 'self'; manifest-src 'self'; form-action 'self'; "
          "base-uri 'none'; frame-ancestors 'none'" },
        { "X-Content-Type-Options", "nosniff" },
        { "Referrer-Policy", "no-referrer" },
        { "Cross-Origin-Opener-Policy", "same-origin" },
        { "Cross-Origin-Resource-Policy", "same-origin" },
        { "Cross-Origin-Embedder-Policy", "require-corp" },
        { "Permissions-Policy", "camera=(), microphone=(), geolocation=(), usb=(), payment=()" },
        { "X-Frame-Options", "DENY" },
    };
    for (size_t i = 0; i < sizeof shields / sizeof shields[0]; i++) {
        add(response, shields[i][0], shields[i][1]);
    }
}

static enum MHD_Result respond(struct exchange *exchange)
{
    struct answer *answer = &exchange->request.answer;
    const bool listens = answer->listener != NULL;
    const int64_t size = (int64_t)answer->size;
    struct MHD_Response *response = make_response(answer);
    char seconds[16];
    if (response == NULL) {
        return MHD_NO;
    }
    add(response, "Content-Type", answer->status == 204 ? NULL : answer->type);
    add(response, "ETag", answer->etag);
    add(response, "Location", answer->location);
    add(response, "Set-Cookie", answer->set_cookie);
    add(response, "Allow", answer->allow);
    add(response, "Cache-Control", answer->cache);
    add(response, "Content-Encoding", answer->is_gzip ? "gzip" : NULL);
    add(response, "Vary", answer->varies ? "Accept-Encoding" : NULL);
    snprintf(seconds, sizeof seconds, "%d", answer->retry_after_s);
    add(response, "Retry-After", answer->retry_after_s > 0 ? seconds : NULL);
    add(response, "Connection", answer->closes ? "close" : NULL);
    add_shields(response);
    line_goes_on(exchange->line, listens ? LINE_LISTENS : LINE_ANSWERS, size);
    const enum MHD_Result queued =
        MHD_queue_response(exchange->connection, (unsigned)answer->status, response);
    MHD_destroy_response(response);
    return queued;
}

/* ---- a request, from its first line to its end ---- */

static void *notice_address(void *context, const char *address, struct MHD_Connection *connection)
{
    struct http *http = context;
    struct exchange *exchange = calloc(1, sizeof *exchange);
    if (exchange == NULL) {
        abort();
    }
    struct request *request = &exchange->request;
    exchange->http = http;
    exchange->connection = connection;
    exchange->line =
        MHD_get_connection_info(connection, MHD_CONNECTION_INFO_SOCKET_CONTEXT)->socket_context;
    clock_gettime(CLOCK_MONOTONIC, &exchange->began);
    request->server = http->server;
    request->house = atomic_load(&http->server->shown);
    request->arena = arena_open();
    /* A longer one is refused by the router; the headers' cap bounds it. */
    request->address = arena_string(request->arena, address);
    return exchange;
}

static enum MHD_Result take_header(void *context, enum MHD_ValueKind kind, const char *name,
                                   const char *value)
{
    struct request_headers *headers = context;
    const struct {
        const char *name;
        const char **into;
    } rows[] = {
        { "Host", &headers->access.host },
        { "Origin", &headers->access.origin },
        { "Sec-Fetch-Site", &headers->access.fetch_site },
        { "Content-Type", &headers->access.content_type },
        { "Cookie", &headers->cookie },
        { "If-Match", &headers->if_match },
        { "If-None-Match", &headers->if_none_match },
        { "Accept-Encoding", &headers->accept_encoding },
        { "Prefer", &headers->prefer },
    };
    (void)kind;
    const char *text = value == NULL ? "" : value;
    headers->bytes += strlen(name) + strlen(text) + 4;
    headers->access.n_hosts += strcasecmp(name, "Host") == 0 ? 1 : 0;
    if (strcasecmp(name, "Transfer-Encoding") == 0) {
        headers->is_chunked = true;
        headers->access.has_body = true;
    }
    if (strcasecmp(name, "Content-Length") == 0) {
        /* The library has refused what is no number. */
        headers->n_lengths++;
        headers->length = strtoll(text, NULL, 10);
        headers->access.has_body = headers->access.has_body || headers->length > 0;
    }
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (strcasecmp(name, rows[i].name) == 0) {
            *rows[i].into = text;
        }
    }
    return MHD_YES;
}

static enum MHD_Result begin(struct exchange *exchange, const char *method)
{
    struct request *request = &exchange->request;
    request->headers.length = -1;
    request->method = strcmp(method, "HEAD") == 0 ? "GET" : arena_string(request->arena, method);
    request->connection = exchange;
    request->listener_calls = &listener_calls;
    MHD_get_connection_values(exchange->connection, MHD_HEADER_KIND, take_header,
                              &request->headers);
    const struct request_headers *headers = &request->headers;
    line_goes_on(exchange->line, LINE_TAKES, headers->length > 0 ? headers->length : 0);
    request_begin(request);
    const bool is_refused = request->answer.status != 0;
    if (is_refused && headers->access.has_body && headers->length > DISCARDED_MOST) {
        exchange->state = EXCHANGE_READY;
        return respond(exchange);
    }
    exchange->state = is_refused ? EXCHANGE_DISCARDS : EXCHANGE_TAKES;
    return MHD_YES;
}

static enum MHD_Result take(struct exchange *exchange, const char *bytes, size_t *n)
{
    if (exchange->request.headers.length < 0) {
        line_gets(exchange->line, (int64_t)*n);
    }
    if (exchange->state == EXCHANGE_TAKES && !request_take(&exchange->request, bytes, *n)) {
        exchange->state = EXCHANGE_DISCARDS;
    }
    if (exchange->state == EXCHANGE_DISCARDS) {
        exchange->discarded += (int64_t)*n;
    }
    *n = 0;
    /* Of a length that was told, the rest is bounded; of one that wasn't, not. */
    return exchange->discarded > DISCARDED_MOST && exchange->request.headers.length < 0 ? MHD_NO
                                                                                        : MHD_YES;
}

static void hand_over(struct exchange *exchange)
{
    struct http *http = exchange->http;
    line_goes_on(exchange->line, LINE_WORKS, 0);
    exchange->state = EXCHANGE_READY;
    MHD_suspend_connection(exchange->connection);
    pthread_mutex_lock(&http->lock);
    exchange->next = NULL;
    *http->last = exchange;
    http->last = &exchange->next;
    pthread_cond_signal(&http->moved);
    pthread_mutex_unlock(&http->lock);
}

static enum MHD_Result answer_request(void *context, struct MHD_Connection *connection,
                                      const char *url, const char *method, const char *version,
                                      const char *bytes, size_t *n, void **exchange_context)
{
    struct exchange *exchange = *exchange_context;
    (void)context;
    (void)connection;
    (void)url;
    (void)version;
    if (exchange->state == EXCHANGE_NEW) {
        return begin(exchange, method);
    }
    if (*n > 0) {
        return take(exchange, bytes, n);
    }
    if (exchange->state == EXCHANGE_TAKES && !request_quick(&exchange->request)) {
        hand_over(exchange);
        return MHD_YES;
    }
    return respond(exchange);
}

static void notice_end(void *context, struct MHD_Connection *connection, void **exchange_context,
                       enum MHD_RequestTerminationCode code)
{
    struct exchange *exchange = *exchange_context;
    struct timespec now = { 0 };
    (void)context;
    (void)connection;
    (void)code;
    if (exchange == NULL) {
        return;
    }
    struct request *request = &exchange->request;
    clock_gettime(CLOCK_MONOTONIC, &now);
    if (request->method != NULL) {
        log_request(request->method, request->label, request->answer.status,
                    1e3 * (double)(now.tv_sec - exchange->began.tv_sec) +
                        1e-6 * (double)(now.tv_nsec - exchange->began.tv_nsec));
    }
    line_goes_on(exchange->line, LINE_WAITS, 0);
    request_close(request);
    arena_close(request->arena);
    free(exchange);
    *exchange_context = NULL;
}

/* ---- workers ---- */

static void *worker(void *context)
{
    struct http *http = context;
    pthread_mutex_lock(&http->lock);
    for (;;) {
        struct exchange *exchange = http->first;
        if (exchange == NULL && http->is_closing) {
            break;
        }
        if (exchange == NULL) {
            pthread_cond_wait(&http->moved, &http->lock);
            continue;
        }
        http->first = exchange->next;
        http->last = http->first == NULL ? &http->first : http->last;
        pthread_mutex_unlock(&http->lock);
        struct MHD_Connection *connection = exchange->connection;
        request_work(&exchange->request);
        MHD_resume_connection(connection); /* the exchange is the other thread's again */
        pthread_mutex_lock(&http->lock);
    }
    pthread_mutex_unlock(&http->lock);
    return NULL;
}

/* ---- opening and closing ---- */

struct http *http_open(int socket, int patience_s)
{
    struct http *http = calloc(1, sizeof *http);
    if (http == NULL) {
        abort();
    }
    http->socket = socket;
    http->patience_ms = 1000 * (int64_t)patience_s;
    http->last = &http->first;
    pthread_mutex_init(&http->lines_lock, NULL);
    pthread_mutex_init(&http->lock, NULL);
    pthread_cond_init(&http->moved, NULL);
    return http;
}

/* Addresses are decoded by the router, after they were taken apart. */
static size_t leave_as_it_is(void *context, struct MHD_Connection *connection, char *text)
{
    (void)context;
    (void)connection;
    return strlen(text);
}

/* What a client did wrong is told to the client. */
static void say_nothing(void *context, const char *format, va_list args)
{
    (void)context;
    (void)format;
    (void)args;
}

bool http_begin(struct http *http, struct server *server, struct error *err)
{
    http->server = server;
    while (http->n_workers < HTTP_WORKERS &&
           pthread_create(&http->workers[http->n_workers], NULL, worker, http) == 0) {
        http->n_workers++;
    }
    if (http->n_workers == 0) {
        return error_set(err, ERROR_INTERNAL, "no thread could be started; try again");
    }
    http->daemon = MHD_start_daemon(
        MHD_USE_EPOLL_INTERNAL_THREAD | MHD_ALLOW_SUSPEND_RESUME | MHD_USE_ERROR_LOG, 0, NULL, NULL,
        answer_request, http, MHD_OPTION_EXTERNAL_LOGGER, say_nothing, NULL,
        MHD_OPTION_LISTEN_SOCKET, http->socket, MHD_OPTION_CONNECTION_LIMIT,
        (unsigned)HTTP_CONNECTIONS_MOST, MHD_OPTION_CONNECTION_TIMEOUT,
        (unsigned)(http->patience_ms / 1000), MHD_OPTION_CONNECTION_MEMORY_LIMIT, CONNECTION_MEMORY,
        MHD_OPTION_NOTIFY_CONNECTION, notice_connection, http, MHD_OPTION_URI_LOG_CALLBACK,
        notice_address, http, MHD_OPTION_NOTIFY_COMPLETED, notice_end, NULL,
        MHD_OPTION_UNESCAPE_CALLBACK, leave_as_it_is, NULL, MHD_OPTION_STRICT_FOR_CLIENT, 1,
        MHD_OPTION_END);
    return http->daemon != NULL ||
           error_set(err, ERROR_INTERNAL, "the server could not be started; try again");
}

static size_t busy(struct http *http)
{
    pthread_mutex_lock(&http->lines_lock);
    const size_t n = http->n_busy;
    pthread_mutex_unlock(&http->lines_lock);
    return n;
}

void http_end(struct http *http, int wait_s)
{
    const int64_t due = clock_steady_ms() + 1000 * (int64_t)wait_s;
    if (http->daemon != NULL && MHD_quiesce_daemon(http->daemon) >= 0) {
        close(http->socket);
        http->socket = -1;
    }
    while (busy(http) > 0 && clock_steady_ms() < due) {
        const struct timespec nap = { .tv_nsec = 10000000 };
        nanosleep(&nap, NULL);
    }
}

void http_close(struct http *http)
{
    if (http == NULL) {
        return;
    }
    pthread_mutex_lock(&http->lock);
    http->is_closing = true;
    pthread_cond_broadcast(&http->moved);
    pthread_mutex_unlock(&http->lock);
    for (size_t i = 0; i < http->n_workers; i++) {
        pthread_join(http->workers[i], NULL); /* after them no connection of ours is asleep */
    }
    if (http->daemon != NULL) {
        MHD_stop_daemon(http->daemon);
    }
    if (http->socket >= 0) {
        close(http->socket);
    }
    pthread_cond_destroy(&http->moved);
    pthread_mutex_destroy(&http->lock);
    pthread_mutex_destroy(&http->lines_lock);
    free(http);
}
