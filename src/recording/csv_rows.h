/* recording/csv_rows.h: rows and cells of a delimited text table (RFC 4180).
 *
 * Cells may be quoted, quotes in them doubled; a quoted cell may hold delimiters and line ends.
 * Lines end with CR LF, LF or CR; the last one may lack its end.  Blanks belong to the cell.
 * A row that can't be taken apart (a quote that doesn't close, text behind a closing quote, too
 * long, too many cells) has a problem and no cells; reading goes on at the next line of the text.
 */
#ifndef RECORDING_CSV_ROWS_H
#define RECORDING_CSV_ROWS_H

#include "base/arena.h"
#include "base/files.h"

#include <stdbool.h>
#include <stddef.h>

struct csv_rows {
    const uint8_t *at; /* what is still to read */
    const uint8_t *end;
    char delimiter;
    size_t next_line;
    char *buffer; /* [buffer_size] the cells of the row, each ended by a zero */
    size_t buffer_size;
    size_t max_cells;
    bool ends_cell[256]; /* bytes that need a look: delimiter, line ends, zero */

    /* the row: */
    size_t line; /* 1-based, of its first character */
    size_t n_cells;
    const char **cells;  /* [n_cells] */
    const char *problem; /* static text, or NULL */
};

/* A table that begins at bytes.at; `longest` caps the bytes of a row, `max_cells` its cells. */
struct csv_rows csv_rows_begin(struct arena *arena, struct bytes bytes, char delimiter,
                               size_t longest, size_t max_cells);

/* The next row; false at the end of the table. */
bool csv_rows_next(struct csv_rows *rows);

/* True if the row holds nothing at all. */
bool csv_rows_is_blank(const struct csv_rows *rows);

/* How many lines there are at most, of at least `shortest` bytes; a row takes one or more. */
size_t csv_rows_count_lines(const struct csv_rows *rows, size_t shortest);

/* Comma, semicolon and tab, the likeliest first: of the first `n_lines` lines that aren't blank,
 * each delimiter cuts most into some one number of cells above 1; the one that does so with more
 * lines is likelier, then the one that gives more cells, then the earlier here. */
enum { CSV_DELIMITERS = 3 };
void csv_rows_delimiters(struct bytes bytes, size_t n_lines, char likeliest[CSV_DELIMITERS]);

#endif
