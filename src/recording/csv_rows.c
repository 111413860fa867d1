/* recording/csv_rows.c: rows and cells of a delimited text table (RFC 4180). */
#include "recording/csv_rows.h"

#include <string.h>

struct csv_rows csv_rows_begin(struct arena *arena, struct bytes bytes, char delimiter,
                               size_t longest, size_t max_cells)
{
    return (struct csv_rows){
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

static const char *take_cell(struct csv_rows *rows, size_t *used)
{
    if (rows->at < rows->end && *rows->at == '"') {
        rows->at++;
        const char *problem = take_quoted(rows, used);
        if (problem != NULL) {
            return problem;
        }
    } else {
        while (rows->at < rows->end && *rows->at != (uint8_t)rows->delimiter &&
               !is_line_end(*rows->at)) {
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
        if (rows->cells[i][strspn(rows->cells[i], " \t")] != '\0') {
            return false;
        }
    }
    return rows->problem == NULL;
}

char csv_rows_delimiter(struct bytes bytes)
{
    static const char delimiters[] = { ',', ';', '\t' };
    size_t counts[sizeof delimiters] = { 0 };
    bool quoted = false;
    bool has_text = false;
    for (size_t i = 0; i < bytes.size; i++) {
        const char c = (char)bytes.at[i];
        if (c == '"') {
            quoted = !quoted;
        }
        if (!quoted && is_line_end(bytes.at[i])) {
            if (has_text) {
                break;
            }
            continue;
        }
        has_text = has_text || (c != ' ' && c != '\t');
        for (size_t d = 0; d < sizeof delimiters && !quoted; d++) {
            counts[d] += c == delimiters[d] ? 1 : 0;
        }
    }
    size_t best = 0;
    for (size_t d = 1; d < sizeof delimiters; d++) {
        best = counts[d] > counts[best] ? d : best;
    }
    return delimiters[best];
}
