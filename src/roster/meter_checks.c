/* roster/meter_checks.c: meter checks that are kept. */
#include "roster/meter_checks.h"

#include "base/dates.h"
#include "base/sorted.h"
#include "base/text.h"
#include "roster/changes.h"
#include "roster/entries.h"

#include <math.h>
#include <string.h>

/* ---- which meter ---- */

/* Power meters of the rider that recorded it; trainers only where no power meter did.  *serial: of
 * what recorded it, entered or not; 0 = none. */
static bool find_meters(struct db *db, struct arena *arena, int64_t rider, int64_t recording,
                        struct db_rows *rows, struct error *err)
{
    return db_query(db, arena,
                    "SELECT DISTINCT s.kind, s.serial, e.id FROM sensor s LEFT JOIN equipment e ON "
                    "e.serial = s.serial AND e.kind = 'power-meter' AND (e.rider = $1 OR e.rider "
                    "IS NULL) WHERE s.recording = $2 AND s.serial IS NOT NULL AND s.kind IN "
                    "('power', 'trainer') ORDER BY s.kind, s.serial, e.id",
                    "tiI", DB_ARGS(db_integer(rider), db_integer(recording)), rows, err);
}

static bool meter_of(struct db *db, struct arena *arena, const struct rider *rider,
                     const struct ride_row *row, int64_t *out, struct error *err)
{
    struct db_rows rows = { 0 };
    size_t n = 0;
    int64_t serial = 0;
    if (!find_meters(db, arena, rider->id, row->id, &rows, err)) {
        return false;
    }
    /* By name of kind "power" comes before "trainer". */
    const char *kind = rows.count == 0 ? NULL : db_text_at(&rows, 0, 0);
    for (size_t i = 0; i < rows.count && strcmp(db_text_at(&rows, i, 0), kind) == 0; i++) {
        if (n == 0 || db_integer_at(&rows, i, 2) != *out || db_integer_at(&rows, i, 1) != serial) {
            n++;
        }
        serial = db_integer_at(&rows, i, 1);
        *out = db_integer_at(&rows, i, 2);
    }
    if (n == 0) {
        return error_set(err, ERROR_NOT_FOUND,
                         "recording %lld names no power meter; say which it was (--first, "
                         "--second)",
                         (long long)row->id);
    }
    if (n > 1) {
        return error_set(err, ERROR_CONFLICT,
                         "recording %lld names several power meters; say which it was (--first, "
                         "--second)",
                         (long long)row->id);
    }
    return *out != 0 ||
           error_set(err, ERROR_NOT_FOUND,
                     "recording %lld: its power meter, serial %lld, isn't listed; equipment %s add "
                     "power-meter --serial %lld",
                     (long long)row->id, (long long)serial, rider->name, (long long)serial);
}

bool meter_checks_meter(struct roster *roster, struct arena *arena, const struct rider *rider,
                        const struct ride_row *row, const char *word, struct equipment *out,
                        struct error *err)
{
    struct db *db = roster_db(roster);
    int64_t id = 0;
    return (word == NULL ? meter_of(db, arena, rider, row, &id, err)
                         : facts_find_meter(roster, arena, rider, word, &id, err)) &&
           equipment_find(db, arena, rider, id, out, err);
}

bool meter_checks_rides(struct db *db, struct arena *arena, int64_t rider, const char *since,
                        const char *until, struct ride_meter **out, size_t *count,
                        struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(
            db, arena,
            "SELECT s.recording, s.serial, e.id, s.zero_offset FROM sensor s JOIN recording r ON "
            "r.id = "
            "s.recording LEFT JOIN equipment e ON e.serial = s.serial AND e.kind = "
            "'power-meter' AND (e.rider = $1 OR e.rider IS NULL) WHERE s.kind IN ('power', "
            "'trainer') AND s.serial IS NOT NULL AND r.rider = $1 AND r.local_day <= $2 AND "
            "r.local_day >= $3 AND r.same_as IS NULL ORDER BY s.recording, s.kind, s.id, e.id",
            "iiII", DB_ARGS(db_integer(rider), db_text(until), db_text(since)), &rows, err)) {
        return false;
    }
    *out = ARENA_ARRAY(arena, struct ride_meter, rows.count);
    *count = 0;
    for (size_t i = 0; i < rows.count; i++) {
        const int64_t recording = db_integer_at(&rows, i, 0);
        if (*count == 0 || (*out)[*count - 1].recording != recording) {
            (*out)[(*count)++] =
                (struct ride_meter){ .recording = recording,
                                     .meter = db_is_null(&rows, i, 2) ? -db_integer_at(&rows, i, 1)
                                                                      : db_integer_at(&rows, i, 2),
                                     .zero_offset = db_is_null(&rows, i, 3)
                                                        ? (double)NAN
                                                        : (double)db_integer_at(&rows, i, 3) };
        }
    }
    return true;
}

int64_t meter_checks_ride(const struct ride_meter meters[], size_t n, int64_t recording)
{
    const size_t at =
        sorted_from(meters, n, sizeof meters[0], offsetof(struct ride_meter, recording), recording);
    return at < n && meters[at].recording == recording ? meters[at].meter : 0;
}

/* ---- keeping ---- */

struct work {
    struct arena *arena;
    struct roster_now now;
    const struct rider *rider;
    struct kept_check *check;
    const char *said;
};

static const char *name_of(struct arena *arena, const struct equipment *item)
{
    return item->serial == 0
               ? item->name
               : arena_format(arena, "%s (serial %lld)", item->name, (long long)item->serial);
}

static bool take_names(struct db *db, const struct work *work, struct error *err)
{
    struct kept_check *check = work->check;
    for (int i = 0; i < 2; i++) {
        struct equipment item = { 0 };
        if (!equipment_find(db, work->arena, work->rider, check->meters[i], &item, err)) {
            return false;
        }
        if (strcmp(item.kind, "power-meter") != 0) {
            return error_set(err, ERROR_USAGE, "%s is no power meter", item.name);
        }
        check->names[i] = name_of(work->arena, &item);
    }
    return check->meters[0] != check->meters[1] ||
           error_set(err, ERROR_USAGE, "both recordings are of the %s: nothing to check",
                     check->names[0]);
}

static bool take_day(struct db *db, const struct work *work, struct error *err)
{
    for (int i = 0; i < 2; i++) {
        struct ride_row row = { 0 };
        if (!recordings_row(db, work->arena, work->check->recordings[i], &row, err)) {
            return false;
        }
        if (row.rider != work->rider->id) {
            return error_set(err, ERROR_USAGE, "recording %lld is not of %s", (long long)row.id,
                             work->rider->name);
        }
        work->check->day = work->check->day == NULL ? row.local_day : work->check->day;
    }
    return work->check->day != NULL ||
           error_set(err, ERROR_USAGE, "neither recording knows its day; nothing is kept");
}

static double none_if(bool is_none, double value)
{
    return is_none ? (double)NAN : value;
}

enum { EDITS_MOST = 24 };

static size_t edits_of(const struct work *work, struct edit edits[EDITS_MOST])
{
    const struct kept_check *kept = work->check;
    const struct meter_offset *all = &kept->check.all;
    const struct meter_offset *easy = &kept->check.gentle;
    const struct meter_offset *hard = &kept->check.hard;
    const bool no_easy = isnan(easy->pct);
    const bool no_hard = isnan(hard->pct);
    const struct edit rows[] = {
        { "rider", db_integer(work->rider->id) },
        { "day", db_text(kept->day) },
        { "first_meter", db_integer(kept->meters[0]) },
        { "second_meter", db_integer(kept->meters[1]) },
        { "first_recording", db_integer(kept->recordings[0]) },
        { "second_recording", db_integer(kept->recordings[1]) },
        { "minutes", db_integer((int64_t)all->minutes) },
        { "correlation", db_real(kept->check.correlation) },
        { "above_pct", db_real(all->pct) },
        { "above_low_pct", db_real(all->low) },
        { "above_high_pct", db_real(all->high) },
        { "mean_w", db_real(all->mean_w) },
        { "easy_pct", db_real(easy->pct) },
        { "easy_low_pct", db_real(easy->low) },
        { "easy_high_pct", db_real(easy->high) },
        { "easy_w", db_real(none_if(no_easy, easy->mean_w)) },
        { "hard_pct", db_real(hard->pct) },
        { "hard_low_pct", db_real(hard->low) },
        { "hard_high_pct", db_real(hard->high) },
        { "hard_w", db_real(none_if(no_hard, hard->mean_w)) },
        { "method", db_text(kept->method) },
        { "note", db_text(kept->note) },
    };
    memcpy(edits, rows, sizeof rows);
    return sizeof rows / sizeof rows[0];
}

static bool put(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    struct kept_check *check = work->check;
    struct db_rows rows = { 0 };
    struct change change = { 0 };
    struct edit edits[EDITS_MOST];
    if (!take_names(db, work, err) || !take_day(db, work, err) ||
        !entry_clean_words(work->arena, "note", &check->note, ENTRY_WORDS_MOST, false, err) ||
        !db_query(db, work->arena,
                  "SELECT id, version, note FROM meter_check WHERE rider = $1 AND first_meter = $2 "
                  "AND second_meter = $3 AND first_recording = $4 AND second_recording = $5 ORDER "
                  "BY id",
                  "iiT",
                  DB_ARGS(db_integer(work->rider->id), db_integer(check->meters[0]),
                          db_integer(check->meters[1]), db_integer(check->recordings[0]),
                          db_integer(check->recordings[1])),
                  &rows, err)) {
        return false;
    }
    const bool is_edit = rows.count > 0;
    check->id = is_edit ? db_integer_at(&rows, 0, 0) : 0;
    check->version = is_edit ? db_integer_at(&rows, 0, 1) + 1 : 1;
    check->note = is_edit && check->note == NULL ? db_text_at(&rows, 0, 2) : check->note;
    const double pct = check->check.all.pct;
    work->said =
        arena_format(work->arena, "Meter check of %s on %s: %.1f %% %s by the %s than by the %s%s",
                     work->rider->name, check->day, fabs(pct), pct < 0.0 ? "less" : "more",
                     check->names[1], check->names[0], is_edit ? " (compared again)" : "");
    const size_t n = edits_of(work, edits);
    return changes_begin(db, work->arena, work->now, work->said, &change, err) &&
           (is_edit ? changes_edit(&change, "meter_check", check->id, 0, edits, n, err)
                    : changes_add(&change, "meter_check", edits, n, &check->id, err));
}

bool meter_checks_keep(struct roster *roster, struct arena *arena, struct roster_now now,
                       const struct rider *rider, struct kept_check *check, const char **said,
                       struct error *err)
{
    struct work work = { arena, now, rider, check, NULL };
    if (check->check.state != METER_CHECK_KNOWN) {
        return error_set(err, ERROR_USAGE, "nothing was found that could be kept");
    }
    const bool done = db_write(roster_db(roster), put, &work, err);
    *said = work.said;
    return done;
}

/* ---- lists ---- */

#define COLUMNS                                                                                    \
    "m.id, m.version, m.day, m.first_meter, m.second_meter, a.name, a.serial, b.name, b.serial, "  \
    "m.first_recording, m.second_recording, m.minutes, m.correlation, m.above_pct, "               \
    "m.above_low_pct, m.above_high_pct, m.mean_w, m.easy_pct, m.easy_low_pct, m.easy_high_pct, "   \
    "m.easy_w, m.hard_pct, m.hard_low_pct, m.hard_high_pct, m.hard_w, m.method, m.note, (SELECT "  \
    "MAX(c.day) FROM equipment_care c WHERE c.kind = 'change' AND c.equipment IN (m.first_meter, " \
    "m.second_meter) AND c.day > m.day AND c.day <= $2)"
#define SHAPE "iitiitItIiiirrrrrRRRRRRRRtTT"

static struct meter_offset offset_at(const struct db_rows *rows, size_t i, size_t column)
{
    const double none = (double)NAN;
    return (struct meter_offset){ .pct = db_real_at(rows, i, column),
                                  .low = db_real_at(rows, i, column + 1),
                                  .high = db_real_at(rows, i, column + 2),
                                  .any_day_low = none,
                                  .any_day_high = none,
                                  .mean_w = db_real_at(rows, i, column + 3) };
}

static const char *name_at(struct arena *arena, const struct db_rows *rows, size_t i, size_t column)
{
    const struct equipment item = { .name = db_text_at(rows, i, column),
                                    .serial = db_integer_at(rows, i, column + 1) };
    return name_of(arena, &item);
}

static struct kept_check check_at(struct arena *arena, const struct db_rows *rows, size_t i)
{
    struct kept_check kept = {
        .id = db_integer_at(rows, i, 0),
        .version = db_integer_at(rows, i, 1),
        .day = db_text_at(rows, i, 2),
        .meters = { db_integer_at(rows, i, 3), db_integer_at(rows, i, 4) },
        .names = { name_at(arena, rows, i, 5), name_at(arena, rows, i, 7) },
        .recordings = { db_integer_at(rows, i, 9), db_integer_at(rows, i, 10) },
        .check = { .state = METER_CHECK_KNOWN,
                   .correlation = db_real_at(rows, i, 12),
                   .shared_min = (double)NAN,
                   .spread_pct = (double)NAN,
                   .all = offset_at(rows, i, 13),
                   .gentle = offset_at(rows, i, 17),
                   .hard = offset_at(rows, i, 21) },
        .method = db_text_at(rows, i, 25),
        .note = db_text_at(rows, i, 26),
        .changed_day = db_text_at(rows, i, 27),
    };
    kept.check.all.minutes = (size_t)db_integer_at(rows, i, 11);
    return kept;
}

bool meter_checks_list(struct db *db, struct arena *arena, int64_t rider, const char *until,
                       struct kept_check **out, size_t *count, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT " COLUMNS " FROM meter_check m JOIN equipment a ON a.id = m.first_meter "
                  "JOIN equipment b ON b.id = m.second_meter WHERE m.rider = $1 AND m.day <= $2 "
                  "ORDER BY m.day, m.id",
                  SHAPE, DB_ARGS(db_integer(rider), db_text(until)), &rows, err)) {
        return false;
    }
    *out = ARENA_ARRAY(arena, struct kept_check, rows.count);
    *count = rows.count;
    for (size_t i = 0; i < rows.count; i++) {
        (*out)[i] = check_at(arena, &rows, i);
    }
    return true;
}

bool meter_checks_links(struct db *db, struct arena *arena, int64_t rider, const char *until,
                        struct meter_link **out, size_t *count, struct error *err)
{
    struct kept_check *checks = NULL;
    if (!meter_checks_list(db, arena, rider, until == NULL ? "9999-99-99" : until, &checks, count,
                           err)) {
        return false;
    }
    *out = ARENA_ARRAY(arena, struct meter_link, *count);
    for (size_t i = 0; i < *count; i++) {
        const struct kept_check *kept = &checks[i];
        (*out)[i] = meters_link(&kept->check, kept->meters[0], kept->meters[1],
                                dates_day_number(kept->day));
        if (until != NULL && kept->changed_day != NULL) {
            (*out)[i].changed_day = dates_day_number(kept->changed_day);
        }
    }
    return true;
}

/* ---- taking away ---- */

static bool take_away(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    struct db_rows rows = { 0 };
    struct change change = { 0 };
    if (!db_query(db, work->arena,
                  "SELECT m.version, m.day, a.name, b.name FROM meter_check m JOIN equipment a ON "
                  "a.id = m.first_meter JOIN equipment b ON b.id = m.second_meter WHERE m.id = $1 "
                  "AND m.rider = $2",
                  "ittt", DB_ARGS(db_integer(work->check->id), db_integer(work->rider->id)), &rows,
                  err)) {
        return false;
    }
    if (rows.count == 0) {
        return error_set(err, ERROR_NOT_FOUND, "%s has no meter check %lld", work->rider->name,
                         (long long)work->check->id);
    }
    work->said = arena_format(work->arena, "Meter check of %s on %s, %s and %s, taken away",
                              work->rider->name, db_text_at(&rows, 0, 1), db_text_at(&rows, 0, 2),
                              db_text_at(&rows, 0, 3));
    return changes_begin(db, work->arena, work->now, work->said, &change, err) &&
           changes_remove(&change, "meter_check", work->check->id, db_integer_at(&rows, 0, 0), err);
}

bool meter_checks_remove(struct roster *roster, struct arena *arena, struct roster_now now,
                         const struct rider *rider, int64_t id, const char **said,
                         struct error *err)
{
    struct kept_check check = { .id = id };
    struct work work = { arena, now, rider, &check, NULL };
    const bool done = db_write(roster_db(roster), take_away, &work, err);
    *said = work.said;
    return done;
}

/* ---- what could be checked ---- */

static bool is_known_pair(const struct kept_check checks[], size_t n, int64_t a, int64_t b)
{
    for (size_t i = 0; i < n; i++) {
        const int64_t *meters = checks[i].meters;
        if ((meters[0] == a && meters[1] == b) || (meters[0] == b && meters[1] == a)) {
            return true;
        }
    }
    return false;
}

bool meter_checks_possible(struct db *db, struct arena *arena, int64_t rider, const char *until,
                           struct possible_check **out, size_t *count, struct error *err)
{
    struct kept_check *checks = NULL;
    size_t n = 0;
    struct db_rows rows = { 0 };
    /* A double and the recording that counts, each with one power meter that is listed. */
    if (!meter_checks_list(db, arena, rider, until, &checks, &n, err) ||
        !db_query(
            db, arena,
            "SELECT r.id, t.id, r.local_day, a.id, a.name, a.serial, b.id, b.name, b.serial FROM "
            "recording t JOIN recording r ON r.id = t.same_as JOIN sensor x ON x.recording = r.id "
            "AND x.kind IN ('power', 'trainer') JOIN equipment a ON a.serial = x.serial AND a.kind "
            "= 'power-meter' AND (a.rider = $1 OR a.rider IS NULL) JOIN sensor y ON y.recording = "
            "t.id AND y.kind IN ('power', 'trainer') JOIN equipment b ON b.serial = y.serial AND "
            "b.kind = 'power-meter' AND (b.rider = $1 OR b.rider IS NULL) WHERE t.rider = $1 AND "
            "r.local_day <= $2 AND a.id <> b.id AND r.work_kj IS NOT NULL AND t.work_kj IS NOT "
            "NULL ORDER BY r.local_day DESC, r.id DESC, t.id DESC, x.id, y.id",
            "iititIitI", DB_ARGS(db_integer(rider), db_text(until)), &rows, err)) {
        return false;
    }
    *out = ARENA_ARRAY(arena, struct possible_check, rows.count);
    *count = 0;
    struct kept_check *seen = ARENA_ARRAY(arena, struct kept_check, n + rows.count);
    memcpy(seen, checks, n * sizeof checks[0]);
    for (size_t i = 0; i < rows.count; i++) {
        const int64_t a = db_integer_at(&rows, i, 3);
        const int64_t b = db_integer_at(&rows, i, 6);
        if (is_known_pair(seen, n, a, b)) {
            continue;
        }
        seen[n++] = (struct kept_check){ .meters = { a, b } };
        (*out)[(*count)++] = (struct possible_check){
            .recordings = { db_integer_at(&rows, i, 0), db_integer_at(&rows, i, 1) },
            .day = db_text_at(&rows, i, 2),
            .names = { name_at(arena, &rows, i, 4), name_at(arena, &rows, i, 7) },
        };
    }
    return true;
}
