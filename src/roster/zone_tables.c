/* roster/zone_tables.c: zones of a rider's own, or of the whole roster, from a day on. */
#include "roster/zone_tables.h"

#include "base/dates.h"
#include "base/text.h"
#include "roster/changes.h"

#include <math.h>
#include <string.h>

static const char *const basis_names[ZONE_BASES] = {
    [ZONES_OF_THRESHOLD] = "threshold",
    [ZONES_OF_HEART_RESERVE] = "heart-rate-reserve",
};

const char *zone_basis_name(enum zone_basis basis)
{
    return basis_names[basis];
}

const char *const zone_tables_offered[] = { "seven-zones", "three-domains", "reserve", NULL };

bool zone_tables_offer(const char *name, struct zone_table *out)
{
    static const struct {
        const char *words;
        enum zone_basis basis;
        struct zones (*make)(void);
    } rows[] = {
        { "seven zones", ZONES_OF_THRESHOLD, zones_default },
        { "three domains", ZONES_OF_THRESHOLD, zones_three_domains },
        { "heart-rate reserve", ZONES_OF_HEART_RESERVE, zones_of_reserve },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (strcmp(name, zone_tables_offered[i]) == 0) {
            *out = (struct zone_table){ .basis = rows[i].basis,
                                        .name = rows[i].words,
                                        .zones = rows[i].make() };
            return true;
        }
    }
    return false;
}

/* ---- reading ---- */

#define COLUMNS "id, version, rider, day, basis, name"
#define SHAPE   "iiIttt"

static bool take_zones(struct db *db, struct arena *arena, struct zone_table *table,
                       struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT name, high_pct FROM zone_row WHERE zone_table = $1 ORDER BY place", "tR",
                  DB_ARGS(db_integer(table->id)), &rows, err)) {
        return false;
    }
    struct zones *zones = &table->zones;
    bool sound = rows.count >= 2 && rows.count <= ZONES_MOST;
    *zones = (struct zones){ .count = sound ? rows.count : 0 };
    for (size_t i = 0; sound && i < rows.count; i++) {
        const char *name = db_text_at(&rows, i, 0);
        const bool is_last = i + 1 == rows.count;
        const double high = is_last ? (double)INFINITY : db_real_at(&rows, i, 1);
        sound = db_is_null(&rows, i, 1) == is_last && strlen(name) < sizeof zones->name[0] &&
                high > (i == 0 ? 0.0 : zones->upper_pct[i - 1]);
        if (sound) {
            zones->upper_pct[i] = high;
            memcpy(zones->name[i], name, strlen(name) + 1);
        }
    }
    return sound ||
           error_set(err, ERROR_STORAGE, "the zone table %s of %s is damaged; set it again",
                     table->name, table->day);
}

static struct zone_table table_at(const struct db_rows *rows, size_t i)
{
    const char *basis = db_text_at(rows, i, 4);
    return (struct zone_table){
        .id = db_integer_at(rows, i, 0),
        .version = db_integer_at(rows, i, 1),
        .rider = db_integer_at(rows, i, 2),
        .day = db_text_at(rows, i, 3),
        .basis = strcmp(basis, basis_names[ZONES_OF_THRESHOLD]) == 0 ? ZONES_OF_THRESHOLD
                                                                     : ZONES_OF_HEART_RESERVE,
        .name = db_text_at(rows, i, 5),
    };
}

bool zone_tables_in_force(struct db *db, struct arena *arena, int64_t rider, enum zone_basis basis,
                          const char *day, struct zone_table *out, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT " COLUMNS " FROM zone_table WHERE (rider IS NULL OR rider = $1) AND "
                  "basis = $2 AND day <= $3 ORDER BY CASE WHEN rider IS NULL THEN 1 ELSE 0 END, "
                  "day DESC, id DESC LIMIT 1",
                  SHAPE, DB_ARGS(db_integer(rider), db_text(basis_names[basis]), db_text(day)),
                  &rows, err)) {
        return false;
    }
    if (rows.count == 0) {
        return zone_tables_offer(zone_tables_offered[basis == ZONES_OF_THRESHOLD ? 0 : 2], out);
    }
    *out = table_at(&rows, 0);
    return take_zones(db, arena, out, err);
}

bool zone_tables_on(struct db *db, struct arena *arena, int64_t rider, const char *day,
                    struct zones *out, struct error *err)
{
    struct zone_table table = { 0 };
    if (!zone_tables_in_force(db, arena, rider, ZONES_OF_THRESHOLD, day, &table, err)) {
        return false;
    }
    *out = table.zones;
    return true;
}

bool zone_tables_list(struct roster *roster, struct arena *arena, const struct rider *rider,
                      const char *until, struct zone_table **out, size_t *count, struct error *err)
{
    struct db *db = roster_db(roster);
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT " COLUMNS " FROM zone_table WHERE (rider IS NULL OR rider = $1) AND day "
                  "<= $2 ORDER BY day DESC, id DESC",
                  SHAPE, DB_ARGS(db_integer(rider == NULL ? 0 : rider->id), db_text(until)), &rows,
                  err)) {
        return false;
    }
    *out = ARENA_ARRAY(arena, struct zone_table, rows.count);
    *count = rows.count;
    for (size_t i = 0; i < rows.count; i++) {
        (*out)[i] = table_at(&rows, i);
        if (!take_zones(db, arena, &(*out)[i], err)) {
            return false;
        }
    }
    return true;
}

/* ---- setting ---- */

struct work {
    struct arena *arena;
    struct roster_now now;
    const struct rider *rider; /* NULL = the whole roster */
    struct zone_table *table;
};

static bool table_is_sound(struct arena *arena, struct zone_table *table, struct error *err)
{
    int64_t days = 0;
    const struct zones *zones = &table->zones;
    if (table->day == NULL || !dates_parse_day(table->day, &days)) {
        return error_set(err, ERROR_USAGE, "%s is no day; write it as 2026-03-14",
                         table->day == NULL ? "nothing" : table->day);
    }
    table->name = table->name == NULL ? "" : text_clean(arena, table->name, strlen(table->name));
    if (table->name[0] == '\0' || strlen(table->name) > 60) {
        return error_set(err, ERROR_USAGE, "give the zone table a name of 1 to 60 bytes");
    }
    if (table->basis == ZONES_OF_HEART_RESERVE && zones->count >= 2 &&
        zones->upper_pct[zones->count - 2] >= 100.0) {
        return error_set(err, ERROR_USAGE,
                         "%s begins at %g %% of heart-rate reserve; nothing lies above 100 %%",
                         zones->name[zones->count - 1], zones->upper_pct[zones->count - 2]);
    }
    return true;
}

/* The row of that rider, basis and day; id 0 = none. */
static bool find_same(struct db *db, const struct work *work, struct zone_table *out,
                      struct error *err)
{
    struct db_rows rows = { 0 };
    *out = (struct zone_table){ 0 };
    if (!db_query(db, work->arena,
                  "SELECT " COLUMNS " FROM zone_table WHERE COALESCE(rider, 0) = $1 AND basis = $2 "
                  "AND day = $3 ORDER BY id LIMIT 1",
                  SHAPE,
                  DB_ARGS(db_integer(work->rider == NULL ? 0 : work->rider->id),
                          db_text(basis_names[work->table->basis]), db_text(work->table->day)),
                  &rows, err)) {
        return false;
    }
    if (rows.count > 0) {
        *out = table_at(&rows, 0);
    }
    return true;
}

static bool remove_rows(struct change *change, int64_t table, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(change->db, change->arena,
                  "SELECT id, version FROM zone_row WHERE zone_table = $1 ORDER BY place", "ii",
                  DB_ARGS(db_integer(table)), &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        if (!changes_remove(change, "zone_row", db_integer_at(&rows, i, 0),
                            db_integer_at(&rows, i, 1), err)) {
            return false;
        }
    }
    return true;
}

static bool add_rows(struct change *change, const struct zone_table *table, struct error *err)
{
    double low_pct = 0.0;
    for (size_t i = 0; i < table->zones.count; i++) {
        const double high_pct = table->zones.upper_pct[i];
        int64_t row = 0;
        const struct edit edits[] = {
            { "zone_table", db_integer(table->id) },   { "place", db_integer((int64_t)i + 1) },
            { "name", db_text(table->zones.name[i]) }, { "low_pct", db_real(low_pct) },
            { "high_pct", db_real(high_pct) }, /* infinite: open */
        };
        if (!changes_add(change, "zone_row", edits, sizeof edits / sizeof edits[0], &row, err)) {
            return false;
        }
        low_pct = high_pct;
    }
    return true;
}

static const char *whose(const struct rider *rider)
{
    return rider == NULL ? "the whole roster" : rider->name;
}

static const char *kind_of(enum zone_basis basis)
{
    return basis == ZONES_OF_THRESHOLD ? "Power zones" : "Heart-rate zones";
}

static bool set(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    struct zone_table *table = work->table;
    struct zone_table was = { 0 };
    struct change change = { 0 };
    if (!find_same(db, work, &was, err)) {
        return false;
    }
    table->said = arena_format(work->arena, "%s of %s: %s, %zu zones, from %s%s",
                               kind_of(table->basis), whose(work->rider), table->name,
                               table->zones.count, table->day, was.id == 0 ? "" : " (replaced)");
    const struct edit edits[] = {
        { "rider", work->rider == NULL ? db_null(DB_INTEGER) : db_integer(work->rider->id) },
        { "day", db_text(table->day) },
        { "basis", db_text(basis_names[table->basis]) },
        { "name", db_text(table->name) },
    };
    table->id = was.id;
    table->version = was.version + 1;
    table->rider = work->rider == NULL ? 0 : work->rider->id;
    if (!changes_begin(db, work->arena, work->now, table->said, &change, err)) {
        return false;
    }
    if (was.id != 0) {
        return changes_edit(&change, "zone_table", was.id, was.version, edits, 4, err) &&
               remove_rows(&change, was.id, err) && add_rows(&change, table, err);
    }
    return changes_add(&change, "zone_table", edits, 4, &table->id, err) &&
           add_rows(&change, table, err);
}

bool zone_tables_set(struct roster *roster, struct arena *arena, struct roster_now now,
                     const struct rider *rider, struct zone_table *table, struct error *err)
{
    struct work work = { arena, now, rider, table };
    return table_is_sound(arena, table, err) && db_write(roster_db(roster), set, &work, err);
}

static bool take_away(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    struct zone_table was = { 0 };
    struct change change = { 0 };
    if (!find_same(db, work, &was, err)) {
        return false;
    }
    if (was.id == 0) {
        return error_set(err, ERROR_NOT_FOUND, "%s has no zones by %s dated %s", whose(work->rider),
                         basis_names[work->table->basis], work->table->day);
    }
    work->table->said = arena_format(work->arena, "%s of %s: %s from %s taken away",
                                     kind_of(was.basis), whose(work->rider), was.name, was.day);
    return changes_begin(db, work->arena, work->now, work->table->said, &change, err) &&
           remove_rows(&change, was.id, err) &&
           changes_remove(&change, "zone_table", was.id, was.version, err);
}

bool zone_tables_remove(struct roster *roster, struct arena *arena, struct roster_now now,
                        const struct rider *rider, enum zone_basis basis, const char *day,
                        const char **said, struct error *err)
{
    struct zone_table table = { .basis = basis, .day = day };
    struct work work = { arena, now, rider, &table };
    const bool done = db_write(roster_db(roster), take_away, &work, err);
    *said = table.said;
    return done;
}
