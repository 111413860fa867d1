/* recording/csv_time.h: the time in a cell of a table, whatever its form. */
#ifndef RECORDING_CSV_TIME_H
#define RECORDING_CSV_TIME_H

#include "limits/limits.h"

#include <stdbool.h>
#include <stdint.h>

enum csv_time_form {
    CSV_TIME_INSTANT, /* a date with a time: milliseconds since 1970-01-01 */
    CSV_TIME_CLOCK,   /* hours, minutes, seconds: milliseconds since 0:00:00 */
    CSV_TIME_NUMBER,  /* milliseconds since some start */
};

struct csv_time {
    enum csv_time_form form;
    int64_t ms;
    bool has_offset; /* an offset from UTC stood there and is taken off */
    int32_t offset_s;
};

/* Reads a cell, with `date` (NULL = none) from another cell before it.  Forms:
 *   2026-03-14T09:26:53, with a blank for T, with fraction, with Z or +01:00    an instant
 *   2026/03/14 09:26:53, 14.03.2026 09:26:53                                   an instant
 *   Sat Mar 14 09:26:53 CET 2026 (as date(1) prints)                           an instant
 *   9:26:53, 1:02:03.5, 26:53                                                  a clock
 *   0, 1, 2.5 times unit_s; from limit csv_unix_from_s on it is Unix time, from
 *   a thousand times that on Unix time in milliseconds                         a number, an instant
 * An instant without offset is counted as if it were UTC; letters for a zone (CET) are no offset,
 * since several zones share them.  Dates like 03/14/2026 are refused: nobody knows which of the
 * two is the month. */
bool csv_time_read(const char *date, const char *cell, double unit_s, bool decimal_comma,
                   const struct limits *limits, struct csv_time *time);

#endif
