/* base/json.h: JSON written as a stream, commas and escapes kept.
 *
 *     json_begin_object(&j, NULL);
 *     json_number(&j, "low", 4.05, 1);         a fixed number of decimals, NAN becomes null
 *     json_end_object(&j);
 */
#ifndef BASE_JSON_H
#define BASE_JSON_H

#include "base/text.h"

#include <stdbool.h>
#include <stdint.h>

#define JSON_DEPTH 32

struct json {
    struct text *out;
    int depth;
    bool has_item[JSON_DEPTH]; /* a comma is due before the next item at this depth */
};

/* Writes into *out, which the caller owns. */
struct json json_begin(struct text *out);

/* key is NULL inside an array and at the top. */
void json_begin_object(struct json *json, const char *key);
void json_end_object(struct json *json);
void json_begin_array(struct json *json, const char *key);
void json_end_array(struct json *json);

/* text NULL becomes null.  Ill-formed UTF-8 must not reach this: text is validated at the door. */
void json_string(struct json *json, const char *key, const char *text);
void json_integer(struct json *json, const char *key, int64_t value);

/* With at most `decimals` (0..9) places, trailing zeros dropped, -0 as 0; NAN and infinities
 * become null. */
void json_number(struct json *json, const char *key, double value, int decimals);
void json_bool(struct json *json, const char *key, bool value);
void json_null(struct json *json, const char *key);

/* A value that is JSON already; NULL or "" becomes null. */
void json_raw(struct json *json, const char *key, const char *value);

#endif
