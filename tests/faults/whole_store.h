/* tests/faults/whole_store.h: all that a roster's file holds, to be compared row by row. */
#ifndef TESTS_FAULTS_WHOLE_STORE_H
#define TESTS_FAULTS_WHOLE_STORE_H

#include <stddef.h>
#include <stdint.h>

#define STORE_TABLES_MOST 80

/* A sum a table over every value of every row, in order of the rows' numbers; the tables that
 * SQLite keeps for itself (its list of the numbers given out) are among them. */
struct store_sums {
    size_t count; /* 0: no file, or no table in it */
    struct {
        char name[48];
        uint64_t sum;
        int64_t rows;
    } tables[STORE_TABLES_MOST];
};

/* Read by plain SQLite calls, sharing nothing with the store.  Fails the test when it can't be. */
void store_sums_of(const char *path, struct store_sums *out);

/* The first table that differs, NULL when none does. */
const char *store_difference(const struct store_sums *a, const struct store_sums *b);

#endif
