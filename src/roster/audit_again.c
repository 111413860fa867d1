/* roster/audit_again.c: rides read again from their files, against what is kept of them. */
#include "roster/audit_parts.h"

#include "maths/random.h"
#include "roster/came_back.h"
#include "roster/finding_numbers.h"
#include "roster/pack.h"
#include "roster/readings.h"
#include "roster/ride_read.h"
#include "roster/recordings.h"

#include <math.h>
#include <string.h>

/* A ride as it is kept, and as it comes out now. */
struct again {
    struct audit *audit;
    struct arena *arena; /* of this ride */
    struct ride_row row;
    struct limits limits;
    const struct recording *recording;
    struct packed_recording packed;
    const char *differs; /* the first thing that is not the same; NULL = none */
};

static bool same_bytes(struct bytes a, struct bytes b)
{
    return a.size == b.size && (a.size == 0 || memcmp(a.at, b.at, a.size) == 0);
}

static bool same_text(const char *a, const char *b)
{
    return a == NULL || b == NULL ? a == b : strcmp(a, b) == 0;
}

static bool same_number(double a, double b)
{
    return isnan(a) || isnan(b) ? isnan(a) && isnan(b) : !(a < b) && !(a > b);
}

static void unless(struct again *again, bool same, const char *what)
{
    if (!same && again->differs == NULL) {
        again->differs = what;
    }
}

/* ---- parts of a recording ---- */

static void compare_row(struct again *again)
{
    const struct ride_row *kept = &again->row;
    const struct ride_row *now = &again->packed.row;
    unless(again, kept->parts == now->parts && same_text(kept->format, now->format), "its format");
    unless(again, same_text(kept->sport, now->sport) && kept->is_ride == now->is_ride, "its sport");
    unless(again,
           kept->has_start_utc == now->has_start_utc &&
               (!kept->has_start_utc || kept->start_utc_s == now->start_utc_s),
           "its start");
    unless(again, kept->n_seconds == now->n_seconds && kept->timer_s == now->timer_s, "its length");
    unless(again, same_number(kept->work_kj, now->work_kj), "its work");
    unless(again, same_number(kept->distance_m, now->distance_m), "its distance");
}

static bool compare_series(struct again *again, struct error *err)
{
    const struct packed_recording *now = &again->packed;
    struct db_rows rows = { 0 };
    if (!db_query(again->audit->db, again->arena,
                  "SELECT channel, content, mask FROM series WHERE recording = $1 ORDER BY id",
                  "txX", DB_ARGS(db_integer(again->row.id)), &rows, err)) {
        return false;
    }
    unless(again, rows.count == now->n_channels, "its channels");
    for (size_t i = 0; i < rows.count && i < now->n_channels; i++) {
        const struct packed_channel *channel = &now->channels[i];
        const char *name = db_text_at(&rows, i, 0);
        const bool same = same_text(name, channel->name) &&
                          same_bytes(db_blob_at(&rows, i, 1), channel->content) &&
                          same_bytes(db_blob_at(&rows, i, 2), channel->mask);
        unless(again, same, arena_format(again->audit->arena, "the series %.40s", name));
    }
    return true;
}

static bool compare_curve(struct again *again, struct error *err)
{
    const struct best_curve *now = &again->packed.curve;
    struct db_rows rows = { 0 };
    if (!db_query(again->audit->db, again->arena,
                  "SELECT work_j, at_least FROM best_curve WHERE recording = $1", "xx",
                  DB_ARGS(db_integer(again->row.id)), &rows, err)) {
        return false;
    }
    unless(again, (rows.count > 0) == (now->count > 0), "its bests");
    if (rows.count > 0 && now->count > 0) {
        unless(again,
               same_bytes(db_blob_at(&rows, 0, 0),
                          pack_series(again->arena, now->work_j, now->count, INT32_MIN)) &&
                   same_bytes(db_blob_at(&rows, 0, 1),
                              pack_mask(again->arena, now->marks, now->count)),
               "its bests");
    }
    return true;
}

static bool compare_laps(struct again *again, struct error *err)
{
    const struct packed_recording *now = &again->packed;
    struct db_rows rows = { 0 };
    if (!db_query(again->audit->db, again->arena,
                  "SELECT start_s, end_s FROM lap WHERE recording = $1 ORDER BY place", "ii",
                  DB_ARGS(db_integer(again->row.id)), &rows, err)) {
        return false;
    }
    unless(again, rows.count == now->n_laps, "its laps");
    for (size_t i = 0; i < rows.count && i < now->n_laps; i++) {
        unless(again,
               db_integer_at(&rows, i, 0) == now->laps[i].start_s &&
                   db_integer_at(&rows, i, 1) == now->laps[i].end_s,
               "its laps");
    }
    return true;
}

static bool compare_findings(struct again *again, struct error *err)
{
    const struct packed_recording *now = &again->packed;
    struct db_rows rows = { 0 };
    if (!db_query(again->audit->db, again->arena,
                  "SELECT code, numbers, detail FROM finding WHERE recording = $1 ORDER BY place",
                  "ttT", DB_ARGS(db_integer(again->row.id)), &rows, err)) {
        return false;
    }
    unless(again, rows.count == now->n_findings, "its findings");
    for (size_t i = 0; i < rows.count && i < now->n_findings; i++) {
        const struct finding *finding = &now->findings[i];
        unless(
            again,
            same_text(db_text_at(&rows, i, 0), finding->code) &&
                same_text(db_text_at(&rows, i, 1), finding_numbers_write(again->arena, finding)) &&
                same_text(db_text_at(&rows, i, 2), finding->detail),
            "its findings");
    }
    return true;
}

/* ---- readings ---- */

static const struct packed_reading *find_reading(const struct packed_readings *all,
                                                 const char *question, int64_t set, int64_t rep)
{
    for (size_t i = 0; i < all->count; i++) {
        const struct packed_reading *one = &all->items[i];
        if (strcmp(one->question, question) == 0 && one->set == set && one->rep == rep) {
            return one;
        }
    }
    return NULL;
}

/* What rests on rides before it, the reading `today`, is no part of this: it is kept true by rows
 * (roster/usual), and they by these sums. */
static bool compare_sums(struct again *again, const struct packed_sums *now, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(again->audit->db, again->arena,
                  "SELECT content_hash FROM heart_sums WHERE recording = $1", "x",
                  DB_ARGS(db_integer(again->row.id)), &rows, err)) {
        return false;
    }
    unless(again,
           rows.count == 1 &&
               same_bytes(db_blob_at(&rows, 0, 0), (struct bytes){ now->hash, sizeof now->hash }),
           "its sums of heart rate and power");
    return true;
}

/* Read by the rider's own response: "base" or "hard work". */
static bool is_own(const char *content)
{
    return content != NULL && strstr(content, BASIS_OWN_RESPONSE) != NULL;
}

/* While the job that reads base and hard work by the rides before waits, they may be either way. */
static bool usual_waits(const struct again *again, bool *waits, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(again->audit->db, again->arena,
                  "SELECT id FROM job WHERE kind = 'usual' AND subject = $1", "i",
                  DB_ARGS(db_integer(again->row.rider)), &rows, err)) {
        return false;
    }
    *waits = rows.count > 0;
    return true;
}

/* A reading whose basis has changed since says nothing about the store; one that has not must come
 * out to the letter. */
static bool compare_readings(struct again *again, struct error *err)
{
    struct audit *audit = again->audit;
    const struct ride_row *row = &again->row;
    struct rider_facts facts = facts_unknown();
    struct ride_readings readings = { 0 };
    struct reading_source source = { .part = row->part };
    struct db_rows rows = { 0 };
    struct ride_before before;
    bool waits = false;
    memcpy(source.sha256, row->sha256, sizeof source.sha256);
    const struct ride_facts ride = { .rider = row->rider,
                                     .day = row->local_day,
                                     .recording = row->id };
    if (!came_back_facts(audit->call->roster, again->arena, &ride, again->recording, &again->limits,
                         &facts, err) ||
        !usual_waits(again, &waits, err) ||
        !ride_read_before(audit->call->roster, again->arena, row, &again->limits, &before, &facts,
                          err) ||
        !reading_make(again->arena, again->recording, &facts, &again->limits, &readings, err) ||
        !db_query(
            audit->db, again->arena,
            "SELECT question, set_number, rep_number, basis_hash, content, verdict, estimate, "
            "rider FROM reading WHERE subject_kind = 'recording' AND subject = $1 AND question <> "
            "'today' ORDER BY id",
            "tiixttRi", DB_ARGS(db_integer(row->id)), &rows, err)) {
        return false;
    }
    const struct packed_readings now =
        readings_pack(again->arena, &readings, &source, &facts, &again->limits);
    size_t n_current = 0;
    for (size_t i = 0; i < rows.count; i++) {
        const struct packed_reading *one = find_reading(
            &now, db_text_at(&rows, i, 0), db_integer_at(&rows, i, 1), db_integer_at(&rows, i, 2));
        const struct bytes basis = db_blob_at(&rows, i, 3);
        if (one == NULL || !same_bytes(basis, (struct bytes){ one->basis, BASIS_BYTES })) {
            audit->sum->n_out_of_date++;
        } else {
            n_current++;
            const bool either = waits && (is_own(db_text_at(&rows, i, 4)) || is_own(one->content));
            unless(again,
                   either || (same_text(db_text_at(&rows, i, 4), one->content) &&
                              same_text(db_text_at(&rows, i, 5), one->verdict) &&
                              same_number(db_real_at(&rows, i, 6), one->estimate) &&
                              db_integer_at(&rows, i, 7) == row->rider),
                   "its readings");
        }
    }
    unless(again, n_current != rows.count || rows.count == now.count, "the number of its readings");
    return n_current != rows.count || compare_sums(again, &now.heart, err);
}

/* ---- one ride ---- */

static bool read_one(struct again *again, int64_t id, struct error *err)
{
    struct audit *audit = again->audit;
    struct recording *recording = NULL;
    if (!recordings_row(audit->db, again->arena, id, &again->row, err) ||
        !readings_limits(audit->db, again->arena, again->row.rider, &again->limits, err)) {
        return false;
    }
    if (strcmp(again->row.method, RECORDING_METHOD) != 0) {
        audit->sum->n_older++;
        return true;
    }
    if (!recordings_reread(audit->db, again->arena, &again->row, &again->limits, &recording, err) ||
        !recordings_pack(again->arena, recording, again->row.local_day, &again->packed, err)) {
        return false;
    }
    again->recording = recording;
    compare_row(again);
    return compare_series(again, err) && compare_curve(again, err) && compare_laps(again, err) &&
           compare_findings(again, err) && compare_readings(again, err);
}

static void look_at_ride(struct audit *audit, int64_t id)
{
    struct again again = { .audit = audit, .arena = arena_open() };
    struct error wrong = { 0 };
    static const char todo[] =
        "The file as it came is checked apart: if it is whole, nothing is lost, and show reads it "
        "anew. For lists and bests go back to a backup: plumbline restore.";
    if (!read_one(&again, id, &wrong)) {
        audit_note(audit, todo, "ride %lld can't be read again: %s", (long long)id, wrong.message);
    } else if (again.differs != NULL) {
        audit_note(audit, todo, "ride %lld (%.10s, %.100s) comes out otherwise when read again: %s",
                   (long long)id, again.row.local_day == NULL ? "no day" : again.row.local_day,
                   again.row.name, again.differs);
    }
    audit->sum->looked[AUDIT_READ_AGAIN]++;
    arena_close(again.arena);
}

/* The sample to the front: the first steps of a shuffle (Fisher and Yates; Durstenfeld 1964,
 * Comm ACM 7:420). */
static void choose(struct db_rows *ids, size_t n, uint64_t seed)
{
    struct random random = random_begin(seed);
    for (size_t i = 0; i < n; i++) {
        const size_t k = i + (size_t)random_below(&random, ids->count - i);
        const struct db_value moved = ids->cells[i];
        ids->cells[i] = ids->cells[k];
        ids->cells[k] = moved;
    }
}

bool audit_read_again(struct audit *audit, struct error *err)
{
    struct db_rows ids = { 0 };
    if (!db_query(audit->db, audit->arena, "SELECT id FROM recording ORDER BY id", "i", DB_NONE,
                  &ids, err)) {
        return false;
    }
    const struct audit_call *call = audit->call;
    const size_t n = call->all || call->n_rides > ids.count ? ids.count : call->n_rides;
    audit->sum->n_rides = ids.count;
    choose(&ids, call->all ? 0 : n, call->seed);
    for (size_t i = 0; i < n; i++) {
        audit_tell(audit, i, n);
        look_at_ride(audit, db_integer_at(&ids, i, 0));
    }
    audit_tell(audit, n, n);
    return true;
}
