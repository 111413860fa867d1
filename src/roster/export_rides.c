/* roster/export_rides.c: the rides of an export. */
#include "roster/export_rides.h"

#include "base/dates.h"
#include "coaching/ride_json.h"
#include "roster/csv_out.h"
#include "roster/pack.h"
#include "roster/recordings.h"
#include "roster/ride_read.h"

#include <math.h>
#include <sodium.h>
#include <stdio.h>
#include <string.h>

/* ---- the dictionary ---- */

static const struct {
    const char *unit;
    const char *meaning;
    enum channel channel;
    int decimals; /* as many as the step of the grid has */
} channels[CHANNEL_COUNT] = {
    { "W", "power", CHANNEL_POWER, 0 },
    { "beats a minute", "heart rate", CHANNEL_HEART_RATE, 0 },
    { "turns a minute", "cadence", CHANNEL_CADENCE, 0 },
    { "m/s", "speed", CHANNEL_SPEED, 3 },
    { "m", "distance since the start", CHANNEL_DISTANCE, 2 },
    { "m", "altitude", CHANNEL_ALTITUDE, 1 },
    { "°C", "temperature", CHANNEL_TEMPERATURE, 1 },
    { "degrees north", "latitude (WGS 84)", CHANNEL_LATITUDE, 7 },
    { "degrees east", "longitude (WGS 84)", CHANNEL_LONGITUDE, 7 },
    { "% of power", "the left side's share", CHANNEL_BALANCE, 1 },
};

size_t export_ride_words(struct export_word out[EXPORT_RIDE_WORDS_MOST])
{
    static const char seconds[] = "rides/ID.csv";
    size_t n = 0;
    out[n++] = (struct export_word){ "bests.csv", "", "table", "",
                                     "a row: the greatest mean power of a ride over a duration" };
    out[n++] = (struct export_word){ "bests.csv", "ride", "whole number", "", "id in rides.csv" };
    out[n++] = (struct export_word){ "bests.csv", "duration_s", "whole number", "s", "how long" };
    out[n++] = (struct export_word){ "bests.csv", "power_w", "number", "W", "mean power" };
    out[n++] = (struct export_word){ "bests.csv", "at_least", "1 = yes, 0 = no", "",
                                     "seconds that are not known could hide a greater one" };
    out[n++] = (struct export_word){ "bests.csv", "touches_unknown", "1 = yes, 0 = no", "",
                                     "its own span holds such a second" };
    out[n++] = (struct export_word){ seconds, "", "table", "",
                                     "a row: a second of the ride; only channels that it has" };
    out[n++] =
        (struct export_word){ seconds, "second", "whole number", "s", "from the first record" };
    out[n++] = (struct export_word){ seconds, "utc", "instant, ISO 8601", "UTC",
                                     "empty = the device's clock didn't know" };
    for (size_t c = 0; c < CHANNEL_COUNT; c++) {
        out[n++] = (struct export_word){ seconds, channel_row(channels[c].channel)->name, "number",
                                         channels[c].unit, channels[c].meaning };
    }
    out[n++] = (struct export_word){ seconds, "paused", "1 = yes, 0 = no", "", "the timer stood" };
    out[n++] = (struct export_word){ seconds, "marks", "text", "",
                                     "channel:reason, by blanks: why a value is not used (absent, "
                                     "paused, dropout, spike, stuck, artefact), or that it was "
                                     "bridged" };
    out[n++] = (struct export_word){ "rides/ID.json", "", "JSON", "",
                                     "the ride with findings, readings and bests: "
                                     "api/ride.schema.json of the program" };
    out[n++] = (struct export_word){ "originals/ID-NAME", "", "as it came", "",
                                     "a file's bytes, out of any gzip or zip" };
    return n;
}

/* ---- files as they came ---- */

/* The last part of the name, in letters that any disk takes. */
static const char *safe_name(struct arena *arena, const char *name)
{
    enum { MOST = 100 };
    const char *slash = strrchr(name, '/');
    char *out = arena_string(arena, slash == NULL ? name : slash + 1);
    if (strlen(out) > MOST) {
        out += strlen(out) - MOST; /* the ending says what it is */
    }
    for (char *at = out; *at != '\0'; at++) {
        const bool is_safe = (*at >= 'a' && *at <= 'z') || (*at >= 'A' && *at <= 'Z') ||
                             (*at >= '0' && *at <= '9') || *at == '.' || *at == '-' || *at == '_';
        *at = is_safe ? *at : '_';
    }
    return out;
}

static void note_failure(struct export *export, const char *what, const struct error *wrong)
{
    struct export_done *done = export->done;
    done->n_failed++;
    if (done->problem == NULL) {
        done->problem = arena_format(export->arena, "%s: %s", what, wrong->message);
    }
}

bool export_originals(struct export *export, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(export->db, export->arena,
                  "SELECT o.id, o.name FROM original o WHERE ($1 = 0 OR EXISTS (SELECT 1 FROM "
                  "recording r WHERE r.original = o.id AND r.rider = $1)) ORDER BY o.id",
                  "it", DB_ARGS(db_integer(export->rider)), &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        struct arena *scratch = arena_open();
        struct bytes bytes = { 0 };
        struct error wrong = { 0 };
        const int64_t id = db_integer_at(&rows, i, 0);
        const char *name = arena_format(scratch, "originals/%lld-%s", (long long)id,
                                        safe_name(scratch, db_text_at(&rows, i, 1)));
        /* What is damaged in the roster must not keep the rest from being saved. */
        bool written = true;
        if (!recordings_original(export->db, scratch, id, &bytes, &wrong)) {
            note_failure(export, db_text_at(&rows, i, 1), &wrong);
        } else {
            written = export_file(export, name, bytes, err);
            export->done->n_originals++;
            export->done->n_files++;
        }
        arena_close(scratch);
        if (!written) {
            return false;
        }
    }
    return true;
}

/* ---- seconds ---- */

static void add_head(struct csv_out *out, const struct recording *recording)
{
    csv_text(out, "second");
    csv_text(out, "utc");
    for (size_t c = 0; c < CHANNEL_COUNT; c++) {
        if (recording->value[channels[c].channel] != NULL) {
            csv_text(out, channel_row(channels[c].channel)->name);
        }
    }
    csv_text(out, "paused");
    csv_text(out, "marks");
    csv_end_row(out);
}

static const char *marks_of(const struct recording *recording, size_t second, char out[256])
{
    size_t n = 0;
    out[0] = '\0';
    for (size_t c = 0; c < CHANNEL_COUNT; c++) {
        const enum channel channel = channels[c].channel;
        if (recording->value[channel] != NULL && recording->mask[channel] != NULL &&
            recording->mask[channel][second] != MASK_NONE && n < 200) {
            n += (size_t)snprintf(
                out + n, 256 - n, "%s%s:%s", n == 0 ? "" : " ", channel_row(channel)->name,
                mask_reason_name((enum mask_reason)recording->mask[channel][second]));
        }
    }
    return out[0] == '\0' ? NULL : out;
}

static void add_second(struct csv_out *out, const struct recording *recording, size_t second)
{
    char moment[32];
    char marks[256];
    csv_integer(out, (int64_t)second);
    if (recording->has_start_utc) {
        dates_format_utc(recording->start_utc + (int64_t)second, moment);
    }
    csv_text(out, recording->has_start_utc ? moment : NULL);
    for (size_t c = 0; c < CHANNEL_COUNT; c++) {
        const enum channel channel = channels[c].channel;
        if (recording->value[channel] != NULL) {
            const int32_t value = recording->value[channel][second];
            csv_fixed(out,
                      value == RECORDING_MISSING ? (double)NAN
                                                 : channel_row(channel)->step * (double)value,
                      channels[c].decimals);
        }
    }
    csv_integer(out, recording->paused[second] != 0 ? 1 : 0);
    csv_text(out, marks_of(recording, second, marks));
    csv_end_row(out);
}

static bool write_seconds(struct export *export, struct arena *scratch, int64_t id,
                          struct error *err)
{
    struct recording recording;
    struct error wrong = { 0 };
    struct csv_out out;
    const char *name = arena_format(scratch, "rides/%lld.csv", (long long)id);
    if (!recordings_load(export->db, scratch, id, &recording, &wrong)) {
        note_failure(export, name, &wrong);
        return true;
    }
    if (!csv_open(&out, export_path(export, name), err)) {
        return false;
    }
    add_head(&out, &recording);
    for (size_t second = 0; second < recording.n_seconds; second++) {
        add_second(&out, &recording, second);
    }
    export->done->n_files++;
    return csv_close(&out, err);
}

/* ---- JSON ---- */

static bool add_ride(struct export *export, struct arena *scratch, const struct ride_row *row,
                     struct json *json, struct error *err)
{
    struct ride_read read;
    if (!ride_read_row(export->call->roster, scratch, row, &read, err)) {
        return false;
    }
    char sha256[65];
    sodium_bin2hex(sha256, sizeof sha256, row->sha256, sizeof row->sha256);
    const struct ride_source source = { export->call->program, row->name, sha256 };
    ride_json_add(json, &source, read.recording, &read.facts, &read.readings, &read.readings.bests);
    return true;
}

static bool write_json(struct export *export, struct arena *scratch, const struct ride_row *row,
                       struct error *err)
{
    struct text out = text_begin(scratch, 64u * 1000u * 1000u);
    struct json json = json_begin(&out);
    struct error wrong = { 0 };
    const char *name = arena_format(scratch, "rides/%lld.json", (long long)row->id);
    text_add(&out, "[");
    if (!add_ride(export, scratch, row, &json, &wrong)) {
        note_failure(export, name, &wrong);
        ride_json_add_error(&json, row->name, &wrong);
    }
    text_add(&out, "]\n");
    export->done->n_files++;
    return export_file(export, name, (struct bytes){ (const uint8_t *)out.bytes, out.length }, err);
}

/* ---- bests ---- */

static bool add_bests(struct export *export, struct arena *scratch, int64_t id, struct csv_out *out,
                      struct error *err)
{
    struct db_rows rows = { 0 };
    size_t n = 0;
    int32_t *work = NULL;
    uint8_t *marks = NULL;
    int32_t durations[BEST_GRID_MOST];
    struct error wrong = { 0 };
    if (!db_query(export->db, scratch,
                  "SELECT work_j, at_least FROM best_curve WHERE recording = $1", "xx",
                  DB_ARGS(db_integer(id)), &rows, err)) {
        return false;
    }
    if (rows.count == 0) {
        return true;
    }
    const struct bytes packed = db_blob_at(&rows, 0, 0);
    if (!pack_count(packed, &n, &wrong) || n > BEST_GRID_MOST ||
        !pack_read_series(scratch, packed, n, INT32_MIN, &work, &wrong) ||
        !pack_read_mask(scratch, db_blob_at(&rows, 0, 1), n, &marks, &wrong)) {
        note_failure(export, arena_format(scratch, "bests of ride %lld", (long long)id), &wrong);
        return true;
    }
    const size_t known = best_grid_durations((size_t)INT32_MAX, durations);
    for (size_t i = 0; i < n && i < known; i++) {
        csv_integer(out, id);
        csv_integer(out, durations[i]);
        csv_real(out, (double)work[i] / (double)durations[i]);
        csv_integer(out, (marks[i] & BEST_AT_LEAST) != 0 ? 1 : 0);
        csv_integer(out, (marks[i] & BEST_TOUCHES) != 0 ? 1 : 0);
        csv_end_row(out);
    }
    return true;
}

/* ---- all rides ---- */

static bool write_ride(struct export *export, int64_t id, struct csv_out *bests, struct error *err)
{
    struct arena *scratch = arena_open();
    struct ride_row row = { 0 };
    const bool written = recordings_row(export->db, scratch, id, &row, err) &&
                         write_seconds(export, scratch, id, err) &&
                         write_json(export, scratch, &row, err) &&
                         add_bests(export, scratch, id, bests, err);
    export->done->n_rides++;
    arena_close(scratch);
    return written;
}

bool export_rides(struct export *export, struct error *err)
{
    const struct export_call *call = export->call;
    static const char *const heads[] = { "ride", "duration_s", "power_w", "at_least",
                                         "touches_unknown" };
    struct db_rows ids = { 0 };
    struct csv_out bests;
    if (!db_query(export->db, export->arena,
                  "SELECT id FROM recording WHERE ($1 = 0 OR rider = $1) ORDER BY id", "i",
                  DB_ARGS(db_integer(export->rider)), &ids, err) ||
        !csv_open(&bests, export_path(export, "bests.csv"), err)) {
        return false;
    }
    for (size_t i = 0; i < sizeof heads / sizeof heads[0]; i++) {
        csv_text(&bests, heads[i]);
    }
    csv_end_row(&bests);
    export->done->n_files++;
    bool written = true;
    for (size_t i = 0; written && i < ids.count && !export->done->was_stopped; i++) {
        if (call->tell != NULL) {
            call->tell(call->context, i, ids.count);
        }
        export->done->was_stopped = call->stopped != NULL && call->stopped(call->context);
        written =
            export->done->was_stopped || write_ride(export, db_integer_at(&ids, i, 0), &bests, err);
    }
    return csv_close(&bests, err) && written;
}
