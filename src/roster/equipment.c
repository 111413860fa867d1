/* roster/equipment.c: meters, heart sensors, head units and bikes. */
#include "roster/equipment.h"

#include "base/dates.h"
#include "base/text.h"
#include "roster/changes.h"

#include <math.h>
#include <string.h>

const char *const equipment_kinds[] = { "power-meter", "heart-sensor", "head-unit",
                                        "bike",        "other",        NULL };
const char *const equipment_meter_positions[] = { "crank", "spider",  "pedals",
                                                  "hub",   "trainer", NULL };
const char *const equipment_heart_positions[] = { "chest", "arm", "wrist", NULL };
const char *const equipment_sides[] = { "both", "left", "right", NULL };

bool equipment_is_in_use(const struct equipment *item, const char *day)
{
    return (item->from_day == NULL || strcmp(item->from_day, day) <= 0) &&
           (item->to_day == NULL || strcmp(item->to_day, day) > 0);
}

/* ---- reading ---- */

#define COLUMNS                                                                                    \
    "id, version, rider, kind, name, maker, product, serial, position, sides, accuracy_pct, "      \
    "charge_hours, from_day, to_day, note"
#define SHAPE "iiIttTTITTRRTTT"

static struct equipment item_at(const struct db_rows *rows, size_t i)
{
    return (struct equipment){
        .id = db_integer_at(rows, i, 0),
        .version = db_integer_at(rows, i, 1),
        .is_shared = db_is_null(rows, i, 2),
        .rider = db_integer_at(rows, i, 2),
        .kind = db_text_at(rows, i, 3),
        .name = db_text_at(rows, i, 4),
        .maker = db_text_at(rows, i, 5),
        .product = db_text_at(rows, i, 6),
        .serial = db_integer_at(rows, i, 7),
        .position = db_text_at(rows, i, 8),
        .sides = db_text_at(rows, i, 9),
        .accuracy_pct = db_real_at(rows, i, 10),
        .charge_hours = db_real_at(rows, i, 11),
        .from_day = db_text_at(rows, i, 12),
        .to_day = db_text_at(rows, i, 13),
        .note = db_text_at(rows, i, 14),
    };
}

bool equipment_list(struct db *db, struct arena *arena, const struct rider *rider,
                    struct equipment **out, size_t *count, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT " COLUMNS " FROM equipment WHERE rider IS NULL OR rider = $1 ORDER BY "
                  "CASE kind WHEN 'power-meter' THEN 1 WHEN 'heart-sensor' THEN 2 WHEN 'head-unit' "
                  "THEN 3 WHEN 'bike' THEN 4 ELSE 5 END, id",
                  SHAPE, DB_ARGS(db_integer(rider == NULL ? 0 : rider->id)), &rows, err)) {
        return false;
    }
    *out = ARENA_ARRAY(arena, struct equipment, rows.count);
    *count = rows.count;
    for (size_t i = 0; i < rows.count; i++) {
        (*out)[i] = item_at(&rows, i);
    }
    return true;
}

bool equipment_find(struct db *db, struct arena *arena, const struct rider *rider, int64_t id,
                    struct equipment *out, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT " COLUMNS " FROM equipment WHERE id = $1 AND (rider IS NULL OR rider = "
                  "$2)",
                  SHAPE, DB_ARGS(db_integer(id), db_integer(rider->id)), &rows, err)) {
        return false;
    }
    if (rows.count == 0) {
        return error_set(err, ERROR_NOT_FOUND, "%s has no equipment %lld; equipment %s shows it",
                         rider->name, (long long)id, rider->name);
    }
    *out = item_at(&rows, 0);
    return true;
}

/* ---- what is taken ---- */

static bool is_one_of(const char *word, const char *const list[])
{
    for (size_t i = 0; list[i] != NULL; i++) {
        if (strcmp(word, list[i]) == 0) {
            return true;
        }
    }
    return false;
}

static bool must_be_one_of(struct arena *arena, const char *what, const char *word,
                           const char *const list[], struct error *err)
{
    if (word == NULL || is_one_of(word, list)) {
        return true;
    }
    struct text names = text_begin(arena, 400);
    for (size_t i = 0; list[i] != NULL; i++) {
        text_add_format(&names, "%s%s", i == 0 ? "" : ", ", list[i]);
    }
    return error_set(err, ERROR_USAGE, "%s %.60s: must be one of %s", what, word, names.bytes);
}

static bool places_are_sound(struct arena *arena, const struct equipment *item, struct error *err)
{
    const bool is_meter = strcmp(item->kind, "power-meter") == 0;
    const bool is_heart = strcmp(item->kind, "heart-sensor") == 0;
    if (item->position != NULL && !is_meter && !is_heart) {
        return error_set(err, ERROR_USAGE, "a %s has no position", item->kind);
    }
    if (item->sides != NULL && !is_meter) {
        return error_set(err, ERROR_USAGE, "only a power meter measures sides");
    }
    return must_be_one_of(arena, "position", item->position,
                          is_heart ? equipment_heart_positions : equipment_meter_positions, err) &&
           must_be_one_of(arena, "sides", item->sides, equipment_sides, err);
}

static bool days_are_sound(const struct equipment *item, struct error *err)
{
    const char *const days[] = { item->from_day, item->to_day };
    for (size_t i = 0; i < 2; i++) {
        int64_t parsed = 0;
        if (days[i] != NULL && !dates_parse_day(days[i], &parsed)) {
            return error_set(err, ERROR_USAGE, "%s is no day; write it as 2026-03-14", days[i]);
        }
    }
    return item->from_day == NULL || item->to_day == NULL ||
           strcmp(item->from_day, item->to_day) < 0 ||
           error_set(err, ERROR_USAGE, "in use from %s to %s: the second day must come later",
                     item->from_day, item->to_day);
}

/* Clean, without blanks at the ends; NULL when nothing is left. */
static const char *clean(struct arena *arena, const char *text)
{
    while (*text == ' ') {
        text++;
    }
    size_t length = strlen(text);
    while (length > 0 && text[length - 1] == ' ') {
        length--;
    }
    return length == 0 ? NULL : text_clean(arena, text, length);
}

static bool item_is_sound(struct arena *arena, struct equipment *item, struct error *err)
{
    const char **const texts[] = { &item->name, &item->maker, &item->product, &item->note };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        *texts[i] = *texts[i] == NULL ? NULL : clean(arena, *texts[i]);
        if (*texts[i] != NULL && strlen(*texts[i]) > 400) {
            return error_set(err, ERROR_USAGE, "\"%.40s...\" is longer than 400 bytes", *texts[i]);
        }
    }
    if (item->name == NULL) {
        return error_set(err, ERROR_USAGE, "give it a name, such as \"race bike\"");
    }
    /* Serials are 32 bits in the protocol; the rest catches slips of the pen. */
    if (item->serial < 0 || item->serial > 4294967295) {
        return error_set(err, ERROR_USAGE, "serial: must be 1 to 4294967295");
    }
    if (item->accuracy_pct < 0.0 || item->accuracy_pct > 20.0) {
        return error_set(err, ERROR_USAGE, "accuracy %g: must be 0 to 20 %%", item->accuracy_pct);
    }
    if (item->charge_hours <= 0.0 || item->charge_hours > 10000.0) {
        return error_set(err, ERROR_USAGE, "hours of a charge %g: must be above 0, to 10000",
                         item->charge_hours);
    }
    return must_be_one_of(arena, "kind", item->kind, equipment_kinds, err) &&
           places_are_sound(arena, item, err) && days_are_sound(item, err);
}

/* Two entries of one serial would both claim its rides. */
static bool serial_is_free(struct db *db, struct arena *arena, const struct equipment *item,
                           struct error *err)
{
    struct db_rows rows = { 0 };
    if (item->serial == 0) {
        return true;
    }
    if (!db_query(db, arena,
                  "SELECT id, name FROM equipment WHERE serial = $1 AND kind = $2 AND id <> $3 AND "
                  "(rider IS NULL OR rider = $4) AND (to_day IS NULL OR to_day > $5) AND (from_day "
                  "IS NULL OR from_day < $6) ORDER BY id LIMIT 1",
                  "it",
                  DB_ARGS(db_integer(item->serial), db_text(item->kind), db_integer(item->id),
                          db_integer(item->rider),
                          db_text(item->from_day == NULL ? "0000" : item->from_day),
                          db_text(item->to_day == NULL ? "9999-99" : item->to_day)),
                  &rows, err)) {
        return false;
    }
    return rows.count == 0 ||
           error_set(err, ERROR_CONFLICT, "serial %lld is there already: %lld, %s",
                     (long long)item->serial, (long long)db_integer_at(&rows, 0, 0),
                     db_text_at(&rows, 0, 1));
}

/* ---- setting ---- */

#define N_EDITS 13

static void edits_of(const struct equipment *item, struct edit edits[N_EDITS])
{
    const struct db_value none = db_null(DB_INTEGER);
    edits[0] = (struct edit){ "rider", item->rider == 0 ? none : db_integer(item->rider) };
    edits[1] = (struct edit){ "kind", db_text(item->kind) };
    edits[2] = (struct edit){ "name", db_text(item->name) };
    edits[3] = (struct edit){ "maker", db_text(item->maker) };
    edits[4] = (struct edit){ "product", db_text(item->product) };
    edits[5] = (struct edit){ "serial", item->serial == 0 ? none : db_integer(item->serial) };
    edits[6] = (struct edit){ "position", db_text(item->position) };
    edits[7] = (struct edit){ "sides", db_text(item->sides) };
    edits[8] = (struct edit){ "accuracy_pct", db_real(item->accuracy_pct) };
    edits[9] = (struct edit){ "charge_hours", db_real(item->charge_hours) };
    edits[10] = (struct edit){ "from_day", db_text(item->from_day) };
    edits[11] = (struct edit){ "to_day", db_text(item->to_day) };
    edits[12] = (struct edit){ "note", db_text(item->note) };
}

/* "Equipment of Ada Berg: power-meter 3, race bike". */
static const char *say(struct arena *arena, const struct rider *rider, const struct equipment *item,
                       const char *what)
{
    return arena_format(arena, "Equipment of %s: %s %s%s%s",
                        item->rider == 0 ? "the whole roster" : rider->name, item->kind, item->name,
                        what[0] == '\0' ? "" : ", ", what);
}

struct work {
    struct arena *arena;
    struct roster_now now;
    const struct rider *rider;
    struct equipment *item;
};

static bool add(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    struct edit edits[N_EDITS];
    struct change change = { 0 };
    edits_of(work->item, edits);
    work->item->said = say(work->arena, work->rider, work->item, "added");
    work->item->version = 1;
    work->item->id = 0;
    return serial_is_free(db, work->arena, work->item, err) &&
           changes_begin(db, work->arena, work->now, work->item->said, &change, err) &&
           changes_add(&change, "equipment", edits, N_EDITS, &work->item->id, err);
}

bool equipment_add(struct roster *roster, struct arena *arena, struct roster_now now,
                   const struct rider *rider, struct equipment *item, struct error *err)
{
    struct work work = { arena, now, rider, item };
    item->rider = item->is_shared ? 0 : rider->id;
    return item_is_sound(arena, item, err) && db_write(roster_db(roster), add, &work, err);
}

static const char *number_words(struct arena *arena, double value)
{
    return isnan(value) ? NULL : arena_format(arena, "%.4g", value);
}

/* "sides left (was both), serial 42 (was none)"; NULL when nothing differs. */
static const char *say_edit(struct arena *arena, const struct equipment *was,
                            const struct equipment *is)
{
    const struct {
        const char *what;
        const char *before;
        const char *after;
    } fields[] = {
        { "name", was->name, is->name },
        { "maker", was->maker, is->maker },
        { "product", was->product, is->product },
        { "serial", was->serial == 0 ? NULL : arena_format(arena, "%lld", (long long)was->serial),
          is->serial == 0 ? NULL : arena_format(arena, "%lld", (long long)is->serial) },
        { "position", was->position, is->position },
        { "sides", was->sides, is->sides },
        { "accuracy", number_words(arena, was->accuracy_pct),
          number_words(arena, is->accuracy_pct) },
        { "hours of a charge", number_words(arena, was->charge_hours),
          number_words(arena, is->charge_hours) },
        { "from", was->from_day, is->from_day },
        { "to", was->to_day, is->to_day },
        { "note", was->note, is->note },
    };
    struct text out = text_begin(arena, 4096);
    for (size_t i = 0; i < sizeof fields / sizeof fields[0]; i++) {
        const char *before = fields[i].before == NULL ? "none" : fields[i].before;
        const char *after = fields[i].after == NULL ? "none" : fields[i].after;
        if (strcmp(before, after) != 0) {
            text_add_format(&out, "%s%s %s (was %s)", out.length > 0 ? ", " : "", fields[i].what,
                            after, before);
        }
    }
    return out.length > 0 ? out.bytes : NULL;
}

static bool edit(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    struct equipment was = { 0 };
    struct edit edits[N_EDITS];
    struct change change = { 0 };
    edits_of(work->item, edits);
    if (!equipment_find(db, work->arena, work->rider, work->item->id, &was, err) ||
        !serial_is_free(db, work->arena, work->item, err)) {
        return false;
    }
    const char *what = say_edit(work->arena, &was, work->item);
    work->item->said = say(work->arena, work->rider, work->item, what == NULL ? "as it was" : what);
    if (what == NULL) {
        return true;
    }
    return changes_begin(db, work->arena, work->now, work->item->said, &change, err) &&
           changes_edit(&change, "equipment", work->item->id, work->item->version, edits, N_EDITS,
                        err);
}

bool equipment_edit(struct roster *roster, struct arena *arena, struct roster_now now,
                    const struct rider *rider, struct equipment *item, struct error *err)
{
    struct work work = { arena, now, rider, item };
    item->rider = item->is_shared ? 0 : rider->id;
    return item_is_sound(arena, item, err) && db_write(roster_db(roster), edit, &work, err);
}

static bool remove_care(struct change *change, int64_t item, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(change->db, change->arena,
                  "SELECT id, version FROM equipment_care WHERE equipment = $1 ORDER BY id", "ii",
                  DB_ARGS(db_integer(item)), &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        if (!changes_remove(change, "equipment_care", db_integer_at(&rows, i, 0),
                            db_integer_at(&rows, i, 1), err)) {
            return false;
        }
    }
    return true;
}

static bool take_away(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    struct change change = { 0 };
    struct equipment was = { 0 };
    if (!equipment_find(db, work->arena, work->rider, work->item->id, &was, err)) {
        return false;
    }
    work->item->said = say(work->arena, work->rider, &was, "taken away");
    return changes_begin(db, work->arena, work->now, work->item->said, &change, err) &&
           remove_care(&change, was.id, err) &&
           changes_remove(&change, "equipment", was.id, was.version, err);
}

bool equipment_remove(struct roster *roster, struct arena *arena, struct roster_now now,
                      const struct rider *rider, int64_t id, const char **said, struct error *err)
{
    struct equipment item = { .id = id };
    struct work work = { arena, now, rider, &item };
    const bool done = db_write(roster_db(roster), take_away, &work, err);
    *said = item.said;
    return done;
}

/* ---- what a reading may use ---- */

/* Serials of one kind that the ride was recorded with. */
struct serials {
    int64_t *items;
    size_t count;
};

static bool find_serials(struct db *db, struct arena *arena, const struct ride_facts *ride,
                         const char *kind, struct serials *out, struct error *err)
{
    struct db_rows rows = { 0 };
    const bool is_heart = strcmp(kind, "heart-sensor") == 0;
    /* A trainer that measures is a power meter. */
    const char *const kinds[2] = { is_heart ? "heart-rate" : "power",
                                   is_heart ? "heart-rate" : "trainer" };
    if (ride->recording == 0) {
        out->items = ARENA_ARRAY(arena, int64_t, ride->n_sensors);
        for (size_t i = 0; i < ride->n_sensors; i++) {
            const struct device *sensor = &ride->sensors[i];
            const bool fits =
                strcmp(sensor->kind, kinds[0]) == 0 || strcmp(sensor->kind, kinds[1]) == 0;
            if (fits && sensor->serial != 0) {
                out->items[out->count++] = sensor->serial;
            }
        }
        return true;
    }
    if (!db_query(
            db, arena,
            "SELECT serial FROM sensor WHERE recording = $1 AND kind IN ($2, $3) AND serial IS "
            "NOT NULL ORDER BY place",
            "i", DB_ARGS(db_integer(ride->recording), db_text(kinds[0]), db_text(kinds[1])), &rows,
            err)) {
        return false;
    }
    out->items = ARENA_ARRAY(arena, int64_t, rows.count);
    out->count = rows.count;
    for (size_t i = 0; i < rows.count; i++) {
        out->items[i] = db_integer_at(&rows, i, 0);
    }
    return true;
}

static bool has_serial(const struct serials *serials, int64_t serial)
{
    for (size_t i = 0; i < serials->count; i++) {
        if (serials->items[i] == serial) {
            return true;
        }
    }
    return false;
}

bool equipment_meters_of(struct db *db, struct arena *arena, const struct ride_facts *ride,
                         int64_t **out, size_t *count, struct error *err)
{
    const struct rider rider = { .id = ride->rider };
    struct equipment *items = NULL;
    size_t n = 0;
    struct serials serials = { 0 };
    *count = 0;
    if (!find_serials(db, arena, ride, "power-meter", &serials, err) ||
        (serials.count > 0 && !equipment_list(db, arena, &rider, &items, &n, err))) {
        return false;
    }
    *out = ARENA_ARRAY(arena, int64_t, n);
    for (size_t i = 0; i < n; i++) {
        const struct equipment *item = &items[i];
        if (item->serial != 0 && has_serial(&serials, item->serial) &&
            strcmp(item->kind, "power-meter") == 0 && equipment_is_in_use(item, ride->day)) {
            (*out)[(*count)++] = item->id;
        }
    }
    return true;
}

/* What to say of the ride: the word (position or sides) on which all entries that may have recorded
 * it agree; NULL where they don't, or one doesn't say. */
static const char *agreed(const struct equipment items[], size_t count, const char *kind,
                          const char *day, const struct serials *serials)
{
    const bool is_heart = strcmp(kind, "heart-sensor") == 0;
    /* An entry with the ride's serial decides; else one whose serial isn't known may be it; a ride
     * that names no serial may have come from any. */
    for (int round = 0; round < 2; round++) {
        const char *word = NULL;
        size_t n = 0;
        bool same = true;
        for (size_t i = 0; i < count; i++) {
            const struct equipment *item = &items[i];
            const bool may = round == 0 ? item->serial != 0 && has_serial(serials, item->serial)
                                        : item->serial == 0 || serials->count == 0;
            if (!may || strcmp(item->kind, kind) != 0 || !equipment_is_in_use(item, day)) {
                continue;
            }
            const char *its = is_heart ? item->position : item->sides;
            same = same && its != NULL && (n == 0 || strcmp(word, its) == 0);
            word = its;
            n++;
        }
        if (n > 0) {
            return same ? word : NULL;
        }
    }
    return NULL;
}

static bool is_word(const char *word, const char *wanted)
{
    return word != NULL && strcmp(word, wanted) == 0;
}

bool equipment_on(struct db *db, struct arena *arena, const struct ride_facts *ride,
                  struct rider_facts *out, struct error *err)
{
    const struct rider rider = { .id = ride->rider };
    struct equipment *items = NULL;
    size_t count = 0;
    struct serials hearts = { 0 };
    struct serials meters = { 0 };
    if (!equipment_list(db, arena, &rider, &items, &count, err)) {
        return false;
    }
    if (count == 0 || ride->day == NULL) {
        return true;
    }
    if (!find_serials(db, arena, ride, "heart-sensor", &hearts, err) ||
        !find_serials(db, arena, ride, "power-meter", &meters, err)) {
        return false;
    }
    const char *position = agreed(items, count, "heart-sensor", ride->day, &hearts);
    const char *sides = agreed(items, count, "power-meter", ride->day, &meters);
    out->heart_at = is_word(position, "wrist")   ? HEART_AT_WRIST
                    : is_word(position, "arm")   ? HEART_AT_ARM
                    : is_word(position, "chest") ? HEART_AT_CHEST
                                                 : HEART_AT_UNKNOWN;
    out->meter_sides = is_word(sides, "left")    ? SIDES_LEFT
                       : is_word(sides, "right") ? SIDES_RIGHT
                       : is_word(sides, "both")  ? SIDES_BOTH
                                                 : SIDES_UNKNOWN;
    return true;
}
