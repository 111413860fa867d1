/* recording/csv_rows.c: rows and cells of a delimited text table (RFC 4180). */
#include "recording/csv_rows.h"

#include <endian.h>
#include <string.h>

struct csv_rows csv_rows_begin(struct arena *arena, struct bytes bytes, char delimiter,
                               size_t longest, size_t max_cells)
{
    struct csv_rows rows = {
        .at = bytes.at,
        .end = bytes.at + bytes.size,
        .delimiter = delimiter,
        .next_line = 1,
        /* Each cell takes a zero more than its text. */
        .buffer = arena_alloc(arena, longest + max_cells + 1, 1),
        .buffer_size = longest + max_cells + 1,
        .max_cells = max_cells,
        .cells = ARENA_ARRAY(arena, const char *, max_cells),
    };
    rows.ends_cell[(unsigned char)delimiter] = true;
    rows.ends_cell['\n'] = true;
    rows.ends_cell['\r'] = true;
    rows.ends_cell[0] = true;
    return rows;
}

static bool is_line_end(uint8_t c)
{
    return c == '\n' || c == '\r';
}

/* Moves past one line end, if one stands there. */
static void skip_line_end(struct csv_rows *rows)
{
    if (rows->at < rows->end && *rows->at == '\r') {
        rows->at++;
        if (rows->at < rows->end && *rows->at == '\n') {
            rows->at++;
        }
        rows->next_line++;
    } else if (rows->at < rows->end && *rows->at == '\n') {
        rows->at++;
        rows->next_line++;
    }
}

/* Gives the row up: its first line is left out, the next one begins anew. */
static void give_up(struct csv_rows *rows, const uint8_t *start, const char *problem)
{
    rows->problem = problem;
    rows->n_cells = 0;
    rows->at = start;
    rows->next_line = rows->line;
    while (rows->at < rows->end && !is_line_end(*rows->at)) {
        rows->at++;
    }
    skip_line_end(rows);
}

static bool put(struct csv_rows *rows, size_t *used, uint8_t c)
{
    if (*used + 1 >= rows->buffer_size) {
        return false;
    }
    rows->buffer[(*used)++] = (char)c;
    return true;
}

/* A zero in the text would end its cell early and let "12<zero>x" pass for 12. */
static uint8_t visible(uint8_t c)
{
    return c == 0 ? '?' : c;
}

/* What stands behind the opening quote, up to behind the closing one; NULL or the problem. */
static const char *take_quoted(struct csv_rows *rows, size_t *used)
{
    while (rows->at < rows->end) {
        const uint8_t c = *rows->at++;
        if (c == '"') {
            if (rows->at >= rows->end || *rows->at != '"') {
                return NULL;
            }
            rows->at++;
        } else if (c == '\n' || (c == '\r' && (rows->at >= rows->end || *rows->at != '\n'))) {
            rows->next_line++;
        }
        if (!put(rows, used, visible(c))) {
            return "is too long, or a quote in it isn't closed";
        }
    }
    return "has a quote that isn't closed";
}

/* Bytes that need no look, as far as there is room. */
static void copy_plain(struct csv_rows *rows, size_t *used)
{
    const size_t room = rows->buffer_size - *used - 1;
    const size_t left = (size_t)(rows->end - rows->at);
    const uint8_t *at = rows->at;
    const uint8_t *last = at + (left < room ? left : room);
    char *to = rows->buffer + *used;
    while (at < last && !rows->ends_cell[*at]) {
        *to++ = (char)*at++;
    }
    *used += (size_t)(at - rows->at);
    rows->at = at;
}

static const char *take_cell(struct csv_rows *rows, size_t *used)
{
    if (rows->at < rows->end && *rows->at == '"') {
        rows->at++;
        const char *problem = take_quoted(rows, used);
        if (problem != NULL) {
            return problem;
        }
    } else {
        for (;;) {
            copy_plain(rows, used);
            if (rows->at >= rows->end || *rows->at == (uint8_t)rows->delimiter ||
                is_line_end(*rows->at)) {
                break;
            }
            if (!put(rows, used, visible(*rows->at++))) {
                return "is too long";
            }
        }
    }
    if (rows->at < rows->end && *rows->at != (uint8_t)rows->delimiter && !is_line_end(*rows->at)) {
        return "has text behind a closing quote";
    }
    return put(rows, used, '\0') ? NULL : "is too long";
}

/* Eight bytes, the first of them lowest. */
static uint64_t load(const uint8_t *at)
{
    uint64_t word;
    memcpy(&word, at, sizeof word);
    return le64toh(word);
}

/* How many of eight bytes stand before the first that may end a cell, 8 = all: the delimiter, and
 * anything below a blank.  Of each kind the lowest mark is right; a borrow can only set marks above
 * it.  Known as the test of a word for a zero byte (from memory). */
static size_t count_before(uint64_t word, uint64_t delimiters)
{
    static const uint64_t ONES = 0x0101010101010101;
    static const uint64_t HIGH = 0x8080808080808080;
    const uint64_t same = word ^ delimiters;
    const uint64_t marks = (((same - ONES) & ~same) | ((word - ' ' * ONES) & ~word)) & HIGH;
    return marks == 0 ? 8 : (size_t)__builtin_ctzll(marks) / 8;
}

/* Nearly every row is short and without quotes: its cells are copied eight bytes at a time, so long
 * as that reaches past neither end.  False, and nothing happened, where a row must be read byte by
 * byte. */
static bool take_plain_row(struct csv_rows *rows)
{
    enum { WORD = 8 };
    const uint8_t *at = rows->at;
    char *to = rows->buffer;
    const char *room_end = rows->buffer + rows->buffer_size;
    const uint8_t delimiter = (uint8_t)rows->delimiter;
    const uint64_t delimiters = delimiter * (uint64_t)0x0101010101010101;
    size_t n = 0;
    for (;; at++) {
        if (n == rows->max_cells || at == rows->end || *at == '"') {
            return false;
        }
        rows->cells[n++] = to;
        size_t plain = WORD;
        while (plain == WORD) {
            if (rows->end - at < WORD || room_end - to <= WORD) {
                return false;
            }
            plain = count_before(load(at), delimiters);
            memcpy(to, at, WORD);
            at += plain;
            to += plain;
        }
        *to++ = '\0';
        if (*at != delimiter) {
            break;
        }
    }
    if (!is_line_end(*at)) {
        return false;
    }
    rows->n_cells = n;
    rows->at = at;
    return true;
}

bool csv_rows_next(struct csv_rows *rows)
{
    if (rows->at >= rows->end) {
        return false;
    }
    const uint8_t *start = rows->at;
    size_t used = 0;
    rows->line = rows->next_line;
    rows->n_cells = 0;
    rows->problem = NULL;
    if (take_plain_row(rows)) {
        skip_line_end(rows);
        return true;
    }
    for (;;) {
        if (rows->n_cells == rows->max_cells) {
            give_up(rows, start, "has too many cells");
            return true;
        }
        rows->cells[rows->n_cells++] = rows->buffer + used;
        const char *problem = take_cell(rows, &used);
        if (problem != NULL) {
            give_up(rows, start, problem);
            return true;
        }
        if (rows->at >= rows->end || *rows->at != (uint8_t)rows->delimiter) {
            break;
        }
        rows->at++;
    }
    skip_line_end(rows);
    return true;
}

bool csv_rows_is_blank(const struct csv_rows *rows)
{
    for (size_t i = 0; i < rows->n_cells; i++) {
        const char *at = rows->cells[i];
        while (*at == ' ' || *at == '\t') {
            at++;
        }
        if (*at != '\0') {
            return false;
        }
    }
    return rows->problem == NULL;
}

/* A carriage return that no line feed follows ends a line of its own. */
static bool has_lone_return(const uint8_t *at, const uint8_t *end)
{
    while (at < end && (at = memchr(at, '\r', (size_t)(end - at))) != NULL) {
        if (at + 1 >= end || at[1] != '\n') {
            return true;
        }
        at += 2;
    }
    return false;
}

size_t csv_rows_count_lines(const struct csv_rows *rows, size_t shortest)
{
    const bool returns = has_lone_return(rows->at, rows->end);
    size_t count = 0;
    const uint8_t *at = rows->at;
    while (at < rows->end) {
        const size_t left = (size_t)(rows->end - at);
        const uint8_t *line_end = at;
        if (returns) {
            while (line_end < rows->end && !is_line_end(*line_end)) {
                line_end++;
            }
        } else {
            line_end = memchr(at, '\n', left);
            line_end = line_end == NULL ? rows->end : line_end;
        }
        count += (size_t)(line_end - at) >= shortest ? 1 : 0;
        at = line_end + 1;
    }
    return count;
}

static const char delimiters[CSV_DELIMITERS] = { ',', ';', '\t' };

/* One line's cells under each delimiter; quotes hide delimiters and line ends, unless they don't
 * close: then the line is its own end. */
static bool count_cells(const uint8_t **at, const uint8_t *end, bool trust_quotes,
                        size_t cells[CSV_DELIMITERS])
{
    bool quoted = false;
    bool has_text = false;
    const uint8_t *from = *at;
    for (size_t d = 0; d < CSV_DELIMITERS; d++) {
        cells[d] = 1;
    }
    for (; *at < end && (quoted || !is_line_end(**at)); (*at)++) {
        const char c = (char)**at;
        quoted = trust_quotes && c == '"' ? !quoted : quoted;
        has_text = has_text || (c != ' ' && c != '\t');
        for (size_t d = 0; d < CSV_DELIMITERS && !quoted; d++) {
            cells[d] += c == delimiters[d] ? 1 : 0;
        }
    }
    if (quoted) {
        *at = from;
        return count_cells(at, end, false, cells);
    }
    *at += *at < end ? 1 : 0;
    return has_text;
}

void csv_rows_delimiters(struct bytes bytes, size_t n_lines, char likeliest[CSV_DELIMITERS])
{
    /* lines[d][k]: how many lines have k cells by delimiter d; more cells than that are alike. */
    enum { MOST = 256 };
    size_t lines[CSV_DELIMITERS][MOST + 1] = { 0 };
    size_t best_lines[CSV_DELIMITERS] = { 0 };
    size_t best_cells[CSV_DELIMITERS] = { 0 };
    const uint8_t *at = bytes.at;
    const uint8_t *end = bytes.at + bytes.size;
    for (size_t n = 0; n < n_lines && at < end;) {
        size_t cells[CSV_DELIMITERS];
        if (!count_cells(&at, end, true, cells)) {
            continue;
        }
        n++;
        for (size_t d = 0; d < CSV_DELIMITERS; d++) {
            const size_t k = cells[d] < MOST ? cells[d] : MOST;
            lines[d][k]++;
            if (k > 1 && (lines[d][k] > best_lines[d] ||
                          (lines[d][k] == best_lines[d] && k > best_cells[d]))) {
                best_lines[d] = lines[d][k];
                best_cells[d] = k;
            }
        }
    }
    size_t order[CSV_DELIMITERS] = { 0, 1, 2 };
    for (size_t i = 1; i < CSV_DELIMITERS; i++) { /* an insertion, that keeps the order of equals */
        for (size_t k = i; k > 0; k--) {
            const size_t a = order[k - 1];
            const size_t b = order[k];
            if (best_lines[b] < best_lines[a] ||
                (best_lines[b] == best_lines[a] && best_cells[b] <= best_cells[a])) {
                break;
            }
            order[k - 1] = b;
            order[k] = a;
        }
    }
    for (size_t i = 0; i < CSV_DELIMITERS; i++) {
        likeliest[i] = delimiters[order[i]];
    }
}
