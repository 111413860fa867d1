/* server/body.h: the JSON that came with a request, as plain structs in the arena.
 *
 *     const char *line = NULL;
 *     double watts = NAN;
 *     static const char *const keys[] = { "value_w", "note" };
 *     if (!body_only(call->body, keys, 2, err) ||
 *         !body_number(call->body, "value_w", BODY_NEEDED, &watts, err) ||
 *         !body_text(call->body, "note", BODY_MAY_LACK, &line, err)) ...
 *
 * Every text is well-formed UTF-8 in NFC; sizes, depth and doubled keys are checked while it is
 * read.  A getter that fails says which key, and what should stand there (ERROR_USAGE). */
#ifndef SERVER_BODY_H
#define SERVER_BODY_H

#include "base/arena.h"
#include "base/error.h"
#include "base/files.h"

#include <stddef.h>
#include <stdint.h>

enum body_kind { BODY_NULL, BODY_BOOL, BODY_INTEGER, BODY_REAL, BODY_TEXT, BODY_LIST, BODY_OBJECT };

struct body {
    enum body_kind kind;
    const char *key; /* in an object; NULL elsewhere */
    bool truth;
    int64_t integer;
    double real; /* of an integer too */
    const char *text;
    const char *lines;        /* the same with its line ends, each LF */
    const struct body *items; /* [n_items] of a list or an object */
    size_t n_items;
};

#define BODY_DEPTH_MOST 16
#define BODY_BYTES_MOST 1000000u

/* False (ERROR_USAGE) when it is no JSON object, with line and column. */
MUST_USE bool body_read(struct arena *arena, struct bytes bytes, const struct body **out,
                        struct error *err);

enum body_need { BODY_MAY_LACK, BODY_NEEDED };

/* The value of a key; NULL if there is none, or of a body that is NULL. */
const struct body *body_find(const struct body *object, const char *key);

/* A key that isn't there, or is null, leaves *out as it was; BODY_NEEDED refuses that. */
MUST_USE bool body_text(const struct body *object, const char *key, enum body_need need,
                        const char **out, struct error *err);
/* A text of several lines; body_text has a mark in the place of each line's end. */
MUST_USE bool body_lines(const struct body *object, const char *key, enum body_need need,
                         const char **out, struct error *err);
MUST_USE bool body_number(const struct body *object, const char *key, enum body_need need,
                          double *out, struct error *err);
MUST_USE bool body_integer(const struct body *object, const char *key, enum body_need need,
                           int64_t *out, struct error *err);
MUST_USE bool body_bool(const struct body *object, const char *key, enum body_need need, bool *out,
                        struct error *err);
/* A list: look at its items and n_items. */
MUST_USE bool body_list(const struct body *object, const char *key, enum body_need need,
                        const struct body **out, struct error *err);

/* Refuses a key that is none of these, naming the nearest: a misspelt key is not passed over. */
MUST_USE bool body_only(const struct body *object, const char *const keys[], size_t n,
                        struct error *err);

#endif
