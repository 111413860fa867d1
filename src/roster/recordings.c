/* roster/recordings.c: originals, and lists of what riders sent. */
#include "roster/recordings.h"

#include "base/dates.h"
#include "base/text.h"
#include "recording/csv_names.h"
#include "roster/riders.h"
#include "roster/zone.h"

#include <sodium.h>
#include <stdlib.h>
#include <string.h>
#include <zlib.h>

/* ---- originals ---- */

/* 28 real FIT files, 7.0 MB: 57 % is left at level 1, 55 % at level 6, which takes twice as long
 * (zlib 1.2.13). */
static const int ZLIB_LEVEL = 1;

void recordings_pack_original(struct arena *arena, const char *name, struct bytes bytes,
                              const uint8_t *sha256, struct packed_original *out)
{
    struct packed_original original = {
        .name = name, .size = bytes.size, .packing = "none", .content = bytes
    };
    if (sha256 != NULL) {
        memcpy(original.sha256, sha256, sizeof original.sha256);
    } else {
        crypto_hash_sha256(original.sha256, bytes.at, bytes.size);
    }
    *out = original; /* sha256 may be its own */
    uLongf size = compressBound(bytes.size);
    uint8_t *packed = arena_alloc(arena, size, 1);
    if (compress2(packed, &size, bytes.at, bytes.size, ZLIB_LEVEL) == Z_OK && size < bytes.size) {
        out->packing = "zlib";
        out->content = (struct bytes){ packed, size };
    }
}

bool recordings_store_original(struct db *db, struct arena *arena,
                               const struct packed_original *original, int64_t now_utc_s,
                               int64_t *id, struct error *err)
{
    struct db_rows rows = { 0 };
    const struct bytes sha256 = { original->sha256, sizeof original->sha256 };
    if (!db_query(db, arena, "SELECT id FROM original WHERE sha256 = $1", "i",
                  DB_ARGS(db_blob(sha256)), &rows, err)) {
        return false;
    }
    if (rows.count == 0 &&
        !db_query(db, arena,
                  "INSERT INTO original (sha256, name, size, packing, content, taken_utc_s, "
                  "columns) VALUES ($1, $2, $3, $4, $5, $6, $7) RETURNING id",
                  "i",
                  DB_ARGS(db_blob(sha256), db_text(original->name),
                          db_integer((int64_t)original->size), db_text(original->packing),
                          db_blob(original->content), db_integer(now_utc_s),
                          db_text(original->columns)),
                  &rows, err)) {
        return false;
    }
    *id = db_integer_at(&rows, 0, 0);
    return true;
}

const char *recordings_write_columns(struct arena *arena, const struct read_column columns[],
                                     size_t n)
{
    struct text out = text_begin(arena, DB_VALUE_MOST);
    for (size_t i = 0; i < n; i++) {
        text_add_format(&out, "%s=%s\n", csv_meaning_name(columns[i].meaning),
                        text_clean(arena, columns[i].name, strlen(columns[i].name)));
    }
    return n == 0 ? NULL : out.bytes;
}

bool recordings_read_columns(struct arena *arena, const char *text, struct read_options *options,
                             struct error *err)
{
    struct read_column *columns = ARENA_ARRAY(arena, struct read_column, CSV_MEANINGS);
    size_t n = 0;
    char *line = arena_string(arena, text);
    while (line != NULL && *line != '\0') {
        char *end = strchr(line, '\n');
        char *name = strchr(line, '=');
        if (end == NULL || name == NULL || name > end || n == CSV_MEANINGS) {
            return error_set(err, ERROR_STORAGE,
                             "the named columns of a table are damaged in the "
                             "roster; go back to a backup");
        }
        *end = *name = '\0';
        columns[n] = (struct read_column){ csv_meaning_find(line), name + 1 };
        if (columns[n++].meaning == CSV_MEANINGS) {
            return error_set(err, ERROR_STORAGE,
                             "a table's column stands for \"%s\", which this program doesn't know",
                             line);
        }
        line = end + 1;
    }
    options->columns = columns;
    options->n_columns = n;
    return true;
}

static bool damaged_original(int64_t id, struct error *err)
{
    return error_set(err, ERROR_STORAGE,
                     "original %lld is damaged in the roster; import its file again, or go back to "
                     "a backup",
                     (long long)id);
}

bool recordings_original(struct db *db, struct arena *arena, int64_t id, struct bytes *bytes,
                         struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena, "SELECT sha256, size, packing, content FROM original WHERE id = $1",
                  "xitx", DB_ARGS(db_integer(id)), &rows, err)) {
        return false;
    }
    if (rows.count == 0) {
        return error_set(err, ERROR_NOT_FOUND, "original %lld: there is none", (long long)id);
    }
    const struct bytes sha256 = db_blob_at(&rows, 0, 0);
    const int64_t size = db_integer_at(&rows, 0, 1);
    const struct bytes content = db_blob_at(&rows, 0, 3);
    *bytes = content;
    if (size < 0 || (uint64_t)size > DB_VALUE_MOST || sha256.size != 32) {
        return damaged_original(id, err);
    }
    if (strcmp(db_text_at(&rows, 0, 2), "zlib") == 0) {
        uLongf unpacked = (uLongf)size;
        uint8_t *at = arena_alloc(arena, (size_t)size, 1);
        if (uncompress(at, &unpacked, content.at, content.size) != Z_OK) {
            return damaged_original(id, err);
        }
        *bytes = (struct bytes){ at, unpacked };
    }
    uint8_t found[32];
    crypto_hash_sha256(found, bytes->at, bytes->size);
    return (bytes->size == (size_t)size && memcmp(found, sha256.at, 32) == 0) ||
           damaged_original(id, err);
}

/* ---- rows ---- */

#define COLUMNS                                                                                    \
    "r.id, r.rider, r.original, r.part, r.parts, r.same_as, r.format, r.method, r.sport, "         \
    "r.is_ride, r.place, r.start_utc_s, r.utc_offset_s, r.local_day, r.n_seconds, r.timer_s, "     \
    "r.work_kj, r.distance_m, r.device_maker, r.device_product, r.device_serial, r.effort_0_10, "  \
    "r.feel_0_100, o.name, o.sha256, o.columns, r.same_by_hand, r.weight_kg, r.weight_from"
#define SHAPE  "iiiiiItttbtIITiiRRTTIRRtxTbRT"
#define TABLES "recording r JOIN original o ON o.id = r.original"

static struct ride_row row_at(const struct db_rows *rows, size_t i)
{
    struct ride_row row = {
        .id = db_integer_at(rows, i, 0),
        .rider = db_integer_at(rows, i, 1),
        .original = db_integer_at(rows, i, 2),
        .part = (size_t)db_integer_at(rows, i, 3),
        .parts = (size_t)db_integer_at(rows, i, 4),
        .same_as = db_integer_at(rows, i, 5),
        .format = db_text_at(rows, i, 6),
        .method = db_text_at(rows, i, 7),
        .sport = db_text_at(rows, i, 8),
        .is_ride = db_bool_at(rows, i, 9),
        .place = db_text_at(rows, i, 10),
        .has_start_utc = !db_is_null(rows, i, 11),
        .start_utc_s = db_integer_at(rows, i, 11),
        .has_utc_offset = !db_is_null(rows, i, 12),
        .utc_offset_s = (int32_t)db_integer_at(rows, i, 12),
        .local_day = db_text_at(rows, i, 13),
        .n_seconds = (size_t)db_integer_at(rows, i, 14),
        .timer_s = (int32_t)db_integer_at(rows, i, 15),
        .work_kj = db_real_at(rows, i, 16),
        .distance_m = db_real_at(rows, i, 17),
        .device_maker = db_text_at(rows, i, 18),
        .device_product = db_text_at(rows, i, 19),
        .device_serial = db_integer_at(rows, i, 20),
        .effort_0_10 = db_real_at(rows, i, 21),
        .feel_0_100 = db_real_at(rows, i, 22),
        .name = db_text_at(rows, i, 23),
        .columns = db_text_at(rows, i, 25),
        .same_by_hand = db_bool_at(rows, i, 26),
        .weight_kg = db_real_at(rows, i, 27),
        .weight_from = db_text_at(rows, i, 28),
    };
    const struct bytes sha256 = db_blob_at(rows, i, 24);
    memcpy(row.sha256, sha256.at, sha256.size < 32 ? sha256.size : 32);
    return row;
}

bool recordings_row(struct db *db, struct arena *arena, int64_t id, struct ride_row *out,
                    struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena, "SELECT " COLUMNS " FROM " TABLES " WHERE r.id = $1", SHAPE,
                  DB_ARGS(db_integer(id)), &rows, err)) {
        return false;
    }
    if (rows.count == 0) {
        return error_set(err, ERROR_NOT_FOUND,
                         "ride %lld: there is none; plumbline rides lists them", (long long)id);
    }
    *out = row_at(&rows, 0);
    return true;
}

/* Two texts: with "or without a day" in it every recording of the rider would be looked at. */
#define LIST_BY_DAY  "(r.local_day >= $2 AND r.local_day < $3)"
#define LIST_UNDATED "(" LIST_BY_DAY " OR r.local_day IS NULL)"
#define LIST(days)                                                                                 \
    "SELECT " COLUMNS " FROM " TABLES " WHERE r.rider = $1 AND " days                              \
    " AND ($4 OR r.same_as IS NULL) ORDER BY r.start_utc_s NULLS LAST, r.id"

bool recordings_list(struct db *db, struct arena *arena, const struct ride_query *query,
                     struct ride_row **out, size_t *count, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena, query->with_undated ? LIST(LIST_UNDATED) : LIST(LIST_BY_DAY), SHAPE,
                  DB_ARGS(db_integer(query->rider),
                          db_text(query->from_day == NULL ? "0001-01-01" : query->from_day),
                          db_text(query->to_day == NULL ? "9999-12-31" : query->to_day),
                          db_bool(query->with_same)),
                  &rows, err)) {
        return false;
    }
    *out = ARENA_ARRAY(arena, struct ride_row, rows.count);
    for (size_t i = 0; i < rows.count; i++) {
        (*out)[i] = row_at(&rows, i);
    }
    *count = rows.count;
    return true;
}

/* ---- by name ---- */

static bool find_of_day(struct roster *roster, struct arena *arena, const struct rider *rider,
                        const char *day, int64_t place, const char *word, struct ride_row *out,
                        struct error *err)
{
    int64_t days = 0;
    char after[11];
    struct ride_row *rows = NULL;
    size_t count = 0;
    if (!dates_parse_day(day, &days)) {
        return error_set(err, ERROR_USAGE, "%s: %s is no day; write RIDER@2026-03-14", word, day);
    }
    dates_format_day(days + 1, after);
    const struct ride_query query = { rider->id, day, after, false, false };
    if (!recordings_list(roster_db(roster), arena, &query, &rows, &count, err)) {
        return false;
    }
    if (count == 0) {
        return error_set(err, ERROR_NOT_FOUND, "%s: %s has no ride on %s", word, rider->name, day);
    }
    if (place == 0 && count > 1) {
        return error_set(err, ERROR_CONFLICT,
                         "%s: %s has %zu rides on %s; write %s/1 for the first", word, rider->name,
                         count, day, word);
    }
    if ((size_t)place > count) {
        return error_set(err, ERROR_NOT_FOUND, "%s: %s has %zu on %s", word, rider->name, count,
                         day);
    }
    *out = rows[place == 0 ? 0 : place - 1];
    return true;
}

static bool is_number(const char *word)
{
    const size_t length = strlen(word);
    return length > 0 && length < 18 && strspn(word, "0123456789") == length;
}

bool recordings_names_one(const char *word)
{
    const char *day = strrchr(word, '@');
    const char *slash = strchr(word, '/');
    return is_number(word) ||
           (day != NULL && (slash == NULL || (slash > day && is_number(slash + 1))));
}

bool recordings_find(struct roster *roster, struct arena *arena, const char *word,
                     struct ride_row *out, struct error *err)
{
    if (is_number(word)) {
        return recordings_row(roster_db(roster), arena, strtoll(word, NULL, 10), out, err);
    }
    char *name = arena_string(arena, word);
    char *day = strrchr(name, '@');
    if (day == NULL) {
        return error_set(err, ERROR_USAGE,
                         "%s: is no ride; write its number, or RIDER@2026-03-14, or "
                         "RIDER@2026-03-14/2",
                         word);
    }
    *day++ = '\0';
    char *place = strchr(day, '/');
    int64_t number = 0;
    if (place != NULL) {
        *place++ = '\0';
        const size_t digits = strlen(place);
        number = digits > 0 && digits < 4 && strspn(place, "0123456789") == digits
                     ? strtoll(place, NULL, 10)
                     : 0;
        if (number < 1) {
            return error_set(err, ERROR_USAGE, "%s: after the / stands which ride of the day: 1, 2",
                             word);
        }
    }
    struct rider rider = { 0 };
    return riders_find(roster, arena, name, &rider, err) &&
           find_of_day(roster, arena, &rider, day, number, word, out, err);
}

/* ---- days ---- */

bool recordings_day(struct db *db, struct arena *arena, int64_t rider,
                    const struct recording *recording, const char **out, struct error *err)
{
    *out = NULL;
    char day[11];
    if (!recording->has_start_utc) {
        return true;
    }
    if (recording->has_utc_offset) {
        const struct civil civil =
            dates_civil_from_utc(recording->start_utc + recording->utc_offset_s);
        dates_format_day(dates_days_from_civil(civil.year, civil.month, civil.day), day);
        *out = arena_string(arena, day);
        return true;
    }
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT COALESCE(r.zone_name, (SELECT s.content FROM setting s WHERE s.name = "
                  "'zone')) FROM rider r WHERE r.id = $1",
                  "T", DB_ARGS(db_integer(rider)), &rows, err)) {
        return false;
    }
    const char *name = rows.count == 0 ? NULL : db_text_at(&rows, 0, 0);
    struct zone *zone = NULL;
    if (!zone_open(name == NULL ? "UTC" : name, &zone, err)) {
        return false;
    }
    zone_day(zone, recording->start_utc, day);
    zone_close(zone);
    *out = arena_string(arena, day);
    return true;
}

/* ---- again ---- */

/* A packing that was damaged is not in the bytes; what was found of it then stands in the findings:
 * one "damage" more than the bytes alone give. */
static bool packing_damage(struct db *db, struct arena *arena, const struct ride_row *row,
                           size_t n_in_bytes, const char **clause, struct error *err)
{
    struct db_rows rows = { 0 };
    *clause = NULL;
    if (!db_query(db, arena,
                  "SELECT detail FROM finding WHERE recording = $1 AND code = 'damage' AND detail "
                  "IS NOT NULL ORDER BY place",
                  "t", DB_ARGS(db_integer(row->id)), &rows, err)) {
        return false;
    }
    if (rows.count > n_in_bytes) {
        *clause = db_text_at(&rows, n_in_bytes, 0);
    }
    return true;
}

static size_t count_damage(const struct recording *recording)
{
    size_t n = 0;
    for (size_t i = 0; i < recording->n_findings; i++) {
        const struct finding *finding = &recording->findings[i];
        n += strcmp(finding->code, "damage") == 0 && finding->detail != NULL ? 1 : 0;
    }
    return n;
}

bool recordings_reread(struct db *db, struct arena *arena, const struct ride_row *row,
                       const struct limits *limits, struct recording **out, struct error *err)
{
    struct bytes bytes = { 0 };
    struct recordings all = { 0 };
    struct read_options options = { .file = row->name };
    if (!recordings_original(db, arena, row->original, &bytes, err) ||
        !recordings_read_columns(arena, row->columns, &options, err) ||
        !recording_read(arena, bytes, &options, limits, &all, err)) {
        return false;
    }
    if (row->part < 1 || row->part > all.count) {
        return error_set(err, ERROR_CONFLICT,
                         "%s: held %zu recordings when it was taken, and %zu are read now",
                         row->name, row->parts, all.count);
    }
    if (!packing_damage(db, arena, row, count_damage(all.items[row->part - 1]),
                        &options.packing_damage, err)) {
        return false;
    }
    if (options.packing_damage != NULL &&
        !recording_read(arena, bytes, &options, limits, &all, err)) {
        return false;
    }
    *out = all.items[row->part - 1];
    return true;
}
