/* server/request.h: from a request to its answer.  Knows HTTP, but not the library that speaks it.
 *
 *     request_begin ──> answered already (refused), or wants its body
 *     request_take      pieces of the body
 *     request_quick ──> answered, if it needs no work: pages, what is kept, refusals
 *     request_work      in a thread that may take its time
 *     request_close */
#ifndef SERVER_REQUEST_H
#define SERVER_REQUEST_H

#include "server/assets.h"
#include "server/router.h"
#include "server/server.h"

#define REQUEST_HEADER_BYTES_MOST 16000u

struct request_headers {
    struct access_headers access;
    const char *cookie; /* NULL = none, as all below */
    const char *if_match;
    const char *if_none_match;
    const char *accept_encoding;
    const char *prefer;
    int64_t length; /* Content-Length; -1 = none */
    size_t n_lengths;
    bool is_chunked;
    size_t bytes; /* of all headers */
};

struct answer {
    int status; /* 0 = there is none yet */
    const char *type;
    const char *bytes; /* in the request's arena, or for ever */
    size_t size;
    struct kept_answer *kept;  /* holds the bytes instead; NULL = none */
    struct listener *listener; /* the bytes come by and by; NULL = none */
    const char *etag;
    const char *location;
    const char *set_cookie;
    const char *allow;
    const char *cache; /* Cache-Control */
    bool is_gzip;
    bool varies;       /* with Accept-Encoding */
    int retry_after_s; /* 0 = not said */
    bool closes;       /* the connection, afterwards */
};

enum request_wants { REQUEST_WANTS_NOTHING, REQUEST_WANTS_BODY, REQUEST_WANTS_FILE };

struct request {
    struct server *server;
    struct house *house; /* the roster that was shown when it came */
    struct arena *arena;
    const char *method; /* HEAD is GET here */
    const char *address;
    struct request_headers headers;
    void *connection; /* for listeners: what is put to sleep */
    const struct listener_calls *listener_calls;

    struct router_address parts;
    enum access_kind kind;
    bool is_api;
    const struct api_route *route; /* NULL = not of the API */
    struct api_words path;
    int64_t version;
    char key[ACCESS_KEY_SIZE]; /* of the session; "" = none */
    enum request_wants wants;
    struct store_state state; /* when it was looked at, once a request */
    bool is_looked;
    struct text body;
    struct api_upload upload;
    bool has_upload;
    const char *label; /* for the log */
    struct answer answer;
};

/* With the headers filled in. */
void request_begin(struct request *request);

/* False once it is refused: the answer says why, and the rest of the body isn't wanted. */
bool request_take(struct request *request, const char *bytes, size_t n);

/* True when the answer is there. */
bool request_quick(struct request *request);
void request_work(struct request *request);

/* Fills the answer with a refusal. */
void request_refuse(struct request *request, int status, const struct error *err);

/* What it holds but the arena. */
void request_close(struct request *request);

#endif
