/* recording/csv_read.h: a table with a header row, one row a second or so.
 *
 * Columns are known by their headers (csv_columns.h) or by options->columns, in any order; others
 * are left alone.  A time and at least one of power and heart rate must be there, and of each
 * meaning one column.  Delimiter, headers and characters: csv_rows.h, csv_layout.h, csv_text.h.
 * What a file leaves open is refused with what to write instead: csv_table.h.
 *
 * Time.  An instant without offset is counted as if it were UTC, and has_utc_offset stays false;
 * seconds or a clock of hours, minutes, seconds leave has_start_utc false.  Times are rounded to
 * whole seconds from the first row.  Rows that run back a little or stand far off alone are
 * dropped, and a set clock begins a new recording (stretches.h); a table that runs backwards as a
 * whole is turned round.
 *
 * Gaps.  A table knows no timer.  No row at all for longer than limit pause_gap_s, and longer than
 * three of the table's usual steps, is a pause: head units leave rows out while their timer
 * stands.  But if distance grew meanwhile by limit pause_moving_ms or more the rider went on, and
 * the gap stays missing.
 *
 * Findings: bad-rows (rows, of, first_line), unit-unknown (detail: the header), clock (rows
 * dropped, most_back_s; or turned_round), sport-assumed (nothing says it was a ride). */
#ifndef RECORDING_CSV_READ_H
#define RECORDING_CSV_READ_H

#include "recording/recording.h"

/* True for text that may be a table: no other format's mark, no control characters, a delimiter in
 * its first line or in two others. */
bool csv_probe(struct bytes bytes);

MUST_USE bool csv_read(struct arena *arena, struct bytes bytes, const struct read_options *options,
                       const struct limits *limits, struct recordings *out, struct error *err);

#endif
