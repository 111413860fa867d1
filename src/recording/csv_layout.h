/* recording/csv_layout.h: where in a table what stands.
 *
 * The row of headers is the first of the top rows that names a time and power or heart rate; what
 * stands above it is left out.  A row of units below it ("s;W;km/h") counts as part of it. */
#ifndef RECORDING_CSV_LAYOUT_H
#define RECORDING_CSV_LAYOUT_H

#include "recording/csv_columns.h"
#include "recording/csv_rows.h"

struct csv_layout {
    size_t n_columns;           /* empty headers at the end aren't counted */
    struct csv_column *columns; /* [n_columns] */
    const char **headers;       /* [n_columns] as they can be printed */
    size_t *times;              /* [n_times] columns of time, the most telling first */
    size_t n_times;
    size_t date;                        /* n_columns: none */
    size_t place[CHANNEL_COUNT];        /* n_columns: none */
    const char *strange[CHANNEL_COUNT]; /* the header of a column that was left out for its unit */
};

/* Finds delimiter and headers and leaves *rows before the first row of values.
 * False with ERROR_INPUT, naming the headers: no row of headers, no time, neither power nor heart
 * rate, two columns of one meaning, an unknown unit of one of these, or a column that
 * options->columns asks for and that isn't there. */
MUST_USE bool csv_layout_find(struct arena *arena, struct bytes bytes,
                              const struct read_options *options, const struct limits *limits,
                              struct csv_rows *rows, struct csv_layout *layout, struct error *err);

#endif
