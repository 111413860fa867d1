/* roster/import_job.c: one recording file on its way into the roster. */
#include "roster/import_job.h"

#include "recording/other_thing.h"
#include "roster/came_back.h"
#include "roster/rereading.h"
#include "roster/same_ride.h"

#include <assert.h>
#include <sodium.h>
#include <stdlib.h>
#include <string.h>

struct import_job *import_job_open(void)
{
    struct arena *arena = arena_open();
    struct import_job *job = arena_alloc(arena, 1, sizeof *job);
    job->arena = arena;
    job->scratch = arena_open();
    return job;
}

void import_job_close(struct import_job *job)
{
    if (job != NULL) {
        arena_close(job->scratch);
        arena_close(job->arena);
    }
}

/* ---- reading ---- */

/* Whose recordings these bytes are already. */
static bool find_owners(struct db *db, struct arena *arena, const uint8_t sha256[32],
                        struct db_rows *rows, struct error *err)
{
    const struct bytes sum = { sha256, 32 };
    return db_query(db, arena,
                    "SELECT r.id, r.rider, p.name, r.same_as, r.local_day, r.sport, r.is_ride "
                    "FROM original o JOIN recording r ON r.original = o.id JOIN rider p ON p.id = "
                    "r.rider WHERE o.sha256 = $1 ORDER BY r.part, r.id",
                    "iitITtb", DB_ARGS(db_blob(sum)), rows, err);
}

/* Instead of the kind of an error. */
static const char OTHER_THING[] = "not-a-recording";

/* Files that failed are tried again only when these change. */
static void sum_attempt(struct import_job *job)
{
    crypto_hash_sha256_state state;
    crypto_hash_sha256_init(&state);
    crypto_hash_sha256_update(&state, (const unsigned char *)RECORDING_METHOD,
                              sizeof RECORDING_METHOD);
    crypto_hash_sha256_update(&state, job->original.sha256, sizeof job->original.sha256);
    const unsigned char damaged = job->damage != NULL;
    crypto_hash_sha256_update(&state, &damaged, 1);
    for (size_t i = 0; i < job->n_columns; i++) {
        const unsigned char meaning = (unsigned char)job->columns[i].meaning;
        crypto_hash_sha256_update(&state, &meaning, 1);
        crypto_hash_sha256_update(&state, (const unsigned char *)job->columns[i].name,
                                  strlen(job->columns[i].name) + 1);
    }
    crypto_hash_sha256_final(&state, job->attempt);
}

static bool find_failure(struct import_job *job, struct db *db, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, job->arena,
                  "SELECT sha256, message, error_kind FROM failed_file WHERE path = $1", "Xtt",
                  DB_ARGS(db_text(job->path)), &rows, err)) {
        return false;
    }
    const struct bytes stored = rows.count > 0 ? db_blob_at(&rows, 0, 0) : (struct bytes){ 0 };
    job->remembered = stored.size == sizeof job->attempt &&
                      memcmp(stored.at, job->attempt, sizeof job->attempt) == 0;
    if (job->remembered) {
        error_set(&job->error, ERROR_INPUT, "%s", db_text_at(&rows, 0, 1));
        job->is_other = strcmp(db_text_at(&rows, 0, 2), OTHER_THING) == 0;
    }
    return true;
}

static bool last_change(struct db *db, struct arena *arena, int64_t *change, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena, "SELECT COALESCE(MAX(id), 0) FROM change", "i", DB_NONE, &rows, err)) {
        return false;
    }
    *change = db_integer_at(&rows, 0, 0);
    return true;
}

/* Readings and everything packed; false when the roster can't be read. */
static bool make_ready(struct import_job *job, struct roster *roster,
                       const struct recording *recording, const struct limits *limits,
                       struct ready_recording *out, struct error *err)
{
    struct db *db = roster_db(roster);
    struct rider_facts facts;
    struct ride_readings readings = { 0 };
    struct reading_source source = { .part = recording->part };
    const char *day = NULL;
    memcpy(source.sha256, job->original.sha256, sizeof source.sha256);
    if (!recordings_day(db, job->arena, job->rider->id, recording, &day, err) ||
        !came_back_facts(roster, job->scratch,
                         &(struct ride_facts){ .rider = job->rider->id,
                                               .day = day,
                                               .sensors = recording->sensors,
                                               .n_sensors = recording->n_sensors },
                         recording, limits, &facts, err) ||
        !reading_make(job->scratch, recording, &facts, limits, &readings, err)) {
        return false;
    }
    out->readings = readings_pack(job->arena, &readings, &source, &facts, limits);
    struct error beyond = { 0 };
    if (!recordings_pack(job->arena, recording, day, &out->packed, &beyond)) {
        error_set(&job->error, beyond.kind, "%s: %s", job->name, beyond.message);
    }
    return true;
}

static bool read_recordings(struct import_job *job, struct roster *roster, struct error *err)
{
    struct limits limits;
    struct recordings all = { 0 };
    const struct read_options options = { .file = job->name,
                                          .packing_damage = job->damage,
                                          .columns = job->columns,
                                          .n_columns = job->n_columns };
    if (!last_change(roster_db(roster), job->scratch, &job->change, err) ||
        !readings_limits(roster_db(roster), job->scratch, job->rider->id, &limits, err)) {
        return false;
    }
    if (!recording_read(job->scratch, job->bytes, &options, &limits, &all, &job->error)) {
        job->is_other =
            job->error.kind == ERROR_INPUT && other_thing_is(job->bytes, &options, &limits);
        return true;
    }
    job->note = all.damage == NULL ? job->note : arena_string(job->arena, all.damage);
    job->recordings = ARENA_ARRAY(job->arena, struct ready_recording, all.count);
    for (size_t i = 0; i < all.count && job->error.kind == ERROR_NONE; i++) {
        if (!make_ready(job, roster, all.items[i], &limits, &job->recordings[i], err)) {
            return false;
        }
    }
    job->n_recordings = all.count;
    return true;
}

bool import_job_read(struct import_job *job, struct roster *roster, struct error *err)
{
    if (job->failed.kind != ERROR_NONE) {
        job->error = job->failed;
        return true;
    }
    if (job->rider == NULL) {
        return true;
    }
    struct db *db = roster_db(roster);
    struct db_rows owners = { 0 };
    job->has_bytes = true;
    crypto_hash_sha256(job->original.sha256, job->bytes.at, job->bytes.size);
    sum_attempt(job);
    if (!find_owners(db, job->scratch, job->original.sha256, &owners, err)) {
        return false;
    }
    job->is_known = owners.count > 0;
    if (job->is_known) {
        return true;
    }
    if (!find_failure(job, db, err)) {
        return false;
    }
    if (job->remembered) {
        return true;
    }
    if (!read_recordings(job, roster, err)) {
        return false;
    }
    if (job->error.kind == ERROR_NONE) {
        recordings_pack_original(job->arena, job->name, job->bytes, job->original.sha256,
                                 &job->original);
        const bool is_table =
            job->n_recordings > 0 && strcmp(job->recordings[0].packed.row.format, "csv") == 0;
        job->original.columns =
            is_table ? recordings_write_columns(job->arena, job->columns, job->n_columns) : NULL;
        if (strcmp(job->original.packing, "none") == 0) {
            job->original.content.at = arena_copy(job->arena, job->bytes.at, job->bytes.size);
        }
    }
    return true;
}

/* ---- storing ---- */

/* Trouble with the file, not with what is in it, may be gone tomorrow. */
static bool is_worth_remembering(const struct import_job *job)
{
    return job->has_bytes && (job->error.kind == ERROR_INPUT || job->error.kind == ERROR_TOO_LARGE);
}

static bool remember_failure(const struct import_job *job, struct db *db, int64_t now_utc_s,
                             struct error *err)
{
    const struct bytes attempt = { job->attempt, sizeof job->attempt };
    return db_run(db,
                  "INSERT INTO failed_file (path, sha256, error_kind, message, tries, seen_utc_s) "
                  "VALUES ($1, $2, $3, $4, 1, $5) ON CONFLICT (path) DO UPDATE SET sha256 = "
                  "excluded.sha256, error_kind = excluded.error_kind, message = excluded.message, "
                  "tries = failed_file.tries + 1, seen_utc_s = excluded.seen_utc_s",
                  DB_ARGS(db_text(job->path), db_blob(attempt),
                          db_text(job->is_other ? OTHER_THING : error_kind_name(job->error.kind)),
                          db_text(job->error.message), db_integer(now_utc_s)),
                  err);
}

/* The rides of these bytes that are the rider's, or else a conflict. */
static void say_known(struct import_job *job, const struct db_rows *owners)
{
    struct imported_file *done = &job->done;
    done->rides = ARENA_ARRAY(job->arena, struct imported_ride, owners->count);
    for (size_t i = 0; i < owners->count; i++) {
        if (db_integer_at(owners, i, 1) == job->rider->id) {
            done->rides[done->n_rides++] =
                (struct imported_ride){ db_integer_at(owners, i, 0), db_integer_at(owners, i, 3),
                                        db_text_at(owners, i, 4), db_text_at(owners, i, 5),
                                        db_bool_at(owners, i, 6) };
        }
    }
    done->outcome = done->n_rides > 0 ? IMPORT_KNOWN : IMPORT_CONFLICT;
    if (done->n_rides == 0) {
        done->line = arena_format(job->arena,
                                  "%s: the same file is %s's already (ride %lld); not taken for %s",
                                  job->name, db_text_at(owners, 0, 2),
                                  (long long)db_integer_at(owners, 0, 0), job->rider->name);
    }
}

/* It was read as a ride alone, with what was true when a thread looked: what was asked of the same
 * ride, or was changed meanwhile, makes it worth a look. */
static bool look_again(const struct import_job *job, struct db *db, int64_t recording,
                       int64_t now_utc_s, struct error *err)
{
    struct ride_row row = { 0 };
    int64_t *ids = NULL;
    size_t count = 0;
    int64_t change = 0;
    return recordings_row(db, job->arena, recording, &row, err) &&
           same_ride_recordings(db, job->arena, &row, &ids, &count, err) &&
           last_change(db, job->arena, &change, err) &&
           came_back_look_around(db, job->arena, recording, now_utc_s, err) &&
           ((count < 2 && change == job->change) ||
            rereading_ask_look(db, "recording", recording, now_utc_s, err));
}

static bool store_recording(struct import_job *job, struct db *db, int64_t original,
                            const struct ready_recording *ready, const struct limits *limits,
                            int64_t now_utc_s, struct error *err)
{
    const struct ride_row *row = &ready->packed.row;
    struct imported_ride *ride = &job->done.rides[job->done.n_rides++];
    *ride = (struct imported_ride){ .day = row->local_day,
                                    .sport = row->sport,
                                    .is_ride = row->is_ride };
    return recordings_store(db, job->arena, job->rider->id, original, &ready->packed, &ride->id,
                            err) &&
           readings_store(db, job->rider->id, ride->id, row->local_day, &ready->readings, now_utc_s,
                          err) &&
           same_ride_settle(db, job->arena, ride->id, limits, now_utc_s, &ride->same_as, err) &&
           look_again(job, db, ride->id, now_utc_s, err);
}

static bool store_all(struct import_job *job, struct db *db, int64_t now_utc_s, struct error *err)
{
    struct limits limits;
    int64_t original = 0;
    assert(job->rider != NULL); /* else nothing was read */
    job->done.outcome = IMPORT_TAKEN;
    job->done.line = job->note;
    job->done.rides = ARENA_ARRAY(job->arena, struct imported_ride, job->n_recordings);
    if (!readings_limits(db, job->arena, job->rider->id, &limits, err) ||
        !recordings_store_original(db, job->arena, &job->original, now_utc_s, &original, err)) {
        return false;
    }
    for (size_t i = 0; i < job->n_recordings; i++) {
        if (!store_recording(job, db, original, &job->recordings[i], &limits, now_utc_s, err)) {
            return false;
        }
    }
    return db_run(db, "DELETE FROM failed_file WHERE path = $1", DB_ARGS(db_text(job->path)), err);
}

bool import_job_store(struct import_job *job, struct db *db, int64_t now_utc_s, struct error *err)
{
    struct db_rows owners = { 0 };
    struct imported_file *done = &job->done;
    *done = (struct imported_file){ .name = job->name, .place = job->place };
    done->rider = job->rider == NULL ? NULL : job->rider->name;
    if (job->failed.kind == ERROR_NONE && job->rider == NULL) {
        done->outcome = IMPORT_NO_RIDER;
        done->line = arena_format(job->arena,
                                  "%s: whose ride is it? Say --rider NAME; said of a folder, it "
                                  "is kept",
                                  job->name);
        return true;
    }
    if (job->has_bytes) {
        if (!find_owners(db, job->arena, job->original.sha256, &owners, err)) {
            return false;
        }
        if (owners.count > 0) {
            say_known(job, &owners);
            return true;
        }
        /* It was there when a thread looked, and is gone: a rider was forgotten meanwhile. */
        if (job->is_known) {
            error_set(&job->error, ERROR_BUSY, "%s: was taken away meanwhile; import it again",
                      job->name);
        }
    }
    if (job->error.kind != ERROR_NONE) {
        done->outcome = job->is_other ? IMPORT_OTHER_THING : IMPORT_UNREADABLE;
        done->line = job->error.message;
        done->remembered = job->remembered;
        return job->remembered || !is_worth_remembering(job) ||
               remember_failure(job, db, now_utc_s, err);
    }
    return store_all(job, db, now_utc_s, err);
}
