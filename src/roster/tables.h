/* roster/tables.h: the rows that a coach may edit, and the types of their columns.
 *
 * One list for editing, for undo and for the tests; id and version are not in it, since every such
 * table has them. */
#ifndef ROSTER_TABLES_H
#define ROSTER_TABLES_H

#include "roster/db.h"

#define TABLE_COLUMNS_MOST 24

struct table_column {
    const char *name;
    char letter; /* as in a shape of db_query, a capital */
};

struct editable_table {
    const char *name;
    struct table_column columns[TABLE_COLUMNS_MOST]; /* ends with a NULL name */
};

extern const struct editable_table editable_tables[];
extern const size_t n_editable_tables;

/* NULL if there is none of that name. */
const struct editable_table *tables_find(const char *name);
size_t tables_column_count(const struct editable_table *table);
const struct table_column *tables_column(const struct editable_table *table, const char *name);

#endif
