/* roster/recordings_again.c: a recording read again, beside what the store holds of it.
 *
 * Both are written down as lines of text and blobs; what is the same there is the same. */
#include "base/text.h"
#include "roster/finding_numbers.h"
#include "roster/recordings_parts.h"

#include <math.h>
#include <string.h>

/* A recording's findings and laps are bounded by its length. */
static const size_t LINES_MOST = 200u * 1000u * 1000u;

static const char *or_dash(const char *text)
{
    return text == NULL ? "-" : text;
}

/* As the store keeps it: no sign of NAN, none of 0. */
static void add_real(struct text *out, double value)
{
    if (isnan(value)) {
        text_add(out, " -");
    } else {
        text_add_format(out, " %.17g", value + 0.0);
    }
}

static void add_row(struct text *out, const struct ride_row *row)
{
    text_add_format(out, "%zu %zu %s %s %s %d %s %d %lld %d %d %s %zu %d %s %s %lld", row->part,
                    row->parts, row->format, row->method, row->sport, row->is_ride, row->place,
                    row->has_start_utc, (long long)(row->has_start_utc ? row->start_utc_s : 0),
                    row->has_utc_offset, (int)(row->has_utc_offset ? row->utc_offset_s : 0),
                    or_dash(row->local_day), row->n_seconds, (int)row->timer_s,
                    or_dash(row->device_maker), or_dash(row->device_product),
                    (long long)row->device_serial);
    add_real(out, row->work_kj);
    add_real(out, row->distance_m);
    add_real(out, row->effort_0_10);
    add_real(out, row->feel_0_100);
    add_real(out, row->weight_kg);
    text_add_format(out, " %s\n", or_dash(row->weight_from));
}

static void add_finding(struct text *out, const char *code, const char *channel, bool is_whole,
                        struct span span, const char *effect, const char *numbers,
                        const char *detail)
{
    text_add_format(out, "%s %s %d %d %s %s %s\n", code, or_dash(channel),
                    is_whole ? -1 : (int)span.from_s, is_whole ? -1 : (int)span.to_s, effect,
                    numbers, or_dash(detail));
}

static void add_sensor(struct text *out, const char *kind, const char *maker, const char *product,
                       int64_t serial, bool has_offset, int64_t offset)
{
    text_add_format(out, "%s %s %s %lld %d %lld\n", kind, or_dash(maker), or_dash(product),
                    (long long)serial, has_offset, (long long)offset);
}

/* ---- as packed ---- */

static const char *packed_lines(struct arena *arena, const struct packed_recording *packed)
{
    struct text out = text_begin(arena, LINES_MOST);
    add_row(&out, &packed->row);
    for (size_t i = 0; i < packed->n_findings; i++) {
        const struct finding *finding = &packed->findings[i];
        add_finding(&out, finding->code,
                    finding->channel < 0 ? NULL : channel_row((enum channel)finding->channel)->name,
                    finding->whole_ride, finding->span, finding_effect_name(finding->effect),
                    finding_numbers_write(arena, finding), finding->detail);
    }
    for (size_t i = 0; i < packed->n_laps; i++) {
        const struct lap *lap = &packed->laps[i];
        text_add_format(&out, "%d %d %d\n", (int)lap->start_s, (int)lap->end_s, lap->by_hand);
    }
    bool has_offset = packed->has_zero_offset;
    for (size_t i = 0; i < packed->n_sensors; i++) {
        const struct device *sensor = &packed->sensors[i];
        const bool is_meter = has_offset && strcmp(sensor->kind, "power") == 0;
        has_offset = has_offset && !is_meter;
        add_sensor(&out, sensor->kind, sensor->maker[0] == '\0' ? NULL : sensor->maker,
                   sensor->product[0] == '\0' ? NULL : sensor->product, sensor->serial, is_meter,
                   is_meter ? packed->zero_offset : 0);
    }
    return out.bytes;
}

/* ---- as stored ---- */

static bool add_stored_findings(struct db *db, struct arena *arena, int64_t id, struct text *out,
                                struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT code, channel, from_s, to_s, effect, numbers, detail FROM finding WHERE "
                  "recording = $1 ORDER BY place",
                  "tTIIttT", DB_ARGS(db_integer(id)), &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        const struct span span = { (int32_t)db_integer_at(&rows, i, 2),
                                   (int32_t)db_integer_at(&rows, i, 3) };
        add_finding(out, db_text_at(&rows, i, 0), db_text_at(&rows, i, 1), db_is_null(&rows, i, 2),
                    span, db_text_at(&rows, i, 4), db_text_at(&rows, i, 5),
                    db_text_at(&rows, i, 6));
    }
    return true;
}

static bool add_stored_laps(struct db *db, struct arena *arena, int64_t id, struct text *out,
                            struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT start_s, end_s, by_hand FROM lap WHERE recording = $1 ORDER BY place",
                  "iib", DB_ARGS(db_integer(id)), &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        text_add_format(out, "%d %d %d\n", (int)db_integer_at(&rows, i, 0),
                        (int)db_integer_at(&rows, i, 1), db_bool_at(&rows, i, 2));
    }
    return true;
}

static bool add_stored_sensors(struct db *db, struct arena *arena, int64_t id, struct text *out,
                               struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT kind, maker, product, serial, zero_offset FROM sensor WHERE recording = "
                  "$1 ORDER BY place",
                  "tTTII", DB_ARGS(db_integer(id)), &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        add_sensor(out, db_text_at(&rows, i, 0), db_text_at(&rows, i, 1), db_text_at(&rows, i, 2),
                   db_integer_at(&rows, i, 3), !db_is_null(&rows, i, 4),
                   db_integer_at(&rows, i, 4));
    }
    return true;
}

static bool same_bytes(struct bytes a, struct bytes b)
{
    return a.size == b.size && (a.size == 0 || memcmp(a.at, b.at, a.size) == 0);
}

static bool same_channels(struct db *db, struct arena *arena, int64_t id,
                          const struct packed_recording *packed, bool *same, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT channel, content, mask FROM series WHERE recording = $1 ORDER BY id",
                  "txX", DB_ARGS(db_integer(id)), &rows, err)) {
        return false;
    }
    *same = rows.count == packed->n_channels;
    for (size_t i = 0; *same && i < rows.count; i++) {
        const struct packed_channel *channel = &packed->channels[i];
        *same = strcmp(channel->name, db_text_at(&rows, i, 0)) == 0 &&
                same_bytes(channel->content, db_blob_at(&rows, i, 1)) &&
                same_bytes(channel->mask, db_blob_at(&rows, i, 2));
    }
    return true;
}

/* Bests on another grid are made again; a recording without power has none. */
static bool same_grid(struct db *db, struct arena *arena, int64_t id, bool *same, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena, "SELECT grid FROM best_curve WHERE recording = $1", "t",
                  DB_ARGS(db_integer(id)), &rows, err)) {
        return false;
    }
    *same = rows.count == 0 || strcmp(db_text_at(&rows, 0, 0), BEST_GRID) == 0;
    return true;
}

bool recordings_are_stored(struct db *db, struct arena *arena, int64_t id,
                           const struct packed_recording *packed, bool *same, struct error *err)
{
    struct ride_row row = { 0 };
    struct text lines = text_begin(arena, LINES_MOST);
    if (!recordings_row(db, arena, id, &row, err)) {
        return false;
    }
    add_row(&lines, &row);
    if (!add_stored_findings(db, arena, id, &lines, err) ||
        !add_stored_laps(db, arena, id, &lines, err) ||
        !add_stored_sensors(db, arena, id, &lines, err) || !same_grid(db, arena, id, same, err)) {
        return false;
    }
    *same = *same && strcmp(lines.bytes, packed_lines(arena, packed)) == 0;
    return !*same || same_channels(db, arena, id, packed, same, err);
}

/* ---- in its place ---- */

bool recordings_replace(struct db *db, struct arena *arena, int64_t id,
                        const struct packed_recording *packed, struct error *err)
{
    static const char *const emptied[] = {
        "DELETE FROM series WHERE recording = $1",     "DELETE FROM finding WHERE recording = $1",
        "DELETE FROM lap WHERE recording = $1",        "DELETE FROM sensor WHERE recording = $1",
        "DELETE FROM best_curve WHERE recording = $1",
    };
    const struct ride_row *row = &packed->row;
    for (size_t i = 0; i < sizeof emptied / sizeof emptied[0]; i++) {
        if (!db_run(db, emptied[i], DB_ARGS(db_integer(id)), err)) {
            return false;
        }
    }
    return db_run(
               db,
               "UPDATE recording SET part = $2, parts = $3, format = $4, method = $5, sport = $6, "
               "is_ride = $7, place = $8, start_utc_s = $9, utc_offset_s = $10, local_day = $11, "
               "n_seconds = $12, timer_s = $13, work_kj = $14, distance_m = $15, device_maker = "
               "$16, device_product = $17, device_serial = $18, effort_0_10 = $19, feel_0_100 = "
               "$20, weight_kg = $21, weight_from = $22 WHERE id = $1",
               DB_ARGS(db_integer(id), db_integer((int64_t)row->part),
                       db_integer((int64_t)row->parts), db_text(row->format), db_text(row->method),
                       db_text(row->sport), db_bool(row->is_ride), db_text(row->place),
                       row->has_start_utc ? db_integer(row->start_utc_s) : db_null(DB_INTEGER),
                       row->has_utc_offset ? db_integer(row->utc_offset_s) : db_null(DB_INTEGER),
                       db_text(row->local_day), db_integer((int64_t)row->n_seconds),
                       db_integer(row->timer_s), db_real(row->work_kj), db_real(row->distance_m),
                       db_text(row->device_maker), db_text(row->device_product),
                       row->device_serial == 0 ? db_null(DB_INTEGER)
                                               : db_integer(row->device_serial),
                       db_real(row->effort_0_10), db_real(row->feel_0_100), db_real(row->weight_kg),
                       db_text(row->weight_from)),
               err) &&
           recordings_store_parts(db, arena, id, packed, err);
}
