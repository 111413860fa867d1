/* recording/csv_table.c: the columns of a table that are ours, as the rows give them. */
#include "recording/csv_table.h"

#include "base/text.h"
#include "recording/csv_columns.h"
#include "recording/csv_rows.h"

#include <string.h>

/* Room for the list of headers in a message. */
#define HEADERS_MAX 240

/* Where what stands. */
struct layout {
    size_t n_columns;
    struct csv_column *columns; /* [n_columns] */
    size_t *times;              /* [n_times] columns of time, the most telling first */
    size_t n_times;
    size_t date;                 /* n_columns: none */
    size_t place[CHANNEL_COUNT]; /* n_columns: none */
    size_t last_needed;          /* no row may end before it */
    struct text headers;         /* as found, for messages */
};

struct reader {
    struct arena *arena;
    const char *file;
    const struct limits *limits;
    struct csv_rows rows;
    struct layout layout;
    bool decimal_comma;
    bool has_form;  /* a row told which column holds the time, and its form */
    size_t time_at; /* that column */
    struct csv_table *table;
};

/* Header text as UTF-8: a table that isn't is taken for Latin-1, where each byte is the character
 * of that number. */
static const char *header_text(struct arena *arena, const char *cell)
{
    const size_t length = strlen(cell);
    if (text_is_utf8(cell, length)) {
        return text_clean(arena, cell, length);
    }
    struct text text = text_begin(arena, 2 * length + 1);
    for (size_t i = 0; i < length; i++) {
        const unsigned char c = (unsigned char)cell[i];
        const char wide[2] = { (char)(0xC0 | c >> 6), (char)(0x80 | (c & 0x3F)) };
        text_add_bytes(&text, c < 0x80 ? &cell[i] : wide, c < 0x80 ? 1 : 2);
    }
    return text_clean(arena, text.bytes, text.length);
}

/* Keeps the columns of time in order of rank: an insertion, since there are few. */
static void add_time(struct layout *layout, size_t column)
{
    size_t i = layout->n_times++;
    for (; i > 0 && layout->columns[layout->times[i - 1]].rank > layout->columns[column].rank;
         i--) {
        layout->times[i] = layout->times[i - 1];
    }
    layout->times[i] = column;
}

static void lay_out(struct arena *arena, const struct csv_rows *rows, struct layout *layout)
{
    const size_t n = rows->n_cells;
    layout->n_columns = n;
    layout->columns = ARENA_ARRAY(arena, struct csv_column, n);
    layout->times = ARENA_ARRAY(arena, size_t, n);
    layout->headers = text_begin(arena, HEADERS_MAX);
    layout->date = n;
    for (size_t c = 0; c < CHANNEL_COUNT; c++) {
        layout->place[c] = n;
    }
    for (size_t i = 0; i < n; i++) {
        const char *header = header_text(arena, rows->cells[i]);
        const struct csv_column column = csv_column_of(header);
        layout->columns[i] = column;
        text_add_format(&layout->headers, "%s%s", i == 0 ? "" : ", ", header);
        if (column.meaning == CSV_TIME) {
            add_time(layout, i);
        } else if (column.meaning == CSV_DATE) {
            layout->date = layout->date == n ? i : layout->date;
        } else if (column.meaning < CHANNEL_COUNT) {
            size_t *place = &layout->place[column.meaning];
            if (*place == n || layout->columns[*place].rank > column.rank) {
                *place = i;
            }
        }
    }
    /* A date that holds the hour too is a time of its own. */
    if (layout->n_times == 0 && layout->date < n) {
        layout->columns[layout->date].factor = 1.0;
        add_time(layout, layout->date);
        layout->date = n;
    }
    for (size_t c = 0; c < CHANNEL_COUNT; c++) {
        if (layout->place[c] < n && layout->place[c] > layout->last_needed) {
            layout->last_needed = layout->place[c];
        }
    }
}

static bool read_header(struct reader *reader, struct error *err)
{
    struct csv_rows *rows = &reader->rows;
    do {
        if (!csv_rows_next(rows)) {
            return error_set(err, ERROR_INPUT, "%s: holds no row of headers", reader->file);
        }
    } while (csv_rows_is_blank(rows));
    if (rows->problem != NULL) {
        return error_set(err, ERROR_INPUT, "%s: line %zu, the headers, %s", reader->file,
                         rows->line, rows->problem);
    }
    struct layout *layout = &reader->layout;
    lay_out(reader->arena, rows, layout);
    const char *more = layout->headers.cut ? " ..." : "";
    /* The list may have been cut inside a character: cleaned, it can be printed. */
    const char *headers = text_clean(reader->arena, layout->headers.bytes, layout->headers.length);
    if (layout->n_times == 0) {
        return error_set(err, ERROR_INPUT,
                         "%s: no column of time; name one \"seconds\" or \"timestamp\" (found: "
                         "%s%s)",
                         reader->file, headers, more);
    }
    if (layout->place[CHANNEL_POWER] == layout->n_columns &&
        layout->place[CHANNEL_HEART_RATE] == layout->n_columns) {
        return error_set(err, ERROR_INPUT,
                         "%s: no column of power or heart rate; name it \"power_w\" or "
                         "\"heart_rate_bpm\" (found: %s%s)",
                         reader->file, headers, more);
    }
    return true;
}

/* Lines that are long enough for a row with its delimiters and a digit of time: how many rows
 * there can be at most. */
static size_t count_rows(const struct csv_rows *rows, size_t n_columns)
{
    size_t count = 0;
    size_t length = 0;
    for (const uint8_t *at = rows->at; at < rows->end; at++) {
        if (*at == '\n' || *at == '\r') {
            count += length >= n_columns ? 1 : 0;
            length = 0;
        } else {
            length++;
        }
    }
    return count + (length >= n_columns ? 1 : 0);
}

static bool make_room(struct reader *reader, size_t *room, struct error *err)
{
    struct csv_table *table = reader->table;
    const size_t cap = (size_t)reader->limits->value[LIMIT_CAP_CSV_ROWS];
    *room = count_rows(&reader->rows, reader->layout.n_columns);
    if (*room > cap) {
        return error_set(err, ERROR_TOO_LARGE, "%s: more than %zu rows; is it one recording?",
                         reader->file, cap);
    }
    table->time_ms = ARENA_ARRAY(reader->arena, int64_t, *room);
    for (size_t c = 0; c < CHANNEL_COUNT; c++) {
        if (reader->layout.place[c] < reader->layout.n_columns) {
            table->value[c] = ARENA_ARRAY(reader->arena, int32_t, *room);
        }
    }
    return true;
}

static void note_bad(struct reader *reader, const char *what, const char *cell)
{
    struct csv_table *table = reader->table;
    if (table->n_bad++ > 0) {
        return;
    }
    table->first_bad_line = reader->rows.line;
    table->first_bad = what;
    if (cell != NULL) {
        const size_t length = strlen(cell) > 40 ? 40 : strlen(cell);
        table->first_bad =
            arena_format(reader->arena, "%s \"%s\"", what, text_clean(reader->arena, cell, length));
    }
}

static bool read_cell_time(const struct reader *reader, size_t column, struct csv_time *time)
{
    const struct csv_rows *rows = &reader->rows;
    const size_t date = reader->layout.date;
    return column < rows->n_cells &&
           csv_time_read(date < rows->n_cells ? rows->cells[date] : NULL, rows->cells[column],
                         reader->layout.columns[column].factor, reader->decimal_comma,
                         reader->limits, time);
}

/* The row's time.  The first row that has one says which column holds it and in what form. */
static bool read_time(struct reader *reader, struct csv_time *time)
{
    struct csv_table *table = reader->table;
    if (reader->has_form) {
        return read_cell_time(reader, reader->time_at, time) && time->form == table->form;
    }
    for (size_t i = 0; i < reader->layout.n_times; i++) {
        if (read_cell_time(reader, reader->layout.times[i], time)) {
            reader->has_form = true;
            reader->time_at = reader->layout.times[i];
            table->form = time->form;
            table->has_offset = time->has_offset;
            table->offset_s = time->offset_s;
            return true;
        }
    }
    return false;
}

/* Puts the row's values at place `at`; the first that can't be read is noted. */
static void read_values(struct reader *reader, size_t at)
{
    const struct layout *layout = &reader->layout;
    bool is_bad = false;
    for (size_t c = 0; c < CHANNEL_COUNT; c++) {
        if (layout->place[c] == layout->n_columns) {
            continue;
        }
        const char *cell = reader->rows.cells[layout->place[c]];
        int32_t *value = &reader->table->value[c][at];
        double number = 0.0;
        *value = RECORDING_MISSING;
        if (csv_is_missing(cell)) {
            continue;
        }
        if (!csv_number(cell, reader->decimal_comma, &number) ||
            !csv_value(&layout->columns[layout->place[c]], number, value)) {
            if (!is_bad) {
                note_bad(reader, channel_row((enum channel)c)->name, cell);
            }
            is_bad = true;
        }
    }
}

static void read_row(struct reader *reader, size_t room)
{
    struct csv_table *table = reader->table;
    const struct csv_rows *rows = &reader->rows;
    const struct layout *layout = &reader->layout;
    table->n_rows++;
    if (rows->problem != NULL) {
        note_bad(reader, rows->problem, NULL);
        return;
    }
    for (size_t i = layout->n_columns; i < rows->n_cells; i++) {
        if (!csv_is_missing(rows->cells[i])) {
            note_bad(reader, "has more cells than the headers, with", rows->cells[i]);
            return;
        }
    }
    if (rows->n_cells <= layout->last_needed) {
        note_bad(reader, "has too few cells", NULL);
        return;
    }
    if (table->count == room) { /* a quoted cell broke it into lines too short to be counted */
        note_bad(reader, "is broken over several lines", NULL);
        return;
    }
    struct csv_time time = { 0 };
    if (!read_time(reader, &time)) {
        const size_t column = reader->has_form ? reader->time_at : layout->times[0];
        note_bad(reader, "time", column < rows->n_cells ? rows->cells[column] : "");
        return;
    }
    table->time_ms[table->count] = time.ms;
    read_values(reader, table->count);
    table->count++;
}

bool csv_table_read(struct arena *arena, struct bytes bytes, const char *file,
                    const struct limits *limits, struct csv_table *table, struct error *err)
{
    *table = (struct csv_table){ 0 };
    const char delimiter = csv_rows_delimiter(bytes);
    struct reader reader = {
        .arena = arena,
        .file = file,
        .limits = limits,
        .rows =
            csv_rows_begin(arena, bytes, delimiter, (size_t)limits->value[LIMIT_CAP_CSV_LINE_BYTES],
                           (size_t)limits->value[LIMIT_CAP_CSV_COLUMNS]),
        /* Where the comma separates cells it can't be a decimal mark. */
        .decimal_comma = delimiter != ',',
        .table = table,
    };
    size_t room = 0;
    if (!read_header(&reader, err) || !make_room(&reader, &room, err)) {
        return false;
    }
    while (csv_rows_next(&reader.rows)) {
        if (!csv_rows_is_blank(&reader.rows)) {
            read_row(&reader, room);
        }
    }
    if (table->n_rows == 0) {
        return error_set(err, ERROR_INPUT, "%s: holds headers but no rows", file);
    }
    const double bad_pct = 100.0 * (double)table->n_bad / (double)table->n_rows;
    if (table->count == 0 || bad_pct > limits->value[LIMIT_CSV_BAD_ROWS_PCT]) {
        return error_set(err, ERROR_INPUT,
                         "%s: %zu of %zu rows can't be read; the first is line %zu: %s", file,
                         table->n_bad, table->n_rows, table->first_bad_line, table->first_bad);
    }
    return true;
}
