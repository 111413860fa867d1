/* server/api.h: what a handler of the API gets, and the table of routes.
 *
 *     bool rider_answer(struct api_call *call, struct error *err)
 *     {
 *         struct rider rider = { 0 };
 *         if (!riders_find(call->roster, call->arena, api_path(call, "rider"), &rider, err)) ...
 *         struct json json = json_begin(&call->out);
 *         ...
 *     }
 *
 * A handler knows nothing of HTTP: it fills call->out, or fails with an error whose kind becomes
 * the status (docs/api.md).  Same store, same call, same bytes: an answer to a read is kept until
 * the roster changes.  One that rests on call->now as well says so by API_OF_THE_MOMENT.
 *
 *     API_READ   inside one db_read, on a handle of its own: must not write; may be called again
 *                from the start, so it keeps nothing but what it puts in the call.  One that isn't
 *                there within SERVER_GLANCE_MS becomes a job (202), unless API_AT_ONCE; who goes
 *                through many riders or rides tells how far it is with task_goes_on.  One with a
 *                body (POST) is API_AT_ONCE, and its answer isn't kept
 *     API_WRITE  with the one writer, which no other request has meanwhile; uses the calls of
 *                roster/ that make one db_write each.  Rides that it makes old are read again in
 *                the background afterwards: there is nothing to do for that
 *     API_JOB    in a thread of its own after the answer 202 with the job's address; with a handle
 *                of its own.  Tells how far it is (server/tasks.h), asks whether it should stop,
 *                and what it puts in call->out becomes "result" of the job */
#ifndef SERVER_API_H
#define SERVER_API_H

#include "base/text.h"
#include "roster/roster.h"
#include "server/body.h"

struct task;   /* server/tasks.h */
struct server; /* server/server.h: for what is asked of the server itself */
struct house;

/* A part of the path or of the query, decoded: well-formed UTF-8 without control characters. */
struct api_word {
    const char *name;
    const char *value;
};

struct api_words {
    const struct api_word *items; /* [n] */
    size_t n;
};

/* A file that came as the body of a request: open, without a name on disk. */
struct api_upload {
    int fd; /* at its beginning; closed by the caller */
    int64_t size;
};

struct api_call {
    struct arena *arena;
    struct roster *roster;
    const char *place; /* of the roster, for opening it once more */
    struct roster_now now;
    char today[11];            /* the day to stand on: nothing dated later is used */
    bool today_is_own;         /* an example's own, or named by --today: not the machine's */
    struct api_words path;     /* of "riders/{rider}/notes/{note}": rider, note */
    struct api_words query;    /* a name comes at most once, and the route knows it */
    const struct body *body;   /* NULL = none came */
    int64_t version;           /* If-Match: the row version that was seen; 0 = none was named.  A
                                  handler that found it to be the one that is there makes it 0: what
                                  conflicts then is something else (409, not 412) */
    struct api_upload *upload; /* of a route with takes_file; else NULL */
    struct task *task;         /* of a job, also of a read that may become one; else NULL */
    struct server *server;     /* API_SERVER, API_JOB; else NULL */
    struct house *house;       /* API_SERVER: whose roster is shown */
    const char *key;           /* API_SERVER: of the session that asks */

    /* The answer. */
    struct text out;
    const char *type;     /* NULL = application/json */
    const char *location; /* of what was made ("/api/1/riders/3"): the status is then 201; NULL */
};

typedef bool api_handler(struct api_call *call, struct error *err);

enum api_kind {
    API_READ,
    API_WRITE,
    API_JOB,
    API_SERVER, /* about the server itself: no roster in the call */
    API_EVENTS, /* a stream of server-sent events; no handler */
};

/* Flags of a route. */
enum {
    API_OF_THE_MOMENT = 1, /* rests on the moment (call->now) too: kept for a quarter of an hour */
    API_NEEDS_VERSION = 2, /* without If-Match it is refused (428) */
    API_TAKES_FILE = 4,    /* the body is a file's bytes, not JSON */
    API_AT_ONCE = 8,       /* a read of a few rows, however large the roster: never a job */
};

struct api_route {
    const char *method;  /* "GET", "POST", "PUT", "DELETE" */
    const char *pattern; /* after /api/1/: "riders/{rider}/notes/{note}" */
    enum api_kind kind;
    int flags;
    api_handler *handler;
    const char *query;   /* names that may stand in the query, parted by blanks; NULL = none */
    const char *request; /* schema of the body in api/openapi.yaml; NULL = no body is taken */
    const char *answer;  /* schema of the answer */
};

extern const struct api_route api_routes[];
extern const size_t api_route_count;

/* A part of the path: a name of the route's own pattern.  Never NULL. */
const char *api_path(const struct api_call *call, const char *name);

/* A part of the path that is an id: false (ERROR_NOT_FOUND) unless it is a whole number from 1. */
MUST_USE bool api_path_id(const struct api_call *call, const char *name, int64_t *out,
                          struct error *err);

/* A name of the query; NULL if it isn't there. */
const char *api_query(const struct api_call *call, const char *name);

/* Whether it says NAME=true. */
bool api_query_is_true(const struct api_call *call, const char *name);

/* A whole number of the query in lowest..highest, both included; one that isn't there leaves *out
 * as it was.  A day likewise.  Else ERROR_USAGE. */
MUST_USE bool api_query_number(const struct api_call *call, const char *name, int64_t lowest,
                               int64_t highest, int64_t *out, struct error *err);
MUST_USE bool api_query_day(const struct api_call *call, const char *name, const char **out,
                            struct error *err);

#endif
