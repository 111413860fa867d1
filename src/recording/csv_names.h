/* recording/csv_names.h: the one table of what columns are called, and of their units.
 *
 * docs/formats.md shows it; a test compares both.  Names and units are in the form that headers
 * are brought to before they are looked up (csv_columns.h): small letters, no accents, words
 * joined by one underscore. */
#ifndef RECORDING_CSV_NAMES_H
#define RECORDING_CSV_NAMES_H

#include "recording/recording.h"

/* What a column means: an enum channel, or one of these. */
enum { CSV_TIME = CHANNEL_COUNT, CSV_DATE, CSV_MEANINGS };

struct csv_name {
    const char *name;
    int meaning;
    int rank;         /* of two columns of one meaning the lower is taken; equal ones: refused */
    const char *unit; /* that the name itself says; NULL = the first of the meaning */
};

struct csv_unit {
    const char *unit;
    int meaning;
    int two_parts_s; /* of a time: what the second part of "26:53" counts: 1 s, 60 s, 0 not said */
    double factor;   /* number * factor + offset is in the unit of the channel's name, or in s;
                        0 = a unit of another quantity, that is not read */
    double offset;
};

extern const struct csv_name csv_names[];
extern const size_t csv_n_names;

/* The first row of a meaning is the unit of a header that names none. */
extern const struct csv_unit csv_units[];
extern const size_t csv_n_units;

/* What `--column` calls a meaning: "time", "power", "heart-rate"; CSV_MEANINGS of them. */
const char *csv_meaning_name(int meaning);

/* The meaning of that name; CSV_MEANINGS if there is none. */
int csv_meaning_find(const char *name);

/* The unit of a meaning by its text, or the first with NULL; NULL if there is none. */
const struct csv_unit *csv_unit_find(int meaning, const char *unit);

#endif
