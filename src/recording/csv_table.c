/* recording/csv_table.c: the columns of a table that are ours, as the rows give them. */
#include "recording/csv_table.h"

#include "base/text.h"
#include "recording/csv_layout.h"
#include "recording/csv_text.h"

#include <math.h>
#include <string.h>

/* What the numbers of a column look like, to tell decimals from thousands. */
struct look {
    size_t grouped_line; /* the first like "1.234"; 0 = none */
    bool has_other;      /* with a mark, but not of that look: the mark is a decimal one */
    bool has_hundreds;   /* without a mark, 100 or more */
};

/* A column that holds a channel. */
struct taken {
    enum channel channel;
    size_t place; /* of its cell in a row */
    struct csv_scale scale;
    int32_t *value; /* the channel's of the table */
};

struct reader {
    struct arena *arena;
    const char *file;
    const struct limits *limits;
    struct csv_rows rows;
    struct csv_layout layout;
    struct taken taken[CHANNEL_COUNT]; /* [n_taken] */
    size_t n_taken;
    struct csv_time_rules rules;          /* of the column that holds the time */
    bool has_form;                        /* a row told which column holds the time, and its form */
    size_t time_at;                       /* that column */
    struct csv_time_day day;              /* of the last row */
    size_t two_parts_line;                /* the first clock of two parts; 0 = none */
    bool shows_seconds;                   /* some clock can only be minutes and seconds */
    struct look looks[CHANNEL_COUNT + 1]; /* of the channels and of the time */
    size_t comma_line;                    /* the first number with a decimal comma; 0 = none */
    size_t point_line;
    struct csv_table *table;
    bool refused; /* *err says why */
    struct error *err;
};

static bool make_room(struct reader *reader, size_t *room)
{
    struct csv_table *table = reader->table;
    const size_t cap = (size_t)reader->limits->value[LIMIT_CAP_CSV_ROWS];
    /* Lines that are long enough for a row with its delimiters and a digit of time. */
    *room = csv_rows_count_lines(&reader->rows, reader->layout.n_columns);
    if (*room > cap) {
        return error_set(reader->err, ERROR_TOO_LARGE,
                         "%s: more than %zu rows; is it one recording?", reader->file, cap);
    }
    table->time_ms = ARENA_ARRAY(reader->arena, int64_t, *room);
    for (size_t c = 0; c < CHANNEL_COUNT; c++) {
        const size_t place = reader->layout.place[c];
        if (place < reader->layout.n_columns) {
            table->value[c] = ARENA_ARRAY(reader->arena, int32_t, *room);
            reader->taken[reader->n_taken++] =
                (struct taken){ .channel = (enum channel)c,
                                .place = place,
                                .scale = csv_scale_of(&reader->layout.columns[place]),
                                .value = table->value[c] };
        }
        table->strange[c] = reader->layout.strange[c];
    }
    return true;
}

/* A cell as a message shows it. */
static const char *show(const struct reader *reader, const char *cell)
{
    const char *text = csv_text_show(reader->arena, cell);
    const size_t length = strlen(text) > 40 ? 40 : strlen(text);
    return text_clean(reader->arena, text, length);
}

static void note_bad(struct reader *reader, const char *what, const char *cell)
{
    struct csv_table *table = reader->table;
    if (table->n_bad++ > 0) {
        return;
    }
    table->first_bad_line = reader->rows.line;
    table->first_bad =
        cell == NULL ? what : arena_format(reader->arena, "%s \"%s\"", what, show(reader, cell));
}

static void refuse_grouped(struct reader *reader, size_t line, const char *what, const char *cell)
{
    reader->refused = true;
    (void)error_set(reader->err, ERROR_INPUT,
                    "%s: line %zu: %s%s%s%s may have a separator of thousands; write numbers "
                    "without",
                    reader->file, line, what, cell == NULL ? "" : " \"",
                    cell == NULL ? "" : show(reader, cell), cell == NULL ? "" : "\"");
}

/* Counts a number into the look of its column (CHANNEL_COUNT: the time). */
static void look_at(struct reader *reader, size_t column, const struct csv_number *number)
{
    struct look *look = &reader->looks[column];
    if (number->mark == '\0') {
        look->has_hundreds = look->has_hundreds || fabs(number->value) >= 100.0;
        return;
    }
    if (!number->grouped) {
        look->has_other = true;
    } else if (look->grouped_line == 0) {
        look->grouped_line = reader->rows.line;
    }
    size_t *line = number->mark == ',' ? &reader->comma_line : &reader->point_line;
    *line = *line == 0 ? reader->rows.line : *line;
}

/* ---- time ---- */

static bool read_cell_time(const struct reader *reader, size_t column,
                           const struct csv_time_rules *rules, struct csv_time *time)
{
    const struct csv_rows *rows = &reader->rows;
    const size_t date = reader->layout.date;
    return csv_time_read(date < reader->layout.n_columns ? rows->cells[date] : NULL,
                         rows->cells[column], rules, time);
}

/* The order of dates in a column: the first that can be read in one way only shows it. */
static enum csv_date_order find_order(const struct reader *reader, size_t column)
{
    enum csv_date_order order = CSV_ORDER_OPEN;
    if (!csv_time_needs_order(reader->rows.cells[column], &order) || order != CSV_ORDER_OPEN) {
        return order;
    }
    struct arena *scratch = arena_open();
    const struct bytes rest = { reader->rows.at, (size_t)(reader->rows.end - reader->rows.at) };
    struct csv_rows rows = csv_rows_begin(scratch, rest, reader->rows.delimiter,
                                          (size_t)reader->limits->value[LIMIT_CAP_CSV_LINE_BYTES],
                                          (size_t)reader->limits->value[LIMIT_CAP_CSV_COLUMNS]);
    while (order == CSV_ORDER_OPEN && csv_rows_next(&rows)) {
        if (column < rows.n_cells) {
            (void)csv_time_needs_order(rows.cells[column], &order);
        }
    }
    arena_close(scratch);
    return order;
}

/* Takes the column as the one of the time if the row's cell is a time. */
static bool try_column(struct reader *reader, size_t column, struct csv_time *time)
{
    const struct csv_unit *unit = reader->layout.columns[column].unit;
    const size_t date = reader->layout.date;
    const size_t dates[2] = { column, date < reader->layout.n_columns ? date : column };
    struct csv_time_rules rules = reader->rules;
    rules.unit_s = unit->factor;
    rules.two_parts_s = unit->two_parts_s;
    for (size_t i = 0; i < 2 && rules.order == CSV_ORDER_OPEN; i++) {
        const char *cell = reader->rows.cells[dates[i]];
        enum csv_date_order shown = CSV_ORDER_OPEN;
        if (!csv_time_needs_order(cell, &shown)) {
            continue;
        }
        rules.order = find_order(reader, dates[i]);
        if (rules.order == CSV_ORDER_OPEN) {
            reader->refused = true;
            return error_set(reader->err, ERROR_INPUT,
                             "%s: line %zu: \"%s\": day or month first? no row says; write dates "
                             "as 2026-03-14",
                             reader->file, reader->rows.line, show(reader, cell));
        }
    }
    if (!read_cell_time(reader, column, &rules, time)) {
        return false;
    }
    reader->rules = rules;
    reader->has_form = true;
    reader->time_at = column;
    reader->table->form = time->form;
    reader->table->has_offset = time->has_offset;
    reader->table->offset_s = time->offset_s;
    return true;
}

/* The row's time.  The first row that has one says which column holds it and in what form. */
static bool read_time(struct reader *reader, struct csv_time *time)
{
    bool read = false;
    if (reader->has_form) {
        read = reader->layout.date < reader->layout.n_columns
                   ? read_cell_time(reader, reader->time_at, &reader->rules, time)
                   : csv_time_read_next(&reader->day, reader->rows.cells[reader->time_at],
                                        &reader->rules, time);
        read = read && time->form == reader->table->form;
    } else {
        for (size_t i = 0; i < reader->layout.n_times && !read && !reader->refused; i++) {
            read = try_column(reader, reader->layout.times[i], time);
        }
    }
    if (!read) {
        return false;
    }
    if (time->form == CSV_TIME_CLOCK) {
        reader->shows_seconds = reader->shows_seconds || time->shows_seconds;
        if (time->has_two_parts && reader->two_parts_line == 0) {
            reader->two_parts_line = reader->rows.line;
        }
    } else if (time->form == CSV_TIME_NUMBER) {
        look_at(reader, CHANNEL_COUNT, &time->number);
    }
    return true;
}

/* ---- rows ---- */

/* Puts the row's values at place `at`; the first that can't be read is noted. */
static void read_values(struct reader *reader, size_t at)
{
    bool is_bad = false;
    for (size_t i = 0; i < reader->n_taken; i++) {
        const struct taken *taken = &reader->taken[i];
        const char *cell = reader->rows.cells[taken->place];
        int32_t value = RECORDING_MISSING;
        struct csv_number number;
        const enum csv_cell kind = csv_cell_read(cell, reader->rules.decimal_comma, &number);
        if (kind == CSV_CELL_NUMBER) {
            look_at(reader, taken->channel, &number);
        }
        const bool is_good =
            kind == CSV_CELL_MISSING ||
            (kind == CSV_CELL_NUMBER && csv_value(&taken->scale, number.value, &value));
        taken->value[at] = value;
        if (is_good) {
            continue;
        }
        const char *name = channel_row(taken->channel)->name;
        if (kind == CSV_CELL_GROUPED && !reader->refused) {
            refuse_grouped(reader, reader->rows.line, name, cell);
        }
        if (!is_bad) {
            note_bad(reader, name, cell);
        }
        is_bad = true;
    }
}

/* Whether the row has a cell for each header; empty ones behind them do no harm. */
static bool has_right_length(struct reader *reader)
{
    const struct csv_rows *rows = &reader->rows;
    for (size_t i = reader->layout.n_columns; i < rows->n_cells; i++) {
        if (!csv_cell_is_missing(rows->cells[i])) {
            note_bad(reader, "has more cells than the headers, with", rows->cells[i]);
            return false;
        }
    }
    if (rows->n_cells < reader->layout.n_columns) {
        note_bad(reader, "has fewer cells than the headers", NULL);
        return false;
    }
    return true;
}

static void read_row(struct reader *reader, size_t room)
{
    struct csv_table *table = reader->table;
    const struct csv_rows *rows = &reader->rows;
    table->n_rows++;
    if (rows->problem != NULL) {
        note_bad(reader, rows->problem, NULL);
        return;
    }
    if (!has_right_length(reader)) {
        return;
    }
    if (table->count == room) { /* a quoted cell broke it into lines too short to be counted */
        note_bad(reader, "is broken over several lines", NULL);
        return;
    }
    struct csv_time time = { 0 };
    if (!read_time(reader, &time)) {
        const size_t column = reader->has_form ? reader->time_at : reader->layout.times[0];
        struct csv_number number = { 0 };
        if (csv_cell_read(rows->cells[column], reader->rules.decimal_comma, &number) ==
                CSV_CELL_GROUPED &&
            !reader->refused) {
            refuse_grouped(reader, rows->line, "time", rows->cells[column]);
        }
        note_bad(reader, "time", rows->cells[column]);
        return;
    }
    table->time_ms[table->count] = time.ms;
    read_values(reader, table->count);
    table->count++;
}

/* ---- the table as a whole ---- */

/* Refuses what only all rows together show to have two meanings. */
static bool is_clear(struct reader *reader)
{
    const char *file = reader->file;
    if (reader->comma_line > 0 && reader->point_line > 0) {
        return error_set(reader->err, ERROR_INPUT,
                         "%s: a comma in a number on line %zu, a point on line %zu: which one is "
                         "the decimal mark? write numbers without separators of thousands",
                         file, reader->comma_line, reader->point_line);
    }
    for (size_t c = 0; c <= CHANNEL_COUNT; c++) {
        const struct look *look = &reader->looks[c];
        if (look->grouped_line > 0 && !look->has_other && look->has_hundreds) {
            refuse_grouped(reader, look->grouped_line,
                           c == CHANNEL_COUNT ? "time" : channel_row((enum channel)c)->name, NULL);
            return false;
        }
    }
    if (reader->two_parts_line > 0 && !reader->shows_seconds) {
        return error_set(reader->err, ERROR_INPUT,
                         "%s: line %zu: hours or minutes first? write times as 0:26:53, or name "
                         "the column \"time (mm:ss)\" or \"time (hh:mm)\"",
                         file, reader->two_parts_line);
    }
    return true;
}

static bool has_good_rows(const struct reader *reader)
{
    const struct csv_table *table = reader->table;
    if (table->n_rows == 0) {
        return error_set(reader->err, ERROR_INPUT, "%s: holds headers but no rows", reader->file);
    }
    const double bad_pct = 100.0 * (double)table->n_bad / (double)table->n_rows;
    if (table->count == 0 || bad_pct > reader->limits->value[LIMIT_CSV_BAD_ROWS_PCT]) {
        return error_set(reader->err, ERROR_INPUT,
                         "%s: %zu of %zu rows can't be read; the first is line %zu: %s",
                         reader->file, table->n_bad, table->n_rows, table->first_bad_line,
                         table->first_bad);
    }
    return true;
}

bool csv_table_read(struct arena *arena, struct bytes bytes, const struct read_options *options,
                    const struct limits *limits, struct csv_table *table, struct error *err)
{
    *table = (struct csv_table){ 0 };
    struct reader reader = {
        .arena = arena,
        .file = options->file,
        .limits = limits,
        .rules = { .unix_from_s = limits->value[LIMIT_CSV_UNIX_FROM_S] },
        .table = table,
        .err = err,
    };
    size_t room = 0;
    if (!csv_layout_find(arena, bytes, options, limits, &reader.rows, &reader.layout, err) ||
        !make_room(&reader, &room)) {
        return false;
    }
    /* Where the comma separates cells it can't be a decimal mark. */
    reader.rules.decimal_comma = reader.rows.delimiter != ',';
    while (!reader.refused && csv_rows_next(&reader.rows)) {
        if (!csv_rows_is_blank(&reader.rows)) {
            read_row(&reader, room);
        }
    }
    return !reader.refused && has_good_rows(&reader) && is_clear(&reader);
}
