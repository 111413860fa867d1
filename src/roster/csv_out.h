/* roster/csv_out.h: tables as RFC 4180 has them, safe for spreadsheets.
 *
 *     a line ends with CR LF; texts stand in quotes, a quote in them is doubled; numbers don't;
 *     what is not known is an empty cell without quotes.
 *
 * A spreadsheet takes a cell that begins with = + - @ tab, CR or LF for a formula and may run it. A
 * text that begins so gets an apostrophe in front; so that it can be taken off again without doubt,
 * one that begins with apostrophes before such a mark gets one more.  To undo: where a text begins
 * with one or more ' and then one of these marks, drop the first '. */
#ifndef ROSTER_CSV_OUT_H
#define ROSTER_CSV_OUT_H

#include "base/error.h"

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>

struct csv_out {
    FILE *file;
    const char *path;
    bool has_cell; /* in this row */
};

/* A new file, 0600; it must not be there.  Path must stay. */
MUST_USE bool csv_open(struct csv_out *out, const char *path, struct error *err);

void csv_null(struct csv_out *out);
void csv_text(struct csv_out *out, const char *text); /* NULL = not known */
void csv_integer(struct csv_out *out, int64_t value);
void csv_real(struct csv_out *out,
              double value); /* as few digits as give it back; NAN = not known */
void csv_fixed(struct csv_out *out, double value, int decimals);
void csv_end_row(struct csv_out *out);

/* Synced and closed.  ERROR_STORAGE if a byte of it could not be written. */
MUST_USE bool csv_close(struct csv_out *out, struct error *err);

#endif
