/* tests/roster/test_store_export.c: everything of the schema is in an export, on both stores, and a
 * folder is there whole or not at all.  What is in it, tests/cli/keeping.py reads back. */
#include "roster/small_roster.h"

#include "maths/maths.h"
#include "roster/csv_out.h"
#include "roster/export.h"
#include "roster/export_tables.h"
#include "roster/kept_copies.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static struct small_roster small;

static int begin(void **state)
{
    (void)state;
    small = small_with_rides();
    return 0;
}

static int end(void **state)
{
    (void)state;
    small_end(&small);
    return 0;
}

static bool export_to(const char *folder, const struct rider *rider, struct export_done *done,
                      struct error *err)
{
    const struct export_call call = { .roster = small.roster,
                                      .now = small_now,
                                      .program = "test",
                                      .rider = rider,
                                      .folder = folder };
    return export_run(small.arena, &call, done, err);
}

static bool exists(const char *path)
{
    return access(path, F_OK) == 0;
}

static const char *content_of(const char *folder, const char *name)
{
    struct bytes bytes = { 0 };
    struct error err = { 0 };
    must(files_read(small.arena, arena_format(small.arena, "%s/%s", folder, name), 100000000,
                    &bytes, &err),
         &err);
    char *text = arena_alloc(small.arena, bytes.size + 1, 1);
    memcpy(text, bytes.at, bytes.size);
    return text;
}

static void test_export__is_written_from_both_stores(void **state)
{
    (void)state;
    const char *folder = small_path(&small, "of-ada");
    struct export_done done = { 0 };
    struct error err = { 0 };
    struct kept_copy *copies = NULL;
    size_t count = 0;
    must(export_to(folder, &small.ada, &done, &err), &err);
    check_text("problem", done.problem, NULL);
    check_integer("rides", (int64_t)done.n_rides, 3);
    check_integer("originals", (int64_t)done.n_originals, 3);
    check(!exists(arena_format(small.arena, "%s.part", folder)));
    check_text("weights", content_of(folder, "weights.csv"),
               "\"id\",\"rider\",\"day\",\"value_kg\",\"note\"\r\n"
               "1,1,\"2026-01-01\",61.5,\r\n");
    static const char head[] = "\"second\",\"utc\",\"power_w\",\"heart_rate_bpm\",\"cadence_rpm\","
                               "\"paused\",\"marks\"\r\n0,\"2026-01-14T09:00:00Z\",";
    check(strncmp(content_of(folder, "rides/1.csv"), head, sizeof head - 1) == 0);
    check(strstr(content_of(folder, "changes.csv"), "Ben Lind") == NULL);
    check(strstr(content_of(folder, "changes.csv"), "Threshold of Ada Berg") != NULL);
    must(kept_copies_list(small.roster, small.arena, 1, &copies, &count, &err), &err);
    check_integer("written down", (int64_t)count, 1);
    check_text("where", copies[0].path, folder);
    must(kept_copies_list(small.roster, small.arena, 2, &copies, &count, &err), &err);
    check_integer("not of Ben", (int64_t)count, 0);
    check(!export_to(folder, NULL, &done, &err));
    check_integer("kind", err.kind, ERROR_CONFLICT);
}

/* Tables that say nothing of a rider, or whose content is in another form. */
static bool is_left_out(const char *table, const char *column)
{
    static const struct {
        const char *table;
        const char *column; /* NULL = all */
    } left_out[] = {
        { "roster_state", NULL },
        { "setting", NULL },
        { "job", NULL },
        { "change_row", NULL },
        { "change_value", NULL },
        { "series", NULL },     /* rides/ID.csv */
        { "best_curve", NULL }, /* bests.csv */
        { "best_month", NULL }, /* the greatest of bests.csv */
        { "heart_sums", NULL }, /* made again from rides/ID.csv */
        { "declined", NULL },
        { "kept_copy", NULL },
        { "failed_file", NULL },
        { "rider", "name_folded" },
        { "original", "content" },
        { "original", "packing" },
        { "recording", "method" },
        { "recording", "same_by_hand" },
        { "reading", "basis_hash" },
        { "heart_response", "basis_hash" },
        { "zone_table", "id" },
        { "zone_row", "zone_table" },
    };
    for (size_t i = 0; i < COUNT(left_out); i++) {
        if (strcmp(left_out[i].table, table) == 0 &&
            (left_out[i].column == NULL || strcmp(left_out[i].column, column) == 0)) {
            return true;
        }
    }
    return strcmp(column, "version") == 0;
}

static bool is_exported(const char *table, const char *column)
{
    const char *start = arena_format(small.arena, "%s x", table);
    const char *of_table = arena_format(small.arena, "t.%s", column);
    for (size_t t = 0; t < n_export_tables; t++) {
        const struct export_table *one = &export_tables[t];
        const bool is_zones = strcmp(table, "zone_table") == 0;
        if (!is_zones && strncmp(one->from, start, strlen(start)) != 0) {
            continue;
        }
        for (size_t c = 0; one->columns[c].name != NULL; c++) {
            const char *sql = one->columns[c].sql;
            if (is_zones ? sql != NULL && strcmp(sql, of_table) == 0
                         : strcmp(sql == NULL ? one->columns[c].name : sql + 2, column) == 0) {
                return true;
            }
        }
    }
    return false;
}

/* A new column of the schema must be in an export, or be named above with its reason. */
static void test_export__has_every_column_of_the_schema(void **state)
{
    (void)state;
    struct db_rows rows = { 0 };
    struct error err = { 0 };
    if (!store_is_file()) {
        return;
    }
    must(db_query(roster_db(small.roster), small.arena,
                  "SELECT t.name, c.name FROM sqlite_schema t, pragma_table_info(t.name) c "
                  "WHERE t.type = 'table' AND t.name NOT LIKE 'sqlite%' ORDER BY t.name, "
                  "c.cid",
                  "tt", DB_NONE, &rows, &err),
         &err);
    check(rows.count > 200);
    for (size_t i = 0; i < rows.count; i++) {
        const char *table = db_text_at(&rows, i, 0);
        const char *column = db_text_at(&rows, i, 1);
        check_text(arena_format(small.arena, "%s.%s", table, column),
                   is_left_out(table, column) || is_exported(table, column) ? "" : "not exported",
                   "");
    }
}

/* A damaged series and a damaged file don't keep the rest from being written. */
static void test_export__of_a_damaged_roster_saves_the_rest(void **state)
{
    (void)state;
    const char *folder = small_path(&small, "saved");
    struct export_done done = { 0 };
    struct error err = { 0 };
    small_run(&small, "UPDATE original SET content = (SELECT content FROM original WHERE id = 2) "
                      "WHERE id = 1");
    must(export_to(folder, NULL, &done, &err), &err);
    check_integer("failed", (int64_t)done.n_failed, 2); /* the file, and the JSON of its ride */
    check(done.problem != NULL && strstr(done.problem, "one.csv") != NULL);
    check_integer("originals", (int64_t)done.n_originals, 3);
    check(strstr(content_of(folder, "rides/1.json"), "\"error\"") != NULL);
    check(strstr(content_of(folder, "rides/2.json"), "\"recording\"") != NULL);
    check(exists(arena_format(small.arena, "%s/rides/1.csv", folder)));
}

static bool stop_at_second(void *context)
{
    int *asked = context;
    return ++*asked == 2;
}

static void test_export__stopped_or_failed_leaves_nothing(void **state)
{
    (void)state;
    const char *folder = small_path(&small, "stopped");
    struct export_done done = { 0 };
    struct error err = { 0 };
    int asked = 0;
    struct export_call call = { .roster = small.roster,
                                .now = small_now,
                                .program = "test",
                                .folder = folder,
                                .stopped = stop_at_second,
                                .context = &asked };
    must(export_run(small.arena, &call, &done, &err), &err);
    check(done.was_stopped);
    check(!exists(folder) && !exists(arena_format(small.arena, "%s.part", folder)));
    check_integer("written down", small_number(&small, "SELECT COUNT(*) FROM kept_copy"), 0);
    check(!export_to(small_path(&small, "no/such/folder"), NULL, &done, &err));
    check_integer("kind", err.kind, ERROR_NOT_FOUND);
    /* Another's folder is not touched. */
    check(mkdir(folder, 0700) == 0 &&
          mkdir(arena_format(small.arena, "%s/of-others", folder), 0700) == 0);
    check(!export_to(folder, NULL, &done, &err));
    check_integer("kind", err.kind, ERROR_CONFLICT);
    check(exists(arena_format(small.arena, "%s/of-others", folder)));
}

/* RFC 4180, section 2, and the marks of formulas; by hand. */
static void test_csv__cells_are_as_the_standard_has_them(void **state)
{
    (void)state;
    const char *path = small_path(&small, "cells.csv");
    struct csv_out out;
    struct error err = { 0 };
    must(csv_open(&out, path, &err), &err);
    csv_text(&out, "a \"b\", c");
    csv_text(&out, "");
    csv_text(&out, NULL);
    csv_end_row(&out);
    csv_text(&out, "=1+1");
    csv_text(&out, "'=1");
    csv_text(&out, "'tis");
    csv_text(&out, "-");
    csv_text(&out, "a=b");
    csv_end_row(&out);
    csv_integer(&out, INT64_MIN);
    csv_real(&out, 0.1);
    csv_real(&out, -1.0 / 3.0);
    csv_real(&out, (double)NAN);
    csv_fixed(&out, -2.346, 2);
    csv_end_row(&out);
    must(csv_close(&out, &err), &err);
    check_text("file", content_of(small.folder, "cells.csv"),
               "\"a \"\"b\"\", c\",\"\",\r\n"
               "\"'=1+1\",\"''=1\",\"'tis\",\"'-\",\"a=b\"\r\n"
               "-9223372036854775808,0.1,-0.3333333333333333,,-2.35\r\n");
    check(!csv_open(&out, path, &err));
}

int main(int argc, char *argv[])
{
    if (!store_begin(argc, argv)) {
        return 0;
    }
    maths_begin();
#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)
    const struct CMUnitTest tests[] = {
        TEST(test_export__is_written_from_both_stores),
        TEST(test_export__has_every_column_of_the_schema),
        TEST(test_export__of_a_damaged_roster_saves_the_rest),
        TEST(test_export__stopped_or_failed_leaves_nothing),
        TEST(test_csv__cells_are_as_the_standard_has_them),
    };
    return store_end(cmocka_run_group_tests(tests, NULL, NULL));
}
