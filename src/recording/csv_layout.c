/* recording/csv_layout.c: where in a table what stands. */
#include "recording/csv_layout.h"

#include "base/text.h"
#include "recording/csv_text.h"

#include <string.h>

/* Room for the list of headers in a message. */
#define HEADERS_MAX 240

struct search {
    struct arena *arena;
    const struct read_options *options;
    const struct limits *limits;
    struct error *err;
};

/* "time, power (W), ...", to be printed. */
static const char *list_headers(struct arena *arena, const struct csv_layout *layout)
{
    struct text text = text_begin(arena, HEADERS_MAX);
    for (size_t i = 0; i < layout->n_columns; i++) {
        text_add_format(&text, "%s%s", i == 0 ? "" : ", ", layout->headers[i]);
    }
    /* The list may have been cut inside a character: cleaned, it can be printed. */
    return arena_format(arena, "%s%s", text_clean(arena, text.bytes, text.length),
                        text.cut ? " ..." : "");
}

/* ---- one row as headers ---- */

/* Whether it's asked for that a column of that meaning is taken by its header alone. */
static bool is_asked(const struct read_options *options, int meaning)
{
    for (size_t i = 0; i < options->n_columns; i++) {
        if (options->columns[i].meaning == meaning) {
            return true;
        }
    }
    return false;
}

static struct csv_column column_for(const struct read_options *options, const char *header)
{
    for (size_t i = 0; i < options->n_columns; i++) {
        if (csv_column_is_named(header, options->columns[i].name)) {
            return csv_column_as(header, options->columns[i].meaning);
        }
    }
    struct csv_column column = csv_column_of(header);
    if (is_asked(options, column.meaning)) {
        column.meaning = CSV_MEANINGS;
    }
    return column;
}

static struct csv_layout lay_out(const struct search *search, const struct csv_rows *rows)
{
    struct arena *arena = search->arena;
    size_t n = rows->n_cells;
    while (n > 0 && rows->cells[n - 1][strspn(rows->cells[n - 1], " \t")] == '\0') {
        n--;
    }
    struct csv_layout layout = {
        .n_columns = n,
        .columns = ARENA_ARRAY(arena, struct csv_column, n),
        .headers = ARENA_ARRAY(arena, const char *, n),
        .times = ARENA_ARRAY(arena, size_t, n),
        .date = n,
    };
    for (size_t c = 0; c < CHANNEL_COUNT; c++) {
        layout.place[c] = n;
    }
    for (size_t i = 0; i < n; i++) {
        layout.headers[i] = csv_text_show(arena, rows->cells[i]);
        layout.columns[i] = column_for(search->options, layout.headers[i]);
    }
    return layout;
}

static bool has_meaning(const struct csv_layout *layout, int meaning)
{
    for (size_t i = 0; i < layout->n_columns; i++) {
        if (layout->columns[i].meaning == meaning) {
            return true;
        }
    }
    return false;
}

static bool has_time(const struct csv_layout *layout)
{
    return has_meaning(layout, CSV_TIME) || has_meaning(layout, CSV_DATE);
}

static bool has_measure(const struct csv_layout *layout)
{
    return has_meaning(layout, CHANNEL_POWER) || has_meaning(layout, CHANNEL_HEART_RATE);
}

/* A column known weighs more than any number of cells. */
enum { KNOWN = 1000000 };

/* How much a row looks like headers: the columns known, then its cells. */
static size_t likeness(const struct csv_layout *layout)
{
    size_t known = 0;
    for (size_t i = 0; i < layout->n_columns; i++) {
        known += layout->columns[i].meaning < CSV_MEANINGS ? 1 : 0;
    }
    return known * KNOWN + layout->n_columns;
}

/* Looks through the top rows by one delimiter.  True when the headers were found; otherwise
 * *layout is the row that looks most like them, n_columns 0 if there is no row, and *problem says
 * of the first row that couldn't be taken apart (NULL: none). */
static bool look(const struct search *search, struct csv_rows *rows, struct csv_layout *layout,
                 const char **problem)
{
    const size_t most = (size_t)search->limits->value[LIMIT_CSV_LINES_BEFORE] + 1;
    *layout = (struct csv_layout){ 0 };
    *problem = NULL;
    while (csv_rows_next(rows) && rows->line <= most) {
        if (rows->problem != NULL && *problem == NULL) {
            *problem = arena_format(search->arena, "; line %zu %s", rows->line, rows->problem);
        }
        if (csv_rows_is_blank(rows) || rows->problem != NULL) {
            continue;
        }
        const struct csv_layout found = lay_out(search, rows);
        if (layout->n_columns == 0 || likeness(&found) > likeness(layout)) {
            *layout = found;
        }
        if (has_time(&found) && has_measure(&found)) {
            *layout = found;
            return true;
        }
    }
    return false;
}

/* ---- which column of a meaning ---- */

/* Refuses two columns of one meaning. */
static bool refuse_two(const struct search *search, const struct csv_layout *layout, size_t a,
                       size_t b)
{
    const char *meaning = csv_meaning_name(layout->columns[a].meaning);
    if (csv_column_is_named(layout->headers[a], layout->headers[b])) {
        return error_set(search->err, ERROR_INPUT,
                         "%s: two columns are named \"%s\"; rename the one that isn't the %s "
                         "(found: %s)",
                         search->options->file, layout->headers[a], meaning,
                         list_headers(search->arena, layout));
    }
    return error_set(search->err, ERROR_INPUT,
                     "%s: two columns of %s, \"%s\" and \"%s\"; say which with --column %s=NAME "
                     "(found: %s)",
                     search->options->file, meaning, layout->headers[a], layout->headers[b],
                     meaning, list_headers(search->arena, layout));
}

/* What there is for a meaning. */
struct choice {
    size_t best;   /* n_columns: no column */
    size_t second; /* of the same rank; n_columns: none */
    bool strange;  /* its unit isn't known: there is no other */
};

static bool is_candidate(const struct csv_column *column, int meaning, int above, bool strange)
{
    return column->meaning == meaning && column->rank > above && (column->unit == NULL) == strange;
}

/* The column of a meaning with the lowest rank above `above`.  Those of an unknown unit only count
 * where there is no other. */
static struct choice choose(const struct csv_layout *layout, int meaning, int above)
{
    const size_t n = layout->n_columns;
    struct choice choice = { .best = n, .second = n };
    for (int pass = 0; pass < 2 && choice.best == n; pass++) {
        choice.strange = pass == 1;
        for (size_t i = 0; i < n; i++) {
            const struct csv_column *column = &layout->columns[i];
            if (!is_candidate(column, meaning, above, choice.strange)) {
                continue;
            }
            const int rank = choice.best == n ? column->rank : layout->columns[choice.best].rank;
            if (choice.best == n || column->rank < rank) {
                choice.best = i;
                choice.second = n;
            } else if (column->rank == rank && choice.second == n) {
                choice.second = i;
            }
        }
    }
    return choice;
}

static bool refuse_unit(const struct search *search, const struct csv_layout *layout, size_t i)
{
    const int meaning = layout->columns[i].meaning;
    struct text units = text_begin(search->arena, 120);
    for (size_t k = 0; k < csv_n_units; k++) {
        if (csv_units[k].meaning == meaning && csv_units[k].factor > 0.0) {
            text_add_format(&units, "%s%s", units.length == 0 ? "" : ", ", csv_units[k].unit);
        }
    }
    return error_set(search->err, ERROR_INPUT,
                     "%s: column \"%s\": this unit of %s isn't read; write it in one of %s",
                     search->options->file, layout->headers[i], csv_meaning_name(meaning),
                     text_clean(search->arena, units.bytes, units.length));
}

static bool choose_times(const struct search *search, struct csv_layout *layout)
{
    const size_t n = layout->n_columns;
    struct choice choice = choose(layout, CSV_TIME, -1);
    /* Others than the most telling are tried only where it holds no time: those that can't be told
     * apart are no help. */
    while (choice.best < n && choice.second == n && !choice.strange) {
        layout->times[layout->n_times++] = choice.best;
        choice = choose(layout, CSV_TIME, layout->columns[choice.best].rank);
    }
    if (layout->n_times == 0 && choice.best < n) {
        return choice.second < n ? refuse_two(search, layout, choice.best, choice.second)
                                 : refuse_unit(search, layout, choice.best);
    }
    choice = choose(layout, CSV_DATE, -1);
    if (choice.second < n) {
        return refuse_two(search, layout, choice.best, choice.second);
    }
    if (choice.best < n && choice.strange) {
        return refuse_unit(search, layout, choice.best);
    }
    layout->date = choice.best;
    /* A date that holds the hour too is a time of its own. */
    if (layout->n_times == 0 && layout->date < n) {
        layout->times[layout->n_times++] = layout->date;
        layout->date = n;
    }
    return true;
}

static bool choose_channels(const struct search *search, struct csv_layout *layout)
{
    const size_t n = layout->n_columns;
    for (int c = 0; c < CHANNEL_COUNT; c++) {
        const struct choice choice = choose(layout, c, -1);
        layout->place[c] = choice.best;
        if (choice.second < n) {
            return refuse_two(search, layout, choice.best, choice.second);
        }
        if (choice.best == n || !choice.strange) {
            continue;
        }
        if (c == CHANNEL_POWER || c == CHANNEL_HEART_RATE || is_asked(search->options, c)) {
            return refuse_unit(search, layout, choice.best);
        }
        layout->strange[c] = layout->headers[choice.best];
        layout->place[c] = n;
    }
    return true;
}

/* Every column that was asked for by name is there, once. */
static bool has_asked(const struct search *search, const struct csv_layout *layout)
{
    for (size_t k = 0; k < search->options->n_columns; k++) {
        const struct read_column *asked = &search->options->columns[k];
        bool found = false;
        for (size_t i = 0; i < layout->n_columns; i++) {
            found = found || csv_column_is_named(layout->headers[i], asked->name);
        }
        if (!found) {
            return error_set(search->err, ERROR_INPUT,
                             "%s: --column %s=%s: no column of that name (found: %s)",
                             search->options->file, csv_meaning_name(asked->meaning),
                             text_clean(search->arena, asked->name, strlen(asked->name)),
                             list_headers(search->arena, layout));
        }
    }
    return true;
}

/* A row of units right below the headers: each cell of a column of ours is empty or a unit of its
 * meaning, and one is a unit.  True if it was one. */
static bool take_units(struct csv_rows *rows, struct csv_layout *layout)
{
    struct csv_rows ahead = *rows;
    size_t units = 0;
    if (!csv_rows_next(&ahead) || ahead.problem != NULL) {
        return false;
    }
    const size_t n = ahead.n_cells < layout->n_columns ? ahead.n_cells : layout->n_columns;
    for (int pass = 0; pass < 2; pass++) {
        for (size_t i = 0; i < n; i++) {
            struct csv_column *column = &layout->columns[i];
            const char *cell = ahead.cells[i];
            if (column->meaning == CSV_MEANINGS || cell[strspn(cell, " \t")] == '\0') {
                continue;
            }
            const struct csv_unit *unit = csv_column_unit_in(cell, column->meaning);
            if (unit == NULL) {
                return false;
            }
            units++;
            column->unit = pass == 0 ? column->unit : unit;
        }
        if (units == 0) {
            return false;
        }
    }
    *rows = ahead;
    return true;
}

bool csv_layout_find(struct arena *arena, struct bytes bytes, const struct read_options *options,
                     const struct limits *limits, struct csv_rows *rows, struct csv_layout *layout,
                     struct error *err)
{
    const struct search search = { arena, options, limits, err };
    char likeliest[CSV_DELIMITERS];
    csv_rows_delimiters(bytes, (size_t)limits->value[LIMIT_CSV_LINES_LOOKED_AT], likeliest);
    struct csv_layout nearest = { 0 };
    const char *problem = NULL;
    const char *first_problem = NULL;
    bool found = false;
    for (size_t d = 0; d < CSV_DELIMITERS && !found; d++) {
        *rows = csv_rows_begin(arena, bytes, likeliest[d],
                               (size_t)limits->value[LIMIT_CAP_CSV_LINE_BYTES],
                               (size_t)limits->value[LIMIT_CAP_CSV_COLUMNS]);
        found = look(&search, rows, layout, &problem);
        if (d == 0) {
            nearest = *layout;
            first_problem = problem;
        }
    }
    *layout = found ? *layout : nearest;
    /* Where a row was lost and no other has a name of ours, it will have been the headers. */
    if (layout->n_columns == 0 || (first_problem != NULL && likeness(layout) < KNOWN)) {
        return error_set(err, ERROR_INPUT, "%s: holds no row of headers%s", options->file,
                         first_problem != NULL ? first_problem : "");
    }
    if (!has_asked(&search, layout)) {
        return false;
    }
    if (!has_time(layout)) {
        return error_set(err, ERROR_INPUT,
                         "%s: no column of time; name it with --column time=NAME (found: %s)",
                         options->file, list_headers(arena, layout));
    }
    if (!has_measure(layout)) {
        return error_set(err, ERROR_INPUT,
                         "%s: no column of power or heart rate; name it with --column power=NAME "
                         "or --column heart-rate=NAME (found: %s)",
                         options->file, list_headers(arena, layout));
    }
    (void)take_units(rows, layout);
    return choose_times(&search, layout) && choose_channels(&search, layout);
}
