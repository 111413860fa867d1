/* roster/touched.c: which rides a change may have touched. */
#include "roster/touched.h"

#include "base/dates.h"
#include "roster/came_back.h"
#include "roster/tables.h"

#include <stdlib.h>
#include <string.h>

enum reach {
    REACH_NONE,      /* no reading rests on it */
    REACH_FROM_DAY,  /* holds from its day to the next entry's */
    REACH_METER,     /* from its day to the next entry of its meter, or of none */
    REACH_SPAN,      /* holds over its span of days */
    REACH_DAY,       /* that day alone, and the ride that it names */
    REACH_SESSION,   /* that day, and those to which a session of it may have been moved */
    REACH_RIDER,     /* everything of the rider */
    REACH_ITSELF,    /* the row is a rider */
    REACH_TABLE,     /* everything of the zone table's rider */
    REACH_RIDE,      /* the ride that it names */
    REACH_RECORDING, /* the row is a recording */
    REACH_SETTING,   /* every rider */
};

/* Every editable table: tests/roster/test_store_rereading.c looks for one that is missing. */
static const struct {
    const char *table;
    enum reach reach;
} reaches[] = {
    { "setting", REACH_SETTING },
    { "rider", REACH_ITSELF },
    { "equipment", REACH_RIDER },
    { "equipment_care", REACH_NONE },
    { "meter_check", REACH_RIDER },
    { "weight", REACH_FROM_DAY },
    { "threshold", REACH_METER },
    { "max_heart_rate", REACH_FROM_DAY },
    { "rest_heart_rate", REACH_FROM_DAY },
    { "zone_table", REACH_RIDER },
    { "zone_row", REACH_TABLE },
    { "limit_override", REACH_RIDER },
    { "goal", REACH_NONE },
    { "event", REACH_NONE },
    { "session", REACH_SESSION },
    { "own_session", REACH_NONE },
    { "day_off", REACH_SPAN },
    { "availability", REACH_NONE },
    { "block", REACH_NONE },
    { "screening", REACH_RIDER },
    { "flag", REACH_SPAN },
    { "consent", REACH_NONE },
    { "contact", REACH_NONE },
    { "day_note", REACH_DAY },
    { "recording", REACH_RECORDING },
    { "asked", REACH_RIDE },
    { "folder", REACH_NONE },
    { "attention_mark", REACH_NONE },
    { "declined", REACH_NONE },
};

static enum reach reach_of(const char *table)
{
    for (size_t i = 0; i < sizeof reaches / sizeof reaches[0]; i++) {
        if (strcmp(reaches[i].table, table) == 0) {
            return reaches[i].reach;
        }
    }
    return REACH_NONE;
}

bool touched_matters(const char *table)
{
    return reach_of(table) != REACH_NONE;
}

/* ---- a column, before and after ---- */

struct row {
    struct db *db;
    struct arena *arena;
    const char *table;
    const char *kind; /* of the edit */
    int64_t id;
    struct db_rows values; /* column, before, after */
    struct touched **out;
    size_t *count;
    size_t *capacity;
};

/* What a column held: one value, or two where an edit changed it. */
struct held {
    const char *texts[2];
    size_t n;
};

/* Of a row that is gone again there is nothing to say here: the change that took it away has all
 * its columns. */
static bool held_now(const struct row *row, const char *column, struct held *out, struct error *err)
{
    struct db_rows rows = { 0 };
    const char *sql = arena_format(row->arena, "SELECT CAST(%s AS TEXT) FROM %s WHERE id = $1",
                                   column, row->table);
    if (!db_query(row->db, row->arena, sql, "T", DB_ARGS(db_integer(row->id)), &rows, err)) {
        return false;
    }
    out->n = rows.count;
    out->texts[0] = rows.count > 0 ? db_text_at(&rows, 0, 0) : NULL;
    return true;
}

static bool held(const struct row *row, const char *column, struct held *out, struct error *err)
{
    *out = (struct held){ 0 };
    for (size_t i = 0; i < row->values.count; i++) {
        if (strcmp(db_text_at(&row->values, i, 0), column) != 0) {
            continue;
        }
        if (strcmp(row->kind, "add") != 0) {
            out->texts[out->n++] = db_text_at(&row->values, i, 1);
        }
        if (strcmp(row->kind, "remove") != 0) {
            out->texts[out->n++] = db_text_at(&row->values, i, 2);
        }
        return true;
    }
    return held_now(row, column, out, err);
}

/* ---- what it reaches ---- */

static bool same_day(const char *a, const char *b)
{
    return a == NULL || b == NULL ? a == b : strcmp(a, b) == 0;
}

static void add(const struct row *row, struct touched touched)
{
    for (size_t i = 0; i < *row->count; i++) {
        const struct touched *known = &(*row->out)[i];
        if (known->rider == touched.rider && known->recording == touched.recording &&
            known->is_settled == touched.is_settled &&
            same_day(known->from_day, touched.from_day) &&
            same_day(known->to_day, touched.to_day)) {
            return;
        }
    }
    *row->out = arena_grow(row->arena, *row->out, *row->count, row->capacity, sizeof touched);
    (*row->out)[(*row->count)++] = touched;
}

static int64_t number(const char *text)
{
    return text == NULL ? 0 : strtoll(text, NULL, 10);
}

static const char *day_after(struct arena *arena, const char *day, int64_t count)
{
    int64_t days = 0;
    char after[11];
    if (!dates_parse_day(day, &days)) {
        return NULL;
    }
    dates_format_day(days + count, after);
    return arena_string(arena, after);
}

/* Where sessions were given, whether an earlier ride was one decides which one a later ride was:
 * the end moves on. */
static bool reach_moved(const struct row *row, int64_t rider, const char **end, struct error *err)
{
    bool near = false;
    if (!came_back_is_near(row->db, row->arena, rider, *end, &near, err)) {
        return false;
    }
    *end = near ? day_after(row->arena, *end, came_back_reach_most()) : *end;
    return true;
}

/* The day of the rider's next entry in the same table; NULL if there is none.  A threshold of one
 * meter gives way to the next of that meter or of none, and one of none only to the next of none:
 * that is how a ride's is chosen (roster/facts).
 *   meter  NULL = of none */
static bool next_entry(const struct row *row, enum reach reach, int64_t rider, const char *day,
                       const char *meter, const char **out, struct error *err)
{
    struct db_rows rows = { 0 };
    const char *sql = arena_format(
        row->arena,
        "SELECT day FROM %s WHERE rider = $1 AND day > $2 AND %s ORDER BY day, id LIMIT 1",
        row->table,
        reach == REACH_METER ? "(meter IS NULL OR meter = $3)" : "CAST($3 AS BIGINT) IS NULL");
    if (!db_query(row->db, row->arena, sql, "t",
                  DB_ARGS(db_integer(rider), db_text(day),
                          meter == NULL ? db_null(DB_INTEGER) : db_integer(number(meter))),
                  &rows, err)) {
        return false;
    }
    *out = rows.count > 0 ? db_text_at(&rows, 0, 0) : NULL;
    return *out == NULL || reach != REACH_METER || reach_moved(row, rider, out, err);
}

static bool reach_day(const struct row *row, enum reach reach, int64_t rider, const char *day,
                      const struct held *meters, struct error *err)
{
    struct touched touched = { .rider = rider, .from_day = day };
    if (reach == REACH_DAY || reach == REACH_SESSION) {
        touched.to_day =
            day_after(row->arena, day, reach == REACH_DAY ? 1 : 1 + came_back_reach_most());
        add(row, touched);
        return true;
    }
    for (size_t i = 0; i < meters->n; i++) {
        if (!next_entry(row, reach, rider, day, meters->texts[i], &touched.to_day, err)) {
            return false;
        }
        add(row, touched);
    }
    return true;
}

static bool reach_days(const struct row *row, enum reach reach, const struct held *riders,
                       struct error *err)
{
    struct held days;
    struct held meters = { .n = 1 };
    if (!held(row, "day", &days, err) ||
        (reach == REACH_METER && !held(row, "meter", &meters, err))) {
        return false;
    }
    for (size_t r = 0; r < riders->n; r++) {
        for (size_t i = 0; i < days.n && days.texts[i] != NULL; i++) {
            if (!reach_day(row, reach, number(riders->texts[r]), days.texts[i], &meters, err)) {
                return false;
            }
        }
    }
    return true;
}

/* From the earlier beginning to the later end. */
static bool reach_span(const struct row *row, const struct held *riders, struct error *err)
{
    struct held from;
    struct held to;
    if (!held(row, "from_day", &from, err) || !held(row, "to_day", &to, err)) {
        return false;
    }
    if (from.n == 0 || to.n == 0) {
        return true;
    }
    const char *first = from.texts[0];
    const char *end = to.texts[0];
    if (from.n > 1 && first != NULL &&
        (from.texts[1] == NULL || strcmp(from.texts[1], first) < 0)) {
        first = from.texts[1]; /* none is the earliest */
    }
    if (to.n > 1 && end != NULL && (to.texts[1] == NULL || strcmp(to.texts[1], end) > 0)) {
        end = to.texts[1];
    }
    for (size_t r = 0; r < riders->n; r++) {
        add(row, (struct touched){
                     .rider = number(riders->texts[r]), .from_day = first, .to_day = end });
    }
    return true;
}

/* Names, notes and addresses of a rider are read by nothing. */
static bool rider_matters(const struct row *row)
{
    static const char *const read[] = { "zone_name", "born_day", "sex", "training_since_day",
                                        "power_since_day" };
    for (size_t i = 0; i < row->values.count; i++) {
        for (size_t k = 0; k < sizeof read / sizeof read[0]; k++) {
            if (strcmp(db_text_at(&row->values, i, 0), read[k]) == 0) {
                return strcmp(row->kind, "edit") == 0; /* one just added has no rides */
            }
        }
    }
    return false;
}

static bool zone_table_riders(const struct row *row, struct held *riders, struct error *err)
{
    struct held tables;
    *riders = (struct held){ 0 };
    if (!held(row, "zone_table", &tables, err)) {
        return false;
    }
    for (size_t i = 0; i < tables.n; i++) {
        struct db_rows rows = { 0 };
        if (!db_query(row->db, row->arena,
                      "SELECT CAST(rider AS TEXT) FROM zone_table WHERE id = $1", "T",
                      DB_ARGS(db_integer(number(tables.texts[i]))), &rows, err)) {
            return false;
        }
        if (rows.count > 0) {
            riders->texts[riders->n++] = db_text_at(&rows, 0, 0);
        }
    }
    return true;
}

static void reach_riders(const struct row *row, const struct held *riders)
{
    for (size_t i = 0; i < riders->n; i++) {
        add(row, (struct touched){ .rider = number(riders->texts[i]) });
    }
}

/* The rides that a column names, before and after. */
static bool reach_rides(const struct row *row, const char *column, struct error *err)
{
    struct held rides;
    if (!held(row, column, &rides, err)) {
        return false;
    }
    for (size_t i = 0; i < rides.n; i++) {
        if (rides.texts[i] != NULL) {
            add(row, (struct touched){ .recording = number(rides.texts[i]) });
        }
    }
    return true;
}

/* Rides after one that counts now, or no longer does. */
static bool reach_after(const struct row *row, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(row->db, row->arena, "SELECT rider, local_day FROM recording WHERE id = $1", "iT",
                  DB_ARGS(db_integer(row->id)), &rows, err)) {
        return false;
    }
    const char *day = rows.count > 0 ? db_text_at(&rows, 0, 1) : NULL;
    if (day != NULL) {
        add(row,
            (struct touched){ .rider = db_integer_at(&rows, 0, 0),
                              .from_day = day,
                              .to_day = day_after(row->arena, day, 1 + came_back_reach_most()) });
    }
    return true;
}

static bool reach_row(const struct row *row, struct error *err)
{
    const enum reach reach = reach_of(row->table);
    struct held riders = { 0 };
    switch (reach) {
    case REACH_NONE: return true;
    case REACH_FROM_DAY:
    case REACH_METER:
    case REACH_SESSION:
        return held(row, "rider", &riders, err) && reach_days(row, reach, &riders, err);
    case REACH_DAY:
        return held(row, "rider", &riders, err) && reach_days(row, reach, &riders, err) &&
               reach_rides(row, "recording", err);
    case REACH_SPAN: return held(row, "rider", &riders, err) && reach_span(row, &riders, err);
    case REACH_RIDER:
        if (!held(row, "rider", &riders, err)) {
            return false;
        }
        reach_riders(row, &riders);
        return true;
    case REACH_TABLE:
        if (!zone_table_riders(row, &riders, err)) {
            return false;
        }
        reach_riders(row, &riders);
        return true;
    case REACH_ITSELF:
        if (rider_matters(row)) {
            add(row, (struct touched){ .rider = row->id });
        }
        return true;
    case REACH_RIDE: return reach_rides(row, "recording", err);
    case REACH_RECORDING:
        add(row, (struct touched){ .recording = row->id, .is_settled = true });
        return reach_rides(row, "same_as", err) && reach_after(row, err);
    case REACH_SETTING: add(row, (struct touched){ 0 }); return true;
    }
    return true;
}

bool touched_by(struct db *db, struct arena *arena, int64_t change, struct touched **out,
                size_t *count, struct error *err)
{
    struct db_rows rows = { 0 };
    size_t capacity = 0;
    *out = NULL;
    *count = 0;
    if (!db_query(db, arena,
                  "SELECT id, kind, table_name, row_id FROM change_row WHERE change = $1 ORDER BY "
                  "place",
                  "itti", DB_ARGS(db_integer(change)), &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        struct row row = { .db = db,
                           .arena = arena,
                           .table = db_text_at(&rows, i, 2),
                           .kind = db_text_at(&rows, i, 1),
                           .id = db_integer_at(&rows, i, 3),
                           .out = out,
                           .count = count,
                           .capacity = &capacity };
        if (!touched_matters(row.table)) {
            continue;
        }
        if (!db_query(db, arena,
                      "SELECT column_name, before_text, after_text FROM change_value WHERE "
                      "change_row = $1 ORDER BY id",
                      "tTT", DB_ARGS(db_integer(db_integer_at(&rows, i, 0))), &row.values, err) ||
            !reach_row(&row, err)) {
            return false;
        }
    }
    return true;
}
