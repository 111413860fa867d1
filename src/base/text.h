/* base/text.h: text that grows, up to a cap given at birth. */
#ifndef BASE_TEXT_H
#define BASE_TEXT_H

#include "base/arena.h"

#include <stdbool.h>
#include <stddef.h>

/* Bytes, always ended by a zero that `length` doesn't count.  Past `cap` nothing more is taken and
 * `cut` is set: check it once, at the end. */
struct text {
    struct arena *arena;
    char *bytes;
    size_t length;
    size_t capacity;
    size_t cap;
    bool cut;
};

/* An empty text in the arena that holds at most cap bytes. */
struct text text_begin(struct arena *arena, size_t cap);

void text_add(struct text *text, const char *words);
void text_add_bytes(struct text *text, const char *bytes, size_t length);
void text_add_format(struct text *text, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* Words on lines of at most `width` columns, broken at blanks, each line indented by `indent`
 * blanks but the first, which begins where the text stands; ends with a newline.  Width is counted
 * in columns, not bytes. */
void text_add_wrapped(struct text *text, const char *words, size_t first_indent, size_t indent,
                      size_t width);

/* True if the bytes are well-formed UTF-8 without U+0000. */
bool text_is_utf8(const char *bytes, size_t length);

/* The bytes as NFC text in the arena.  Ill-formed bytes, U+0000 and control characters become
 * U+FFFD or '?': for names that come from a device, where refusing the file would help nobody. */
char *text_clean(struct arena *arena, const char *bytes, size_t length);

/* Case and accents folded away, for comparing words: "Fréquence" and "FREQUENCE" are alike.  The
 * text, ended by a zero, is put in out[room]; false if it isn't UTF-8 or doesn't fit. */
bool text_fold(const char *bytes, size_t length, char out[], size_t room);

/* Columns that the text takes on a terminal. */
size_t text_columns(const char *text);

/* The row of names[n] that is nearest to word, by edits; NULL if none is near (more than a third
 * of the longer word's letters differ). */
const char *text_nearest(const char *word, const char *const names[], size_t n);

#endif
