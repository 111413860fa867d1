/* coaching/reply_cut.c: a reply cut into clauses of words and numbers. */
#include "coaching/reply_parts.h"

#include "base/text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- words of a clause ---- */

bool word_is_in(const char *word, const char *list)
{
    const size_t length = strlen(word);
    for (const char *at = list; length > 0 && *at != '\0';) {
        const size_t n = strcspn(at, " ");
        if (n == length && strncmp(at, word, n) == 0) {
            return true;
        }
        at += n + (at[n] == ' ' ? 1 : 0);
    }
    return false;
}

int clause_find(const struct clause *clause, int from, const char *list)
{
    for (int i = from < 0 ? 0 : from; i < (int)clause->count; i++) {
        if (word_is_in(clause->tokens[i].word, list)) {
            return i;
        }
    }
    return NOWHERE;
}

bool clause_has(const struct clause *clause, const char *list)
{
    return clause_find(clause, 0, list) != NOWHERE;
}

bool clause_is(const struct clause *clause, int i, const char *list)
{
    return i >= 0 && i < (int)clause->count && word_is_in(clause->tokens[i].word, list);
}

bool clause_is_number(const struct clause *clause, int i)
{
    return i >= 0 && i < (int)clause->count && !isnan(clause->tokens[i].number);
}

static const char denials[] = "no not without didnt dont doesnt wasnt isnt arent werent havent "
                              "hasnt hadnt never none nothing "
                              "zero cant couldnt wont nor neither aint nope non";

/* Words past which a "no" no longer reaches. */
static const char barriers[] = "just only but like because as so since though";

bool clause_denies(const struct clause *clause, int i)
{
    static const int REACH = 5;
    for (int j = i - 1; j >= 0 && j >= i - REACH; j--) {
        if (clause_is(clause, j, barriers)) {
            return false;
        }
        if (clause_is(clause, j, denials)) {
            return true;
        }
    }
    return false;
}

bool clause_has_denial(const struct clause *clause)
{
    return clause_has(clause, denials);
}

struct found found_nothing(void)
{
    return (struct found){ FOUND_NOTHING, (double)NAN, NULL };
}

struct found found_value(double value)
{
    return (struct found){ FOUND_VALUE, value, NULL };
}

struct found found_unclear(const char *why)
{
    return (struct found){ FOUND_UNCLEAR, (double)NAN, why };
}

/* ---- tokens ---- */

struct cursor {
    const char *at;
    const char *end;
};

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* In folded text every letter that matters is ASCII; others still belong to words. */
static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || ((unsigned char)c & 0x80u) != 0;
}

/* Digits, with one point or comma between digits. */
static double take_digits(struct cursor *cursor)
{
    char digits[16];
    size_t n = 0;
    bool has_point = false;
    while (cursor->at < cursor->end) {
        const char c = *cursor->at;
        const bool is_point = (c == '.' || c == ',') && !has_point && n > 0 &&
                              cursor->at + 1 < cursor->end && is_digit(cursor->at[1]);
        if (!is_digit(c) && !is_point) {
            break;
        }
        has_point = has_point || is_point;
        if (n + 1 < sizeof digits) {
            digits[n++] = is_point ? '.' : c;
        }
        cursor->at++;
    }
    digits[n] = '\0';
    return strtod(digits, NULL);
}

static bool next_is(const struct cursor *cursor, char c)
{
    return cursor->at + 1 < cursor->end && *cursor->at == c && is_digit(cursor->at[1]);
}

/* "7", "7/10", "7-8", "7:30". */
static struct token take_number(struct cursor *cursor)
{
    struct token token = { .out_of = (double)NAN, .up_to = (double)NAN };
    token.number = take_digits(cursor);
    if (next_is(cursor, '/')) {
        cursor->at++;
        token.out_of = take_digits(cursor);
    } else if (next_is(cursor, '-')) {
        cursor->at++;
        token.up_to = take_digits(cursor);
        if (next_is(cursor, '/')) {
            cursor->at++;
            token.out_of = take_digits(cursor);
        }
    } else if (next_is(cursor, ':')) {
        cursor->at++;
        token.number += take_digits(cursor) / 60.0;
    }
    return token;
}

static struct token take_word(struct cursor *cursor)
{
    struct token token = { .number = (double)NAN, .out_of = (double)NAN, .up_to = (double)NAN };
    size_t n = 0;
    while (cursor->at < cursor->end && (is_letter(*cursor->at) || *cursor->at == '\'')) {
        if (*cursor->at != '\'' && n + 1 < sizeof token.word) {
            token.word[n++] = *cursor->at;
        }
        cursor->at++;
    }
    return token;
}

static struct token word_token(const char *word)
{
    struct token token = { .number = (double)NAN, .out_of = (double)NAN, .up_to = (double)NAN };
    memcpy(token.word, word, strlen(word) + 1);
    return token;
}

static void add_token(struct clause *clause, struct token token)
{
    if (clause->count < CLAUSE_TOKENS) {
        clause->tokens[clause->count++] = token;
    }
}

static void tokenise(struct clause *clause, const char *from, const char *end)
{
    struct cursor cursor = { from, end };
    while (cursor.at < cursor.end) {
        const char c = *cursor.at;
        const bool begins = cursor.at == from || cursor.at[-1] == ' ';
        if (is_digit(c)) {
            add_token(clause, take_number(&cursor));
        } else if (c == '-' && begins && next_is(&cursor, '-')) {
            cursor.at++;
            struct token token = take_number(&cursor);
            token.number = -token.number;
            add_token(clause, token);
        } else if (is_letter(c)) {
            add_token(clause, take_word(&cursor));
        } else {
            if (c == '%') {
                add_token(clause, word_token("percent"));
            }
            cursor.at++;
        }
    }
}

static void remove_tokens(struct clause *clause, size_t from, size_t n)
{
    memmove(&clause->tokens[from], &clause->tokens[from + n],
            (clause->count - from - n) * sizeof clause->tokens[0]);
    clause->count -= n;
}

/* Numbers in words, "7 out of 10", "six and a half", "minus 5", "7h30". */
static void join_numbers(struct clause *clause)
{
    static const char *const names[] = { "zero", "one",    "two",   "three", "four",
                                         "five", "six",    "seven", "eight", "nine",
                                         "ten",  "eleven", "twelve" };
    for (size_t i = 0; i < clause->count; i++) {
        for (size_t n = 1; n < sizeof names / sizeof names[0]; n++) {
            if (strcmp(clause->tokens[i].word, names[n]) == 0) {
                clause->tokens[i].word[0] = '\0';
                clause->tokens[i].number = (double)n;
            }
        }
    }
    for (size_t i = 0; i < clause->count; i++) {
        const int at = (int)i;
        struct token *token = &clause->tokens[i];
        if (word_is_in(token->word, "w") && !clause_is_number(clause, at - 1)) {
            const bool is_without = clause_is(clause, at + 1, "o");
            *token = word_token(is_without ? "without" : "with");
            remove_tokens(clause, i + 1, is_without ? 1 : 0);
        }
        if (word_is_in(token->word, "minus") && clause_is_number(clause, at + 1)) {
            clause->tokens[i + 1].number = -clause->tokens[i + 1].number;
            remove_tokens(clause, i, 1);
        }
        if (isnan(token->number)) {
            continue;
        }
        const int of = clause_is(clause, at + 1, "out") ? at + 2 : at + 1;
        if (clause_is(clause, of, "of") && clause_is_number(clause, of + 1)) {
            token->out_of = clause->tokens[of + 1].number;
            remove_tokens(clause, i + 1, (size_t)(of + 1 - at));
        }
        if (clause_is(clause, at + 1, "to") && clause_is_number(clause, at + 2)) {
            token->up_to = clause->tokens[i + 2].number;
            remove_tokens(clause, i + 1, 2);
        }
        if (clause_is(clause, at + 1, "and") && clause_is(clause, at + 2, "a") &&
            clause_is(clause, at + 3, "half")) {
            token->number += 0.5;
            remove_tokens(clause, i + 1, 3);
        }
        const bool is_hours = clause_is(clause, at + 1, "h hr hrs hour hours");
        const bool in_minutes = clause_is(clause, at + 3, "m min mins minutes");
        if (is_hours && clause_is_number(clause, at + 2) &&
            (in_minutes || at + 3 == (int)clause->count || clause_is(clause, at + 3, "sleep of"))) {
            token->number += clause->tokens[i + 2].number / 60.0;
            remove_tokens(clause, i + 2, in_minutes ? 2 : 1);
        }
    }
}

/* ---- clauses ---- */

/* The text as tokens see it: lower case, no accents, typographer's signs as plain ones.  Bytes are
 * kept in step with *origin, so that a clause can be quoted as it was written. */
struct folded {
    char *bytes;
    size_t *origin; /* [length + 1] where in the text each byte came from */
    size_t length;
};

static const struct {
    const char *from;
    const char *to;
} plain_signs[] = {
    { "\xE2\x80\x99", "'" },   { "\xE2\x80\x98", "'" },  { "\xC2\xB4", "'" },
    { "\xC2\xB0", " deg " },   { "\xC3\x97", " x " },    { "\xE2\x80\x93", "-" },
    { "\xE2\x80\x94", " - " }, { "\xC2\xBD", ".5" },     { "\xC2\xA0", " " },
    { "\xE2\x80\xA6", ". " },  { "\xE2\x80\xA2", "\n" },
};

static void fold_text(struct arena *arena, const char *text, struct folded *out)
{
    const size_t length = strlen(text);
    const size_t room = 6 * length + 8; /* a degree sign becomes five bytes */
    out->bytes = ARENA_ARRAY(arena, char, room);
    out->origin = ARENA_ARRAY(arena, size_t, room);
    for (size_t i = 0; i < length;) {
        char piece[32] = { 0 };
        size_t taken = 1;
        while (i + taken < length && ((unsigned char)text[i + taken] & 0xC0u) == 0x80u) {
            taken++;
        }
        bool done = false;
        for (size_t s = 0; s < sizeof plain_signs / sizeof plain_signs[0] && !done; s++) {
            const size_t n = strlen(plain_signs[s].from);
            if (n == taken && memcmp(text + i, plain_signs[s].from, n) == 0) {
                const bool halves = plain_signs[s].to[0] == '.' && plain_signs[s].to[1] == '5' &&
                                    (out->length == 0 || !is_digit(out->bytes[out->length - 1]));
                const char *to = halves ? "0.5" : plain_signs[s].to; /* "½ l", not "6½ h" */
                memcpy(piece, to, strlen(to) + 1);
                done = true;
            }
        }
        if (!done && (text[i] == '\n' || text[i] == '\t' || text[i] == '\r')) {
            piece[0] = text[i] == '\n' ? '\n' : ' ';
        } else if (!done && (taken > 8 || !text_fold(text + i, taken, piece, sizeof piece) ||
                             (taken > 1 && ((unsigned char)piece[0] & 0x80u) != 0))) {
            piece[0] = ' '; /* another script, or a picture: no word of the tables */
            piece[1] = '\0';
        }
        for (size_t k = 0; piece[k] != '\0' && out->length + 1 < room; k++) {
            out->origin[out->length] = i;
            out->bytes[out->length++] = piece[k];
        }
        i += taken;
    }
    out->origin[out->length] = length;
}

struct cutter {
    struct arena *arena;
    const char *text;
    struct folded folded;
    struct clauses *out;
    size_t capacity;
    enum answer topic; /* of the next clause */
};

static const char *const topic_words[CARD_QUESTIONS][2] = {
    [ANSWER_EFFORT] = { "effort", NULL },     [ANSWER_LEGS] = { "legs", NULL },
    [ANSWER_SLEEP] = { "sleep", "quality" },  [ANSWER_STRESS] = { "stress", NULL },
    [ANSWER_SORENESS] = { "soreness", NULL },
};

/* The rider's own bytes of [from, to) of the folded text, without blanks at the ends. */
static const char *quote_of(const struct cutter *cutter, size_t from, size_t to)
{
    size_t first = cutter->folded.origin[from];
    size_t last = cutter->folded.origin[to];
    while (first < last && strchr(" \t\r\n,;.:-", cutter->text[first]) != NULL) {
        first++;
    }
    while (last > first && strchr(" \t\r\n,;:", cutter->text[last - 1]) != NULL) {
        last--;
    }
    char *quote = ARENA_ARRAY(cutter->arena, char, last - first + 1);
    memcpy(quote, cutter->text + first, last - first);
    return quote;
}

static void add_clause(struct cutter *cutter, size_t from, size_t to, bool is_joined)
{
    struct clauses *out = cutter->out;
    struct clause clause = { .topic = cutter->topic, .is_joined = is_joined, .follows = ANSWERS };
    if (clause.topic != ANSWERS) {
        for (int w = 0; w < 2 && topic_words[clause.topic][w] != NULL; w++) {
            add_token(&clause, word_token(topic_words[clause.topic][w]));
        }
    }
    const size_t asked = clause.count;
    tokenise(&clause, cutter->folded.bytes + from, cutter->folded.bytes + to);
    if (clause.count == asked) {
        return;
    }
    join_numbers(&clause);
    clause.is_question = to < cutter->folded.length && cutter->folded.bytes[to] == '?';
    clause.quote = quote_of(cutter, from, to);
    cutter->topic = ANSWERS;
    clause.is_bracket = from > 0 && cutter->folded.bytes[from - 1] == '(';
    if (is_joined && out->count > 0) {
        clause.follows = clause_subject(&out->items[out->count - 1], 0);
    }
    out->items =
        arena_grow(cutter->arena, out->items, out->count, &cutter->capacity, sizeof out->items[0]);
    out->items[out->count++] = clause;
}

/* Bytes of what ends a clause at i (0 = nothing does), and whether the next is joined to it. */
static size_t cut_at(const struct folded *folded, size_t i, bool *is_joined)
{
    static const char *const joining[] = { " and ",      " but ",     " then ", " though ",
                                           " although ", " however ", " plus ", " also " };
    const char *at = folded->bytes + i;
    const bool between_digits = i > 0 && is_digit(at[-1]) && is_digit(at[1]);
    *is_joined = false;
    if (*at == ',' || *at == '.') {
        *is_joined = *at == ',';
        return between_digits ? 0 : 1;
    }
    if (*at != '\0' && strchr(";!?\n()+&|", *at) != NULL) {
        *is_joined = *at == '+' || *at == '&' || *at == '(';
        return 1;
    }
    if (*at == '/') {
        const bool is_short = i > 0 && at[-1] == 'w' && (i < 2 || at[-2] == ' '); /* "w/o fan" */
        return between_digits || is_short ? 0 : 1;
    }
    if (strncmp(at, " - ", 3) == 0) {
        return 3;
    }
    for (size_t j = 0; j < sizeof joining / sizeof joining[0]; j++) {
        const size_t n = strlen(joining[j]);
        if (strncmp(at, joining[j], n) == 0) {
            *is_joined = j == 0;
            /* "six and a half hours" */
            return j == 0 && strncmp(at + n, "a half", 6) == 0 ? 0 : n - 1;
        }
    }
    return 0;
}

static void cut_span(struct cutter *cutter, size_t from, size_t to)
{
    size_t begun = from;
    bool joined = false;
    for (size_t i = from; i < to;) {
        bool next_joined = false;
        const size_t n = cut_at(&cutter->folded, i, &next_joined);
        if (n == 0) {
            i++;
            continue;
        }
        add_clause(cutter, begun, i, joined);
        joined = next_joined;
        i += n;
        begun = i;
    }
    if (begun < to) {
        add_clause(cutter, begun, to, joined);
    }
}

/* A mark "2)", "2.", "2:" or "2 -" of question n at i; bytes of it, 0 = none. */
static size_t mark_at(const struct folded *folded, size_t i, int n)
{
    const char *at = folded->bytes + i;
    const bool begins = i == 0 || strchr(" \n,;", at[-1]) != NULL;
    const size_t q = *at == 'q' ? 1 : 0; /* "Q2:" */
    if (!begins || at[q] != (char)('0' + n)) {
        return 0;
    }
    at += q;
    if (at[1] == ')' || ((at[1] == '.' || at[1] == ':') && at[2] == ' ')) {
        return q + 2;
    }
    return strncmp(at + 1, " - ", 3) == 0 ? q + 4 : 0;
}

/* Where the answers to questions 1, 2, ... begin; how many follow each other from 1. */
static int find_marks(const struct folded *folded, size_t marks[], size_t lengths[])
{
    int found = 0;
    for (size_t i = 0; i < folded->length && found < CARD_QUESTIONS; i++) {
        const size_t n = mark_at(folded, i, found + 1);
        if (n > 0) {
            marks[found] = i;
            lengths[found++] = n;
            i += n - 1;
        }
    }
    return found;
}

void reply_cut(struct arena *arena, const char *text, struct clauses *out)
{
    enum { LEAST_MARKS = 3 }; /* fewer may be any list of a rider's own */
    struct cutter cutter = { .arena = arena, .text = text, .out = out, .topic = ANSWERS };
    size_t marks[CARD_QUESTIONS + 1];
    size_t lengths[CARD_QUESTIONS];
    *out = (struct clauses){ 0 };
    fold_text(arena, text, &cutter.folded);
    const int n = find_marks(&cutter.folded, marks, lengths);
    if (n < LEAST_MARKS) {
        cut_span(&cutter, 0, cutter.folded.length);
        return;
    }
    cut_span(&cutter, 0, marks[0]);
    marks[n] = cutter.folded.length;
    for (int q = 0; q < n; q++) {
        /* What follows the last answer on a line of its own is no answer. */
        cutter.topic = (enum answer)q;
        cut_span(&cutter, marks[q] + lengths[q], marks[q + 1]);
        cutter.topic = ANSWERS;
    }
}
