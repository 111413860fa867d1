/* coaching/session_token.c: the words and numbers of a session's line. */
#include "coaching/session_parts.h"

#include <string.h>

size_t session_letters(const char *text, size_t bytes)
{
    size_t letters = 0;
    for (size_t i = 0; i < bytes; i++) {
        letters += ((unsigned char)text[i] & 0xC0) != 0x80 ? 1 : 0;
    }
    return letters;
}

size_t session_whole(const char *text, size_t bytes)
{
    while (bytes > 0 && ((unsigned char)text[bytes] & 0xC0) == 0x80) {
        bytes--;
    }
    return bytes;
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || ((unsigned char)c & 0x80) != 0;
}

/* En dash and minus, as editors put them in the place of a hyphen. */
static size_t dash_length(const char *at, const char *end)
{
    static const char *const dashes[] = { "-", "\xe2\x80\x93", "\xe2\x88\x92" };
    for (size_t i = 0; i < sizeof dashes / sizeof dashes[0]; i++) {
        const size_t length = strlen(dashes[i]);
        if ((size_t)(end - at) >= length && memcmp(at, dashes[i], length) == 0) {
            return length;
        }
    }
    return 0;
}

static void take_number(struct session_token *token, const char *end)
{
    enum { TOO_LARGE = 1000000 };
    token->kind = TOKEN_NUMBER;
    while (token->at + token->length < end && is_digit(token->at[token->length])) {
        token->number = token->number * 10 + (token->at[token->length] - '0');
        token->number = token->number > TOO_LARGE ? TOO_LARGE : token->number;
        token->length++;
    }
}

static void take_word(struct session_token *token, const char *end)
{
    token->kind = TOKEN_WORD;
    while (token->at + token->length < end) {
        const char *at = token->at + token->length;
        const bool hyphen = *at == '-' && at + 1 < end && is_letter(at[1]);
        if ((!is_letter(*at) && !hyphen) || dash_length(at, end) > 1) {
            break;
        }
        token->length++;
    }
}

static void take_quoted(struct session_token *token, const char *end)
{
    const char *close = memchr(token->at + 1, '"', (size_t)(end - token->at - 1));
    token->kind = close == NULL ? TOKEN_OTHER : TOKEN_QUOTED;
    token->length = close == NULL ? 1 : (size_t)(close + 1 - token->at);
}

static struct session_token token_at(const struct session_parse *parse, const char *at)
{
    const char *end = parse->line + parse->line_length;
    while (at < end && *at == ' ') {
        at++;
    }
    struct session_token token = { .kind = TOKEN_END, .at = at };
    if (at >= end) {
        return token;
    }
    token.length = dash_length(at, end);
    if (token.length > 0) {
        token.kind = TOKEN_DASH;
    } else if (is_digit(*at)) {
        take_number(&token, end);
    } else if (is_letter(*at)) {
        take_word(&token, end);
    } else if (*at == '"') {
        take_quoted(&token, end);
    } else {
        token.length = 1;
        token.kind = *at == ',' || *at == ';' ? TOKEN_COMMA
                     : *at == '('             ? TOKEN_OPEN
                     : *at == ')'             ? TOKEN_CLOSE
                     : *at == '%'             ? TOKEN_PERCENT
                                              : TOKEN_OTHER;
    }
    return token;
}

void session_parse_from(struct session_parse *parse, const char *at)
{
    parse->token = token_at(parse, at);
    parse->next = token_at(parse, parse->token.at + parse->token.length);
}

void session_parse_step_on(struct session_parse *parse)
{
    parse->token = parse->next;
    parse->next = token_at(parse, parse->token.at + parse->token.length);
}

bool session_word_is(const struct session_token *token, const char *word)
{
    if (token->kind != TOKEN_WORD || strlen(word) != token->length) {
        return false;
    }
    for (size_t i = 0; i < token->length; i++) {
        const char c = token->at[i];
        if ((c >= 'A' && c <= 'Z' ? (char)(c + ('a' - 'A')) : c) != word[i]) {
            return false;
        }
    }
    return true;
}
