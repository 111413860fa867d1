/* recording/csv_table.h: the columns of a table that are ours, as the rows give them. */
#ifndef RECORDING_CSV_TABLE_H
#define RECORDING_CSV_TABLE_H

#include "recording/csv_time.h"
#include "recording/recording.h"

/* Rows in file order.  A row with a time that can't be read is left out; a value that can't is
 * missing; both count as bad. */
struct csv_table {
    size_t count;
    int64_t *time_ms;              /* [count] as struct csv_time */
    int32_t *value[CHANNEL_COUNT]; /* [count] each, in the channel's steps; NULL: no column */
    enum csv_time_form form;       /* of every row */
    bool has_offset;               /* of the first row */
    int32_t offset_s;
    size_t n_rows; /* that aren't blank, below the header */
    size_t n_bad;
    size_t first_bad_line;
    const char *first_bad;              /* what is wrong with it, or NULL */
    const char *strange[CHANNEL_COUNT]; /* header of a column left out, its unit unknown; or NULL */
};

/* False with ERROR_INPUT: as csv_layout.h; without a row that can be read; with more than limit
 * csv_bad_rows_pct bad rows; and where the file doesn't say what it means: numbers that may have
 * separators of thousands, dates whose day may be the month, clocks of two parts.
 * ERROR_TOO_LARGE beyond the caps on rows and columns.  Messages name the headers found, or the
 * line. */
MUST_USE bool csv_table_read(struct arena *arena, struct bytes bytes,
                             const struct read_options *options, const struct limits *limits,
                             struct csv_table *table, struct error *err);

#endif
