/* server/access.h: whether a request may be answered at all, by its headers alone.
 *
 * A page of any other site can make a browser send requests here, so a cookie isn't enough:
 *
 *     Host            one of our own names with our port: else a name of theirs leads here
 *                     (DNS rebinding): 421
 *     Origin          if there is one, ours; on a write there must be one: else 403
 *     Sec-Fetch-Site  if there is one, same-origin (or none, for what is read): else 403
 *     Content-Type    of a write with a body JSON, of a file application/octet-stream, neither of
 *                     which a form can send: else 415
 *
 * Sources: RFC 9110 sections 7.2 and 15.5.20; the Fetch Standard on Origin and CORS-safelisted
 * content types; W3C Fetch Metadata.  Pure. */
#ifndef SERVER_ACCESS_H
#define SERVER_ACCESS_H

#include "base/error.h"

#include <stddef.h>

struct access_rules {
    const char *hosts[4]; /* [n_hosts] "127.0.0.1:8177": what Host may say, small letters */
    size_t n_hosts;
    const char *origins[4]; /* [n_origins] "http://127.0.0.1:8177" */
    size_t n_origins;
};

/* What a request is, before who asks. */
enum access_kind {
    ACCESS_PAGE,  /* a page or a part of it, opened by a link or typed */
    ACCESS_READ,  /* of the API */
    ACCESS_WRITE, /* of the API, with JSON or nothing */
    ACCESS_FILE,  /* a file sent to the API */
    ACCESS_FORM,  /* the form of the password */
};

struct access_headers {
    const char *host; /* NULL = none */
    size_t n_hosts;   /* headers of that name */
    const char *origin;
    const char *fetch_site;
    const char *content_type;
    bool has_body;
};

/* 0, or the status to refuse with; *why is then one line. */
int access_check(const struct access_rules *rules, enum access_kind kind,
                 const struct access_headers *headers, const char **why);

/* The value of one cookie: false unless it is there once and 64 small hex digits. */
#define ACCESS_KEY_SIZE 65
bool access_cookie(const char *header, const char *name, char out[ACCESS_KEY_SIZE]);

/* Whether an If-None-Match header names this ETag (weak comparison, RFC 9110 section 13.1.2). */
bool access_etag_matches(const char *header, const char *etag);

/* Seconds of a header Prefer: "wait=10", alone or among others; -1 if it says nothing of it. */
long long access_wait_s(const char *header);

/* The row version of an If-Match header ("\"12\""): 0 if there is none, -1 if it is no version. */
long long access_version(const char *header);

/* Whether gzip may be answered, by Accept-Encoding (RFC 9110 section 12.5.3). */
bool access_takes_gzip(const char *header);

/* The value of `password` in a form's body, decoded into out[room]; false if it isn't there once,
 * or doesn't fit. */
bool access_form_password(const char *body, char out[], size_t room);

#endif
