/* roster/overrides.c: limits that a coach set otherwise. */
#include "roster/overrides.h"

#include "base/text.h"
#include "roster/changes.h"

#include <string.h>

static bool is_cap(const struct limit_row *row)
{
    return strncmp(row->name, "cap_", 4) == 0;
}

struct work {
    struct arena *arena;
    struct roster_now now;
    const struct rider *rider; /* NULL = the whole roster */
    const struct limit_row *row;
    double value;
    const char *note;
    const char *said;
};

struct found {
    int64_t id; /* 0 = none */
    int64_t version;
    double value;
};

static bool find(struct db *db, const struct work *work, struct found *out, struct error *err)
{
    struct db_rows rows = { 0 };
    *out = (struct found){ 0 };
    if (!db_query(db, work->arena,
                  "SELECT id, version, value FROM limit_override WHERE COALESCE(rider, 0) = $1 AND "
                  "name = $2 ORDER BY id LIMIT 1",
                  "iir",
                  DB_ARGS(db_integer(work->rider == NULL ? 0 : work->rider->id),
                          db_text(work->row->name)),
                  &rows, err)) {
        return false;
    }
    if (rows.count > 0) {
        *out = (struct found){ db_integer_at(&rows, 0, 0), db_integer_at(&rows, 0, 1),
                               db_real_at(&rows, 0, 2) };
    }
    return true;
}

static const char *whose(const struct rider *rider)
{
    return rider == NULL ? "the whole roster" : rider->name;
}

static bool set(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    struct found was = { 0 };
    struct change change = { 0 };
    int64_t id = 0;
    if (!find(db, work, &was, err)) {
        return false;
    }
    const struct edit edits[] = {
        { "rider", work->rider == NULL ? db_null(DB_INTEGER) : db_integer(work->rider->id) },
        { "name", db_text(work->row->name) },
        { "value", db_real(work->value) },
        { "note", db_text(work->note) },
    };
    work->said = arena_format(
        work->arena, "Limit %s of %s: %.9g%s%s (was %.9g%s)", work->row->name, whose(work->rider),
        work->value, work->row->unit[0] == '\0' ? "" : " ", work->row->unit,
        was.id == 0 ? work->row->value : was.value, was.id == 0 ? ", the default" : "");
    return changes_begin(db, work->arena, work->now, work->said, &change, err) &&
           (was.id == 0
                ? changes_add(&change, "limit_override", edits, 4, &id, err)
                : changes_edit(&change, "limit_override", was.id, was.version, edits, 4, err));
}

bool overrides_set(struct roster *roster, struct arena *arena, struct roster_now now,
                   const struct rider *rider, enum limit_id limit, double value, const char *note,
                   const char **said, struct error *err)
{
    const struct limit_row *row = limits_row(limit);
    if (is_cap(row)) {
        return error_set(err, ERROR_DENIED, "%s guards what a reader takes from a file: no change",
                         row->name);
    }
    if (!(value >= row->lowest && value <= row->highest)) {
        return error_set(err, ERROR_USAGE, "%s: must be %.9g to %.9g%s%s", row->name, row->lowest,
                         row->highest, row->unit[0] == '\0' ? "" : " ", row->unit);
    }
    struct work work = {
        .arena = arena,
        .now = now,
        .rider = rider,
        .row = row,
        .value = value,
        .note = note == NULL ? NULL : text_clean(arena, note, strlen(note)),
    };
    const bool done = db_write(roster_db(roster), set, &work, err);
    *said = work.said;
    return done;
}

static bool take_away(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    struct found was = { 0 };
    struct change change = { 0 };
    if (!find(db, work, &was, err)) {
        return false;
    }
    if (was.id == 0) {
        return error_set(err, ERROR_NOT_FOUND, "%s is not changed for %s", work->row->name,
                         whose(work->rider));
    }
    work->said = arena_format(work->arena, "Limit %s of %s: %.9g taken away", work->row->name,
                              whose(work->rider), was.value);
    return changes_begin(db, work->arena, work->now, work->said, &change, err) &&
           changes_remove(&change, "limit_override", was.id, was.version, err);
}

bool overrides_remove(struct roster *roster, struct arena *arena, struct roster_now now,
                      const struct rider *rider, enum limit_id limit, const char **said,
                      struct error *err)
{
    struct work work = { .arena = arena, .now = now, .rider = rider, .row = limits_row(limit) };
    const bool done = db_write(roster_db(roster), take_away, &work, err);
    *said = work.said;
    return done;
}

bool overrides_list(struct db *db, struct arena *arena, int64_t rider, struct override **out,
                    size_t *count, struct error *err)
{
    struct db_rows rows = { 0 };
    /* The newest change of the row is the one that set it so. */
    if (!db_query(db, arena,
                  "SELECT o.id, o.version, o.rider, o.name, o.value, o.note, c.who, c.made_utc_s "
                  "FROM limit_override o LEFT JOIN change c ON c.id = (SELECT MAX(r.change) FROM "
                  "change_row r WHERE r.table_name = 'limit_override' AND r.row_id = o.id) WHERE "
                  "o.rider IS NULL OR o.rider = $1 ORDER BY CASE WHEN o.rider IS NULL THEN 0 ELSE "
                  "1 END, o.name, o.id",
                  "iiItrTTI", DB_ARGS(db_integer(rider)), &rows, err)) {
        return false;
    }
    *out = ARENA_ARRAY(arena, struct override, rows.count);
    *count = rows.count;
    for (size_t i = 0; i < rows.count; i++) {
        struct override *item = &(*out)[i];
        *item = (struct override){
            .id = db_integer_at(&rows, i, 0),
            .version = db_integer_at(&rows, i, 1),
            .rider = db_integer_at(&rows, i, 2),
            .of_name = db_text_at(&rows, i, 3),
            .value = db_real_at(&rows, i, 4),
            .note = db_text_at(&rows, i, 5),
            .who = db_text_at(&rows, i, 6),
            .set_utc_s = db_integer_at(&rows, i, 7),
        };
        if (limits_find(item->of_name, &item->limit)) {
            const struct limit_row *row = limits_row(item->limit);
            item->is_in_range =
                !is_cap(row) && item->value >= row->lowest && item->value <= row->highest;
        }
    }
    return true;
}
