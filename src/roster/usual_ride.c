/* roster/usual_ride.c: one ride against the rides before it, and what that rests on. */
#include "roster/usual_parts.h"

#include "base/dates.h"
#include "base/text.h"
#include "physiology/doubt.h"
#include "roster/facts.h"
#include "roster/responses.h"

#include <math.h>
#include <sodium.h>
#include <stdlib.h>
#include <string.h>

enum {
    COLUMN_ID,
    COLUMN_SECONDS,
    COLUMN_UNFIT,
    COLUMN_SUMS,
    COLUMN_BASIS,
    COLUMN_BPM,
    COLUMN_GRID /* what the ride's own seconds rest on: bytes, masks, limits, maximal heart rate */
};

bool usual_load(struct db *db, struct arena *arena, int64_t rider, struct usual_rows *out,
                struct error *err)
{
    return db_query(
        db, arena,
        "SELECT r.id, r.n_seconds, s.unfit, s.content_hash, d.basis_hash, h.against_bpm, "
        "t.basis_hash FROM recording r LEFT JOIN heart_sums s ON s.recording = r.id LEFT JOIN "
        "reading d ON d.question = 'today' AND d.subject_kind = 'recording' AND d.subject = r.id "
        "AND d.set_number = 0 AND d.rep_number = 0 LEFT JOIN reading t ON t.question = 'trust' AND "
        "t.subject_kind = 'recording' AND t.subject = r.id AND t.set_number = 0 AND t.rep_number = "
        "0 LEFT JOIN heart_day h ON h.recording = r.id WHERE r.rider = $1 ORDER BY r.id",
        "iiTXXRX", DB_ARGS(db_integer(rider)), &out->rows, err);
}

int64_t usual_row_of(const struct usual_rows *rows, int64_t recording)
{
    size_t low = 0;
    size_t high = rows->rows.count;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (db_integer_at(&rows->rows, middle, COLUMN_ID) < recording) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low < rows->rows.count && db_integer_at(&rows->rows, low, COLUMN_ID) == recording
               ? (int64_t)low
               : -1;
}

bool usual_row_is(const struct usual_rows *rows, int64_t row, const uint8_t basis[USUAL_BASIS])
{
    if (row < 0) {
        return false;
    }
    const struct bytes stored = db_blob_at(&rows->rows, (size_t)row, COLUMN_BASIS);
    return stored.size == USUAL_BASIS && memcmp(stored.at, basis, USUAL_BASIS) == 0;
}

double usual_row_bpm(const struct usual_rows *rows, int64_t row)
{
    return row < 0 || db_is_null(&rows->rows, (size_t)row, COLUMN_BPM)
               ? (double)NAN
               : db_real_at(&rows->rows, (size_t)row, COLUMN_BPM);
}

/* ---- what it rests on ---- */

static bool facts_of_day(const struct usual_look *look, struct arena *scratch, int64_t day,
                         struct rider_facts *out, struct error *err)
{
    char text[11];
    *out = facts_unknown();
    dates_format_day(day, text);
    return facts_on(look->roster, scratch, look->rider->id, text, out, err);
}

/* The ride before it that could be told, on an earlier day and near enough. */
static struct heart_before before_of(const struct usual_look *look, size_t place)
{
    const int64_t day = look->history->rides[place].day;
    const int64_t most = (int64_t)look->limits->value[LIMIT_TODAY_PAIR_DAYS];
    for (size_t i = history_ride_from(look->history, day); i > 0; i--) {
        const struct past_ride *ride = &look->history->rides[i - 1];
        if (day - ride->day > most) {
            break;
        }
        if (!isnan(look->bpm[i - 1])) {
            return (struct heart_before){ ride->id, ride->day, look->bpm[i - 1] };
        }
    }
    return (struct heart_before){ .bpm = (double)NAN };
}

static void add_ride(const struct usual_look *look, struct text *out, const struct past_ride *ride)
{
    const int64_t row = usual_row_of(look->rows, ride->id);
    text_add_format(out, "%lld %lld ", (long long)ride->id, (long long)ride->day);
    if (row >= 0 && !db_is_null(&look->rows->rows, (size_t)row, COLUMN_SUMS)) {
        const struct bytes hash = db_blob_at(&look->rows->rows, (size_t)row, COLUMN_SUMS);
        text_add_bytes(out, (const char *)hash.at, hash.size);
    }
    text_add(out, "\n");
}

static bool is_fit(const struct usual_look *look, const struct past_ride *ride)
{
    const int64_t row = usual_row_of(look->rows, ride->id);
    const char *unfit = row < 0 ? NULL : db_text_at(&look->rows->rows, (size_t)row, COLUMN_UNFIT);
    return responses_may_use(look->history, ride) && (unfit == NULL || unfit[0] == '\0');
}

static void add_limits(const struct limits *limits, struct text *out)
{
    for (int id = 0; id < LIMITS_COUNT; id++) {
        const char *name = limits_row((enum limit_id)id)->name;
        if (strncmp(name, "response_", 9) == 0 || strncmp(name, "today_", 6) == 0 ||
            strncmp(name, "doubt_", 6) == 0) {
            text_add_format(out, "%s %.17g\n", name, limits->value[id]);
        }
    }
}

bool usual_basis(const struct usual_look *look, struct arena *scratch, size_t place, int64_t day,
                 uint8_t out[USUAL_BASIS], struct error *err)
{
    const struct rider_history *history = look->history;
    const int64_t window = (int64_t)look->limits->value[LIMIT_RESPONSE_WINDOW_DAYS];
    struct text text = text_begin(scratch, 10000000);
    struct rider_facts before;
    struct rider_facts now;
    if (!facts_of_day(look, scratch, day - 1, &before, err) ||
        !facts_of_day(look, scratch, day, &now, err)) {
        return false;
    }
    text_add_format(&text, "%s\n%s\nthreshold %.17g\nhealth %d %d %d %d\n",
                    question_method(QUESTION_TODAY), HEART_SUMS_METHOD, before.threshold_w,
                    before.heart_medicine, before.pregnant, now.heart_medicine, now.pregnant);
    add_limits(look->limits, &text);
    if (place < history->n_rides) {
        const struct past_ride *own = &history->rides[place];
        const struct heart_before near = before_of(look, place);
        const int64_t row = usual_row_of(look->rows, own->id);
        text_add_format(
            &text, "own %d %lld ", (int)own->trust.verdict,
            row < 0 ? 0LL
                    : (long long)db_integer_at(&look->rows->rows, (size_t)row, COLUMN_SECONDS));
        add_ride(look, &text, own);
        if (row >= 0 && !db_is_null(&look->rows->rows, (size_t)row, COLUMN_GRID)) {
            const struct bytes grid = db_blob_at(&look->rows->rows, (size_t)row, COLUMN_GRID);
            text_add_bytes(&text, (const char *)grid.at, grid.size);
        }
        text_add_format(&text, "before %lld %lld %.17g\n", (long long)near.ride,
                        (long long)near.day, near.bpm);
    }
    for (size_t i = history_ride_from(history, day - window); i < history_ride_from(history, day);
         i++) {
        if (is_fit(look, &history->rides[i])) {
            add_ride(look, &text, &history->rides[i]);
        }
    }
    crypto_hash_sha256(out, (const unsigned char *)text.bytes, text.length);
    return true;
}

/* ---- the answer ---- */

static bool is_trusted(const struct past_ride *ride)
{
    return ride->trust.is_asked &&
           (ride->trust.verdict == VERDICT_USABLE || ride->trust.verdict == VERDICT_USABLE_IN_PART);
}

static struct span seconds_of(const struct usual_look *look, const struct past_ride *ride)
{
    const int64_t row = usual_row_of(look->rows, ride->id);
    const int64_t n = row < 0 ? 0 : db_integer_at(&look->rows->rows, (size_t)row, COLUMN_SECONDS);
    const int32_t settle = (int32_t)look->limits->value[LIMIT_RESPONSE_SETTLE_S];
    return (struct span){ n > settle ? settle : 0, (int32_t)n };
}

/* The ride's bytes where something else reads them too, else the grid as stored, which costs less.
 */
static bool look_into(const struct usual_look *look, struct arena *scratch, int64_t recording,
                      struct usual_source *source, const struct recording **out, struct error *err)
{
    struct db *db = roster_db(look->roster);
    bool is_wanted = source != NULL && source->read != NULL;
    if (source != NULL && source->read == NULL &&
        !usual_own_is_wanted(db, scratch, recording, true, &is_wanted, err)) {
        return false;
    }
    if (is_wanted) {
        const bool ok = usual_source_read(look, recording, source, err);
        *out = source->read;
        return ok;
    }
    struct recording *loaded = arena_alloc(scratch, 1, sizeof *loaded);
    const bool ok = recordings_load(db, scratch, recording, loaded, err);
    loaded->is_ride = true;
    *out = loaded;
    return ok;
}

/* What the response shows of the recording itself, and the sums without what no heart made.  Doubts
 * beyond the finding's last are few: a ride has one a kind. */
static bool doubt(const struct usual_look *look, struct arena *scratch,
                  const struct rider_facts *facts, const struct heart_response *response,
                  struct usual_source *source, struct response_ride *own, struct heart_today *today,
                  struct error *err)
{
    const struct recording *read = NULL;
    if (today->is_withheld || today->unfit != RIDE_FITS || !today->is_trusted ||
        response->end != RESPONSE_FITTED) {
        return true;
    }
    if (!look_into(look, scratch, own->id, source, &read, err)) {
        return false;
    }
    const struct recording *checked =
        doubt_checked(scratch, read, response, facts->max_heart_rate_bpm, look->limits);
    today->n_doubts = checked->n_findings - read->n_findings;
    if (today->n_doubts > 0) {
        today->doubts = checked->findings + read->n_findings;
        today->unfit =
            response_ride_of(scratch, checked, facts->max_heart_rate_bpm, look->limits, own);
    }
    return true;
}

bool usual_make(const struct usual_look *look, struct arena *arena, size_t place,
                const struct response_found *known, struct usual_source *source,
                struct usual_made *out, struct error *err)
{
    const struct past_ride *ride = &look->history->rides[place];
    struct arena *scratch = arena_open(); /* the sums of a window are large */
    struct response_found found = known != NULL ? *known : (struct response_found){ 0 };
    struct response_ride *own = arena_alloc(scratch, 1, sizeof *own);
    struct rider_facts facts;
    struct heart_today today = { .unfit = RIDE_NO_POWER,
                                 .is_trusted = is_trusted(ride),
                                 .before = before_of(look, place),
                                 .seconds = seconds_of(look, ride) };
    bool ok = facts_of_day(look, scratch, ride->day, &facts, err) &&
              (known != NULL || responses_fit(look->roster, scratch, look->rider, look->history,
                                              look->limits, ride->day, &found, err)) &&
              responses_ride(look->roster, look->rider->id, ride->id, ride->day, look->limits, own,
                             &today.unfit, err);
    if (ok) {
        today.is_withheld = found.is_withheld || facts.heart_medicine || facts.pregnant;
        ok = doubt(look, scratch, &facts, &found.response, source, own, &today, err);
    }
    if (ok) {
        today.ride = today.unfit == RIDE_FITS ? own : NULL;
        today.response = &found.response;
        out->reading = heart_today_read(arena, &today, look->limits, &out->day);
        out->response = found.response;
        out->response.day_bpm = NULL; /* in the scratch */
        out->response.day_se_bpm = NULL;
    }
    arena_close(scratch);
    return ok;
}

bool usual_ride(struct roster *roster, struct arena *arena, const struct rider *rider,
                const struct rider_history *history, const struct limits *limits, int64_t recording,
                const struct response_found *found, const struct recording *read, bool *is_asked,
                struct reading *out, struct error *err)
{
    struct usual_source source = { .read = read };
    struct usual_rows rows;
    struct usual_made made = { 0 };
    struct usual_look look = { roster, rider, history, limits, &rows, NULL };
    size_t place = 0;
    while (place < history->n_rides && history->rides[place].id != recording) {
        place++;
    }
    *is_asked = place < history->n_rides && history->rides[place].is_ride;
    if (!*is_asked) {
        return true;
    }
    look.bpm = ARENA_ARRAY(arena, double, history->n_rides);
    for (size_t i = 0; i < history->n_rides; i++) {
        look.bpm[i] = history->rides[i].against_bpm;
    }
    if (!usual_load(roster_db(roster), arena, rider->id, &rows, err) ||
        !usual_make(&look, arena, place, found, read == NULL ? NULL : &source, &made, err)) {
        return false;
    }
    *out = made.reading;
    return true;
}

bool usual_add(struct roster *roster, struct arena *arena, const struct rider *rider,
               const struct rider_history *history, const struct ride_row *row,
               const struct limits *limits, const struct response_found *found,
               const struct recording *read, struct ride_readings *readings, struct error *err)
{
    struct reading reading;
    bool is_asked = false;
    if (!row->is_ride || row->local_day == NULL || row->same_as != 0) {
        return true;
    }
    if (!usual_ride(roster, arena, rider, history, limits, row->id, found, read, &is_asked,
                    &reading, err)) {
        return false;
    }
    if (is_asked) {
        *readings_add(arena, readings, QUESTION_TODAY) = reading;
    }
    return true;
}
