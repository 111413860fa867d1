/* base/text.c: text that grows, and UTF-8 at the door. */
#include "base/text.h"

#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <utf8proc.h>

struct text text_begin(struct arena *arena, size_t cap)
{
    struct text text = { .arena = arena, .cap = cap, .capacity = 64 };
    text.bytes = arena_alloc(arena, text.capacity, 1);
    return text;
}

void text_add_bytes(struct text *text, const char *bytes, size_t length)
{
    if (length > text->cap - text->length) {
        length = text->cap - text->length;
        text->cut = true;
    }
    if (text->length + length + 1 > text->capacity) {
        while (text->length + length + 1 > text->capacity) {
            text->capacity *= 2;
        }
        char *wider = arena_alloc(text->arena, text->capacity, 1);
        memcpy(wider, text->bytes, text->length);
        text->bytes = wider;
    }
    memcpy(text->bytes + text->length, bytes, length);
    text->length += length;
    text->bytes[text->length] = '\0';
}

void text_add(struct text *text, const char *words)
{
    text_add_bytes(text, words, strlen(words));
}

void text_add_format(struct text *text, const char *format, ...)
{
    char small[256];
    va_list args;
    va_start(args, format);
    const int length = vsnprintf(small, sizeof small, format, args);
    va_end(args);
    if (length < 0) {
        return;
    }
    if ((size_t)length < sizeof small) {
        text_add_bytes(text, small, (size_t)length);
        return;
    }
    char *large = arena_alloc(text->arena, (size_t)length + 1, 1);
    va_start(args, format);
    vsnprintf(large, (size_t)length + 1, format, args);
    va_end(args);
    text_add_bytes(text, large, (size_t)length);
}

static void add_blanks(struct text *text, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        text_add_bytes(text, " ", 1);
    }
}

static size_t columns_of(const char *bytes, size_t length)
{
    size_t columns = 0;
    const char *at = bytes;
    const char *end = bytes + length;
    while (at < end) {
        utf8proc_int32_t point = 0;
        const utf8proc_ssize_t used =
            utf8proc_iterate((const utf8proc_uint8_t *)at, end - at, &point);
        if (used <= 0) {
            at++;
            columns++;
            continue;
        }
        const int width = utf8proc_charwidth(point);
        columns += width > 0 ? (size_t)width : 0;
        at += used;
    }
    return columns;
}

size_t text_columns(const char *text)
{
    return columns_of(text, strlen(text));
}

/* A number and its unit stay on one line ("69 %", "12 min"): the bytes of the blank and the short
 * word behind a word that ends in a digit; 0 if there is none. */
static size_t unit_behind(const char *word, size_t length)
{
    enum { UNIT_BYTES = 5 };
    const char *unit = word + length;
    if (word[length - 1] < '0' || word[length - 1] > '9' || *unit != ' ') {
        return 0;
    }
    const size_t bytes = strcspn(unit + 1, " ");
    const bool is_number = unit[1] >= '0' && unit[1] <= '9';
    return bytes >= 1 && bytes <= UNIT_BYTES && !is_number ? bytes + 1 : 0;
}

void text_add_wrapped(struct text *text, const char *words, size_t first_indent, size_t indent,
                      size_t width)
{
    size_t column = first_indent;
    bool line_is_empty = true;
    const char *at = words;
    while (*at != '\0') {
        while (*at == ' ') {
            at++;
        }
        size_t length = strcspn(at, " ");
        if (length == 0) {
            break;
        }
        length += unit_behind(at, length);
        const size_t columns = columns_of(at, length);
        if (!line_is_empty && column + 1 + columns > width) {
            text_add(text, "\n");
            add_blanks(text, indent);
            column = indent;
            line_is_empty = true;
        }
        if (!line_is_empty) {
            text_add(text, " ");
            column++;
        }
        text_add_bytes(text, at, length);
        column += columns;
        line_is_empty = false;
        at += length;
    }
    text_add(text, "\n");
}

bool text_is_utf8(const char *bytes, size_t length)
{
    const char *at = bytes;
    const char *end = bytes + length;
    while (at < end) {
        utf8proc_int32_t point = 0;
        const utf8proc_ssize_t used =
            utf8proc_iterate((const utf8proc_uint8_t *)at, end - at, &point);
        if (used <= 0 || point == 0) {
            return false;
        }
        at += used;
    }
    return true;
}

char *text_clean(struct arena *arena, const char *bytes, size_t length)
{
    /* A replaced byte grows from one to three. */
    struct text out = text_begin(arena, length * 3 + 1);
    const char *at = bytes;
    const char *end = bytes + length;
    while (at < end) {
        utf8proc_int32_t point = 0;
        const utf8proc_ssize_t used =
            utf8proc_iterate((const utf8proc_uint8_t *)at, end - at, &point);
        if (used <= 0) {
            text_add(&out, "\xEF\xBF\xBD");
            at++;
        } else if (point < 0x20 || (point >= 0x7F && point < 0xA0)) {
            text_add(&out, "?");
            at += used;
        } else {
            text_add_bytes(&out, at, (size_t)used);
            at += used;
        }
    }
    utf8proc_uint8_t *nfc = utf8proc_NFC((const utf8proc_uint8_t *)out.bytes);
    if (nfc == NULL) {
        return out.bytes;
    }
    char *clean = arena_string(arena, (const char *)nfc);
    free(nfc);
    return clean;
}

bool text_fold(const char *bytes, size_t length, char out[], size_t room)
{
    utf8proc_uint8_t *folded = NULL;
    const utf8proc_ssize_t size =
        utf8proc_map((const utf8proc_uint8_t *)bytes, (utf8proc_ssize_t)length, &folded,
                     UTF8PROC_STABLE | UTF8PROC_DECOMPOSE | UTF8PROC_STRIPMARK | UTF8PROC_CASEFOLD);
    const bool fits = size >= 0 && (size_t)size < room;
    if (fits) {
        memcpy(out, folded, (size_t)size);
        out[size] = '\0';
    }
    free(folded);
    return fits;
}

/* Levenshtein distance of two short words; longer than the row: counted as far away. */
static size_t edits_between(const char *a, const char *b)
{
    size_t row[64];
    const size_t n = strlen(b);
    if (n >= sizeof row / sizeof row[0]) {
        return SIZE_MAX;
    }
    for (size_t j = 0; j <= n; j++) {
        row[j] = j;
    }
    for (size_t i = 0; a[i] != '\0'; i++) {
        size_t diagonal = row[0];
        row[0] = i + 1;
        for (size_t j = 0; j < n; j++) {
            const size_t above = row[j + 1];
            size_t best = diagonal + (a[i] == b[j] ? 0 : 1);
            if (above + 1 < best) {
                best = above + 1;
            }
            if (row[j] + 1 < best) {
                best = row[j] + 1;
            }
            diagonal = above;
            row[j + 1] = best;
        }
    }
    return row[n];
}

const char *text_nearest(const char *word, const char *const names[], size_t n)
{
    const char *nearest = NULL;
    size_t least = SIZE_MAX;
    for (size_t i = 0; i < n; i++) {
        const size_t edits = edits_between(word, names[i]);
        const size_t letters = strlen(word) > strlen(names[i]) ? strlen(word) : strlen(names[i]);
        /* of two as near, the one that begins alike: "tday" is today, not day */
        const bool begins_alike =
            nearest != NULL && edits == least && names[i][0] == word[0] && nearest[0] != word[0];
        if ((edits < least || begins_alike) && edits * 3 <= letters + 2) {
            least = edits;
            nearest = names[i];
        }
    }
    return nearest;
}
