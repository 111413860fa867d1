/* roster/equipment_care.c: zero offsets, charging, and how long a thing was ridden. */
#include "roster/equipment.h"

#include "base/dates.h"
#include "base/text.h"
#include "roster/changes.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char *const care_kinds[] = { "zero-offset", "charge", "check", "change", "other" };

struct work {
    struct arena *arena;
    struct roster_now now;
    const struct equipment *item;
    const struct rider *rider;
    struct care *care;
    const char *said;
};

static bool care_is_sound(struct arena *arena, struct care *care, struct error *err)
{
    int64_t days = 0;
    bool known = false;
    for (size_t i = 0; i < sizeof care_kinds / sizeof care_kinds[0]; i++) {
        known = known || strcmp(care->kind, care_kinds[i]) == 0;
    }
    if (!known) {
        return error_set(err, ERROR_USAGE, "%s: no kind of care", care->kind);
    }
    if (!dates_parse_day(care->day, &days)) {
        return error_set(err, ERROR_USAGE, "%s is no day; write it as 2026-03-14", care->day);
    }
    /* Devices write offsets as 16 or 32 bits, signed. */
    if (strcmp(care->kind, "zero-offset") == 0 && !(fabs(care->value) <= 2147483647.0)) {
        return error_set(err, ERROR_USAGE, "give the zero offset that the device showed");
    }
    care->note = care->note == NULL ? NULL : text_clean(arena, care->note, strlen(care->note));
    return true;
}

static bool add(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    const struct care *care = work->care;
    struct change change = { 0 };
    const struct edit edits[] = {
        { "equipment", db_integer(work->item->id) },
        { "kind", db_text(care->kind) },
        { "day", db_text(care->day) },
        { "value", db_real(care->value) },
        { "note", db_text(care->note) },
    };
    work->said = isnan(care->value)
                     ? arena_format(work->arena, "Care of %s: %s on %s", work->item->name,
                                    care->kind, care->day)
                     : arena_format(work->arena, "Care of %s: %s %g on %s", work->item->name,
                                    care->kind, care->value, care->day);
    return changes_begin(db, work->arena, work->now, work->said, &change, err) &&
           changes_add(&change, "equipment_care", edits, sizeof edits / sizeof edits[0],
                       &work->care->id, err);
}

bool equipment_care_add(struct roster *roster, struct arena *arena, struct roster_now now,
                        const struct equipment *item, struct care *care, const char **said,
                        struct error *err)
{
    struct work work = { .arena = arena, .now = now, .item = item, .care = care };
    const bool done =
        care_is_sound(arena, care, err) && db_write(roster_db(roster), add, &work, err);
    *said = work.said;
    return done;
}

static bool take_away(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    struct db_rows rows = { 0 };
    struct change change = { 0 };
    if (!db_query(db, work->arena,
                  "SELECT c.version, e.name, c.kind, c.day FROM equipment_care c JOIN equipment e "
                  "ON e.id = c.equipment WHERE c.id = $1 AND (e.rider IS NULL OR e.rider = $2)",
                  "ittt", DB_ARGS(db_integer(work->care->id), db_integer(work->rider->id)), &rows,
                  err)) {
        return false;
    }
    if (rows.count == 0) {
        return error_set(err, ERROR_NOT_FOUND, "%s has no entry of care %lld", work->rider->name,
                         (long long)work->care->id);
    }
    work->said =
        arena_format(work->arena, "Care of %s: %s on %s taken away", db_text_at(&rows, 0, 1),
                     db_text_at(&rows, 0, 2), db_text_at(&rows, 0, 3));
    return changes_begin(db, work->arena, work->now, work->said, &change, err) &&
           changes_remove(&change, "equipment_care", work->care->id, db_integer_at(&rows, 0, 0),
                          err);
}

bool equipment_care_remove(struct roster *roster, struct arena *arena, struct roster_now now,
                           const struct rider *rider, int64_t care, const char **said,
                           struct error *err)
{
    struct care entry = { .id = care };
    struct work work = { .arena = arena, .now = now, .rider = rider, .care = &entry };
    const bool done = db_write(roster_db(roster), take_away, &work, err);
    *said = work.said;
    return done;
}

/* ---- what the devices recorded ---- */

/* Rides of the item, as a condition on recording r: by a sensor of its kind and serial, or by the
 * recording device; while it was in use, by its owner ($1 rider, 0 = anybody's; $2 serial; $3 from,
 * $4 to, $5 until; $6 kind of the sensor: a trainer that measures is a power meter). */
#define ITS_RIDES                                                                                  \
    "r.local_day >= $3 AND r.local_day < $4 AND r.local_day <= $5 AND ($1 = 0 OR r.rider = $1) "   \
    "AND ((r.device_serial = $2 AND $6 = 'head-unit') OR EXISTS (SELECT 1 FROM sensor s WHERE "    \
    "s.recording = r.id AND s.serial = $2 AND (s.kind = $6 OR ($6 = 'power' AND s.kind = "         \
    "'trainer'))))"

static const char *sensor_kind_of(const char *kind)
{
    return strcmp(kind, "power-meter") == 0    ? "power"
           : strcmp(kind, "heart-sensor") == 0 ? "heart-rate"
                                               : kind;
}

#define ITS_ARGS(item, since, until)                                                               \
    DB_ARGS(db_integer((item)->rider), db_integer((item)->serial), db_text(since),                 \
            db_text((item)->to_day == NULL ? "9999-99" : (item)->to_day), db_text(until),          \
            db_text(sensor_kind_of((item)->kind)))

static const char *first_use(const struct equipment *item)
{
    return item->from_day == NULL ? "0000" : item->from_day;
}

static int by_day(const void *a, const void *b)
{
    const struct care *x = a;
    const struct care *y = b;
    const int order = strcmp(y->day, x->day);
    if (order != 0) {
        return order;
    }
    if (x->recording != y->recording) {
        return x->recording < y->recording ? 1 : -1;
    }
    return x->id < y->id ? 1 : -1;
}

bool equipment_care_list(struct db *db, struct arena *arena, const struct equipment *item,
                         const char *until, struct care **out, size_t *count, struct error *err)
{
    struct db_rows hand = { 0 };
    struct db_rows device = { 0 };
    if (!db_query(db, arena,
                  "SELECT id, kind, day, value, note FROM equipment_care WHERE equipment = $1 AND "
                  "day <= $2 ORDER BY day DESC, id DESC",
                  "ittRT", DB_ARGS(db_integer(item->id), db_text(until)), &hand, err)) {
        return false;
    }
    if (item->serial != 0 &&
        !db_query(
            db, arena,
            "SELECT r.id, r.local_day, z.zero_offset FROM recording r JOIN sensor z ON "
            "z.recording = r.id AND z.serial = $2 AND z.zero_offset IS NOT NULL WHERE " ITS_RIDES
            " ORDER BY r.local_day DESC, r.id DESC, z.place",
            "iti", ITS_ARGS(item, first_use(item), until), &device, err)) {
        return false;
    }
    *out = ARENA_ARRAY(arena, struct care, hand.count + device.count);
    *count = 0;
    for (size_t i = 0; i < hand.count; i++) {
        (*out)[(*count)++] = (struct care){ .id = db_integer_at(&hand, i, 0),
                                            .kind = db_text_at(&hand, i, 1),
                                            .day = db_text_at(&hand, i, 2),
                                            .value = db_real_at(&hand, i, 3),
                                            .note = db_text_at(&hand, i, 4) };
    }
    for (size_t i = 0; i < device.count; i++) {
        (*out)[(*count)++] = (struct care){ .kind = "zero-offset",
                                            .day = db_text_at(&device, i, 1),
                                            .value = (double)db_integer_at(&device, i, 2),
                                            .recording = db_integer_at(&device, i, 0) };
    }
    qsort(*out, *count, sizeof **out, by_day);
    return true;
}

bool equipment_offsets(struct db *db, struct arena *arena, int64_t rider, const char *until,
                       struct noted_offset **out, size_t *count, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT c.equipment, c.day, c.value FROM equipment_care c JOIN equipment e ON "
                  "e.id = c.equipment WHERE c.kind = 'zero-offset' AND c.value IS NOT NULL AND "
                  "c.day <= $2 AND e.kind = 'power-meter' AND (e.rider = $1 OR e.rider IS NULL) "
                  "ORDER BY c.day, c.id",
                  "itr", DB_ARGS(db_integer(rider), db_text(until)), &rows, err)) {
        return false;
    }
    *out = ARENA_ARRAY(arena, struct noted_offset, rows.count);
    *count = rows.count;
    for (size_t i = 0; i < rows.count; i++) {
        (*out)[i] = (struct noted_offset){ db_integer_at(&rows, i, 0),
                                           dates_day_number(db_text_at(&rows, i, 1)),
                                           db_real_at(&rows, i, 2) };
    }
    return true;
}

static bool find_charge(struct db *db, struct arena *arena, const struct equipment *item,
                        const char *until, const char **out, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT day FROM equipment_care WHERE equipment = $1 AND kind = 'charge' AND day "
                  "<= $2 ORDER BY day DESC, id DESC LIMIT 1",
                  "t", DB_ARGS(db_integer(item->id), db_text(until)), &rows, err)) {
        return false;
    }
    *out = rows.count == 0 ? NULL : db_text_at(&rows, 0, 0);
    return true;
}

/* The later of two days. */
static const char *later(const char *a, const char *b)
{
    return b != NULL && strcmp(b, a) > 0 ? b : a;
}

bool equipment_wear(struct db *db, struct arena *arena, const struct equipment *item,
                    const char *until, struct wear *out, struct error *err)
{
    struct db_rows since = { 0 };
    struct db_rows all = { 0 };
    *out = (struct wear){ .known = item->serial != 0 };
    if (!find_charge(db, arena, item, until, &out->charge_day, err)) {
        return false;
    }
    if (!out->known) {
        return true;
    }
    /* Two devices on one ride: the meter ran once. */
    if (!db_query(db, arena,
                  "SELECT COUNT(*), CAST(COALESCE(SUM(ridden.longest_s), 0) AS BIGINT) FROM "
                  "(SELECT MAX(r.timer_s) AS longest_s FROM recording r WHERE " ITS_RIDES
                  " GROUP BY COALESCE(r.same_as, r.id)) AS ridden",
                  "ii", ITS_ARGS(item, later(first_use(item), out->charge_day), until), &since,
                  err) ||
        !db_query(db, arena,
                  "SELECT MIN(r.local_day), MAX(r.local_day) FROM recording r WHERE " ITS_RIDES,
                  "TT", ITS_ARGS(item, first_use(item), until), &all, err)) {
        return false;
    }
    out->rides = db_integer_at(&since, 0, 0);
    out->hours = (double)db_integer_at(&since, 0, 1) / 3600.0;
    out->first_day = db_text_at(&all, 0, 0);
    out->last_day = db_text_at(&all, 0, 1);
    return true;
}

#define KIND_OF_SENSOR "CASE s.kind WHEN 'heart-rate' THEN 'heart-sensor' ELSE 'power-meter' END"

bool equipment_seen(struct db *db, struct arena *arena, int64_t rider, const char *until,
                    struct seen_sensor **out, size_t *count, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT " KIND_OF_SENSOR ", MAX(s.maker), MAX(s.product), s.serial, "
                  "MIN(r.local_day), MAX(r.local_day), COUNT(DISTINCT COALESCE(r.same_as, r.id)) "
                  "FROM sensor s JOIN recording r ON r.id = s.recording WHERE r.rider = $1 AND "
                  "r.local_day <= $2 AND s.serial IS NOT NULL AND s.kind IN ('power', 'trainer', "
                  "'heart-rate') AND NOT EXISTS (SELECT 1 FROM equipment e WHERE e.serial = "
                  "s.serial AND e.kind = " KIND_OF_SENSOR " AND (e.rider IS NULL OR e.rider = $1)) "
                  "GROUP BY " KIND_OF_SENSOR ", s.serial ORDER BY 1 DESC, MAX(r.local_day) DESC, "
                  "s.serial",
                  "tTTitti", DB_ARGS(db_integer(rider), db_text(until)), &rows, err)) {
        return false;
    }
    *out = ARENA_ARRAY(arena, struct seen_sensor, rows.count);
    *count = rows.count;
    for (size_t i = 0; i < rows.count; i++) {
        (*out)[i] = (struct seen_sensor){ .kind = db_text_at(&rows, i, 0),
                                          .maker = db_text_at(&rows, i, 1),
                                          .product = db_text_at(&rows, i, 2),
                                          .serial = db_integer_at(&rows, i, 3),
                                          .first_day = db_text_at(&rows, i, 4),
                                          .last_day = db_text_at(&rows, i, 5),
                                          .rides = db_integer_at(&rows, i, 6) };
    }
    return true;
}
