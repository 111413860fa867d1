/* coaching/session_parts.h: words and numbers of a session's line, and its steps; for
 * session_text.c alone. */
#ifndef COACHING_SESSION_PARTS_H
#define COACHING_SESSION_PARTS_H

#include "coaching/session_text.h"

enum session_token_kind {
    TOKEN_END,
    TOKEN_WORD,   /* letters, with hyphens inside */
    TOKEN_NUMBER, /* digits; larger than any that is taken = 1000000 */
    TOKEN_QUOTED, /* words between double quotes, both included */
    TOKEN_COMMA,  /* , or ; */
    TOKEN_OPEN,
    TOKEN_CLOSE,
    TOKEN_DASH,
    TOKEN_PERCENT,
    TOKEN_OTHER,
};

struct session_token {
    enum session_token_kind kind;
    const char *at; /* in the line */
    size_t length;
    int64_t number;
};

struct session_parse {
    struct arena *arena;
    struct session_fault *fault;
    const char *line;
    size_t line_length;
    size_t line_number;
    struct session_token token; /* the next word, and the one behind it */
    struct session_token next;
};

/* Begins at a byte of the line. */
void session_parse_from(struct session_parse *parse, const char *at);

/* Past the next word. */
void session_parse_step_on(struct session_parse *parse);

/* True if it is that word, whatever its case. */
bool session_word_is(const struct session_token *token, const char *word);

/* Always false: fills the fault. */
bool session_parse_fault(struct session_parse *parse, const struct session_token *token,
                         const char *why, const char *instead);

/* The next word isn't understood: names the nearest of may[n], else what may stand there. */
bool session_parse_unknown(struct session_parse *parse, const char *const may[], size_t n,
                           const char *else_say);

/* A step: how long, at what, how fast the legs, words. */
bool session_parse_step(struct session_parse *parse, struct session_step *step);

/* What may follow a part's length. */
#define SESSION_AFTER_WORDS 9
extern const char *const session_after_words[SESSION_AFTER_WORDS];

/* Letters in so many bytes of UTF-8. */
size_t session_letters(const char *text, size_t bytes);

/* At most so many bytes, cut at a letter's edge. */
size_t session_whole(const char *text, size_t bytes);

#endif
