/* recording/csv_columns.h: what a column of a table is, by its header.
 *
 * Names and units stand in one table (csv_names.h; docs/formats.md shows it).  A header is compared
 * without regard to case and accents; blanks, hyphens, dots and underscores are alike; a unit may
 * follow in brackets ("Speed (km/h)", "Heart Rate [bpm]") or as the last words ("speed_kmh",
 * "speed km/h").  What stands behind a name and is no unit at all ("power_left") makes it another
 * quantity. */
#ifndef RECORDING_CSV_COLUMNS_H
#define RECORDING_CSV_COLUMNS_H

#include "recording/csv_names.h"

/* A column's meaning and how its numbers become the channel's unit: number * factor + offset. */
struct csv_column {
    int meaning; /* CSV_MEANINGS: none of ours */
    int rank;    /* of two columns of one meaning the lower is taken; equal ones can't be told */
    const struct csv_unit *unit; /* NULL: the name is ours, but its unit isn't known or not read */
};

/* The meaning of a header cell (UTF-8). */
struct csv_column csv_column_of(const char *header);

/* The header as a column of a meaning that somebody gave it: only its unit is looked for, and
 * where none is known the first of the meaning is taken (bare brackets with another: NULL). */
struct csv_column csv_column_as(const char *header, int meaning);

/* Whether two headers are the same but for case, accents, blanks and underscores. */
bool csv_column_is_named(const char *header, const char *name);

/* The unit that a cell below a header names for that meaning; NULL if it names none. */
const struct csv_unit *csv_column_unit_in(const char *cell, int meaning);

/* How the numbers of a channel's column become the channel's steps. */
struct csv_scale {
    double factor; /* number * factor + offset is in the unit of the channel's name */
    double offset;
    double lowest; /* the range of the FIT field of the channel: both formats say the same */
    double highest;
    double steps_per_unit;
};

/* Of a column with a unit that means a channel. */
struct csv_scale csv_scale_of(const struct csv_column *column);

/* The channel's int32 for a cell's number; false if it is outside what the channel can hold. */
bool csv_value(const struct csv_scale *scale, double number, int32_t *value);

#endif
