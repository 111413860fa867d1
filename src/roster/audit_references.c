/* roster/audit_references.c: rows that name rows, and texts that are none. */
#include "roster/audit_parts.h"

#include "base/text.h"
#include "roster/tables.h"

#include <string.h>

/* ---- references ---- */

#define GONE(column) "NOT EXISTS (SELECT 1 FROM recording t WHERE t.id = " column ")"
#define OF_RECORDING(table)                                                                        \
    "SELECT COUNT(*), MIN(x.id) FROM " table                                                       \
    " x WHERE x.recording IS NOT NULL AND " GONE("x.recording")

/* Each counts what is astray, and gives the lowest id.  Those that a foreign key holds as well are
 * asked here too: a damaged file, or another tool, may have gone past it. */
static const struct {
    const char *what;
    const char *sql;
} questions[] = {
    { "series without their recording", OF_RECORDING("series") },
    { "sensors without their recording", OF_RECORDING("sensor") },
    { "findings without their recording", OF_RECORDING("finding") },
    { "laps without their recording", OF_RECORDING("lap") },
    { "loads without their recording", OF_RECORDING("ride_load") },
    { "efforts without their recording", OF_RECORDING("effort") },
    { "heart sums without their recording", OF_RECORDING("heart_sums") },
    { "days of the heart without their recording", OF_RECORDING("heart_day") },
    { "heart responses without their rider",
      "SELECT COUNT(*), MIN(x.id) FROM heart_response x WHERE NOT EXISTS (SELECT 1 FROM rider p "
      "WHERE p.id = x.rider)" },
    { "asked rides without their recording", OF_RECORDING("asked") },
    { "bests without their recording", OF_RECORDING("best_curve") },
    { "loads without their recording", OF_RECORDING("ride_load") },
    { "efforts without their recording", OF_RECORDING("effort") },
    { "day notes of a ride that is gone", OF_RECORDING("day_note") },
    { "thresholds of a ride that is gone", OF_RECORDING("threshold") },
    { "maximal heart rates of a ride that is gone", OF_RECORDING("max_heart_rate") },
    { "meter checks of a ride that is gone",
      "SELECT COUNT(*), MIN(x.id) FROM meter_check x WHERE " GONE("x.first_recording") " OR " GONE(
          "x.second_recording") },
    { "meter checks of another rider than their recordings",
      "SELECT COUNT(*), MIN(x.id) FROM meter_check x JOIN recording r ON r.id = x.first_recording "
      "OR r.id = x.second_recording WHERE x.rider <> r.rider" },
    { "declined proposals of a ride that is gone", OF_RECORDING("declined") },
    { "readings without their recording",
      "SELECT COUNT(*), MIN(x.id) FROM reading x WHERE x.subject_kind = 'recording' AND " GONE(
          "x.subject") },
    { "readings of another rider than their recording",
      "SELECT COUNT(*), MIN(x.id) FROM reading x JOIN recording r ON r.id = x.subject WHERE "
      "x.subject_kind = 'recording' AND x.rider <> r.rider" },
    { "jobs on a recording that is gone",
      "SELECT COUNT(*), MIN(x.id) FROM job x WHERE x.subject_kind = 'recording' AND " GONE(
          "x.subject") },
    { "jobs on a change that is gone", "SELECT COUNT(*), MIN(x.id) FROM job x WHERE x.subject_kind "
                                       "= 'change' AND NOT EXISTS (SELECT "
                                       "1 FROM change c WHERE c.id = x.subject)" },
    { "jobs on a rider who is gone", "SELECT COUNT(*), MIN(x.id) FROM job x WHERE x.subject_kind = "
                                     "'rider' AND NOT EXISTS (SELECT 1 "
                                     "FROM rider p WHERE p.id = x.subject)" },
    { "kept files that no recording names", "SELECT COUNT(*), MIN(x.id) FROM original x WHERE NOT "
                                            "EXISTS (SELECT 1 FROM recording r WHERE "
                                            "r.original = x.id)" },
    { "recordings without their file", "SELECT COUNT(*), MIN(x.id) FROM recording x WHERE NOT "
                                       "EXISTS (SELECT 1 FROM original o WHERE "
                                       "o.id = x.original)" },
    { "recordings without their rider",
      "SELECT COUNT(*), MIN(x.id) FROM recording x WHERE NOT EXISTS (SELECT 1 FROM rider p WHERE "
      "p.id = x.rider)" },
    { "recordings that are the same as one that doesn't count, or as another rider's",
      "SELECT COUNT(*), MIN(x.id) FROM recording x WHERE x.same_as IS NOT NULL AND NOT EXISTS ("
      "SELECT 1 FROM recording t WHERE t.id = x.same_as AND t.same_as IS NULL AND t.rider = "
      "x.rider)" },
    { "months of bests without their rider",
      "SELECT COUNT(*), MIN(x.id) FROM best_month x WHERE NOT EXISTS (SELECT 1 FROM rider p WHERE "
      "p.id = x.rider)" },
    { "rows of changes without their change",
      "SELECT COUNT(*), MIN(x.id) FROM change_row x WHERE NOT EXISTS (SELECT 1 FROM change c WHERE "
      "c.id = x.change)" },
};

static bool ask(struct audit *audit, const char *what, const char *sql,
                const struct db_value values[], size_t n, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(audit->db, audit->arena, sql, "iI", values, n, &rows, err)) {
        return false;
    }
    audit->sum->looked[AUDIT_REFERENCES]++;
    const int64_t count = db_integer_at(&rows, 0, 0);
    if (count > 0) {
        audit_note(audit, AUDIT_GO_BACK, "%lld %s, the first with id %lld", (long long)count, what,
                   (long long)db_integer_at(&rows, 0, 1));
    }
    return true;
}

/* A change names a row that is neither there nor was ever taken away: it never was. */
static bool ask_changes(struct audit *audit, struct error *err)
{
    struct db_value names[64];
    struct text marks = text_begin(audit->arena, 1024);
    size_t n = 0;
    for (; n < n_editable_tables && n < sizeof names / sizeof names[0]; n++) {
        const char *table = editable_tables[n].name;
        names[n] = db_text(table);
        text_add_format(&marks, "%s$%zu", n == 0 ? "" : ", ", n + 1);
        const char *sql = arena_format(
            audit->arena,
            "SELECT COUNT(*), MIN(x.change) FROM change_row x WHERE x.table_name = $1 AND NOT "
            "EXISTS "
            "(SELECT 1 FROM %s t WHERE t.id = x.row_id) AND NOT EXISTS (SELECT 1 FROM change_row d "
            "WHERE d.table_name = $1 AND d.row_id = x.row_id AND d.kind = 'remove')",
            table);
        if (!ask(audit, arena_format(audit->arena, "changes of a row of %s that never was", table),
                 sql, &names[n], 1, err)) {
            return false;
        }
    }
    return ask(
        audit, "changes of a table that isn't one",
        arena_format(audit->arena,
                     "SELECT COUNT(*), MIN(x.change) FROM change_row x WHERE x.table_name NOT "
                     "IN (%s)",
                     marks.bytes),
        names, n, err);
}

bool audit_references(struct audit *audit, struct error *err)
{
    const size_t n = sizeof questions / sizeof questions[0];
    for (size_t i = 0; i < n; i++) {
        audit_tell(audit, i, n + 1);
        if (!ask(audit, questions[i].what, questions[i].sql, DB_NONE, err)) {
            return false;
        }
    }
    const bool done = ask_changes(audit, err);
    audit_tell(audit, n + 1, n + 1);
    return done;
}

/* ---- texts ---- */

static bool is_plain_name(const char *name)
{
    return name[0] != '\0' && strspn(name, "abcdefghijklmnopqrstuvwxyz_0123456789") == strlen(name);
}

enum { TEXT_COLUMNS_MOST = 32, ROWS_AT_ONCE = 200 };

/* The rows of a table, some at a time, its texts as bytes. */
static bool look_at_table(struct audit *audit, const char *table, const char *const columns[],
                          size_t n, struct error *err)
{
    struct text sql = text_begin(audit->arena, 8192);
    char shape[TEXT_COLUMNS_MOST + 2] = "i";
    text_add(&sql, "SELECT id");
    for (size_t c = 0; c < n; c++) {
        text_add_format(&sql, ", CAST(%s AS BLOB)", columns[c]);
        shape[c + 1] = 'X';
    }
    text_add_format(&sql, " FROM %s WHERE id > $1 ORDER BY id LIMIT %d", table, (int)ROWS_AT_ONCE);
    int64_t last = INT64_MIN;
    for (size_t count = ROWS_AT_ONCE; count == ROWS_AT_ONCE;) {
        struct arena *scratch = arena_open();
        struct db_rows rows = { 0 };
        const bool asked =
            db_query(audit->db, scratch, sql.bytes, shape, DB_ARGS(db_integer(last)), &rows, err);
        count = asked ? rows.count : 0;
        for (size_t i = 0; i < count; i++) {
            last = db_integer_at(&rows, i, 0);
            for (size_t c = 0; c < n; c++) {
                const struct bytes bytes = db_blob_at(&rows, i, c + 1);
                audit->sum->looked[AUDIT_TEXT] += bytes.at != NULL ? 1 : 0;
                if (bytes.at != NULL && !text_is_utf8((const char *)bytes.at, bytes.size)) {
                    audit_note(audit, AUDIT_GO_BACK, "%s of %s %lld is no text", columns[c], table,
                               (long long)last);
                }
            }
        }
        arena_close(scratch);
        if (!asked) {
            return false;
        }
    }
    return true;
}

static bool look_at_columns(struct audit *audit, const char *table, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(audit->db, audit->arena,
                  "SELECT name FROM pragma_table_info($1) WHERE type = 'TEXT' ORDER BY cid", "t",
                  DB_ARGS(db_text(table)), &rows, err)) {
        return false;
    }
    const char *columns[TEXT_COLUMNS_MOST];
    size_t n = 0;
    for (size_t i = 0; i < rows.count && n < TEXT_COLUMNS_MOST; i++) {
        const char *name = db_text_at(&rows, i, 0);
        if (is_plain_name(name)) {
            columns[n++] = name;
        }
    }
    return n == 0 || look_at_table(audit, table, columns, n, err);
}

bool audit_texts(struct audit *audit, struct error *err)
{
    struct db_rows rows = { 0 };
    if (db_kind(audit->db) != DB_SQLITE) {
        return true; /* a server of this encoding takes nothing else */
    }
    if (!db_query(audit->db, audit->arena,
                  "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite%' "
                  "ORDER BY name",
                  "t", DB_NONE, &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        const char *table = db_text_at(&rows, i, 0);
        audit_tell(audit, i, rows.count);
        if (!is_plain_name(table)) {
            audit_note(audit, "Something else wrote into the roster: look what it is.",
                       "the roster has a table that is none of ours: %.100s", table);
        } else if (!look_at_columns(audit, table, err)) {
            return false;
        }
    }
    audit_tell(audit, rows.count, rows.count);
    return true;
}
