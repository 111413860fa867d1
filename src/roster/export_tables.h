/* roster/export_tables.h: the tables of an export and their columns: one list for the files and for
 * the dictionary. */
#ifndef ROSTER_EXPORT_TABLES_H
#define ROSTER_EXPORT_TABLES_H

#include <stddef.h>

struct export_column {
    const char *name;
    const char *sql;  /* NULL = the table's column of that name */
    char letter;      /* as in a shape of db_query, a capital; U = UTC seconds, shown as ISO 8601;
                         X = bytes, shown as hexadecimal digits */
    const char *unit; /* "" = none */
    const char *meaning;
};

#define EXPORT_COLUMNS_MOST 32

struct export_table {
    const char *file;  /* "riders.csv" */
    const char *about; /* what a row is */
    const char *from;  /* FROM ... WHERE ..., $1 = the rider, 0 = all; the table is called x */
    struct export_column columns[EXPORT_COLUMNS_MOST]; /* ends with a NULL name */
};

extern const struct export_table export_tables[];
extern const size_t n_export_tables;

/* "text", "number", "yes or no", "instant", "hexadecimal digits". */
const char *export_type_words(char letter);

#endif
