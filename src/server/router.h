/* server/router.h: which route a request's address names, and its decoded parts.
 *
 *     /api/1/riders/ada%20berg/rides?from=2026-01-01
 *            riders/{rider}/rides    rider = "ada berg"    from = "2026-01-01"
 *
 * Pure: bytes in, words in the arena out.  An address is taken apart before anything of it is
 * decoded, so that an encoded slash is never a slash.  Refused as ERROR_USAGE: a broken %XX, bytes
 * that are no UTF-8, control characters, "." and ".." as a part (also encoded), an empty part,
 * a name twice in the query; over ROUTER_*_MOST it is ERROR_TOO_LARGE. */
#ifndef SERVER_ROUTER_H
#define SERVER_ROUTER_H

#include "server/api.h"

#define ROUTER_BYTES_MOST 8000u
#define ROUTER_PARTS_MOST 16u
#define ROUTER_QUERY_MOST 32u
#define ROUTER_PREFIX     "/api/1/"

#define ROUTER_PREFIX_PARTS 2u /* "api", "1" */

struct router_address {
    const char *path; /* decoded parts joined by '/', with one in front: for messages */
    const char *parts[ROUTER_PARTS_MOST];
    size_t n_parts;
    struct api_words query;
};

/* Takes an address ("/riders/3?from=...") apart. */
MUST_USE bool router_read(struct arena *arena, const char *address, struct router_address *out,
                          struct error *err);

enum router_found {
    ROUTER_NONE,         /* no route has this path */
    ROUTER_OTHER_METHOD, /* there is one, but not with this method */
    ROUTER_ROUTE,
};

/* The route of parts[n] (those after /api/1/), and the parts that its pattern names. */
enum router_found router_find(struct arena *arena, const struct api_route routes[], size_t n_routes,
                              const char *method, const char *const parts[], size_t n,
                              const struct api_route **route, struct api_words *path);

/* The methods that a path knows, as the Allow header wants them: "GET, POST". */
const char *router_allowed(struct arena *arena, const struct api_route routes[], size_t n_routes,
                           const char *const parts[], size_t n);

/* Refuses a name in the query that the route doesn't know. */
MUST_USE bool router_query_is_known(const struct api_route *route, const struct api_words *query,
                                    struct error *err);

/* What a digit of "%2f" is worth; -1 = it is none. */
int router_hex_digit(char c);

#endif
