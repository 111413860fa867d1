/* roster/forget_rows.c: the rows of a rider, removed.
 *
 * A table with a column `rider` or `recording` that this doesn't name would leave its rows behind,
 * or stop the removal by its foreign key: tests/roster/test_store_forget.c looks through the
 * schema for one. */
#include "roster/forget_rows.h"

#include "roster/folders.h"

#include <string.h>

#define OF_RIDES "(SELECT r.id FROM recording r WHERE r.rider = $1)"
#define OF_GEAR  "(SELECT e.id FROM equipment e WHERE e.rider = $1)"
#define OF_ZONES "(SELECT z.id FROM zone_table z WHERE z.rider = $1)"

/* ---- counting ---- */

bool forget_rows_count(struct db *db, struct arena *arena, int64_t rider,
                       struct forget_count counts[FORGET_COUNTS], struct error *err)
{
    static const struct {
        const char *what;
        const char *sql;
    } questions[FORGET_COUNTS] = {
        { "recordings", "SELECT COUNT(*) FROM recording WHERE rider = $1" },
        { "files",
          "SELECT COUNT(*) FROM original o WHERE EXISTS (SELECT 1 FROM recording r WHERE "
          "r.original "
          "= o.id AND r.rider = $1) AND NOT EXISTS (SELECT 1 FROM recording r WHERE r.original = "
          "o.id AND r.rider <> $1)" },
        { "readings", "SELECT COUNT(*) FROM reading WHERE rider = $1" },
        { "facts",
          "SELECT (SELECT COUNT(*) FROM weight WHERE rider = $1) + (SELECT COUNT(*) FROM threshold "
          "WHERE rider = $1) + (SELECT COUNT(*) FROM max_heart_rate WHERE rider = $1) + (SELECT "
          "COUNT(*) FROM rest_heart_rate WHERE rider = $1)" },
        { "notes",
          "SELECT (SELECT COUNT(*) FROM day_note WHERE rider = $1) + (SELECT COUNT(*) FROM contact "
          "WHERE rider = $1)" },
        { "health entries",
          "SELECT (SELECT COUNT(*) FROM screening WHERE rider = $1) + (SELECT COUNT(*) FROM flag "
          "WHERE rider = $1) + (SELECT COUNT(*) FROM consent WHERE rider = $1)" },
    };
    for (size_t i = 0; i < FORGET_COUNTS; i++) {
        struct db_rows rows = { 0 };
        if (!db_query(db, arena, questions[i].sql, "i", DB_ARGS(db_integer(rider)), &rows, err)) {
            return false;
        }
        counts[i] = (struct forget_count){ questions[i].what, db_integer_at(&rows, 0, 0) };
    }
    return true;
}

/* ---- the change log ---- */

static bool run(struct db *db, const char *sql, int64_t rider, struct error *err)
{
    return db_run(db, sql, DB_ARGS(db_integer(rider)), err);
}

/* forget_row: every row that is the rider's, or was. */
static const char *const mark_rows[] = {
    "INSERT INTO forget_row (table_name, row_id) VALUES ('rider', $1)",
    "INSERT INTO forget_row (table_name, row_id) SELECT 'recording', id FROM recording WHERE rider "
    "= $1",
    "INSERT INTO forget_row (table_name, row_id) SELECT 'asked', id FROM asked WHERE recording IN "
    "" OF_RIDES,
    "INSERT INTO forget_row (table_name, row_id) SELECT 'equipment_care', id FROM equipment_care "
    "WHERE equipment IN " OF_GEAR,
    "INSERT INTO forget_row (table_name, row_id) SELECT 'zone_row', id FROM zone_row WHERE "
    "zone_table IN " OF_ZONES,
};

/* The tables with a rider, in an order in which nothing that is left names what goes. */
static const char *const of_rider[] = {
    "weight",         "threshold",  "max_heart_rate", "rest_heart_rate", "limit_override",
    "goal",           "event",      "day_off",        "availability",    "block",
    "session",        "screening",  "flag",           "consent",         "contact",
    "day_note",       "best_month", "reading",        "folder",          "attention_mark",
    "declined",       "kept_copy",  "zone_table",     "meter_check",     "equipment",
    "heart_response",
};

/* Rows that are gone are known by what changes say of them: whose they were, or what they hung on.
 */
static const char *const mark_gone[] = {
    "INSERT INTO forget_row (table_name, row_id) SELECT DISTINCT r.table_name, r.row_id FROM "
    "change_row r JOIN change_value v ON v.change_row = r.id WHERE v.column_name = 'rider' AND "
    "(v.before_text = CAST(CAST($1 AS BIGINT) AS TEXT) OR v.after_text = CAST(CAST($1 AS BIGINT) "
    "AS "
    "TEXT))",
    "INSERT INTO forget_row (table_name, row_id) SELECT DISTINCT r.table_name, r.row_id FROM "
    "change_row r JOIN change_value v ON v.change_row = r.id WHERE r.table_name IN "
    "('equipment_care', 'zone_row', 'asked') AND v.column_name IN ('equipment', 'zone_table', "
    "'recording') AND EXISTS (SELECT 1 FROM forget_row f WHERE f.table_name = v.column_name AND "
    "CAST(f.row_id AS TEXT) IN (v.before_text, v.after_text))",
};

#define IS_MARKED(row)                                                                             \
    "EXISTS (SELECT 1 FROM forget_row f WHERE f.table_name = " row ".table_name AND f.row_id = "   \
    "" row ".row_id)"

static const char FORGOTTEN_WORDS[] = "A change whose words named a rider who was forgotten";

static const char *const drop_changes[] = {
    "INSERT INTO forget_change (id) SELECT DISTINCT c.change FROM change_row c WHERE " IS_MARKED(
        "c"),
    "DELETE FROM change_value WHERE change_row IN (SELECT c.id FROM change_row c WHERE " IS_MARKED(
        "c") ")",
    "DELETE FROM change_row WHERE " IS_MARKED("change_row"),
    /* What touched others' rows as well stays for them, without its words. */
    ("DELETE FROM forget_change WHERE EXISTS (SELECT 1 FROM change_row c WHERE c.change = "
     "forget_change.id)"),
    "DELETE FROM job WHERE subject_kind = 'change' AND subject IN (SELECT id FROM forget_change)",
    "UPDATE change SET undoes = NULL WHERE undoes IN (SELECT id FROM forget_change)",
    "UPDATE change SET undone_by = NULL WHERE undone_by IN (SELECT id FROM forget_change)",
    "DELETE FROM change WHERE id IN (SELECT id FROM forget_change)",
};

static bool run_all(struct db *db, const char *const statements[], size_t n, int64_t rider,
                    struct error *err)
{
    for (size_t i = 0; i < n; i++) {
        const bool has_rider = strstr(statements[i], "$1") != NULL;
        if (has_rider ? !run(db, statements[i], rider, err)
                      : !db_run(db, statements[i], DB_NONE, err)) {
            return false;
        }
    }
    return true;
}

#define RUN_ALL(db, list, rider, err) run_all(db, list, sizeof(list) / sizeof(list)[0], rider, err)

static bool mark_tables(struct db *db, struct arena *arena, int64_t rider, struct error *err)
{
    for (size_t i = 0; i < sizeof of_rider / sizeof of_rider[0]; i++) {
        if (!run(db,
                 arena_format(arena,
                              "INSERT INTO forget_row (table_name, row_id) SELECT '%s', id FROM %s "
                              "WHERE rider = $1",
                              of_rider[i], of_rider[i]),
                 rider, err)) {
            return false;
        }
    }
    return true;
}

/* A letter or a digit; bytes of other letters than ASCII's as well. */
static bool is_in_word(char byte)
{
    const unsigned char c = (unsigned char)byte;
    return c >= 0x80 || (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

/* The text names the rider: the folded name stands in it as words of their own, with blanks or as
 * files are called ("ada-berg"). */
static bool names_rider(struct arena *arena, const char *text, const char *folded)
{
    char *plain = arena_string(arena, riders_fold(arena, text));
    for (char *at = plain; *at != '\0'; at++) {
        *at = *at == '-' || *at == '_' ? ' ' : *at;
    }
    const size_t length = strlen(folded);
    for (const char *at = strstr(plain, folded); at != NULL; at = strstr(at + 1, folded)) {
        if ((at == plain || !is_in_word(at[-1])) && !is_in_word(at[length])) {
            return true;
        }
    }
    return false;
}

/* Words may name the rider though no row of the rider's was touched. */
static bool scrub_words(struct db *db, struct arena *arena, const char *folded, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena, "SELECT id, words FROM change ORDER BY id", "it", DB_NONE, &rows,
                  err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        if (names_rider(arena, db_text_at(&rows, i, 1), folded) &&
            !db_run(db, "UPDATE change SET words = $2 WHERE id = $1",
                    DB_ARGS(db_integer(db_integer_at(&rows, i, 0)), db_text(FORGOTTEN_WORDS)),
                    err)) {
            return false;
        }
    }
    return true;
}

static bool forget_changes(struct db *db, struct arena *arena, const struct rider *rider,
                           const char *folded, struct error *err)
{
    static const char *const begin[] = {
        "CREATE TEMP TABLE forget_row (table_name TEXT NOT NULL, row_id BIGINT NOT NULL)",
        "CREATE TEMP TABLE forget_change (id BIGINT NOT NULL)",
        "CREATE TEMP TABLE forget_original (id BIGINT NOT NULL)",
    };
    return RUN_ALL(db, begin, rider->id, err) && RUN_ALL(db, mark_rows, rider->id, err) &&
           mark_tables(db, arena, rider->id, err) && RUN_ALL(db, mark_gone, rider->id, err) &&
           RUN_ALL(db, drop_changes, rider->id, err) && scrub_words(db, arena, folded, err);
}

/* ---- files that could not be read ---- */

static bool forget_paths(struct db *db, struct arena *arena, const struct folders *folders,
                         const struct rider *rider, const char *folded, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena, "SELECT id, path, message FROM failed_file ORDER BY id", "itt",
                  DB_NONE, &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        const char *path = db_text_at(&rows, i, 1);
        const struct rider *whose = folders_rider(folders, arena, path);
        const bool is_theirs = (whose != NULL && whose->id == rider->id) ||
                               names_rider(arena, path, folded) ||
                               names_rider(arena, db_text_at(&rows, i, 2), folded);
        if (is_theirs && !db_run(db, "DELETE FROM failed_file WHERE id = $1",
                                 DB_ARGS(db_integer(db_integer_at(&rows, i, 0))), err)) {
            return false;
        }
    }
    /* Copies whose very path names the rider: they were named, and can't be kept. */
    if (!db_query(db, arena, "SELECT id, path FROM kept_copy ORDER BY id", "it", DB_NONE, &rows,
                  err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        if (names_rider(arena, db_text_at(&rows, i, 1), folded) &&
            !db_run(db, "DELETE FROM kept_copy WHERE id = $1",
                    DB_ARGS(db_integer(db_integer_at(&rows, i, 0))), err)) {
            return false;
        }
    }
    return true;
}

/* ---- everything ---- */

static const char *const drop_rides[] = {
    "INSERT INTO forget_original (id) SELECT DISTINCT original FROM recording WHERE rider = $1",
    "DELETE FROM series WHERE recording IN " OF_RIDES,
    "DELETE FROM sensor WHERE recording IN " OF_RIDES,
    "DELETE FROM finding WHERE recording IN " OF_RIDES,
    "DELETE FROM lap WHERE recording IN " OF_RIDES,
    "DELETE FROM asked WHERE recording IN " OF_RIDES,
    "DELETE FROM best_curve WHERE recording IN " OF_RIDES,
    "DELETE FROM ride_load WHERE recording IN " OF_RIDES,
    "DELETE FROM effort WHERE recording IN " OF_RIDES,
    "DELETE FROM heart_sums WHERE recording IN " OF_RIDES,
    "DELETE FROM heart_day WHERE recording IN " OF_RIDES,
    "DELETE FROM job WHERE (subject_kind = 'recording' AND subject IN " OF_RIDES
    ") OR (subject_kind = 'rider' AND subject = $1)",
    /* No other rider's, by the program; but a foreign key must not stop this. */
    "UPDATE threshold SET meter = NULL WHERE rider <> $1 AND meter IN " OF_GEAR,
    "DELETE FROM meter_check WHERE rider <> $1 AND (first_meter IN " OF_GEAR
    " OR second_meter IN " OF_GEAR ")",
    "UPDATE recording SET same_as = NULL WHERE same_as IN " OF_RIDES,
    "DELETE FROM equipment_care WHERE equipment IN " OF_GEAR,
    "DELETE FROM zone_row WHERE zone_table IN " OF_ZONES,
};

static const char DROP_ORIGINALS[] =
    "DELETE FROM original WHERE id IN (SELECT id FROM forget_original) AND NOT EXISTS (SELECT 1 "
    "FROM recording r WHERE r.original = original.id)";

static const char *const drop_rest[] = {
    "DELETE FROM recording WHERE rider = $1",
    DROP_ORIGINALS,
    "DELETE FROM rider WHERE id = $1",
    "DROP TABLE forget_row",
    "DROP TABLE forget_change",
    "DROP TABLE forget_original",
};

static bool drop_tables(struct db *db, struct arena *arena, int64_t rider, struct error *err)
{
    for (size_t i = 0; i < sizeof of_rider / sizeof of_rider[0]; i++) {
        if (!run(db, arena_format(arena, "DELETE FROM %s WHERE rider = $1", of_rider[i]), rider,
                 err)) {
            return false;
        }
    }
    return true;
}

bool forget_rows(struct db *db, struct roster *roster, struct arena *arena,
                 const struct rider *rider, struct error *err)
{
    struct folders *folders = NULL;
    const char *folded = riders_fold(arena, rider->name);
    return folders_open(roster, arena, &folders, err) &&
           forget_changes(db, arena, rider, folded, err) &&
           forget_paths(db, arena, folders, rider, folded, err) &&
           RUN_ALL(db, drop_rides, rider->id, err) && drop_tables(db, arena, rider->id, err) &&
           RUN_ALL(db, drop_rest, rider->id, err);
}
