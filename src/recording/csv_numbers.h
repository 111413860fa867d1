/* recording/csv_numbers.h: the number in a cell of a table. */
#ifndef RECORDING_CSV_NUMBERS_H
#define RECORDING_CSV_NUMBERS_H

#include <stdbool.h>

enum csv_cell {
    CSV_CELL_NUMBER,
    CSV_CELL_MISSING, /* nothing, "-", "--", "na", "n/a", "nan", "null", "none", in any case */
    CSV_CELL_GROUPED, /* digits in groups of three, "1,234.5": which mark is the decimal one? */
    CSV_CELL_OTHER,
};

struct csv_number {
    double value;
    char mark;    /* the decimal mark that stood there, '.' or ','; 0 without one */
    bool grouped; /* "1.234": might as well be a thousand with a separator */
};

/* Reads a cell, blanks around it allowed: a plain decimal number, perhaps with an exponent.  With
 * decimal_comma a comma may stand for the point.  *number is set for CSV_CELL_NUMBER only. */
enum csv_cell csv_cell_read(const char *cell, bool decimal_comma, struct csv_number *number);

bool csv_cell_is_missing(const char *cell);

#endif
