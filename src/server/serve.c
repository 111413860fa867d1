/* server/serve.c: a server from its start to its end. */
#include "server/serve.h"

#include "roster/given_files.h"
#include "roster/password.h"
#include "server/http.h"
#include "server/listen.h"
#include "server/log.h"

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

/* How long what is being answered may still take when it is to end. */
static const int END_WAIT_S = 10;
/* Beyond this machine a browser that was left open is no way in for ever. */
static const int64_t IDLE_S = 12 * 3600;

struct serve {
    struct arena *arena;
    struct server server;
    struct http *http;
    const char *address;
    char password[129]; /* that sessions were begun with */
    sigset_t signals;
    sigset_t before;
};

/* ---- where it listens, and how it is called ---- */

static void add_name(struct serve *serve, const char *scheme, const char *host)
{
    struct access_rules *rules = &serve->server.rules;
    rules->hosts[rules->n_hosts++] = host;
    rules->origins[rules->n_origins++] = arena_format(serve->arena, "%s://%s", scheme, host);
}

static bool is_sound_name(const char *name)
{
    return name[0] != '\0' && strlen(name) < 250 &&
           name[strspn(name, "abcdefghijklmnopqrstuvwxyz0123456789.-:")] == '\0';
}

/* By which names browsers may call it. */
static bool set_names(struct serve *serve, const struct serve_options *options, int port,
                      bool is_loopback, struct error *err)
{
    const char *listen = options->listen == NULL ? "127.0.0.1" : options->listen;
    const bool is_six = strchr(listen, ':') != NULL;
    const bool is_any = strcmp(listen, "0.0.0.0") == 0 || strcmp(listen, "::") == 0;
    if (options->name != NULL) {
        if (!is_sound_name(options->name)) {
            return error_set(err, ERROR_USAGE,
                             "--name %.60s: is no name of a host; write it in small letters",
                             options->name);
        }
        add_name(serve, "https", options->name);
        return true;
    }
    if (is_any) {
        return error_set(err, ERROR_USAGE,
                         "--listen %s: say with --name how browsers call this machine", listen);
    }
    add_name(serve, "http", arena_format(serve->arena, is_six ? "[%s]:%d" : "%s:%d", listen, port));
    if (is_loopback) {
        add_name(serve, "http", arena_format(serve->arena, "localhost:%d", port));
    }
    return true;
}

static bool password_is_set(struct serve *serve, const struct serve_options *options,
                            struct error *err)
{
    struct store_state state;
    if (!store_look(serve->server.own.store, &state, err)) {
        return false;
    }
    memcpy(serve->password, state.password, sizeof serve->password);
    return state.password[0] != '\0' ||
           error_set(err, ERROR_DENIED,
                     "%s %s: beyond this machine a password is needed: plumbline password",
                     options->name != NULL ? "--name" : "--listen",
                     options->name != NULL ? options->name : options->listen);
}

static void set_address(struct serve *serve)
{
    struct server *server = &serve->server;
    char token[ACCESS_KEY_SIZE];
    sessions_token(server->sessions, token);
    serve->address = server->is_beyond ? arena_format(serve->arena, "%s/", server->rules.origins[0])
                                       : arena_format(serve->arena, "%s/?token=%s",
                                                      server->rules.origins[0], token);
}

/* ---- start and end ---- */

/* Files of sessions that a killed program left.  The log names none: it may be shown to others. */
static bool finish_given(struct serve *serve, struct error *err)
{
    struct given_left left;
    struct store *store = serve->server.own.store;
    struct roster *writer = store_writer(store);
    const bool done = given_files_finish(writer, serve->arena, NULL, &left, err);
    store_writer_back(store);
    if (done && left.put > 0) {
        log_info("files of sessions put in their places, where a program was stopped before: %zu",
                 left.put);
    }
    if (done && left.taken_away > 0) {
        log_info("files of sessions that were never given, taken away: %zu", left.taken_away);
    }
    if (done && left.in_trouble > 0) {
        log_error("files of sessions given that can't be put in their places: %zu; plumbline "
                  "roster says which",
                  left.in_trouble);
    }
    return done;
}

static bool start(struct serve *serve, const struct serve_options *options, struct error *err)
{
    struct server *server = &serve->server;
    bool is_loopback = false;
    int port = options->port;
    int fd = -1;
    if (!store_open(options->place, options->today, &server->own.store, err) ||
        !listen_open(options->listen == NULL ? "127.0.0.1" : options->listen, &port, &fd,
                     &is_loopback, err)) {
        return false;
    }
    serve->http = http_open(fd, options->patience_s);
    server->is_beyond = !is_loopback || options->name != NULL;
    server->is_secure = options->name != NULL;
    if ((server->is_beyond && !password_is_set(serve, options, err)) ||
        !set_names(serve, options, port, is_loopback, err)) {
        return false;
    }
    snprintf(server->cookie, sizeof server->cookie, "plumbline-%d", port);
    if (!finish_given(serve, err)) {
        return false;
    }
    server->kept = kept_open();
    server->sessions = sessions_open(server->is_beyond ? IDLE_S : 0);
    server->events = events_open();
    server->tasks = tasks_open(server->events);
    atomic_init(&server->own.is_shown, true);
    atomic_init(&server->example.is_shown, false);
    atomic_init(&server->shown, &server->own);
    server->own.rereader = rereader_open(server->own.store, server->events, &server->own.is_shown);
    set_address(serve);
    return http_begin(serve->http, server, err);
}

bool serve_open(const struct serve_options *options, struct serve **out, struct error *err)
{
    struct serve *serve = calloc(1, sizeof *serve);
    if (serve == NULL) {
        abort();
    }
    serve->arena = arena_open();
    log_begin(options->log_json);
    atomic_init(&serve->server.uploads, 0);
    pthread_mutex_init(&serve->server.example_lock, NULL);
    serve->server.make_example = options->make_example;
    /* Every thread inherits it: signals come to serve_run alone. */
    sigemptyset(&serve->signals);
    sigaddset(&serve->signals, SIGINT);
    sigaddset(&serve->signals, SIGTERM);
    pthread_sigmask(SIG_BLOCK, &serve->signals, &serve->before);
    if (!start(serve, options, err)) {
        serve_close(serve);
        return false;
    }
    *out = serve;
    return true;
}

const char *serve_address(const struct serve *serve)
{
    return serve->address;
}

/* Who was let in by a password that isn't asked any more must give the new one. */
static void end_old_sessions(struct serve *serve)
{
    struct store_state state;
    struct error err = { 0 };
    if (serve->server.is_beyond && store_look(serve->server.own.store, &state, &err) &&
        strcmp(state.password, serve->password) != 0) {
        memcpy(serve->password, state.password, sizeof serve->password);
        sessions_end(serve->server.sessions, NULL);
    }
}

void serve_run(struct serve *serve)
{
    const struct timespec second = { .tv_sec = 1 };
    struct server *server = &serve->server;
    for (int beat = 1; sigtimedwait(&serve->signals, NULL, &second) < 0; beat++) {
        http_tick(serve->http);
        end_old_sessions(serve);
        if (beat % EVENTS_BEAT_S == 0) {
            events_beat(server->events);
        }
    }
    log_info("ending: what is being answered is answered first");
    /* Another signal ends it at once. */
    pthread_sigmask(SIG_SETMASK, &serve->before, NULL);
    events_end(server->events, 0);
    http_end(serve->http, END_WAIT_S);
}

void serve_close(struct serve *serve)
{
    if (serve == NULL) {
        return;
    }
    struct server *server = &serve->server;
    if (server->events != NULL) {
        events_end(server->events, 0);
    }
    http_close(serve->http);
    tasks_close(server->tasks);
    rereader_close(server->own.rereader);
    rereader_close(server->example.rereader);
    events_close(server->events);
    sessions_close(server->sessions);
    kept_close(server->kept);
    store_close(server->own.store);
    store_close(server->example.store);
    pthread_mutex_destroy(&server->example_lock);
    pthread_sigmask(SIG_SETMASK, &serve->before, NULL);
    arena_close(serve->arena);
    free(serve);
}
