/* roster/proposals_doubt.c: rides that look like someone else's, and impossible dates.
 *
 * Evidence is said, never acted on: a lent bicycle, a twin, a clock set wrong all look like this.
 */
#include "base/dates.h"
#include "roster/pack.h"
#include "roster/proposals.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* The ride's entry, made when the first evidence comes. */
static struct proposal *entry_of(struct arena *arena, struct proposals *page,
                                 enum proposal_kind kind, const struct ride_row *row)
{
    for (size_t i = 0; i < page->count; i++) {
        if (page->items[i].kind == kind && page->items[i].recording == row->id) {
            return &page->items[i];
        }
    }
    struct proposal *one = proposals_add(arena, page, kind);
    one->recording = row->id;
    one->day = row->local_day;
    return one;
}

static void add_evidence(struct proposal *one, struct proposal_evidence evidence)
{
    if (one->n_evidence < EVIDENCE_MOST) {
        one->evidence[one->n_evidence++] = evidence;
    }
}

/* ---- a device that another rider uses ---- */

/* Serials of head units and sensors, each with how many rides of this rider and which other rider
 * has the most. */
static const char SERIALS[] =
    "SELECT mine.serial, mine.rides, o.rides, p.name FROM (SELECT u.serial, COUNT(DISTINCT "
    "u.recording) AS rides FROM (SELECT r.rider AS rider, r.id AS recording, r.device_serial AS "
    "serial FROM recording r WHERE r.device_serial IS NOT NULL UNION SELECT r.rider, r.id, "
    "s.serial FROM sensor s JOIN recording r ON r.id = s.recording WHERE s.serial IS NOT NULL) u "
    "WHERE u.rider = $1 GROUP BY u.serial) mine JOIN (SELECT u.serial, u.rider, COUNT(DISTINCT "
    "u.recording) AS rides FROM (SELECT r.rider AS rider, r.id AS recording, r.device_serial AS "
    "serial FROM recording r WHERE r.device_serial IS NOT NULL UNION SELECT r.rider, r.id, "
    "s.serial FROM sensor s JOIN recording r ON r.id = s.recording WHERE s.serial IS NOT NULL) u "
    "WHERE u.rider <> $1 GROUP BY u.serial, u.rider) o ON o.serial = mine.serial JOIN rider p ON "
    "p.id = o.rider WHERE mine.rides <= $2 AND o.rides >= $3 ORDER BY mine.serial, o.rides DESC, "
    "p.id";

static bool rides_of_serial(struct db *db, struct arena *arena, int64_t rider, int64_t serial,
                            struct db_rows *rows, struct error *err)
{
    return db_query(db, arena,
                    "SELECT r.id FROM recording r WHERE r.rider = $1 AND (r.device_serial = $2 OR "
                    "EXISTS (SELECT 1 FROM sensor s WHERE s.recording = r.id AND s.serial = $2)) "
                    "ORDER BY r.id",
                    "i", DB_ARGS(db_integer(rider), db_integer(serial)), rows, err);
}

static bool doubt_serials(struct db *db, struct arena *arena, const struct scan_call *call,
                          const struct scan *scan, struct proposals *page, struct error *err)
{
    struct db_rows rows = { 0 };
    const double *v = call->limits->value;
    if (!db_query(db, arena, SERIALS, "iiit",
                  DB_ARGS(db_integer(call->rider->id),
                          db_integer((int64_t)v[LIMIT_OTHERS_SERIAL_FEW]),
                          db_integer((int64_t)v[LIMIT_OTHERS_SERIAL_MANY])),
                  &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        struct db_rows rides = { 0 };
        const int64_t serial = db_integer_at(&rows, i, 0);
        if (i > 0 && db_integer_at(&rows, i - 1, 0) == serial) {
            continue;
        }
        if (!rides_of_serial(db, arena, call->rider->id, serial, &rides, err)) {
            return false;
        }
        for (size_t k = 0; k < scan->count; k++) {
            for (size_t r = 0; r < rides.count; r++) {
                if (scan->rides[k].row.id == db_integer_at(&rides, r, 0)) {
                    add_evidence(
                        entry_of(arena, page, PROPOSAL_OTHER, &scan->rides[k].row),
                        (struct proposal_evidence){ .code = "serial",
                                                    .serial = serial,
                                                    .value = (double)db_integer_at(&rows, i, 1),
                                                    .than = (double)db_integer_at(&rows, i, 2),
                                                    .name = db_text_at(&rows, i, 3) });
                }
            }
        }
    }
    return true;
}

/* ---- two rides at one time ---- */

struct place {
    bool known;
    double latitude;
    double longitude;
};

/* Where the ride was at a second, or the first known place within a minute after. */
static bool find_place(struct db *db, const struct ride_row *row, int64_t second, struct place *out,
                       struct error *err)
{
    struct arena *scratch = arena_open();
    struct db_rows rows = { 0 };
    int32_t *values[2] = { NULL, NULL };
    *out = (struct place){ 0 };
    bool done = db_query(db, scratch,
                         "SELECT content FROM series WHERE recording = $1 AND channel IN "
                         "('latitude_deg', 'longitude_deg') ORDER BY channel",
                         "x", DB_ARGS(db_integer(row->id)), &rows, err);
    for (size_t i = 0; done && rows.count == 2 && i < 2; i++) {
        done = pack_read_series(scratch, db_blob_at(&rows, i, 0), row->n_seconds, RECORDING_MISSING,
                                &values[i], err);
    }
    const double step = channel_row(CHANNEL_LATITUDE)->step;
    for (int64_t t = second;
         done && rows.count == 2 && !out->known && t < second + 60 && t < (int64_t)row->n_seconds;
         t++) {
        if (t >= 0 && values[0][t] != RECORDING_MISSING && values[1][t] != RECORDING_MISSING) {
            *out = (struct place){ true, values[0][t] * step, values[1][t] * step };
        }
    }
    arena_close(scratch);
    return done;
}

/* Metres between two places of one region: the sphere of 6371 km. */
static double metres_between(const struct place *a, const struct place *b)
{
    const double to_rad = acos(-1.0) / 180.0;
    const double north = (b->latitude - a->latitude) * to_rad;
    const double east =
        (b->longitude - a->longitude) * to_rad * cos((a->latitude + b->latitude) / 2.0 * to_rad);
    return 6371000.0 * hypot(north, east);
}

/* The later of two that run at the same time is doubted. */
static bool doubt_pair(struct db *db, struct arena *arena, const struct scan_call *call,
                       const struct ride_row *early, const struct ride_row *late,
                       struct proposals *page, struct error *err)
{
    const int64_t early_end = early->start_utc_s + (int64_t)early->n_seconds;
    const int64_t late_end = late->start_utc_s + (int64_t)late->n_seconds;
    const int64_t common = (early_end < late_end ? early_end : late_end) - late->start_utc_s;
    struct place a = { 0 };
    struct place b = { 0 };
    if (!find_place(db, early, late->start_utc_s - early->start_utc_s, &a, err) ||
        !find_place(db, late, 0, &b, err)) {
        return false;
    }
    const double apart = a.known && b.known ? metres_between(&a, &b) : (double)NAN;
    const bool is_apart = apart >= call->limits->value[LIMIT_OTHERS_APART_M];
    const bool is_double = late->same_as == early->id || early->same_as == late->id ||
                           (late->same_as != 0 && late->same_as == early->same_as);
    if (is_double && !is_apart) {
        return true;
    }
    struct proposal *one = entry_of(arena, page, PROPOSAL_OTHER, late);
    add_evidence(one, (struct proposal_evidence){ .code = "overlap",
                                                  .value = (double)common,
                                                  .than = (double)NAN,
                                                  .ride = early->id });
    if (is_apart) {
        add_evidence(one,
                     (struct proposal_evidence){
                         .code = "apart", .value = apart, .than = (double)NAN, .ride = early->id });
    }
    return true;
}

enum { PAIRS_MOST = 10000 }; /* of overlapping rides: more is another trouble */

struct started {
    const struct ride_row *row;
};

static int by_start(const void *left, const void *right)
{
    const struct ride_row *a = ((const struct started *)left)->row;
    const struct ride_row *b = ((const struct started *)right)->row;
    if (a->start_utc_s != b->start_utc_s) {
        return a->start_utc_s < b->start_utc_s ? -1 : 1;
    }
    return (a->id > b->id) - (a->id < b->id);
}

static bool doubt_overlaps(struct db *db, struct arena *arena, const struct scan_call *call,
                           const struct scan *scan, struct proposals *page, struct error *err)
{
    const size_t most = scan->count + scan->n_others;
    struct started *rows = ARENA_ARRAY(arena, struct started, most);
    size_t n = 0;
    for (size_t i = 0; i < most; i++) {
        const struct ride_row *row =
            i < scan->count ? &scan->rides[i].row : &scan->others[i - scan->count];
        if (row->has_start_utc) {
            rows[n++].row = row;
        }
    }
    if (n > 0) {
        qsort(rows, n, sizeof rows[0], by_start);
    }
    const int64_t least = (int64_t)call->limits->value[LIMIT_OTHERS_OVERLAP_S];
    int64_t pairs = 0;
    for (size_t i = 0; i < n; i++) {
        const int64_t end = rows[i].row->start_utc_s + (int64_t)rows[i].row->n_seconds;
        for (size_t k = i + 1; k < n && rows[k].row->start_utc_s + least <= end; k++) {
            /* A crowd of doubles isn't looked at pair by pair: each against the one that counts. */
            const bool is_double = rows[k].row->same_as != 0 || rows[i].row->same_as != 0;
            const bool of_main =
                rows[k].row->same_as == rows[i].row->id || rows[i].row->same_as == rows[k].row->id;
            if ((is_double && !of_main) || (int64_t)rows[k].row->n_seconds < least ||
                ++pairs > PAIRS_MOST) {
                continue;
            }
            if (!doubt_pair(db, arena, call, rows[i].row, rows[k].row, page, err)) {
                return false;
            }
        }
    }
    return true;
}

/* ---- levels far from the rider's ---- */

static double power_of(const struct scanned_ride *ride)
{
    return ride->watts_a_beat;
}

static double weight_of(const struct scanned_ride *ride)
{
    return ride->row.weight_kg;
}

static double heart_of(const struct scanned_ride *ride)
{
    return ride->row.is_ride ? ride->heart_highest_bpm : (double)NAN;
}

/* The highest of the other rides around, NAN if they are too few to say what is usual. */
static double next_best(const struct scan *scan, size_t of,
                        double (*level)(const struct scanned_ride *), const struct limits *limits)
{
    const int64_t reach = (int64_t)limits->value[LIMIT_OTHERS_DAYS];
    double most = (double)NAN;
    size_t n = 0;
    for (size_t i = 0; i < scan->count; i++) {
        const int64_t apart = scan->rides[i].days - scan->rides[of].days;
        const double value = level(&scan->rides[i]);
        if (i != of && !isnan(value) && apart <= reach && -apart <= reach) {
            most = fmax(most, value);
            n++;
        }
    }
    return (double)n < limits->value[LIMIT_OTHERS_RIDES] ? (double)NAN : most;
}

/* The nearest to it of the other rides around; NAN as above. */
static double nearest(const struct scan *scan, size_t of,
                      double (*level)(const struct scanned_ride *), const struct limits *limits)
{
    const int64_t reach = (int64_t)limits->value[LIMIT_OTHERS_DAYS];
    const double own = level(&scan->rides[of]);
    double best = (double)NAN;
    size_t n = 0;
    for (size_t i = 0; i < scan->count && !isnan(own); i++) {
        const int64_t apart = scan->rides[i].days - scan->rides[of].days;
        const double value = level(&scan->rides[i]);
        if (i != of && !isnan(value) && apart <= reach && -apart <= reach) {
            best = isnan(best) || fabs(value - own) < fabs(best - own) ? value : best;
            n++;
        }
    }
    return (double)n < limits->value[LIMIT_OTHERS_RIDES] ? (double)NAN : best;
}

static void doubt_levels(struct arena *arena, const struct scan_call *call, const struct scan *scan,
                         struct proposals *page)
{
    const double *v = call->limits->value;
    for (size_t i = 0; i < scan->count; i++) {
        const struct scanned_ride *ride = &scan->rides[i];
        const double power = next_best(scan, i, power_of, call->limits);
        const double heart = next_best(scan, i, heart_of, call->limits);
        if (power_of(ride) >= v[LIMIT_OTHERS_LEVEL_RATIO] * power) {
            add_evidence(entry_of(arena, page, PROPOSAL_OTHER, &ride->row),
                         (struct proposal_evidence){
                             .code = "watts-a-beat", .value = power_of(ride), .than = power });
        }
        if (heart_of(ride) >= heart + v[LIMIT_OTHERS_HEART_BPM]) {
            add_evidence(entry_of(arena, page, PROPOSAL_OTHER, &ride->row),
                         (struct proposal_evidence){
                             .code = "heart-level", .value = heart_of(ride), .than = heart });
        }
        const double kg = nearest(scan, i, weight_of, call->limits);
        if (fabs(weight_of(ride) - kg) >= v[LIMIT_OTHERS_WEIGHT_KG]) {
            add_evidence(entry_of(arena, page, PROPOSAL_OTHER, &ride->row),
                         (struct proposal_evidence){
                             .code = "weight", .value = weight_of(ride), .than = kg });
        }
    }
}

/* ---- dates ---- */

static const char *odd_day(const struct scan_call *call, const char *day)
{
    const char *born = call->rider->born_day;
    const char *since = call->rider->training_since_day;
    return day == NULL                               ? "no-day"
           : strcmp(day, "2000-01-01") < 0           ? "before-2000"
           : strcmp(day, call->today) > 0            ? "future"
           : born != NULL && strcmp(day, born) < 0   ? "before-birth"
           : since != NULL && strcmp(day, since) < 0 ? "before-training"
                                                     : NULL;
}

static void doubt_days(struct arena *arena, const struct scan_call *call, const struct scan *scan,
                       struct proposals *page)
{
    for (size_t i = 0; i < scan->count + scan->n_others; i++) {
        const struct ride_row *row =
            i < scan->n_others ? &scan->others[i] : &scan->rides[i - scan->n_others].row;
        const char *code = row->same_as != 0 ? NULL : odd_day(call, row->local_day);
        if (code != NULL) {
            add_evidence(entry_of(arena, page, PROPOSAL_DAY, row),
                         (struct proposal_evidence){
                             .code = code, .value = (double)NAN, .than = (double)NAN });
        }
    }
}

bool proposals_doubt_rides(struct db *db, struct arena *arena, const struct scan_call *call,
                           const struct scan *scan, struct proposals *page, struct error *err)
{
    if (!doubt_serials(db, arena, call, scan, page, err) ||
        !doubt_overlaps(db, arena, call, scan, page, err)) {
        return false;
    }
    doubt_levels(arena, call, scan, page);
    doubt_days(arena, call, scan, page);
    return true;
}
