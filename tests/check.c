/* tests/check.c: checks that name the row, what came and what was wanted. */
#include "check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

void check_at(bool claim, const char *words, const char *file, int line)
{
    if (!claim) {
        print_error("# %s:%d: not so: %s\n", file, line, words);
        _fail(file, line);
    }
}

void check_near_at(const char *row, double got, double want, double tolerance, const char *file,
                   int line)
{
    const bool both_unknown = isnan(got) && isnan(want);
    if (!both_unknown && !(fabs(got - want) <= tolerance)) {
        print_error("# %s:%d: %s: got %.15g, wanted %.15g +- %g\n", file, line, row, got, want,
                    tolerance);
        _fail(file, line);
    }
}

void check_close_at(const char *row, double got, double want, double relative, const char *file,
                    int line)
{
    check_near_at(row, got, want, fabs(want) * relative, file, line);
}

void check_integer_at(const char *row, int64_t got, int64_t want, const char *file, int line)
{
    if (got != want) {
        print_error("# %s:%d: %s: got %lld, wanted %lld\n", file, line, row, (long long)got,
                    (long long)want);
        _fail(file, line);
    }
}

void check_text_at(const char *row, const char *got, const char *want, const char *file, int line)
{
    const bool same = got == NULL || want == NULL ? got == want : strcmp(got, want) == 0;
    if (!same) {
        print_error("# %s:%d: %s: got \"%s\", wanted \"%s\"\n", file, line, row,
                    got == NULL ? "(none)" : got, want == NULL ? "(none)" : want);
        _fail(file, line);
    }
}

const char *check_shared(void)
{
    static char path[4096];
    const char *named = getenv("PLUMBLINE_SHARED");
    if (named != NULL && named[0] != '\0') {
        snprintf(path, sizeof path, "%s", named);
    } else {
        snprintf(path, sizeof path, "%s/../shared", PLUMBLINE_SOURCE);
    }
    struct stat st = { 0 };
    return stat(path, &st) == 0 && S_ISDIR(st.st_mode) ? path : NULL;
}

bool check_need_shared(void)
{
    if (check_shared() == NULL) {
        printf("1..0 # SKIP shared data absent (PLUMBLINE_SHARED or ../shared)\n");
        return false;
    }
    return true;
}

struct bytes check_shared_file(struct arena *arena, const char *path)
{
    struct bytes bytes = { 0 };
    struct error err = { 0 };
    const char *whole = arena_format(arena, "%s/%s", check_shared(), path);
    if (!files_read(arena, whole, 256u * 1000u * 1000u, &bytes, &err)) {
        print_error("# %s\n", err.message);
        fail();
    }
    return bytes;
}

/* One CSV cell (RFC 4180), moved past its delimiter; *end_of_row says what stood behind it. */
static char *take_cell(struct arena *arena, const char **at, const char *end, bool *end_of_row)
{
    char *cell =
        arena_alloc(arena, (size_t)(end - *at) + 1 > 4096 ? 4096 : (size_t)(end - *at) + 1, 1);
    size_t n = 0;
    bool quoted = false;
    const char *c = *at;
    for (; c < end; c++) {
        if (*c == '"') {
            if (quoted && c + 1 < end && c[1] == '"') {
                c++;
            } else {
                quoted = !quoted;
                continue;
            }
        } else if (!quoted && (*c == ',' || *c == '\n' || *c == '\r')) {
            break;
        }
        if (n < 4095) {
            cell[n++] = *c;
        }
    }
    *end_of_row = c >= end || *c != ',';
    if (c < end && *c == '\r') {
        c++;
    }
    *at = c < end ? c + 1 : end;
    return arena_string(arena, cell);
}

struct table check_table(struct arena *arena, const char *path_below_shared)
{
    const struct bytes bytes = check_shared_file(arena, path_below_shared);
    struct arena *scratch = arena_open();
    const char *at = (const char *)bytes.at;
    const char *end = at + bytes.size;
    struct table table = { 0 };
    size_t lines = 1;
    size_t columns = 1;
    for (const char *c = at; c < end; c++) {
        lines += *c == '\n' ? 1 : 0;
        columns += *c == ',' && lines == 1 ? 1 : 0;
    }
    table.names = ARENA_ARRAY(arena, char *, columns);
    table.texts = ARENA_ARRAY(arena, char *, lines *columns);
    table.cells = ARENA_ARRAY(arena, double, lines *columns);
    table.columns = columns;
    bool end_of_row = false;
    for (size_t j = 0; !end_of_row; j++) {
        char *cell = take_cell(scratch, &at, end, &end_of_row);
        check(j < columns);
        table.names[j] = arena_string(arena, cell);
    }
    while (at < end) {
        end_of_row = false;
        for (size_t j = 0; !end_of_row && j < columns; j++) {
            char *cell = take_cell(scratch, &at, end, &end_of_row);
            char *stop = NULL;
            const double value = strtod(cell, &stop);
            const size_t i = table.rows * columns + j;
            table.texts[i] = arena_string(arena, cell);
            table.cells[i] = cell[0] != '\0' && *stop == '\0' ? value : (double)NAN;
        }
        table.rows++;
    }
    arena_close(scratch);
    return table;
}

static size_t column_index(const struct table *table, const char *name)
{
    for (size_t j = 0; j < table->columns; j++) {
        if (strcmp(table->names[j], name) == 0) {
            return j;
        }
    }
    print_error("# no column %s\n", name);
    fail();
    return 0;
}

double *check_column(struct arena *arena, const struct table *table, const char *name)
{
    const size_t j = column_index(table, name);
    double *values = ARENA_ARRAY(arena, double, table->rows);
    for (size_t i = 0; i < table->rows; i++) {
        values[i] = table->cells[i * table->columns + j];
    }
    return values;
}

const char *check_cell(const struct table *table, size_t row, const char *name)
{
    return table->texts[row * table->columns + column_index(table, name)];
}
