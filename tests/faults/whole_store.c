/* tests/faults/whole_store.c: all that a roster's file holds, to be compared row by row. */
#include "faults/whole_store.h"

#include "check.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include <sqlite3.h>

/* FNV-1a, 64 bits.  Source: Fowler, Noll, Vo (public note, from memory). */
static uint64_t add(uint64_t sum, const void *bytes, size_t n)
{
    const unsigned char *at = bytes;
    for (size_t i = 0; i < n; i++) {
        sum = (sum ^ at[i]) * 0x100000001B3U;
    }
    return sum;
}

static uint64_t add_cell(uint64_t sum, sqlite3_stmt *rows, int column)
{
    const int type = sqlite3_column_type(rows, column);
    sum = add(sum, &type, sizeof type);
    const int size = sqlite3_column_bytes(rows, column);
    sum = add(sum, &size, sizeof size);
    return size > 0 ? add(sum, sqlite3_column_blob(rows, column), (size_t)size) : sum;
}

static sqlite3_stmt *ask(sqlite3 *store, const char *sql)
{
    sqlite3_stmt *rows = NULL;
    if (sqlite3_prepare_v2(store, sql, -1, &rows, NULL) != SQLITE_OK) {
        check_text(sql, sqlite3_errmsg(store), "");
    }
    return rows;
}

static void sum_table(sqlite3 *store, struct store_sums *out, size_t i)
{
    char sql[128];
    /* How many jobs there have been is no matter: one that is asked for again is another. */
    snprintf(sql, sizeof sql, "SELECT * FROM \"%s\" %s ORDER BY rowid", out->tables[i].name,
             strcmp(out->tables[i].name, "sqlite_sequence") == 0 ? "WHERE name <> 'job'" : "");
    sqlite3_stmt *rows = ask(store, sql);
    uint64_t sum = 0xCBF29CE484222325U;
    int code = SQLITE_OK;
    while ((code = sqlite3_step(rows)) == SQLITE_ROW) {
        for (int column = 0; column < sqlite3_column_count(rows); column++) {
            sum = add_cell(sum, rows, column);
        }
        out->tables[i].rows++;
    }
    check_integer(sql, code, SQLITE_DONE);
    out->tables[i].sum = sum;
    sqlite3_finalize(rows);
}

void store_sums_of(const char *path, struct store_sums *out)
{
    sqlite3 *store = NULL;
    *out = (struct store_sums){ 0 };
    if (access(path, F_OK) != 0) {
        return;
    }
    check(sqlite3_open_v2(path, &store, SQLITE_OPEN_READWRITE, "unix") == SQLITE_OK);
    sqlite3_stmt *tables =
        ask(store, "SELECT name FROM sqlite_schema WHERE type = 'table' AND name "
                   "NOT LIKE 'sqlite_stat%' ORDER BY name");
    while (sqlite3_step(tables) == SQLITE_ROW) {
        check(out->count < STORE_TABLES_MOST);
        snprintf(out->tables[out->count].name, sizeof out->tables[0].name, "%s",
                 (const char *)sqlite3_column_text(tables, 0));
        out->count++;
    }
    sqlite3_finalize(tables);
    for (size_t i = 0; i < out->count; i++) {
        sum_table(store, out, i);
    }
    check(sqlite3_close(store) == SQLITE_OK);
}

const char *store_difference(const struct store_sums *a, const struct store_sums *b)
{
    const size_t most = a->count > b->count ? a->count : b->count;
    for (size_t i = 0; i < most; i++) {
        if (i >= a->count || i >= b->count || strcmp(a->tables[i].name, b->tables[i].name) != 0 ||
            a->tables[i].sum != b->tables[i].sum || a->tables[i].rows != b->tables[i].rows) {
            return i < a->count ? a->tables[i].name : b->tables[i].name;
        }
    }
    return NULL;
}
