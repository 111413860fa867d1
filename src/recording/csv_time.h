/* recording/csv_time.h: the time in a cell of a table, whatever its form. */
#ifndef RECORDING_CSV_TIME_H
#define RECORDING_CSV_TIME_H

#include "recording/csv_numbers.h"

#include <stdint.h>

enum csv_time_form {
    CSV_TIME_INSTANT, /* a date with a time: milliseconds since 1970-01-01 */
    CSV_TIME_CLOCK,   /* hours, minutes, seconds: milliseconds since 0:00:00 */
    CSV_TIME_NUMBER,  /* milliseconds since some start */
};

/* Which of 03/04/2026 is the month. */
enum csv_date_order { CSV_ORDER_OPEN, CSV_ORDER_DAY_FIRST, CSV_ORDER_MONTH_FIRST };

/* How cells of a column are to be taken. */
struct csv_time_rules {
    double unit_s;   /* of plain numbers */
    int two_parts_s; /* what the second part of "26:53" counts: 1 s, 60 s; 0 = not said */
    bool decimal_comma;
    enum csv_date_order order; /* of dates with strokes or hyphens */
    double unix_from_s;        /* limit csv_unix_from_s */
};

struct csv_time {
    enum csv_time_form form;
    int64_t ms;
    bool has_offset; /* an offset from UTC stood there and is taken off */
    int32_t offset_s;
    bool has_two_parts; /* a clock of two parts, read as minutes and seconds unless the rules say */
    bool shows_seconds; /* a clock that can only be minutes and seconds, or has three parts */
    struct csv_number number; /* of a plain number */
};

/* Reads a cell, with `date` (NULL = none) from another cell before it.  Forms:
 *   2026-03-14T09:26:53, with a blank for T, with fraction, with Z or +01:00    an instant
 *   2026/03/14 09:26:53, 14.03.2026 09:26, 20260314T092653                     an instant
 *   14/03/2026 09:26:53, 3/14/2026 9:26:53 PM, 14-03-2026 ...                  an instant
 *   Sat Mar 14 09:26:53 CET 2026 (as date(1) prints)                           an instant
 *   9:26:53, 1:02:03.5, 26:53, 9:26:53 PM                                      a clock
 *   0, 1, 2.5 times unit_s; from unix_from_s on it is Unix time, from a
 *   thousand times that on Unix time in milliseconds                           a number, an instant
 * An instant without offset is counted as if it were UTC; letters for a zone (CET) are no offset,
 * since several zones share them.  Dates with strokes are refused while the order is open. */
bool csv_time_read(const char *date, const char *cell, const struct csv_time_rules *rules,
                   struct csv_time *time);

/* The day of the last cell like "2026-03-14 09:26:53": of any form whose clock begins there. */
struct csv_time_day {
    char text[12]; /* what stands before the clock; "" = none yet */
    int64_t ms;    /* its midnight */
};

/* The same as csv_time_read without a date from another cell, for the cells of a column in turn
 * (under rules that stay): a cell of the day before it needs only its clock read. */
bool csv_time_read_next(struct csv_time_day *day, const char *cell,
                        const struct csv_time_rules *rules, struct csv_time *time);

/* Whether the cell begins with a date whose order must be known, and which order it shows itself:
 * open while both its numbers may be a month. */
bool csv_time_needs_order(const char *cell, enum csv_date_order *shown);

#endif
