/* tests/check.h: checks that name the row, what came and what was wanted. */
#ifndef TESTS_CHECK_H
#define TESTS_CHECK_H

#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "base/arena.h"
#include "base/error.h"
#include "base/files.h"

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

/* A claim that isn't so ends the test; the abort is never reached, and tells the compiler so. */
#define check(claim)                                                                               \
    do {                                                                                           \
        if (!(claim)) {                                                                            \
            check_at(false, #claim, __FILE__, __LINE__);                                           \
            abort();                                                                               \
        }                                                                                          \
    } while (0)
#define check_near(row, got, want, tolerance)                                                      \
    check_near_at((row), (got), (want), (tolerance), __FILE__, __LINE__)
/* tolerance relative to |want| */
#define check_close(row, got, want, relative)                                                      \
    check_close_at((row), (got), (want), (relative), __FILE__, __LINE__)
#define check_integer(row, got, want) check_integer_at((row), (got), (want), __FILE__, __LINE__)
#define check_text(row, got, want)    check_text_at((row), (got), (want), __FILE__, __LINE__)
/* A call that must work; err (struct error *) is what it says when it doesn't. */
#define must(done, err) check_text_at("error", (done) ? "" : (err)->message, "", __FILE__, __LINE__)

void check_at(bool claim, const char *words, const char *file, int line);
void check_near_at(const char *row, double got, double want, double tolerance, const char *file,
                   int line);
void check_close_at(const char *row, double got, double want, double relative, const char *file,
                    int line);
void check_integer_at(const char *row, int64_t got, int64_t want, const char *file, int line);
void check_text_at(const char *row, const char *got, const char *want, const char *file, int line);

/* The folder of shared data: $PLUMBLINE_SHARED, else ../shared beside the source; NULL if absent.
 * A program that needs it calls check_need_shared first thing in main: it prints
 * "1..0 # SKIP shared data absent" and returns false, and the program then returns 0. */
const char *check_shared(void);
bool check_need_shared(void);

/* A file below the shared folder, whole; fails the test if it can't be read. */
struct bytes check_shared_file(struct arena *arena, const char *path);

/* A plain table of numbers: CSV with one header row; empty and non-numeric cells are NAN.
 * Column by its header name (quotes allowed). */
struct table {
    size_t rows;
    size_t columns;
    char **names;  /* [columns] */
    double *cells; /* [rows x columns], by row */
    char **texts;  /* the same as text */
};
struct table check_table(struct arena *arena, const char *path_below_shared);
/* The column as an array of rows; fails the test if it isn't there. */
double *check_column(struct arena *arena, const struct table *table, const char *name);
const char *check_cell(const struct table *table, size_t row, const char *name);

#endif
