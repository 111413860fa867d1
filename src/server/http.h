/* server/http.h: the library that speaks HTTP (libmicrohttpd), and the threads that answer.
 *
 *     one thread speaks with every connection (epoll); what needs work goes to HTTP_WORKERS others
 *     while its connection sleeps
 *
 * Nobody may hold a connection for ever: one that is silent, sends its headers or its body too
 * slowly, or doesn't take its answer, is closed (`patience_s`). */
#ifndef SERVER_HTTP_H
#define SERVER_HTTP_H

#include "server/server.h"

#include <sys/socket.h>

#define HTTP_CONNECTIONS_MOST 100
#define HTTP_WORKERS          4
#define HTTP_PATIENCE_S       30

struct http_options {
    struct sockaddr_storage address;
    socklen_t address_size;
    int patience_s;
};

struct http;

/* Listens; *port is the one that was chosen.  Requests are answered after http_begin. */
MUST_USE bool http_open(const struct http_options *options, struct http **out, int *port,
                        struct error *err);
MUST_USE bool http_begin(struct http *http, struct server *server, struct error *err);

/* Once a second: closes who was too slow. */
void http_tick(struct http *http);

/* No new connections; waits for what is being answered, wait_s at most. */
void http_end(struct http *http, int wait_s);

/* After events have ended; NULL is accepted. */
void http_close(struct http *http);

#endif
