/* server/server.h: the parts of a server that runs, for those that make it up. */
#ifndef SERVER_SERVER_H
#define SERVER_SERVER_H

#include "server/access.h"
#include "server/events.h"
#include "server/example.h"
#include "server/kept.h"
#include "server/rereader.h"
#include "server/sessions.h"
#include "server/store.h"
#include "server/tasks.h"

#include <pthread.h>
#include <stdatomic.h>

#define SERVER_UPLOADS_MOST      2
#define SERVER_UPLOAD_BYTES_MOST 256000000

/* An answer that takes longer is a job; who can wait says so with Prefer: wait=SECONDS (RFC 7240,
 * section 4.3). */
#define SERVER_GLANCE_MS   50
#define SERVER_WAIT_S_MOST 30

/* A roster that is open, and who keeps its readings true. */
struct house {
    struct store *store; /* NULL = not opened yet */
    struct rereader *rereader;
    atomic_bool is_shown;
};

struct server {
    struct house own;     /* the coach's */
    struct house example; /* invented riders, opened when first asked for */
    _Atomic(struct house *) shown;
    pthread_mutex_t example_lock; /* while it is made and opened */
    example_maker *make_example;  /* NULL = nobody knows how */
    struct kept *kept;
    struct sessions *sessions;
    struct events *events;
    struct tasks *tasks;
    struct access_rules rules;
    char cookie[32]; /* its name holds the port: cookies don't know ports apart */
    bool is_beyond;  /* this machine: a password is asked, not the token */
    bool is_secure;  /* browsers see it through TLS: the cookie goes no other way */
    atomic_int uploads;
};

#endif
