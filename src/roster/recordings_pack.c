/* roster/recordings_pack.c: a recording as rows and blobs, and back. */
#include "roster/recordings.h"

#include "roster/finding_numbers.h"
#include "roster/pack.h"
#include "roster/recordings_parts.h"

#include <math.h>
#include <string.h>

/* Beside the channels: seconds in which the timer stood; and spans as from, to in turn: the one
 * after the timer was stopped for good, then each pause. */
static const char PAUSED[] = "paused";
static const char PAUSES[] = "pauses";

/* Only bridged, or not at all: most channels have no mask worth a blob. */
static bool is_all_usable(const uint8_t mask[], size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (mask[i] != MASK_NONE) {
            return false;
        }
    }
    return true;
}

static void add_channel(struct packed_recording *out, const char *name, struct bytes content,
                        struct bytes mask)
{
    out->channels[out->n_channels++] = (struct packed_channel){ name, content, mask };
}

static void pack_channels(struct arena *arena, const struct recording *recording,
                          struct packed_recording *out)
{
    const size_t n = recording->n_seconds;
    const struct bytes none = { 0 };
    for (int c = 0; c < CHANNEL_COUNT; c++) {
        if (recording->value[c] == NULL) {
            continue;
        }
        const uint8_t *mask = recording->mask[c];
        add_channel(out, channel_row((enum channel)c)->name,
                    pack_series(arena, recording->value[c], n, RECORDING_MISSING),
                    is_all_usable(mask, n) ? none : pack_mask(arena, mask, n));
    }
    if (n > 0 && !is_all_usable(recording->paused, n)) {
        add_channel(out, PAUSED, pack_mask(arena, recording->paused, n), none);
    }
    const struct span after = recording->after_timer;
    if (recording->n_pauses == 0 && after.from_s == 0 && after.to_s == 0) {
        return;
    }
    int32_t *spans = ARENA_ARRAY(arena, int32_t, 2 + 2 * recording->n_pauses);
    spans[0] = after.from_s;
    spans[1] = after.to_s;
    for (size_t i = 0; i < recording->n_pauses; i++) {
        spans[2 + 2 * i] = recording->pauses[i].from_s;
        spans[3 + 2 * i] = recording->pauses[i].to_s;
    }
    add_channel(out, PAUSES, pack_series(arena, spans, 2 + 2 * recording->n_pauses, INT32_MIN),
                none);
}

static const char *place_name(enum ride_place place)
{
    return place == PLACE_INDOORS ? "indoors" : place == PLACE_OUTDOORS ? "outdoors" : "unknown";
}

static const char *or_null(struct arena *arena, const char *text)
{
    return text[0] == '\0' ? NULL : arena_string(arena, text);
}

static struct ride_row row_of(struct arena *arena, const struct recording *recording,
                              const char *local_day)
{
    return (struct ride_row){
        .part = recording->part,
        .parts = recording->parts,
        .format = recording_format_name(recording->format),
        .method = RECORDING_METHOD,
        .sport = sport_name(recording->sport),
        .is_ride = recording->is_ride,
        .place = place_name(recording->place),
        .has_start_utc = recording->has_start_utc,
        .start_utc_s = recording->start_utc,
        .has_utc_offset = recording->has_utc_offset,
        .utc_offset_s = recording->utc_offset_s,
        .local_day = arena_string(arena, local_day),
        .n_seconds = recording->n_seconds,
        .timer_s = recording->timer_s,
        .work_kj = recording_work_kj(recording),
        .distance_m = recording_distance_m(recording),
        .device_maker = or_null(arena, recording->device.maker),
        .device_product = or_null(arena, recording->device.product),
        .device_serial = recording->device.serial,
        .effort_0_10 = recording->effort_0_10,
        .feel_0_100 = recording->feel_0_100,
        .weight_kg = recording->weight_kg,
        .weight_from = recording->weight_source == WEIGHT_UNKNOWN
                           ? NULL
                           : weight_source_name(recording->weight_source),
    };
}

void recordings_pack_grid(struct arena *arena, const struct recording *recording,
                          const char *local_day, struct packed_recording *out)
{
    *out = (struct packed_recording){ .row = row_of(arena, recording, local_day) };
    pack_channels(arena, recording, out);
    out->n_laps = recording->n_laps;
    out->laps = arena_copy(arena, recording->laps, recording->n_laps * sizeof(struct lap));
    out->n_findings = recording->n_findings;
    out->findings = ARENA_ARRAY(arena, struct finding, recording->n_findings);
    for (size_t i = 0; i < recording->n_findings; i++) {
        out->findings[i] = recording->findings[i];
        out->findings[i].detail = arena_string(arena, recording->findings[i].detail);
    }
    out->n_sensors = recording->n_sensors;
    out->sensors =
        arena_copy(arena, recording->sensors, recording->n_sensors * sizeof(struct device));
    if (recording->n_calibrations > 0) {
        out->has_zero_offset = true;
        out->zero_offset = recording->calibrations[recording->n_calibrations - 1].value;
    }
    const double coverage = recording->value[CHANNEL_POWER] == NULL
                                ? 0.0
                                : recording_coverage(recording, CHANNEL_POWER);
    out->power_coverage = isnan(coverage) ? 0.0 : coverage;
}

bool recordings_pack(struct arena *arena, const struct recording *recording, const char *local_day,
                     struct packed_recording *out, struct error *err)
{
    recordings_pack_grid(arena, recording, local_day, out);
    return best_curve_make(arena, recording, &out->curve, err);
}

/* ---- storing ---- */

static bool store_row(struct db *db, struct arena *arena, int64_t rider, int64_t original,
                      const struct ride_row *row, int64_t *id, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(
            db, arena,
            "INSERT INTO recording (rider, original, part, parts, format, method, sport, is_ride, "
            "place, start_utc_s, utc_offset_s, local_day, n_seconds, timer_s, work_kj, "
            "distance_m, device_maker, device_product, device_serial, effort_0_10, feel_0_100, "
            "weight_kg, weight_from, same_by_hand) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, "
            "$10, "
            "$11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21, $22, $23, FALSE) RETURNING id",
            "i",
            DB_ARGS(db_integer(rider), db_integer(original), db_integer((int64_t)row->part),
                    db_integer((int64_t)row->parts), db_text(row->format), db_text(row->method),
                    db_text(row->sport), db_bool(row->is_ride), db_text(row->place),
                    row->has_start_utc ? db_integer(row->start_utc_s) : db_null(DB_INTEGER),
                    row->has_utc_offset ? db_integer(row->utc_offset_s) : db_null(DB_INTEGER),
                    db_text(row->local_day), db_integer((int64_t)row->n_seconds),
                    db_integer(row->timer_s), db_real(row->work_kj), db_real(row->distance_m),
                    db_text(row->device_maker), db_text(row->device_product),
                    row->device_serial == 0 ? db_null(DB_INTEGER) : db_integer(row->device_serial),
                    db_real(row->effort_0_10), db_real(row->feel_0_100), db_real(row->weight_kg),
                    db_text(row->weight_from)),
            &rows, err)) {
        return false;
    }
    *id = db_integer_at(&rows, 0, 0);
    return true;
}

static bool store_channels(struct db *db, int64_t id, const struct packed_recording *packed,
                           struct error *err)
{
    for (size_t i = 0; i < packed->n_channels; i++) {
        const struct packed_channel *channel = &packed->channels[i];
        if (!db_run(db,
                    "INSERT INTO series (recording, channel, content, mask) VALUES ($1, $2, $3, "
                    "$4)",
                    DB_ARGS(db_integer(id), db_text(channel->name), db_blob(channel->content),
                            channel->mask.at == NULL ? db_null(DB_BLOB) : db_blob(channel->mask)),
                    err)) {
            return false;
        }
    }
    return true;
}

static bool store_findings(struct db *db, struct arena *arena, int64_t id,
                           const struct packed_recording *packed, struct error *err)
{
    for (size_t i = 0; i < packed->n_findings; i++) {
        const struct finding *finding = &packed->findings[i];
        const bool whole = finding->whole_ride;
        const char *channel =
            finding->channel < 0 ? NULL : channel_row((enum channel)finding->channel)->name;
        if (!db_run(db,
                    "INSERT INTO finding (recording, place, code, channel, from_s, to_s, effect, "
                    "numbers, detail) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
                    DB_ARGS(db_integer(id), db_integer((int64_t)i), db_text(finding->code),
                            db_text(channel),
                            whole ? db_null(DB_INTEGER) : db_integer(finding->span.from_s),
                            whole ? db_null(DB_INTEGER) : db_integer(finding->span.to_s),
                            db_text(finding_effect_name(finding->effect)),
                            db_text(finding_numbers_write(arena, finding)),
                            db_text(finding->detail)),
                    err)) {
            return false;
        }
    }
    return true;
}

static bool store_laps(struct db *db, int64_t id, const struct packed_recording *packed,
                       struct error *err)
{
    for (size_t i = 0; i < packed->n_laps; i++) {
        const struct lap *lap = &packed->laps[i];
        if (!db_run(db,
                    "INSERT INTO lap (recording, place, start_s, end_s, by_hand) VALUES ($1, $2, "
                    "$3, $4, $5)",
                    DB_ARGS(db_integer(id), db_integer((int64_t)i), db_integer(lap->start_s),
                            db_integer(lap->end_s), db_bool(lap->by_hand)),
                    err)) {
            return false;
        }
    }
    return true;
}

static bool store_sensors(struct db *db, int64_t id, const struct packed_recording *packed,
                          struct error *err)
{
    bool offset_waits = packed->has_zero_offset;
    for (size_t i = 0; i < packed->n_sensors; i++) {
        const struct device *sensor = &packed->sensors[i];
        const bool is_meter = offset_waits && strcmp(sensor->kind, "power") == 0;
        offset_waits = offset_waits && !is_meter;
        if (!db_run(db,
                    "INSERT INTO sensor (recording, place, kind, maker, product, serial, "
                    "zero_offset) VALUES ($1, $2, $3, $4, $5, $6, $7)",
                    DB_ARGS(db_integer(id), db_integer((int64_t)i), db_text(sensor->kind),
                            db_text(sensor->maker[0] == '\0' ? NULL : sensor->maker),
                            db_text(sensor->product[0] == '\0' ? NULL : sensor->product),
                            sensor->serial == 0 ? db_null(DB_INTEGER) : db_integer(sensor->serial),
                            is_meter ? db_integer(packed->zero_offset) : db_null(DB_INTEGER)),
                    err)) {
            return false;
        }
    }
    return true;
}

static bool store_curve(struct db *db, struct arena *arena, int64_t id,
                        const struct best_curve *curve, struct error *err)
{
    if (curve->count == 0) {
        return true;
    }
    return db_run(db,
                  "INSERT INTO best_curve (recording, grid, work_j, at_least) VALUES ($1, $2, $3, "
                  "$4)",
                  DB_ARGS(db_integer(id), db_text(BEST_GRID),
                          db_blob(pack_series(arena, curve->work_j, curve->count, INT32_MIN)),
                          db_blob(pack_mask(arena, curve->marks, curve->count))),
                  err);
}

bool recordings_store_parts(struct db *db, struct arena *arena, int64_t id,
                            const struct packed_recording *packed, struct error *err)
{
    return store_channels(db, id, packed, err) && store_findings(db, arena, id, packed, err) &&
           store_laps(db, id, packed, err) && store_sensors(db, id, packed, err) &&
           store_curve(db, arena, id, &packed->curve, err);
}

bool recordings_store(struct db *db, struct arena *arena, int64_t rider, int64_t original,
                      const struct packed_recording *packed, int64_t *id, struct error *err)
{
    return store_row(db, arena, rider, original, &packed->row, id, err) &&
           recordings_store_parts(db, arena, *id, packed, err);
}

/* ---- and back ---- */

/* Names of a table's texts to their places; -1 if none is called so. */
static int find_name(const char *name, const char *(*of)(int), int n)
{
    for (int i = 0; i < n; i++) {
        if (strcmp(name, of(i)) == 0) {
            return i;
        }
    }
    return -1;
}

static const char *channel_name_of(int i)
{
    return channel_row((enum channel)i)->name;
}

static const char *format_name_of(int i)
{
    return recording_format_name((enum recording_format)i);
}

static const char *sport_name_of(int i)
{
    return sport_name((enum sport)i);
}

static const char *effect_name_of(int i)
{
    return finding_effect_name((enum finding_effect)i);
}

static const char *place_name_of(int i)
{
    return place_name((enum ride_place)i);
}

static const char *source_name_of(int i)
{
    return weight_source_name((enum weight_source)i);
}

static bool odd(int64_t id, const char *what, struct error *err)
{
    return error_set(err, ERROR_STORAGE,
                     "ride %lld: its %s in the roster is none that this program knows; go back to "
                     "a backup",
                     (long long)id, what);
}

static bool from_row(struct arena *arena, const struct ride_row *row, struct recording *out,
                     struct error *err)
{
    const int format = find_name(row->format, format_name_of, FORMAT_COUNT);
    const int sport = find_name(row->sport, sport_name_of, SPORT_OTHER + 1);
    const int place = find_name(row->place, place_name_of, PLACE_OUTDOORS + 1);
    const int source = row->weight_from == NULL
                           ? WEIGHT_UNKNOWN
                           : find_name(row->weight_from, source_name_of, WEIGHT_WEIGHED + 1);
    if (format < 0 || sport < 0 || place < 0 || source < 0 || row->n_seconds > PACK_MOST) {
        return odd(row->id, "kind", err);
    }
    *out = recording_unknown();
    out->format = (enum recording_format)format;
    out->part = row->part;
    out->parts = row->parts;
    out->sport = (enum sport)sport;
    out->is_ride = row->is_ride;
    out->place = (enum ride_place)place;
    out->has_start_utc = row->has_start_utc;
    out->start_utc = row->start_utc_s;
    out->has_utc_offset = row->has_utc_offset;
    out->utc_offset_s = row->utc_offset_s;
    out->n_seconds = row->n_seconds;
    out->timer_s = row->timer_s;
    out->effort_0_10 = row->effort_0_10;
    out->feel_0_100 = row->feel_0_100;
    out->weight_kg = row->weight_kg;
    out->weight_source = (enum weight_source)source;
    out->device.serial = (uint32_t)row->device_serial;
    if (row->device_maker != NULL) {
        strncpy(out->device.maker, row->device_maker, sizeof out->device.maker - 1);
    }
    if (row->device_product != NULL) {
        strncpy(out->device.product, row->device_product, sizeof out->device.product - 1);
    }
    out->paused = ARENA_ARRAY(arena, uint8_t, row->n_seconds);
    return true;
}

static bool load_spans(struct arena *arena, int64_t id, struct bytes content, struct recording *out,
                       struct error *err)
{
    size_t n = 0;
    int32_t *spans = NULL;
    if (!pack_count(content, &n, err) ||
        !pack_read_series(arena, content, n, INT32_MIN, &spans, err)) {
        return false;
    }
    if (n < 2 || n % 2 != 0) {
        return odd(id, "list of pauses", err);
    }
    out->after_timer = (struct span){ spans[0], spans[1] };
    out->n_pauses = n / 2 - 1;
    out->pauses = ARENA_ARRAY(arena, struct span, out->n_pauses);
    for (size_t i = 0; i < out->n_pauses; i++) {
        out->pauses[i] = (struct span){ spans[2 + 2 * i], spans[3 + 2 * i] };
    }
    return true;
}

#define SERIES "SELECT channel, content, mask FROM series WHERE recording = $1 "

static bool load_channels(struct db *db, struct arena *arena, int64_t id, bool few,
                          struct recording *out, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  few ? SERIES "AND channel IN ('power_w', 'heart_rate_bpm', 'paused') ORDER BY id"
                      : SERIES "ORDER BY id",
                  "txX", DB_ARGS(db_integer(id)), &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        const char *name = db_text_at(&rows, i, 0);
        const struct bytes content = db_blob_at(&rows, i, 1);
        const int c = find_name(name, channel_name_of, CHANNEL_COUNT);
        bool done = false;
        if (c >= 0) {
            out->mask[c] = ARENA_ARRAY(arena, uint8_t, out->n_seconds);
            done = pack_read_series(arena, content, out->n_seconds, RECORDING_MISSING,
                                    &out->value[c], err) &&
                   (db_is_null(&rows, i, 2) || pack_read_mask(arena, db_blob_at(&rows, i, 2),
                                                              out->n_seconds, &out->mask[c], err));
        } else if (strcmp(name, PAUSED) == 0) {
            done = pack_read_mask(arena, content, out->n_seconds, &out->paused, err);
        } else {
            done = strcmp(name, PAUSES) == 0 ? load_spans(arena, id, content, out, err)
                                             : odd(id, "channel", err);
        }
        if (!done) {
            return false;
        }
    }
    return true;
}

static bool load_findings(struct db *db, struct arena *arena, int64_t id, struct recording *out,
                          struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT code, channel, from_s, to_s, effect, numbers, detail FROM finding WHERE "
                  "recording = $1 ORDER BY place",
                  "tTIIttT", DB_ARGS(db_integer(id)), &rows, err)) {
        return false;
    }
    out->findings = ARENA_ARRAY(arena, struct finding, rows.count);
    out->n_findings = rows.count;
    out->findings_capacity = rows.count;
    for (size_t i = 0; i < rows.count; i++) {
        struct finding *finding = &out->findings[i];
        const int effect = find_name(db_text_at(&rows, i, 4), effect_name_of, EFFECT_SPOILS + 1);
        const int channel = db_is_null(&rows, i, 1) ? -1
                                                    : find_name(db_text_at(&rows, i, 1),
                                                                channel_name_of, CHANNEL_COUNT);
        if (effect < 0 || (channel < 0 && !db_is_null(&rows, i, 1)) ||
            !finding_numbers_read(arena, db_text_at(&rows, i, 5), finding)) {
            return odd(id, "finding", err);
        }
        finding->code = db_text_at(&rows, i, 0);
        finding->channel = channel;
        finding->whole_ride = db_is_null(&rows, i, 2);
        finding->span = (struct span){ (int32_t)db_integer_at(&rows, i, 2),
                                       (int32_t)db_integer_at(&rows, i, 3) };
        finding->effect = (enum finding_effect)effect;
        finding->detail = db_text_at(&rows, i, 6);
    }
    return true;
}

static bool load_laps(struct db *db, struct arena *arena, int64_t id, struct recording *out,
                      struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT start_s, end_s, by_hand FROM lap WHERE recording = $1 ORDER BY place",
                  "iib", DB_ARGS(db_integer(id)), &rows, err)) {
        return false;
    }
    out->laps = ARENA_ARRAY(arena, struct lap, rows.count);
    out->n_laps = rows.count;
    for (size_t i = 0; i < rows.count; i++) {
        out->laps[i] = (struct lap){ .start_s = (int32_t)db_integer_at(&rows, i, 0),
                                     .end_s = (int32_t)db_integer_at(&rows, i, 1),
                                     .by_hand = db_bool_at(&rows, i, 2),
                                     .workout_step = -1 };
    }
    return true;
}

static bool load_sensors(struct db *db, struct arena *arena, int64_t id, struct recording *out,
                         struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT kind, maker, product, serial FROM sensor WHERE recording = $1 ORDER BY "
                  "place",
                  "tTTI", DB_ARGS(db_integer(id)), &rows, err)) {
        return false;
    }
    out->sensors = ARENA_ARRAY(arena, struct device, rows.count);
    out->n_sensors = rows.count;
    for (size_t i = 0; i < rows.count; i++) {
        struct device *sensor = &out->sensors[i];
        const char *maker = db_text_at(&rows, i, 1);
        const char *product = db_text_at(&rows, i, 2);
        strncpy(sensor->kind, db_text_at(&rows, i, 0), sizeof sensor->kind - 1);
        strncpy(sensor->maker, maker == NULL ? "" : maker, sizeof sensor->maker - 1);
        strncpy(sensor->product, product == NULL ? "" : product, sizeof sensor->product - 1);
        sensor->serial = (uint32_t)db_integer_at(&rows, i, 3);
    }
    return true;
}

bool recordings_load(struct db *db, struct arena *arena, int64_t id, struct recording *out,
                     struct error *err)
{
    struct ride_row row = { 0 };
    return recordings_row(db, arena, id, &row, err) && from_row(arena, &row, out, err) &&
           load_channels(db, arena, id, false, out, err) &&
           load_findings(db, arena, id, out, err) && load_laps(db, arena, id, out, err) &&
           load_sensors(db, arena, id, out, err);
}

bool recordings_load_effort(struct db *db, struct arena *arena, const struct ride_row *row,
                            struct recording *out, struct error *err)
{
    return from_row(arena, row, out, err) && load_channels(db, arena, row->id, true, out, err);
}
