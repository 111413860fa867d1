/* roster/export.c: a rider, or all of them, in open formats. */
#include "roster/export.h"

#include "base/dates.h"
#include "roster/csv_out.h"
#include "roster/export_rides.h"
#include "roster/export_tables.h"
#include "roster/kept_copies.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <ftw.h>
#include <sodium.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* ---- tables ---- */

static void add_cell(struct csv_out *out, struct arena *arena, const struct db_rows *rows,
                     size_t row, size_t column, char letter)
{
    if (db_is_null(rows, row, column)) {
        csv_null(out);
        return;
    }
    switch (letter) {
    case 'I': csv_integer(out, db_integer_at(rows, row, column)); break;
    case 'B': csv_integer(out, db_bool_at(rows, row, column) ? 1 : 0); break;
    case 'R': csv_real(out, db_real_at(rows, row, column)); break;
    case 'U': {
        char moment[32];
        dates_format_utc(db_integer_at(rows, row, column), moment);
        csv_text(out, moment);
        break;
    }
    case 'X': {
        const struct bytes bytes = db_blob_at(rows, row, column);
        char *digits = arena_alloc(arena, 2 * bytes.size + 1, 1);
        csv_text(out, sodium_bin2hex(digits, 2 * bytes.size + 1, bytes.at, bytes.size));
        break;
    }
    default: csv_text(out, db_text_at(rows, row, column)); break;
    }
}

/* Rows at once: readings hold their whole JSON. */
enum { ROWS_AT_ONCE = 500 };

static bool write_rows(struct export *export, const struct export_table *table, struct csv_out *out,
                       struct error *err)
{
    char shape[EXPORT_COLUMNS_MOST + 1] = { 0 };
    struct text sql = text_begin(export->arena, 65536);
    size_t n = 0;
    text_add(&sql, "SELECT ");
    for (; table->columns[n].name != NULL; n++) {
        const struct export_column *column = &table->columns[n];
        shape[n] = column->letter == 'U' ? 'I' : column->letter;
        text_add_format(&sql, "%s%s%s", n == 0 ? "" : ", ", column->sql == NULL ? "x." : "",
                        column->sql == NULL ? column->name : column->sql);
    }
    text_add_format(&sql, " FROM %s AND x.id > $2 ORDER BY x.id LIMIT %d", table->from,
                    (int)ROWS_AT_ONCE);
    int64_t last = 0;
    for (size_t count = ROWS_AT_ONCE; count == ROWS_AT_ONCE;) {
        struct arena *scratch = arena_open();
        struct db_rows rows = { 0 };
        const bool asked =
            db_query(export->db, scratch, sql.bytes, shape,
                     DB_ARGS(db_integer(export->rider), db_integer(last)), &rows, err);
        count = asked ? rows.count : 0;
        for (size_t i = 0; i < count; i++) {
            for (size_t c = 0; c < n; c++) {
                add_cell(out, scratch, &rows, i, c, table->columns[c].letter);
            }
            csv_end_row(out);
            last = db_integer_at(&rows, i, 0); /* every table begins with its id */
        }
        arena_close(scratch);
        if (!asked) {
            return false;
        }
    }
    return true;
}

static bool write_table(struct export *export, const struct export_table *table, struct error *err)
{
    struct csv_out out;
    if (!csv_open(&out, export_path(export, table->file), err)) {
        return false;
    }
    for (size_t c = 0; table->columns[c].name != NULL; c++) {
        csv_text(&out, table->columns[c].name);
    }
    csv_end_row(&out);
    export->done->n_files++;
    const bool written = write_rows(export, table, &out, err);
    return csv_close(&out, err) && written;
}

/* ---- the dictionary ---- */

void export_dictionary(struct arena *arena, struct export_word **out, size_t *count)
{
    struct export_word *words = NULL;
    size_t capacity = 0;
    *count = 0;
#define ADD(...)                                                                                   \
    do {                                                                                           \
        words = arena_grow(arena, words, *count, &capacity, sizeof *words);                        \
        words[(*count)++] = (struct export_word){ __VA_ARGS__ };                                   \
    } while (0)
    ADD("README.txt", "", "text", "", "what this is, and how the tables are written");
    ADD("dictionary.csv", "", "table", "", "this table: a row a file (column empty) or a column");
    for (size_t t = 0; t < n_export_tables; t++) {
        const struct export_table *table = &export_tables[t];
        ADD(table->file, "", "table", "", arena_format(arena, "a row: %s", table->about));
        for (size_t c = 0; table->columns[c].name != NULL; c++) {
            const struct export_column *column = &table->columns[c];
            ADD(table->file, column->name, export_type_words(column->letter), column->unit,
                column->meaning);
        }
    }
    struct export_word rides[EXPORT_RIDE_WORDS_MOST];
    const size_t n = export_ride_words(rides);
    for (size_t i = 0; i < n; i++) {
        ADD(rides[i].file, rides[i].column, rides[i].type, rides[i].unit, rides[i].meaning);
    }
#undef ADD
    *out = words;
}

static bool write_dictionary(struct export *export, struct error *err)
{
    struct export_word *words = NULL;
    size_t count = 0;
    struct csv_out out;
    export_dictionary(export->arena, &words, &count);
    if (!csv_open(&out, export_path(export, "dictionary.csv"), err)) {
        return false;
    }
    static const char *const heads[] = { "file", "column", "type", "unit", "meaning" };
    for (size_t i = 0; i < sizeof heads / sizeof heads[0]; i++) {
        csv_text(&out, heads[i]);
    }
    csv_end_row(&out);
    for (size_t i = 0; i < count; i++) {
        csv_text(&out, words[i].file);
        csv_text(&out, words[i].column);
        csv_text(&out, words[i].type);
        csv_text(&out, words[i].unit);
        csv_text(&out, words[i].meaning);
        csv_end_row(&out);
    }
    export->done->n_files++;
    return csv_close(&out, err);
}

static bool write_readme(struct export *export, struct error *err)
{
    const struct export_call *call = export->call;
    struct text out = text_begin(export->arena, 1000000);
    char moment[32];
    dates_format_utc(call->now.utc_s, moment);
    text_add_format(
        &out,
        "%s, as a roster of Plumbline %s held it on %s.\n\n"
        "It holds health data: keep it where only those may read it whom it concerns.\n\n"
        "*.csv            tables, each described with its columns in dictionary.csv\n"
        "rides/ID.csv     the seconds of a ride, ID as in rides.csv\n"
        "rides/ID.json    the ride with findings, readings and bests, as show --json\n"
        "originals/ID-*   the files as they came, ID as in originals.csv\n\n"
        "Tables are UTF-8 by RFC 4180: columns by commas, lines end with CR LF, texts in\n"
        "quotes, a quote in a text doubled. A number has no quotes. What is not known is\n"
        "an empty cell without quotes. Days are ISO 8601 in the rider's time zone,\n"
        "instants are UTC. Spans of days and seconds are half open.\n\n"
        "A text that a spreadsheet would take for a formula, since it begins with one of\n"
        "= + - @ or with a tab or a line break, has an apostrophe in front, and so has\n"
        "one that begins with apostrophes before such a mark. To have the text as it\n"
        "was: where it begins with one or more apostrophes and then one of these marks,\n"
        "drop the first apostrophe.\n",
        call->rider == NULL ? "Every rider" : call->rider->name, call->program, moment);
    export->done->n_files++;
    return export_file(export, "README.txt",
                       (struct bytes){ (const uint8_t *)out.bytes, out.length }, err);
}

/* ---- the folder ---- */

static bool is_empty_folder(const char *path)
{
    DIR *open = opendir(path);
    bool is_empty = open != NULL;
    for (const struct dirent *entry = open == NULL ? NULL : readdir(open); entry != NULL;
         entry = readdir(open)) {
        is_empty =
            is_empty && (strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0);
    }
    if (open != NULL) {
        closedir(open);
    }
    return is_empty;
}

static bool make_folder(const char *path, struct error *err)
{
    return mkdir(path, 0700) == 0 ||
           (errno == EEXIST
                ? error_set(err, ERROR_CONFLICT,
                            "%s: is there already, perhaps of an export that was stopped; look at "
                            "it, delete it, then try again",
                            path)
                : error_set(err, ERROR_STORAGE, "%s: cannot be made: %s", path, strerror(errno)));
}

static int remove_one(const char *path, const struct stat *status, int kind, struct FTW *place)
{
    (void)status;
    (void)kind;
    (void)place;
    return remove(path);
}

static void remove_folder(const char *path)
{
    (void)nftw(path, remove_one, 16, FTW_DEPTH | FTW_PHYS);
}

static bool sync_folder(const char *path)
{
    const int fd = open(path, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    const bool synced = fd >= 0 && fsync(fd) == 0;
    if (fd >= 0) {
        close(fd);
    }
    return synced;
}

/* ---- all of it ---- */

const char *export_path(const struct export *export, const char *name)
{
    return arena_format(export->arena, "%s/%s", export->part, name);
}

bool export_file(const struct export *export, const char *name, struct bytes bytes,
                 struct error *err)
{
    /* Nobody else gets into the folder meanwhile: it is 0700. */
    const char *path = export_path(export, name);
    return files_write(path, bytes, err) &&
           (chmod(path, 0600) == 0 ||
            error_set(err, ERROR_STORAGE, "%s: cannot be written: %s", path, strerror(errno)));
}

static bool write_all(struct db *db, void *context, struct error *err)
{
    struct export *export = context;
    struct db_rows rows = { 0 };
    bool written = db_query(db, export->arena, "SELECT COALESCE(MAX(id), 0) FROM rider", "i",
                            DB_NONE, &rows, err) &&
                   write_readme(export, err) && write_dictionary(export, err);
    export->last_rider = written ? db_integer_at(&rows, 0, 0) : 0;
    for (size_t t = 0; written && t < n_export_tables; t++) {
        written = write_table(export, &export_tables[t], err);
    }
    return written && export_originals(export, err) && export_rides(export, err);
}

static bool give_name(const struct export *export, const char *folder, struct error *err)
{
    char *above = arena_string(export->arena, folder);
    *strrchr(above, '/') = '\0';
    if (!sync_folder(export_path(export, "rides")) ||
        !sync_folder(export_path(export, "originals")) || !sync_folder(export->part) ||
        (rmdir(folder) != 0 && errno != ENOENT) || rename(export->part, folder) != 0 ||
        !sync_folder(above[0] == '\0' ? "/" : above)) {
        return error_set(err, ERROR_STORAGE, "%s: cannot be written: %s", folder, strerror(errno));
    }
    return true;
}

bool export_run(struct arena *arena, const struct export_call *call, struct export_done *done,
                struct error *err)
{
    struct stat status = { 0 };
    *done = (struct export_done){ 0 };
    char *given = arena_string(arena, call->folder);
    for (size_t n = strlen(given); n > 1 && given[n - 1] == '/'; n--) {
        given[n - 1] = '\0'; /* "out/" is "out" */
    }
    if (!kept_copies_path(arena, given, &done->folder, err)) {
        return false;
    }
    if (lstat(done->folder, &status) == 0 && !is_empty_folder(done->folder)) {
        return error_set(err, ERROR_CONFLICT,
                         "%s: is there already, and no empty folder; name another", done->folder);
    }
    struct export export = { .call = call,
                             .arena = arena,
                             .db = roster_db(call->roster),
                             .done = done,
                             .rider = call->rider == NULL ? 0 : call->rider->id,
                             .part = arena_format(arena, "%s.part", done->folder) };
    if (!make_folder(export.part, err)) {
        return false;
    }
    const bool written = make_folder(export_path(&export, "rides"), err) &&
                         make_folder(export_path(&export, "originals"), err) &&
                         db_read(export.db, write_all, &export, err) &&
                         (done->was_stopped || give_name(&export, done->folder, err));
    if (!written || done->was_stopped) {
        remove_folder(export.part);
        return written;
    }
    const struct kept_copy copy = { .kind = "export",
                                    .path = done->folder,
                                    .rider = export.rider,
                                    .last_rider =
                                        export.rider > 0 ? export.rider : export.last_rider,
                                    .made_utc_s = call->now.utc_s };
    struct error wrong = { 0 };
    return kept_copies_add(call->roster, &copy, &wrong) ||
           error_set(err, wrong.kind, "%s: is whole, but couldn't be written down: %.300s",
                     done->folder, wrong.message);
}
