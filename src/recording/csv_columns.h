/* recording/csv_columns.h: what a column of a table is, by its header.
 *
 * One table of names and one of units (docs/formats.md lists both).  A header is compared without
 * regard to case; blanks, hyphens, dots and underscores are alike; a unit may follow in brackets
 * ("Speed (km/h)", "Heart Rate [bpm]") or as the last word ("speed_kmh").  A known name with an
 * unknown unit ("power (w/kg)") is another quantity: the column is left alone. */
#ifndef RECORDING_CSV_COLUMNS_H
#define RECORDING_CSV_COLUMNS_H

#include "recording/recording.h"

/* What a column means: an enum channel, or one of these. */
enum { CSV_TIME = CHANNEL_COUNT, CSV_DATE, CSV_MEANINGS };

/* A column's meaning and how its numbers become the channel's unit: number * factor + offset. */
struct csv_column {
    int meaning; /* CSV_MEANINGS: none of ours */
    int rank;    /* of two columns of one meaning the lower rank is taken */
    double factor;
    double offset;
};

/* The meaning of a header cell (UTF-8). */
struct csv_column csv_column_of(const char *header);

/* The tables, for the documentation: the i-th name and what it means, false past the last. */
bool csv_column_name(size_t i, const char **name, int *meaning);
bool csv_column_unit(size_t i, const char **unit, int *meaning, double *factor, double *offset);

/* What stands for a missing value: nothing, "-", "--", "na", "n/a", "nan", "null", "none", in any
 * case, blanks around it. */
bool csv_is_missing(const char *cell);

/* A plain decimal number, blanks around it; with decimal_comma one comma may stand for the point.
 * False if the cell isn't one. */
bool csv_number(const char *cell, bool decimal_comma, double *value);

/* The channel's int32 for a cell's number; false if it is outside what the channel can hold (the
 * range of the FIT field of the channel, so that both formats say the same). */
bool csv_value(const struct csv_column *column, double number, int32_t *value);

#endif
