/* cli/import_told.h: what an import says meanwhile and at its end.
 *
 * On a terminal a bar with count, rate and time left; at the end a summary, then the lines of what
 * was not taken.  What is no recording at all, and files of nobody known, are one line each, that
 * names the first few: a folder holds many.  JSON names every file. */
#ifndef CLI_IMPORT_TOLD_H
#define CLI_IMPORT_TOLD_H

#include "base/json.h"
#include "roster/import.h"

struct named_files {
    struct text names;
    size_t count;
};

/* How many rides of a rider were taken. */
struct rider_count {
    const char *rider;
    size_t n_rides;
};

struct import_told {
    struct arena *arena;
    struct text lines; /* of what was not taken, and of damage */
    struct named_files others;
    struct named_files nobodys;
    struct json json;
    struct text json_text;
    struct rider_count *riders; /* [n_riders] in the order they came */
    size_t n_riders;
    size_t riders_capacity;
    bool has_bar;
    double begun_s; /* by a clock that only runs forward */
};

/* `told` must stay where it is. */
void import_told_begin(struct arena *arena, struct import_told *told);

/* For import_call.tell; context is a struct import_told. */
void import_told_file(void *context, const struct imported_file *file);

/* Ends the list and takes the bar away. */
void import_told_end(struct import_told *told, const struct import_sum *sum);

/* The bar's text without its line end: "[####    ] 34 of 120, 17 a second, 5 s left". */
void import_told_bar(size_t done, size_t all, double seconds, char out[80]);

void import_told_words(struct import_told *told, const struct import_sum *sum, struct text *out);

/* Writes the fields of an object that is open: counts, stopped, files. */
void import_told_json(struct import_told *told, const struct import_sum *sum, struct json *json);

#endif
