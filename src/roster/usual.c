/* roster/usual.c: rides held against usual again, as a job. */
#include "roster/usual.h"

#include "base/dates.h"
#include "base/text.h"
#include "coaching/heart_json.h"
#include "coaching/ride_json.h"
#include "roster/past.h"
#include "roster/readings.h"
#include "roster/responses.h"
#include "roster/usual_parts.h"

#include <math.h>
#include <string.h>

/* Later than any ride. */
static const char LAST_DAY[] = "9999-12-31";

bool usual_ask(struct db *db, int64_t rider, const char *day, int64_t now_utc_s, struct error *err)
{
    struct arena *scratch = arena_open();
    int64_t from_day = 0;
    int64_t id = 0;
    struct job wish = { .kind = JOB_USUAL, .subject_kind = "rider", .subject = rider };
    wish.priority = day != NULL && dates_parse_day(day, &from_day) ? from_day : 0;
    const bool done = jobs_ask(db, scratch, &wish, now_utc_s, &id, err);
    arena_close(scratch);
    return done;
}

bool usual_waiting(struct db *db, struct arena *arena, int64_t rider, const char *today, size_t *n,
                   struct error *err)
{
    struct db_rows rows = { 0 };
    char from_day[11];
    *n = 0;
    if (!db_query(db, arena,
                  "SELECT priority FROM job WHERE kind = $1 AND subject_kind = 'rider' AND "
                  "subject = $2 AND tries < $3",
                  "i", DB_ARGS(db_text(JOB_USUAL), db_integer(rider), db_integer(JOBS_TRIES_MOST)),
                  &rows, err)) {
        return false;
    }
    if (rows.count == 0) {
        return true;
    }
    dates_format_day(db_integer_at(&rows, 0, 0), from_day);
    if (!db_query(db, arena,
                  "SELECT CAST(COUNT(*) AS BIGINT) FROM recording WHERE rider = $1 AND is_ride AND "
                  "same_as IS NULL AND local_day >= $2 AND local_day <= $3",
                  "i", DB_ARGS(db_integer(rider), db_text(from_day), db_text(today)), &rows, err)) {
        return false;
    }
    *n = (size_t)db_integer_at(&rows, 0, 0);
    return true;
}

/* ---- one rider ---- */

struct answer {
    int64_t recording;
    int64_t day;
    uint8_t basis[USUAL_BASIS];
    struct usual_made made;
    struct usual_own own;
};

struct work {
    const struct usual_call *call;
    struct arena *arena;
    struct job job;
    struct rider rider;
    struct rider_history history;
    struct limits limits;
    struct usual_rows rows;
    struct answer *answers; /* [n] that differ from what is stored */
    size_t n;
    size_t capacity;
    struct answer *gone; /* [n_gone] recordings that were held against usual and are no more */
    size_t n_gone;
    bool is_gone; /* the rider, or every ride */
    bool is_stopped;
    bool has_response; /* that differs */
    uint8_t response_basis[USUAL_BASIS];
    struct heart_response response;
    const char *response_json;
    bool was_mine;
};

static bool load(struct work *work, struct error *err)
{
    struct db *db = roster_db(work->call->roster);
    size_t n_waiting = 0;
    if (!riders_row(db, work->arena, work->job.subject, &work->rider, err)) {
        work->is_gone = err->kind == ERROR_NOT_FOUND;
        return work->is_gone;
    }
    return readings_limits(db, work->arena, work->rider.id, &work->limits, err) &&
           past_load(db, work->arena, &work->rider, LAST_DAY, &work->history, &n_waiting, err) &&
           usual_load(db, work->arena, work->rider.id, &work->rows, err);
}

static bool look_at(struct work *work, const struct usual_look *look, size_t place,
                    struct error *err)
{
    const struct past_ride *ride = &work->history.rides[place];
    const int64_t row = usual_row_of(&work->rows, ride->id);
    struct answer answer = { .recording = ride->id, .day = ride->day };
    struct arena *scratch = arena_open();
    const bool ok = usual_basis(look, scratch, place, ride->day, answer.basis, err);
    arena_close(scratch);
    look->bpm[place] = usual_row_bpm(&work->rows, row);
    if (!ok || usual_row_is(&work->rows, row, answer.basis)) {
        return ok;
    }
    struct usual_source source = { .arena = arena_open() };
    const bool made = usual_make(look, work->arena, place, NULL, &source, &answer.made, err) &&
                      usual_own_make(look, work->arena, ride->id, &answer.made.response, &source,
                                     &answer.own, err);
    arena_close(source.arena);
    if (!made) {
        return false;
    }
    look->bpm[place] = answer.made.day.bpm;
    work->answers = arena_grow(work->arena, work->answers, work->n, &work->capacity, sizeof answer);
    work->answers[work->n++] = answer;
    return true;
}

static bool look_at_response(struct work *work, const struct usual_look *look, struct error *err)
{
    const size_t n = work->history.n_rides;
    struct db_rows rows = { 0 };
    if (n == 0) {
        return true;
    }
    const int64_t day = work->history.rides[n - 1].day;
    if (!usual_basis(look, work->arena, n, day + 1, work->response_basis, err) ||
        !db_query(roster_db(work->call->roster), work->arena,
                  "SELECT basis_hash, day FROM heart_response WHERE rider = $1", "xt",
                  DB_ARGS(db_integer(work->rider.id)), &rows, err)) {
        return false;
    }
    char text[11];
    dates_format_day(day, text);
    if (rows.count > 0 && strcmp(db_text_at(&rows, 0, 1), text) == 0 &&
        memcmp(db_blob_at(&rows, 0, 0).at, work->response_basis, USUAL_BASIS) == 0) {
        return true;
    }
    struct arena *scratch = arena_open();
    struct response_found found = { 0 };
    struct text content = text_begin(work->arena, 1000000);
    struct json json = json_begin(&content);
    const bool ok = responses_fit(work->call->roster, scratch, &work->rider, &work->history,
                                  &work->limits, day + 1, &found, err);
    if (ok) {
        json_begin_object(&json, NULL);
        json_bool(&json, "withheld", found.is_withheld);
        heart_json_response(&json, "response", &found.response);
        heart_json_rides(&json, "rides", &found.response, found.rides, found.n);
        json_end_object(&json);
        work->response = found.response;
        work->response_json = content.bytes;
        work->has_response = true;
    }
    arena_close(scratch);
    return ok;
}

/* What counts no more: another one's double, without a day, or no ride. */
#define GONE                                                                                       \
    "(SELECT r.id FROM recording r WHERE r.rider = $1 AND (r.same_as IS NOT NULL OR r.local_day "  \
    "IS NULL OR NOT r.is_ride))"

/* They are held against nothing, so they are read by the usual response of riders again. */
static bool look_at_gone(struct work *work, const struct usual_look *look, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(roster_db(work->call->roster), work->arena,
                  "SELECT subject FROM reading WHERE rider = $1 AND question = 'today' AND "
                  "subject_kind = 'recording' AND subject IN " GONE " ORDER BY subject",
                  "i", DB_ARGS(db_integer(work->rider.id)), &rows, err)) {
        return false;
    }
    work->gone = ARENA_ARRAY(work->arena, struct answer, rows.count);
    for (; work->n_gone < rows.count; work->n_gone++) {
        struct answer *gone = &work->gone[work->n_gone];
        gone->recording = db_integer_at(&rows, work->n_gone, 0);
        struct usual_source source = { .arena = arena_open() };
        const bool made =
            usual_own_make(look, work->arena, gone->recording, NULL, &source, &gone->own, err);
        arena_close(source.arena);
        if (!made) {
            return false;
        }
    }
    return true;
}

/* From the day that was asked for: what lies before it rests on nothing that is new. */
static bool look_at_rides(struct work *work, struct error *err)
{
    const struct usual_call *call = work->call;
    double *bpm = ARENA_ARRAY(work->arena, double, work->history.n_rides + 1);
    const struct usual_look look = { call->roster,  &work->rider, &work->history,
                                     &work->limits, &work->rows,  bpm };
    for (size_t i = 0; i < work->history.n_rides; i++) {
        const struct past_ride *ride = &work->history.rides[i];
        work->is_stopped =
            work->is_stopped || (call->stopped != NULL && call->stopped(call->context));
        bpm[i] = ride->against_bpm;
        if (ride->is_ride && ride->day >= work->job.priority && !work->is_stopped &&
            !look_at(work, &look, i, err)) {
            return false;
        }
    }
    return work->is_stopped ||
           (look_at_gone(work, &look, err) && look_at_response(work, &look, err));
}

/* ---- storing ---- */

static bool store_day(struct db *db, const struct answer *answer, struct error *err)
{
    const struct response_day *day = &answer->made.day;
    const struct cause *pair = causes_find(&answer->made.reading.because, "two-running");
    if (!db_run(db, "DELETE FROM heart_day WHERE recording = $1",
                DB_ARGS(db_integer(answer->recording)), err)) {
        return false;
    }
    return isnan(day->bpm) ||
           db_run(db,
                  "INSERT INTO heart_day (recording, against_bpm, low_bpm, high_bpm, day_sd_bpm, "
                  "line_bpm, pair_bpm, rides) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
                  DB_ARGS(db_integer(answer->recording), db_real(day->bpm), db_real(day->low),
                          db_real(day->high), db_real(day->sd_bpm), db_real(day->line_bpm),
                          db_real(cause_value(pair, "mean_bpm")), db_integer((int64_t)day->n_past)),
                  err);
}

static bool store_answer(const struct work *work, struct db *db, const struct answer *answer,
                         struct error *err)
{
    const struct reading *reading = &answer->made.reading;
    const struct bytes basis = { answer->basis, USUAL_BASIS };
    struct arena *scratch = arena_open();
    struct text content = text_begin(scratch, 1000000);
    struct json json = json_begin(&content);
    char day[11];
    dates_format_day(answer->day, day);
    reading_json_add(&json, reading);
    const bool done =
        db_run(db,
               "INSERT INTO reading (rider, question, subject_kind, subject, set_number, "
               "rep_number, day, verdict, estimate, low, high, unit, limit_value, method, "
               "basis_hash, content, made_utc_s) VALUES ($1, $2, 'recording', $3, 0, 0, $4, $5, "
               "$6, $7, $8, $9, $10, $11, $12, $13, $14) ON CONFLICT (question, subject_kind, "
               "subject, set_number, rep_number) DO UPDATE SET day = excluded.day, verdict = "
               "excluded.verdict, estimate = excluded.estimate, low = excluded.low, high = "
               "excluded.high, unit = excluded.unit, limit_value = excluded.limit_value, method = "
               "excluded.method, basis_hash = excluded.basis_hash, content = excluded.content, "
               "made_utc_s = excluded.made_utc_s",
               DB_ARGS(db_integer(work->rider.id), db_text(question_name(QUESTION_TODAY)),
                       db_integer(answer->recording), db_text(day),
                       db_text(verdict_name(reading->verdict)), db_real(reading->estimate),
                       db_real(reading->low), db_real(reading->high), db_text(reading->unit),
                       db_real(reading->limit_value), db_text(question_method(QUESTION_TODAY)),
                       db_blob(basis), db_text(content.bytes), db_integer(work->call->now.utc_s)),
               err) &&
        store_day(db, answer, err);
    arena_close(scratch);
    return done;
}

static bool store_response(const struct work *work, struct db *db, struct error *err)
{
    const struct heart_response *fit = &work->response;
    const struct bytes basis = { work->response_basis, USUAL_BASIS };
    char day[11];
    dates_format_day(work->history.rides[work->history.n_rides - 1].day, day);
    return db_run(db, "DELETE FROM heart_response WHERE rider = $1",
                  DB_ARGS(db_integer(work->rider.id)), err) &&
           db_run(db,
                  "INSERT INTO heart_response (rider, day, outcome, rides, threshold_w, tau_s, "
                  "dead_s, gain_bpm_per_w, gain_low_bpm_per_w, gain_high_bpm_per_w, rest_bpm, "
                  "drift_bpm_per_h, error_bpm, day_sd_bpm, method, basis_hash, content, "
                  "made_utc_s) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, "
                  "$14, $15, $16, $17, $18)",
                  DB_ARGS(db_integer(work->rider.id), db_text(day),
                          db_text(response_end_name(fit->end)), db_integer((int64_t)fit->n_rides),
                          db_real(fit->threshold_w), db_real(fit->tau_s), db_real(fit->dead_s),
                          db_real(fit->gain_bpm_per_w), db_real(fit->gain_low),
                          db_real(fit->gain_high), db_real(fit->rest_bpm),
                          db_real(fit->drift_bpm_per_h), db_real(fit->error_bpm),
                          db_real(fit->day_sd_bpm), db_text(question_method(QUESTION_TODAY)),
                          db_blob(basis), db_text(work->response_json),
                          db_integer(work->call->now.utc_s)),
                  err);
}

static bool store_gone(const struct work *work, struct db *db, struct error *err)
{
    for (size_t i = 0; i < work->n_gone; i++) {
        if (!usual_own_store(db, work->rider.id, work->gone[i].recording, &work->gone[i].own,
                             work->call->now.utc_s, err)) {
            return false;
        }
    }
    return true;
}

static bool drop_gone(const struct work *work, struct db *db, struct error *err)
{
    return db_run(
               db,
               "DELETE FROM reading WHERE rider = $1 AND question = 'today' AND subject IN " GONE,
               DB_ARGS(db_integer(work->rider.id)), err) &&
           db_run(db, "DELETE FROM heart_day WHERE recording IN " GONE,
                  DB_ARGS(db_integer(work->rider.id)), err);
}

static bool finish(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    if (!jobs_finish(db, work->arena, &work->job, &work->was_mine, err)) {
        return false;
    }
    if (!work->was_mine || work->is_gone) {
        return true;
    }
    for (size_t i = 0; i < work->n; i++) {
        const struct answer *answer = &work->answers[i];
        if (!store_answer(work, db, answer, err) ||
            !usual_own_store(db, work->rider.id, answer->recording, &answer->own,
                             work->call->now.utc_s, err)) {
            return false;
        }
    }
    return store_gone(work, db, err) && drop_gone(work, db, err) &&
           (!work->has_response || store_response(work, db, err));
}

static bool release(struct db *db, void *context, struct error *err)
{
    const struct work *work = context;
    return jobs_release(db, &work->job, err);
}

/* ---- all that are due ---- */

struct claiming {
    struct arena *arena;
    struct job_claim by;
    struct job job;
    bool is_mine;
};

/* Rides are read first: with one unread the answers would be made twice. */
static bool claim_next(struct db *db, void *context, struct error *err)
{
    struct claiming *claiming = context;
    struct db_rows rows = { 0 };
    claiming->is_mine = false;
    if (!db_query(db, claiming->arena,
                  "SELECT j.id FROM job j WHERE j.kind = 'usual' AND j.tries < $1 AND "
                  "(j.lease_until_utc_s IS NULL OR j.lease_until_utc_s <= $2) AND NOT EXISTS ("
                  "SELECT 1 FROM job k JOIN recording r ON r.id = k.subject WHERE k.kind = 'read' "
                  "AND k.subject_kind = 'recording' AND k.tries = 0 AND r.rider = j.subject) ORDER "
                  "BY j.priority, j.id LIMIT 1",
                  "i", DB_ARGS(db_integer(JOBS_TRIES_MOST), db_integer(claiming->by.now_utc_s)),
                  &rows, err)) {
        return false;
    }
    return rows.count == 0 ||
           jobs_claim(db, claiming->arena, &claiming->by, db_integer_at(&rows, 0, 0),
                      &claiming->job, &claiming->is_mine, err);
}

struct failure {
    const struct work *work;
    const char *message;
};

static bool fail(struct db *db, void *context, struct error *err)
{
    const struct failure *failure = context;
    return jobs_fail(db, &failure->work->job, failure->work->call->now.utc_s, failure->message,
                     err);
}

static bool keep_one(struct work *work, size_t *n, struct error *err)
{
    struct db *db = roster_db(work->call->roster);
    struct error failed = { 0 };
    if (load(work, &failed) && (work->is_gone || look_at_rides(work, &failed)) &&
        db_write(db, work->is_stopped ? release : finish, work, &failed)) {
        *n += work->is_stopped || !work->was_mine ? 0 : work->n;
        return true;
    }
    if (failed.kind == ERROR_BUSY) {
        *err = failed;
        return false;
    }
    struct failure failure = { work, failed.message };
    return db_write(db, fail, &failure, err);
}

bool usual_keep(const struct usual_call *call, size_t *n, struct error *err)
{
    struct arena *names = arena_open();
    const char *name = jobs_name(names);
    bool done = true;
    bool more = true;
    *n = 0;
    while (done && more) {
        struct arena *arena = arena_open();
        struct claiming claiming = { .arena = arena, .by = { name, call->now.utc_s } };
        struct work work = { .call = call, .arena = arena };
        size_t waiting = 0;
        /* Nearly always there is nothing to write. */
        done = jobs_count(roster_db(call->roster), arena, JOB_USUAL, &waiting, err) &&
               (waiting == 0 || db_write(roster_db(call->roster), claim_next, &claiming, err));
        more = done && claiming.is_mine;
        if (more) {
            work.job = claiming.job;
            done = keep_one(&work, n, err);
            more = !work.is_stopped;
        }
        arena_close(arena);
    }
    arena_close(names);
    return done;
}
