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

#define HTTP_CONNECTIONS_MOST 100
#define HTTP_WORKERS          4

struct http;

/* Takes a socket that listens (server/listen.h); requests are answered after http_begin. */
struct http *http_open(int socket, int patience_s);
MUST_USE bool http_begin(struct http *http, struct server *server, struct error *err);

/* Once a second: closes who was too slow. */
void http_tick(struct http *http);

/* No new connections; waits for what is being answered, wait_s at most. */
void http_end(struct http *http, int wait_s);

/* After events have ended; NULL is accepted. */
void http_close(struct http *http);

#endif
