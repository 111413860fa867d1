/* bench/series_rows.c: the same rides in SQLite twice. */
#include "series_rows.h"

#include "bench.h"
#include "rows.h"

#include "roster/pack.h"

#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

enum { COLUMNS = 3, RIDE = 7 };

struct series_rows {
    const char *blob_file;
    const char *row_file;
    sqlite3 *blobs;
    sqlite3 *rows;
    size_t n_seconds; /* of ride RIDE */
    int32_t *column[COLUMNS];
    double sums[2][COLUMNS];
};

static const enum channel columns[COLUMNS] = { CHANNEL_POWER, CHANNEL_HEART_RATE, CHANNEL_CADENCE };

static void bind_blob(sqlite3_stmt *statement, int place, struct bytes bytes)
{
    if (bytes.at == NULL) {
        sqlite3_bind_null(statement, place);
    } else {
        sqlite3_bind_blob(statement, place, bytes.at, (int)bytes.size, SQLITE_STATIC);
    }
}

static void fill_blobs(struct series_rows *rows, const struct packed_recording packed[], size_t n)
{
    rows_run(rows->blobs, "CREATE TABLE series (id INTEGER PRIMARY KEY, recording INTEGER NOT NULL,"
                          " channel TEXT NOT NULL, content BLOB NOT NULL, mask BLOB,"
                          " UNIQUE (recording, channel)) STRICT");
    rows_run(rows->blobs, "BEGIN");
    sqlite3_stmt *add = rows_prepare(
        rows->blobs, "INSERT INTO series (recording, channel, content, mask) VALUES (?,?,?,?)");
    for (size_t i = 0; i < n; i++) {
        for (size_t c = 0; c < packed[i].n_channels; c++) {
            const struct packed_channel *channel = &packed[i].channels[c];
            sqlite3_bind_int64(add, 1, (sqlite3_int64)i);
            sqlite3_bind_text(add, 2, channel->name, -1, SQLITE_STATIC);
            bind_blob(add, 3, channel->content);
            bind_blob(add, 4, channel->mask);
            rows_done(add);
        }
    }
    sqlite3_finalize(add);
    rows_run(rows->blobs, "COMMIT");
    rows_run(rows->blobs, "VACUUM");
}

static void fill_rows(struct series_rows *rows, struct recording *const recordings[], size_t n)
{
    rows_run(rows->rows,
             "CREATE TABLE sample (recording INTEGER NOT NULL, second INTEGER NOT NULL,"
             " a INTEGER, b INTEGER, c INTEGER, d INTEGER, e INTEGER, f INTEGER, g INTEGER,"
             " h INTEGER, i INTEGER, j INTEGER, PRIMARY KEY (recording, second))"
             " STRICT, WITHOUT ROWID");
    rows_run(rows->rows, "BEGIN");
    sqlite3_stmt *add =
        rows_prepare(rows->rows, "INSERT INTO sample VALUES (?,?,?,?,?,?,?,?,?,?,?,?)");
    for (size_t i = 0; i < n; i++) {
        rows_add_seconds(add, (sqlite3_int64)i, recordings[i]);
    }
    sqlite3_finalize(add);
    rows_run(rows->rows, "COMMIT");
    rows_run(rows->rows, "VACUUM");
}

struct series_rows *series_rows_make(struct arena *arena, struct recording *const recordings[],
                                     const struct packed_recording packed[], size_t n)
{
    struct series_rows *rows = ARENA_ARRAY(arena, struct series_rows, 1);
    rows->blob_file = bench_file(arena, "blobs.sqlite", "", 0);
    rows->row_file = bench_file(arena, "rows.sqlite", "", 0);
    rows->blobs = rows_open(rows->blob_file);
    rows->rows = rows_open(rows->row_file);
    rows->n_seconds = packed[RIDE].row.n_seconds;
    for (size_t c = 0; c < COLUMNS; c++) {
        rows->column[c] = ARENA_ARRAY(arena, int32_t, rows->n_seconds);
    }
    fill_blobs(rows, packed, n);
    fill_rows(rows, recordings, n);
    return rows;
}

static double size_of(const char *path)
{
    struct stat about;
    return stat(path, &about) == 0 ? (double)about.st_size : 0.0;
}

double series_rows_blob_bytes(const struct series_rows *rows)
{
    return size_of(rows->blob_file);
}

double series_rows_row_bytes(const struct series_rows *rows)
{
    return size_of(rows->row_file);
}

static void add_up(struct series_rows *rows, int way)
{
    for (size_t c = 0; c < COLUMNS; c++) {
        rows->sums[way][c] = 0.0;
        for (size_t t = 0; t < rows->n_seconds; t++) {
            const int32_t value = rows->column[c][t];
            rows->sums[way][c] += value == RECORDING_MISSING ? 0.5 : value;
        }
    }
}

void series_rows_by_blobs(struct series_rows *rows)
{
    struct arena *arena = arena_open();
    struct error err = { 0 };
    sqlite3_stmt *ask =
        rows_prepare(rows->blobs, "SELECT content FROM series WHERE recording = ? AND channel = ?");
    for (size_t c = 0; c < COLUMNS; c++) {
        int32_t *out = NULL;
        sqlite3_bind_int(ask, 1, RIDE);
        sqlite3_bind_text(ask, 2, channel_row(columns[c])->name, -1, SQLITE_STATIC);
        if (sqlite3_step(ask) == SQLITE_ROW &&
            pack_read_series(
                arena,
                (struct bytes){ sqlite3_column_blob(ask, 0), (size_t)sqlite3_column_bytes(ask, 0) },
                rows->n_seconds, RECORDING_MISSING, &out, &err)) {
            memcpy(rows->column[c], out, rows->n_seconds * sizeof out[0]);
        }
        sqlite3_reset(ask);
    }
    sqlite3_finalize(ask);
    arena_close(arena);
    add_up(rows, 0);
}

void series_rows_by_rows(struct series_rows *rows)
{
    char sql[128];
    snprintf(sql, sizeof sql, "SELECT %c, %c, %c FROM sample WHERE recording = ? ORDER BY second",
             'a' + (int)columns[0], 'a' + (int)columns[1], 'a' + (int)columns[2]);
    sqlite3_stmt *ask = rows_prepare(rows->rows, sql);
    sqlite3_bind_int(ask, 1, RIDE);
    for (size_t t = 0; t < rows->n_seconds && sqlite3_step(ask) == SQLITE_ROW; t++) {
        for (int c = 0; c < COLUMNS; c++) {
            rows->column[c][t] = sqlite3_column_type(ask, c) == SQLITE_NULL
                                     ? RECORDING_MISSING
                                     : sqlite3_column_int(ask, c);
        }
    }
    sqlite3_finalize(ask);
    add_up(rows, 1);
}

bool series_rows_differ(const struct series_rows *rows)
{
    return memcmp(rows->sums[0], rows->sums[1], sizeof rows->sums[0]) != 0;
}
