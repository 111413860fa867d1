/* server/serve.h: a server from its start to its end.
 *
 *     serve_open ──> the address, to be printed ──> serve_run, until a signal ──> serve_close
 *
 * Opens nothing beyond this machine unless told to: then the roster must have a password, and the
 * token lets nobody in. */
#ifndef SERVER_SERVE_H
#define SERVER_SERVE_H

#include "base/arena.h"
#include "base/error.h"
#include "server/example.h"

/* What the command line gives when nothing else is said. */
#define SERVE_PORT       8177
#define SERVE_PATIENCE_S 30

struct serve_options {
    const char *place;  /* of the roster */
    const char *today;  /* NULL = the roster's own, else the machine's */
    const char *listen; /* an address of this machine, in digits; NULL = 127.0.0.1 */
    const char *name;   /* under which browsers reach it through TLS; NULL = by the address */
    int port;           /* 0 = a free one */
    int patience_s;     /* with slow requests */
    bool log_json;
    example_maker *make_example;
};

struct serve;

/* Signals that end it (SIGINT, SIGTERM) are held back from here on, until serve_run waits for them.
 */
MUST_USE bool serve_open(const struct serve_options *options, struct serve **out,
                         struct error *err);

/* Where a browser gets in, with the one-time token if there is one. */
const char *serve_address(const struct serve *serve);

/* Until SIGINT or SIGTERM: then what is being answered is answered, and jobs are given back. */
void serve_run(struct serve *serve);

void serve_close(struct serve *serve); /* NULL is accepted */

#endif
