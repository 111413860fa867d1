/* coaching/session_text.c: a session from text: what stands where, told by the next word alone. */
#include "coaching/session_text.h"

#include "coaching/session_parts.h"

#include <string.h>

/* ---- faults ---- */

bool session_parse_fault(struct session_parse *parse, const struct session_token *token,
                         const char *why, const char *instead)
{
    struct session_fault *fault = parse->fault;
    const size_t at = (size_t)(token->at - parse->line);
    *fault = (struct session_fault){ .line = parse->line_number,
                                     .column = 1 + session_letters(parse->line, at),
                                     .letters = session_letters(token->at, token->length),
                                     .text = arena_format(parse->arena, "%.*s",
                                                          (int)parse->line_length, parse->line),
                                     .why = why,
                                     .instead = instead };
    fault->letters = fault->letters == 0 ? 1 : fault->letters;
    return false;
}

bool session_parse_unknown(struct session_parse *parse, const char *const may[], size_t n,
                           const char *else_say)
{
    const struct session_token *token = &parse->token;
    const char *nearest = NULL;
    if (token->kind == TOKEN_WORD) {
        char *word = arena_format(parse->arena, "%.*s", (int)token->length, token->at);
        nearest = text_nearest(word, may, n);
    }
    const char *why =
        token->kind == TOKEN_END
            ? "the line ends here"
            : arena_format(parse->arena, "\"%.*s\" isn't understood here",
                           (int)(token->length > 40 ? session_whole(token->at, 40) : token->length),
                           token->at);
    return session_parse_fault(
        parse, token, why,
        nearest == NULL ? else_say : arena_format(parse->arena, "did you mean \"%s\"?", nearest));
}

/* ---- items ---- */

static bool read_items(struct session_parse *parse, size_t depth, struct session_item **items,
                       size_t *n_items);

static bool read_repeat(struct session_parse *parse, size_t depth, struct session_item *item)
{
    const struct session_token number = parse->token;
    session_parse_step_on(parse); /* the number */
    const struct session_token word = parse->token;
    session_parse_step_on(parse); /* times, x */
    if (number.number < 1 || number.number > SESSION_TIMES_MOST) {
        return session_parse_fault(parse, &number, "a repeat is from 1 to 99 times", NULL);
    }
    if (depth >= SESSION_DEPTH_MOST) {
        return session_parse_fault(parse, &word, "repeats stand in one another three deep at most",
                                   "write the innermost out");
    }
    item->times = (int32_t)number.number;
    if (parse->token.kind != TOKEN_OPEN) {
        item->items = ARENA_ARRAY(parse->arena, struct session_item, 1);
        item->n_items = 1;
        return session_parse_step(parse, &item->items[0].step);
    }
    const struct session_token open = parse->token;
    session_parse_step_on(parse);
    if (!read_items(parse, depth + 1, &item->items, &item->n_items)) {
        return false;
    }
    if (parse->token.kind == TOKEN_CLOSE) {
        session_parse_step_on(parse);
        return true;
    }
    return parse->token.kind == TOKEN_END
               ? session_parse_fault(parse, &open, "this bracket isn't closed", "a ) at its end")
               : session_parse_unknown(parse, session_after_words, SESSION_AFTER_WORDS,
                                       "a comma before the next part, or )");
}

static bool read_item(struct session_parse *parse, size_t depth, struct session_item *item)
{
    if (parse->token.kind == TOKEN_NUMBER &&
        (session_word_is(&parse->next, "times") || session_word_is(&parse->next, "time") ||
         session_word_is(&parse->next, "x") || session_word_is(&parse->next, "\xc3\x97"))) {
        return read_repeat(parse, depth, item);
    }
    return session_parse_step(parse, &item->step);
}

/* A comma, "then", "and then", ", then", ";".  False where none stands. */
static bool take_joint(struct session_parse *parse)
{
    bool is = false;
    if (parse->token.kind == TOKEN_COMMA) {
        session_parse_step_on(parse);
        is = true;
    }
    if (session_word_is(&parse->token, "and")) {
        session_parse_step_on(parse);
        is = true;
    }
    if (session_word_is(&parse->token, "then")) {
        session_parse_step_on(parse);
        is = true;
    }
    return is;
}

/* Depth is at most SESSION_DEPTH_MOST: read_repeat refuses more. */
static bool read_items(struct session_parse *parse, size_t depth, struct session_item **items,
                       size_t *n_items)
{
    size_t capacity = 0;
    *items = NULL;
    *n_items = 0;
    do {
        struct session_item item = { 0 };
        if (*n_items >= SESSION_ITEMS_MOST) {
            return session_parse_fault(parse, &parse->token, "more than 40 parts side by side",
                                       "repeat what is alike: 5 times (...)");
        }
        if (!read_item(parse, depth, &item)) {
            return false;
        }
        *items = arena_grow(parse->arena, *items, *n_items, &capacity, sizeof **items);
        (*items)[(*n_items)++] = item;
    } while (take_joint(parse));
    return true;
}

static bool read_whole_items(struct session_parse *parse, struct session_line *line)
{
    if (!read_items(parse, 0, &line->items, &line->n_items)) {
        return false;
    }
    if (parse->token.kind == TOKEN_CLOSE) {
        return session_parse_fault(parse, &parse->token, "this bracket was never opened",
                                   "5 times ( before what is repeated");
    }
    return parse->token.kind == TOKEN_END ||
           session_parse_unknown(parse, session_after_words, SESSION_AFTER_WORDS,
                                 "a comma before the next part");
}

/* ---- lines ---- */

/* From `from` to before `to`, blanks at the ends cut; NULL if nothing is left. */
static const char *trimmed(struct arena *arena, const char *from, const char *to)
{
    while (from < to && *from == ' ') {
        from++;
    }
    while (to > from && to[-1] == ' ') {
        to--;
    }
    return from == to ? NULL : arena_format(arena, "%.*s", (int)(to - from), from);
}

/* What stands after the head of such a line: `colon` is the byte of its colon. */
static bool read_headed(struct session_parse *parse, const char *head_end,
                        struct session_line *line)
{
    const char *end = parse->line + parse->line_length;
    const char *colon = memchr(head_end, ':', (size_t)(end - head_end));
    if (colon == NULL) {
        const struct session_token after = { .at = end, .length = 0 };
        return session_parse_fault(parse, &after, "a colon is missing",
                                   line->kind == LINE_NOTE ? "note: drink early"
                                                           : "plan B over 26 C: 60 min at 50-60 %");
    }
    while (*head_end == ',' || *head_end == ' ') {
        head_end++;
    }
    line->words = line->kind == LINE_NOTE ? trimmed(parse->arena, colon + 1, end)
                                          : trimmed(parse->arena, head_end, colon);
    const struct session_token words = { .at = head_end, .length = (size_t)(end - head_end) };
    if (line->kind == LINE_NOTE) {
        return line->words != NULL ||
               session_parse_fault(parse, &words, "a note without words", NULL);
    }
    if (line->words != NULL && strlen(line->words) > SESSION_WORDS_MOST) {
        return session_parse_fault(parse, &words, "too many words before the colon", NULL);
    }
    session_parse_from(parse, colon + 1);
    return read_whole_items(parse, line);
}

static bool read_line(struct session_parse *parse, struct session_line *line)
{
    session_parse_from(parse, parse->line);
    if (session_word_is(&parse->token, "plan") && session_word_is(&parse->next, "b")) {
        line->kind = LINE_PLAN_B;
        return read_headed(parse, parse->next.at + parse->next.length, line);
    }
    if (session_word_is(&parse->token, "note")) {
        line->kind = LINE_NOTE;
        return read_headed(parse, parse->token.at + parse->token.length, line);
    }
    line->kind = LINE_BLOCK;
    return read_whole_items(parse, line);
}

/* ---- the whole ---- */

/* Steps as ridden and their seconds; stops counting when either is too much. */
static void count_items(const struct session_item items[], size_t n, int64_t times, int64_t *steps,
                        int64_t *seconds)
{
    for (size_t i = 0; i < n; i++) {
        if (items[i].times > 0) {
            count_items(items[i].items, items[i].n_items, times * items[i].times, steps, seconds);
        } else {
            *steps += times * session_rungs(&items[i].step);
            *seconds += times * items[i].step.seconds;
        }
    }
}

static bool fits(struct session_parse *parse, const struct session_line *line, int64_t *steps,
                 int64_t *seconds)
{
    const struct session_token whole = { .at = parse->line, .length = parse->line_length };
    if (line->kind != LINE_BLOCK) {
        *steps = 0;
        *seconds = 0;
    }
    count_items(line->items, line->n_items, 1, steps, seconds);
    if (*steps > SESSION_STEPS_MOST) {
        return session_parse_fault(parse, &whole, "more than 400 steps with all repeats", NULL);
    }
    return *seconds <= SESSION_SECONDS_MOST ||
           session_parse_fault(parse, &whole, "longer than 12 hours with all repeats", NULL);
}

static bool is_blank(const char *line, size_t length)
{
    for (size_t i = 0; i < length; i++) {
        if (line[i] != ' ') {
            return false;
        }
    }
    return true;
}

static bool read_lines(struct session_parse *parse, const char *text, struct session *out)
{
    int64_t block_steps = 0;
    int64_t block_seconds = 0;
    size_t n_blocks = 0;
    const char *at = text;
    out->lines = ARENA_ARRAY(parse->arena, struct session_line, SESSION_LINES_MOST);
    while (at != NULL) {
        const char *end = strchr(at, '\n');
        parse->line = at;
        parse->line_length = end == NULL ? strlen(at) : (size_t)(end - at);
        parse->line_number++;
        at = end == NULL ? NULL : end + 1;
        if (is_blank(parse->line, parse->line_length)) {
            continue;
        }
        const struct session_token first = { .at = parse->line, .length = 1 };
        if (out->n_lines >= SESSION_LINES_MOST) {
            return session_parse_fault(parse, &first, "more than 20 lines", NULL);
        }
        struct session_line *line = &out->lines[out->n_lines++];
        int64_t steps = block_steps;
        int64_t seconds = block_seconds;
        if (!read_line(parse, line) || !fits(parse, line, &steps, &seconds)) {
            return false;
        }
        if (line->kind == LINE_BLOCK) {
            n_blocks++;
            block_steps = steps;
            block_seconds = seconds;
        }
    }
    const struct session_token first = { .at = parse->line, .length = 1 };
    return n_blocks > 0 ||
           session_parse_fault(parse, &first, "nothing to ride is said", "15 min at 50-65 %");
}

/* Tabs and carriage returns as blanks; the first other control character, or NULL. */
static const char *plain(char *text)
{
    for (char *at = text; *at != '\0'; at++) {
        const unsigned char byte = (unsigned char)*at;
        if (byte == '\t' || byte == '\r') {
            *at = ' ';
        } else if ((byte < 0x20 && byte != '\n') || byte == 0x7F) {
            return at;
        }
    }
    return NULL;
}

bool session_read(struct arena *arena, const char *text, struct session *out,
                  struct session_fault *fault)
{
    struct session_parse parse = { .arena = arena, .fault = fault };
    const size_t length = strnlen(text, SESSION_BYTES_MOST + 1);
    *out = (struct session){ 0 };
    if (length > SESSION_BYTES_MOST || !text_is_utf8(text, length)) {
        *fault = (struct session_fault){ .line = 1, .column = 1, .letters = 1, .text = "" };
        fault->why = length > SESSION_BYTES_MOST ? "longer than 4000 bytes" : "no UTF-8 text";
        return false;
    }
    char *copy = arena_format(arena, "%s", text);
    const char *control = plain(copy);
    if (control != NULL) {
        *fault = (struct session_fault){ .line = 1, .column = 1, .letters = 1, .text = "" };
        fault->why = "a control character";
        return false;
    }
    return read_lines(&parse, copy, out);
}

/* ---- what is said of a fault ---- */

const char *session_fault_words(struct arena *arena, const struct session_fault *fault)
{
    return arena_format(arena, "line %zu, column %zu: %s%s%s", fault->line, fault->column,
                        fault->why, fault->instead == NULL ? "" : "; ",
                        fault->instead == NULL ? "" : fault->instead);
}

/* Wide lines are cut on both sides of what is meant. */
const char *session_fault_shown(struct arena *arena, const struct session_fault *fault,
                                size_t columns)
{
    const char *text = fault->text;
    size_t before = fault->column - 1;
    const char *dots = "";
    enum { SEEN_BEFORE = 30, DOTS = 4 };
    if (before + fault->letters > columns && before > SEEN_BEFORE) {
        for (; before > SEEN_BEFORE; before--) {
            do {
                text++;
            } while (((unsigned char)*text & 0xC0) == 0x80);
        }
        dots = "... ";
        before += DOTS;
    }
    size_t bytes = 0;
    size_t letters = strlen(dots);
    while (text[bytes] != '\0' && letters < columns) {
        do {
            bytes++;
        } while (((unsigned char)text[bytes] & 0xC0) == 0x80);
        letters++;
    }
    struct text out = text_begin(arena, 4 * SESSION_BYTES_MOST);
    text_add_format(&out, "%s%.*s\n", dots, (int)bytes, text);
    for (size_t i = 0; i < before; i++) {
        text_add(&out, " ");
    }
    for (size_t i = 0; i < fault->letters && before + i < columns; i++) {
        text_add(&out, "^");
    }
    text_add(&out, "\n");
    return out.bytes;
}
