/* base/json.c: JSON written as a stream.  Source: RFC 8259. */
#include "base/json.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

struct json json_begin(struct text *out)
{
    return (struct json){ .out = out };
}

static void put_string(struct text *out, const char *text)
{
    text_add(out, "\"");
    const char *plain = text;
    for (const char *c = text; *c != '\0'; c++) {
        const unsigned char byte = (unsigned char)*c;
        if (byte >= 0x20u && byte != '"' && byte != '\\' && byte != 0x7Fu) {
            continue;
        }
        text_add_bytes(out, plain, (size_t)(c - plain));
        plain = c + 1;
        switch (*c) {
        case '"': text_add(out, "\\\""); break;
        case '\\': text_add(out, "\\\\"); break;
        case '\n': text_add(out, "\\n"); break;
        case '\r': text_add(out, "\\r"); break;
        case '\t': text_add(out, "\\t"); break;
        default: text_add_format(out, "\\u%04x", (unsigned)byte); break;
        }
    }
    text_add(out, plain);
    text_add(out, "\"");
}

static void before_item(struct json *json, const char *key)
{
    if (json->has_item[json->depth]) {
        text_add(json->out, ",");
    }
    json->has_item[json->depth] = true;
    if (key != NULL) {
        put_string(json->out, key);
        text_add(json->out, ":");
    }
}

static void begin(struct json *json, const char *key, const char *bracket)
{
    before_item(json, key);
    text_add(json->out, bracket);
    assert(json->depth + 1 < JSON_DEPTH);
    json->depth++;
    json->has_item[json->depth] = false;
}

static void end(struct json *json, const char *bracket)
{
    assert(json->depth > 0);
    json->depth--;
    text_add(json->out, bracket);
}

void json_begin_object(struct json *json, const char *key)
{
    begin(json, key, "{");
}

void json_end_object(struct json *json)
{
    end(json, "}");
}

void json_begin_array(struct json *json, const char *key)
{
    begin(json, key, "[");
}

void json_end_array(struct json *json)
{
    end(json, "]");
}

void json_string(struct json *json, const char *key, const char *text)
{
    before_item(json, key);
    if (text == NULL) {
        text_add(json->out, "null");
    } else {
        put_string(json->out, text);
    }
}

static const char PAIRS[] = "00010203040506070809101112131415161718192021222324252627282930313233"
                            "34353637383940414243444546474849505152535455565758596061626364656667"
                            "6869707172737475767778798081828384858687888990919293949596979899";

/* Series of a ride are long: digits by hand, two at a time, with their comma in one piece. */
void json_integer(struct json *json, const char *key, int64_t value)
{
    char digits[24];
    char *at = digits + sizeof digits;
    uint64_t left = value < 0 ? 0u - (uint64_t)value : (uint64_t)value;
    while (left >= 100u) {
        const size_t pair = 2u * (size_t)(left % 100u);
        left /= 100u;
        *--at = PAIRS[pair + 1];
        *--at = PAIRS[pair];
    }
    if (left >= 10u) {
        *--at = PAIRS[2u * left + 1];
        *--at = PAIRS[2u * left];
    } else {
        *--at = (char)('0' + (char)left);
    }
    if (value < 0) {
        *--at = '-';
    }
    if (key == NULL && json->has_item[json->depth]) {
        *--at = ',';
    } else {
        before_item(json, key);
    }
    text_add_bytes(json->out, at, (size_t)(digits + sizeof digits - at));
}

void json_number(struct json *json, const char *key, double value, int decimals)
{
    before_item(json, key);
    if (!isfinite(value)) {
        text_add(json->out, "null");
        return;
    }
    char digits[352];
    snprintf(digits, sizeof digits, "%.*f", decimals, value);
    if (strchr(digits, '.') != NULL) {
        char *last = digits + strlen(digits) - 1;
        while (*last == '0') {
            *last-- = '\0';
        }
        if (*last == '.') {
            *last = '\0';
        }
    }
    text_add(json->out, strcmp(digits, "-0") == 0 ? "0" : digits);
}

void json_bool(struct json *json, const char *key, bool value)
{
    before_item(json, key);
    text_add(json->out, value ? "true" : "false");
}

void json_null(struct json *json, const char *key)
{
    before_item(json, key);
    text_add(json->out, "null");
}

void json_raw(struct json *json, const char *key, const char *value)
{
    before_item(json, key);
    text_add(json->out, value == NULL || value[0] == '\0' ? "null" : value);
}
