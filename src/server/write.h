/* server/write.h: what handlers that write do alike.
 *
 *     struct write_done done = { 0 };
 *     write_begin(call, &done, err) && facts_set(..., &fact, err)
 *     done.words = fact.said; done.number = fact.id; done.version = fact.version;
 *     write_end(call, &done, err)
 *
 * The answer is `done` of api/openapi.yaml: the change with its number, for undo, in words; what it
 * made of the entry; and how many rides are being read again because of it. */
#ifndef SERVER_WRITE_H
#define SERVER_WRITE_H

#include "roster/riders.h"
#include "server/api.h"

struct write_done {
    const char *words;
    int64_t number;  /* of the entry; 0 = none */
    int64_t version; /* of it now; 0 = none */
    int64_t before;  /* the newest change before; write_begin fills it */
};

MUST_USE bool write_begin(struct api_call *call, struct write_done *done, struct error *err);
MUST_USE bool write_end(struct api_call *call, const struct write_done *done, struct error *err);

/* The rider that the path names. */
MUST_USE bool write_rider(struct api_call *call, struct rider *out, struct error *err);

/* A day of the body; one that isn't there leaves *out as it was. */
MUST_USE bool write_day(const struct body *body, const char *key, enum body_need need,
                        const char **out, struct error *err);

/* The same of the last day that counts: *out gets the day after it, and NULL for a null. */
MUST_USE bool write_last_day(struct arena *arena, const struct body *body, const char *key,
                             enum body_need need, const char **out, struct error *err);

/* Words of a line, cleaned; *words NULL stays so, and empty ones become NULL. */
MUST_USE bool write_words(struct arena *arena, const char *key, const char **words,
                          struct error *err);

/* A text of the body that may be null: one that isn't there leaves *out as it was, null and empty
 * make it NULL. */
MUST_USE bool write_text(struct api_call *call, const char *key, const char **out,
                         struct error *err);

/* A number likewise: null makes it NAN. */
MUST_USE bool write_number(const struct body *body, const char *key, double *out,
                           struct error *err);

/* "knowingly": ["safe_hard_gap_h", ...]: the safe limits that are gone past, as a session keeps
 * them; left out = none. */
MUST_USE bool write_knowingly(struct arena *arena, const struct body *body, const char **out,
                              struct error *err);

/* The handlers route_post_NAME, route_put_NAME and route_delete_NAME of routes.h for one kind of
 * row: the file's own post, put and take_away with its `keys`. */
#define WRITE_ROUTES(name, keys)                                                                   \
    bool route_post_##name(struct api_call *call, struct error *err)                               \
    {                                                                                              \
        return post(call, &(keys), err);                                                           \
    }                                                                                              \
    bool route_put_##name(struct api_call *call, struct error *err)                                \
    {                                                                                              \
        return put(call, &(keys), err);                                                            \
    }                                                                                              \
    bool route_delete_##name(struct api_call *call, struct error *err)                             \
    {                                                                                              \
        return take_away(call, &(keys), err);                                                      \
    }

#endif
