/* server/body.c: JSON as plain structs.  The only file that knows jansson, whose names clash with
 * those of base/json. */
#include "server/body.h"

#include "base/text.h"

#include <jansson.h>
#include <math.h>
#include <string.h>

static bool take(struct arena *arena, const json_t *value, const char *key, size_t depth,
                 struct body *out, struct error *err);

static bool take_list(struct arena *arena, const json_t *list, size_t depth, struct body *out,
                      struct error *err)
{
    const size_t n = json_array_size(list);
    struct body *items = ARENA_ARRAY(arena, struct body, n);
    for (size_t i = 0; i < n; i++) {
        if (!take(arena, json_array_get(list, i), NULL, depth, &items[i], err)) {
            return false;
        }
    }
    out->items = items;
    out->n_items = n;
    return true;
}

static bool take_object(struct arena *arena, json_t *object, size_t depth, struct body *out,
                        struct error *err)
{
    struct body *items = ARENA_ARRAY(arena, struct body, json_object_size(object));
    size_t n = 0;
    for (void *at = json_object_iter(object); at != NULL; at = json_object_iter_next(object, at)) {
        const char *key = arena_string(arena, json_object_iter_key(at));
        if (!take(arena, json_object_iter_value(at), key, depth, &items[n++], err)) {
            return false;
        }
    }
    out->items = items;
    out->n_items = n;
    return true;
}

/* Each line cleaned by itself; CR LF and CR alone end a line too. */
static const char *take_lines(struct arena *arena, const char *bytes, size_t length)
{
    struct text out = text_begin(arena, length * 3 + 1);
    for (size_t at = 0; at <= length;) {
        size_t n = 0;
        while (at + n < length && bytes[at + n] != '\n' && bytes[at + n] != '\r') {
            n++;
        }
        text_add(&out, text_clean(arena, bytes + at, n));
        at += n;
        if (at < length) {
            text_add(&out, "\n");
            at += bytes[at] == '\r' && at + 1 < length && bytes[at + 1] == '\n' ? 1 : 0;
        }
        at++;
    }
    return out.bytes == NULL ? "" : out.bytes;
}

/* depth counts down: jansson itself would go far deeper. */
static bool take(struct arena *arena, const json_t *value, const char *key, size_t depth,
                 struct body *out, struct error *err)
{
    *out = (struct body){ .key = key };
    if (depth == 0) {
        return error_set(err, ERROR_USAGE, "the JSON is nested deeper than %d", BODY_DEPTH_MOST);
    }
    switch (json_typeof(value)) {
    case JSON_OBJECT:
        out->kind = BODY_OBJECT;
        /* An iterator wants what it doesn't change to be changeable. */
        return take_object(arena, (json_t *)(uintptr_t)value, depth - 1, out, err);
    case JSON_ARRAY: out->kind = BODY_LIST; return take_list(arena, value, depth - 1, out, err);
    case JSON_STRING:
        out->kind = BODY_TEXT;
        out->text = text_clean(arena, json_string_value(value), json_string_length(value));
        out->lines = take_lines(arena, json_string_value(value), json_string_length(value));
        return true;
    case JSON_INTEGER:
        out->kind = BODY_INTEGER;
        out->integer = (int64_t)json_integer_value(value);
        out->real = (double)out->integer;
        return true;
    case JSON_REAL:
        out->kind = BODY_REAL;
        out->real = json_real_value(value);
        return true;
    case JSON_TRUE:
    case JSON_FALSE:
        out->kind = BODY_BOOL;
        out->truth = json_is_true(value);
        return true;
    case JSON_NULL: break;
    }
    out->kind = BODY_NULL;
    return true;
}

bool body_read(struct arena *arena, struct bytes bytes, const struct body **out, struct error *err)
{
    json_error_t problem;
    if (bytes.size > BODY_BYTES_MOST) {
        return error_set(err, ERROR_TOO_LARGE, "the JSON is larger than %u bytes", BODY_BYTES_MOST);
    }
    json_t *value =
        json_loadb((const char *)bytes.at, bytes.size, JSON_REJECT_DUPLICATES, &problem);
    if (value == NULL) {
        return error_set(err, ERROR_USAGE, "the body is no JSON: line %d, column %d: %s",
                         problem.line, problem.column, problem.text);
    }
    struct body *body = ARENA_ARRAY(arena, struct body, 1);
    bool done = json_is_object(value)
                    ? take(arena, value, NULL, BODY_DEPTH_MOST, body, err)
                    : error_set(err, ERROR_USAGE, "the body is no JSON object: write {...}");
    json_decref(value);
    *out = body;
    return done;
}

const struct body *body_find(const struct body *object, const char *key)
{
    for (size_t i = 0; object != NULL && object->kind == BODY_OBJECT && i < object->n_items; i++) {
        if (strcmp(object->items[i].key, key) == 0) {
            return &object->items[i];
        }
    }
    return NULL;
}

/* *value is NULL when there is none and none is needed. */
static bool find(const struct body *object, const char *key, enum body_need need,
                 const struct body **value, struct error *err)
{
    *value = body_find(object, key);
    if (*value != NULL && (*value)->kind == BODY_NULL) {
        *value = NULL;
    }
    return *value != NULL || need == BODY_MAY_LACK ||
           error_set(err, ERROR_USAGE, "%s: is missing", key);
}

bool body_text(const struct body *object, const char *key, enum body_need need, const char **out,
               struct error *err)
{
    const struct body *value = NULL;
    if (!find(object, key, need, &value, err)) {
        return false;
    }
    if (value != NULL && value->kind != BODY_TEXT) {
        return error_set(err, ERROR_USAGE, "%s: is no text; write it in quotes", key);
    }
    *out = value != NULL ? value->text : *out;
    return true;
}

bool body_lines(const struct body *object, const char *key, enum body_need need, const char **out,
                struct error *err)
{
    const char *text = NULL;
    if (!body_text(object, key, need, &text, err)) {
        return false;
    }
    const struct body *value = body_find(object, key);
    *out = value != NULL && value->kind == BODY_TEXT ? value->lines : *out;
    return true;
}

bool body_number(const struct body *object, const char *key, enum body_need need, double *out,
                 struct error *err)
{
    const struct body *value = NULL;
    if (!find(object, key, need, &value, err)) {
        return false;
    }
    if (value != NULL && value->kind != BODY_INTEGER && value->kind != BODY_REAL) {
        return error_set(err, ERROR_USAGE, "%s: is no number", key);
    }
    *out = value != NULL ? value->real : *out;
    return true;
}

bool body_integer(const struct body *object, const char *key, enum body_need need, int64_t *out,
                  struct error *err)
{
    const struct body *value = NULL;
    if (!find(object, key, need, &value, err)) {
        return false;
    }
    if (value != NULL && value->kind != BODY_INTEGER) {
        return error_set(err, ERROR_USAGE, "%s: is no whole number", key);
    }
    *out = value != NULL ? value->integer : *out;
    return true;
}

bool body_bool(const struct body *object, const char *key, enum body_need need, bool *out,
               struct error *err)
{
    const struct body *value = NULL;
    if (!find(object, key, need, &value, err)) {
        return false;
    }
    if (value != NULL && value->kind != BODY_BOOL) {
        return error_set(err, ERROR_USAGE, "%s: is neither true nor false", key);
    }
    *out = value != NULL ? value->truth : *out;
    return true;
}

bool body_list(const struct body *object, const char *key, enum body_need need,
               const struct body **out, struct error *err)
{
    const struct body *value = NULL;
    if (!find(object, key, need, &value, err)) {
        return false;
    }
    if (value != NULL && value->kind != BODY_LIST) {
        return error_set(err, ERROR_USAGE, "%s: is no list; write [...]", key);
    }
    *out = value != NULL ? value : *out;
    return true;
}

bool body_only(const struct body *object, const char *const keys[], size_t n, struct error *err)
{
    for (size_t i = 0; object != NULL && i < object->n_items; i++) {
        const char *key = object->items[i].key;
        bool is_known = false;
        for (size_t k = 0; k < n; k++) {
            is_known = is_known || strcmp(keys[k], key) == 0;
        }
        if (!is_known) {
            const char *nearest = text_nearest(key, keys, n);
            return error_set(err, ERROR_USAGE, "%.80s: no such key here%s%s", key,
                             nearest != NULL ? "; did you mean " : "",
                             nearest != NULL ? nearest : "");
        }
    }
    return true;
}
