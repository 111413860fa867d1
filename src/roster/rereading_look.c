/* roster/rereading_look.c: which readings a change made old. */
#include "roster/rereading.h"

#include "base/dates.h"
#include "roster/best_months.h"
#include "roster/came_back.h"
#include "roster/facts.h"
#include "roster/readings.h"
#include "roster/same_ride.h"
#include "roster/touched.h"
#include "roster/usual.h"

#include <stdlib.h>
#include <string.h>

/* Before any ride: a look is cheap, and says what else there is to do. */
static const int64_t LOOK_PRIORITY = -1000000;

/* The row of `setting` that says what version looked at everything last. */
static const char VERSION_NAME[] = "readings version";

bool rereading_ask_look(struct db *db, const char *subject_kind, int64_t subject, int64_t now_utc_s,
                        struct error *err)
{
    struct arena *scratch = arena_open();
    const struct job wish = { .kind = JOB_LOOK,
                              .subject_kind = subject_kind,
                              .subject = subject,
                              .priority = LOOK_PRIORITY };
    int64_t id = 0;
    const bool done = jobs_ask(db, scratch, &wish, now_utc_s, &id, err);
    arena_close(scratch);
    return done;
}

/* ---- one look, in one transaction ---- */

struct ordered_job {
    int64_t id;
    int64_t priority;
};

struct look {
    struct db *db;
    struct arena *arena; /* of this look */
    int64_t now_utc_s;
    struct job job;
    bool found;
    struct ordered_job *asked; /* in the arena, as all of a look */
    size_t n_asked;
    size_t capacity;
};

/* The facts and limits that the last ride of it needed: rides come by day. */
struct known {
    int64_t rider; /* 0 = none yet */
    struct limits limits;
};

static int64_t priority_of(const struct ride_row *row)
{
    int64_t days = 0;
    return row->local_day != NULL && dates_parse_day(row->local_day, &days) ? -days : 0;
}

static bool ask_read(struct look *look, const struct ride_row *row, struct error *err)
{
    const struct job wish = { .kind = JOB_READ,
                              .subject_kind = "recording",
                              .subject = row->id,
                              .priority = priority_of(row) };
    look->asked =
        arena_grow(look->arena, look->asked, look->n_asked, &look->capacity, sizeof *look->asked);
    struct ordered_job *asked = &look->asked[look->n_asked++];
    asked->priority = wish.priority;
    return jobs_ask(look->db, look->arena, &wish, look->now_utc_s, &asked->id, err);
}

/* The comparison.  What is as it was needs no reading, and one that is being made of what was true
 * in between must not be stored. */
static bool compare(struct look *look, struct known *known, const struct ride_row *row,
                    struct error *err)
{
    const struct ride_facts ride = { .rider = row->rider,
                                     .day = row->local_day,
                                     .recording = row->id };
    struct rider_facts facts;
    struct reading_source source = { .part = row->part };
    bool are_current = false;
    memcpy(source.sha256, row->sha256, sizeof source.sha256);
    if (known->rider != row->rider &&
        !readings_limits(look->db, look->arena, row->rider, &known->limits, err)) {
        return false;
    }
    known->rider = row->rider;
    if (!facts_of_ride_in(look->db, look->arena, &ride, &facts, err) ||
        !readings_are_current(look->db, look->arena, row->id, &source, &facts, &known->limits,
                              &are_current, err)) {
        return false;
    }
    return are_current ? jobs_drop(look->db, JOB_READ, "recording", row->id, err)
                       : ask_read(look, row, err);
}

static bool rebuild_month(struct look *look, const struct ride_row *row, const char *day,
                          struct error *err)
{
    char month[8] = { 0 };
    if (day == NULL || !row->is_ride) {
        return true;
    }
    memcpy(month, day, 7);
    return best_months_rebuild(look->db, look->arena, row->rider, month, err);
}

/* A recording without an offset of its own lies on the day of its rider's zone. */
static bool move_day(struct look *look, struct ride_row *row, struct error *err)
{
    const struct recording start = { .has_start_utc = true, .start_utc = row->start_utc_s };
    const char *was = row->local_day;
    const char *day = NULL;
    if (row->has_utc_offset || !row->has_start_utc) {
        return true;
    }
    if (!recordings_day(look->db, look->arena, row->rider, &start, &day, err)) {
        return false;
    }
    if (was != NULL && strcmp(was, day) == 0) {
        return true;
    }
    row->local_day = day;
    return db_run(look->db, "UPDATE recording SET local_day = $1 WHERE id = $2",
                  DB_ARGS(db_text(day), db_integer(row->id)), err) &&
           readings_move(look->db, row->id, day, err) && rebuild_month(look, row, was, err) &&
           rebuild_month(look, row, day, err);
}

static bool look_at_days(struct look *look, int64_t rider, const char *from_day, const char *to_day,
                         struct error *err)
{
    const bool all = from_day == NULL;
    const struct ride_query query = { rider, from_day, to_day, true, all };
    struct known known = { 0 };
    struct ride_row *rows = NULL;
    size_t count = 0;
    if (!recordings_list(look->db, look->arena, &query, &rows, &count, err) ||
        !usual_ask(look->db, rider, from_day, look->now_utc_s, err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        if ((all && !move_day(look, &rows[i], err)) || !compare(look, &known, &rows[i], err)) {
            return false;
        }
    }
    return true;
}

static bool look_at_recording(struct look *look, int64_t id, bool is_settled, struct error *err)
{
    struct ride_row row = { 0 };
    struct known known = { 0 };
    int64_t *ids = NULL;
    size_t count = 0;
    if (!recordings_row(look->db, look->arena, id, &row, err)) {
        return err->kind == ERROR_NOT_FOUND; /* its rider was forgotten */
    }
    if (is_settled && (!readings_limits(look->db, look->arena, row.rider, &known.limits, err) ||
                       !same_ride_settle_again(look->db, look->arena, id, &known.limits, true,
                                               look->now_utc_s, err) ||
                       !recordings_row(look->db, look->arena, id, &row, err))) {
        return false;
    }
    if (!same_ride_recordings(look->db, look->arena, &row, &ids, &count, err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        if (!recordings_row(look->db, look->arena, ids[i], &row, err) ||
            !compare(look, &known, &row, err) ||
            !usual_ask(look->db, row.rider, row.local_day, look->now_utc_s, err)) {
            return false;
        }
    }
    return true;
}

/* Which session a ride is hangs on the rides of the days before it. */
static bool look_around(struct look *look, int64_t id, struct error *err)
{
    struct ride_row row = { 0 };
    if (!recordings_row(look->db, look->arena, id, &row, err)) {
        return err->kind == ERROR_NOT_FOUND; /* its rider was forgotten */
    }
    return row.local_day == NULL ||
           look_at_days(look, row.rider, row.local_day,
                        entry_day_after(look->arena, row.local_day, 1 + came_back_reach_most()),
                        err);
}

/* A rider each: one transaction must not hold everybody up for long. */
static bool ask_riders(struct db *db, struct arena *arena, int64_t now_utc_s, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena, "SELECT id FROM rider ORDER BY id", "i", DB_NONE, &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        if (!rereading_ask_look(db, "rider", db_integer_at(&rows, i, 0), now_utc_s, err)) {
            return false;
        }
    }
    return true;
}

static bool look_at_change(struct look *look, int64_t change, struct error *err)
{
    struct touched *touched = NULL;
    size_t count = 0;
    if (!touched_by(look->db, look->arena, change, &touched, &count, err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        const struct touched *one = &touched[i];
        const bool done =
            one->recording > 0 ? look_at_recording(look, one->recording, one->is_settled, err)
            : one->rider > 0   ? look_at_days(look, one->rider, one->from_day, one->to_day, err)
                               : ask_riders(look->db, look->arena, look->now_utc_s, err);
        if (!done) {
            return false;
        }
    }
    return true;
}

static bool next_look(struct look *look, struct error *err)
{
    struct job *jobs = NULL;
    size_t count = 0;
    if (!jobs_list(look->db, look->arena, JOB_LOOK, JOBS_AT_ONCE_MOST, &jobs, &count, err)) {
        return false;
    }
    /* One that fails again and again is listed, and stands in nobody's way. */
    for (size_t i = 0; i < count && !look->found; i++) {
        look->found = jobs[i].tries < JOBS_TRIES_MOST;
        look->job = jobs[i];
    }
    return true;
}

static bool look_once(struct db *db, void *context, struct error *err)
{
    struct look *look = context;
    look->db = db;
    look->n_asked = 0;
    look->found = false;
    if (!next_look(look, err)) {
        return false;
    }
    if (!look->found) {
        return true;
    }
    const struct job *job = &look->job;
    if (strcmp(job->subject_kind, "change") == 0) {
        if (!look_at_change(look, job->subject, err)) {
            return false;
        }
    } else if (strcmp(job->subject_kind, "rider") == 0) {
        if (!look_at_days(look, job->subject, NULL, NULL, err)) {
            return false;
        }
    } else if (strcmp(job->subject_kind, LOOK_AROUND) == 0) {
        if (!look_around(look, job->subject, err)) {
            return false;
        }
    } else if (!look_at_recording(look, job->subject, false, err)) {
        return false;
    }
    return jobs_drop(db, JOB_LOOK, job->subject_kind, job->subject, err);
}

struct failure {
    const struct job *job;
    const char *message;
};

static bool note_failure(struct db *db, void *context, struct error *err)
{
    const struct failure *failure = context;
    return db_run(db, "UPDATE job SET tries = tries + 1, last_error = $2 WHERE id = $1",
                  DB_ARGS(db_integer(failure->job->id), db_text(failure->message)), err);
}

/* ---- all of them ---- */

static int by_priority(const void *left, const void *right)
{
    const struct ordered_job *a = left;
    const struct ordered_job *b = right;
    if (a->priority != b->priority) {
        return a->priority < b->priority ? -1 : 1;
    }
    return (a->id > b->id) - (a->id < b->id);
}

static void put_in_order(struct arena *arena, struct ordered_job *jobs, size_t count,
                         struct rereading_jobs *out)
{
    if (count > 0) {
        qsort(jobs, count, sizeof jobs[0], by_priority);
    }
    out->ids = ARENA_ARRAY(arena, int64_t, count);
    out->count = 0;
    for (size_t i = 0; i < count; i++) {
        if (i == 0 || jobs[i].id != jobs[i - 1].id) {
            out->ids[out->count++] = jobs[i].id;
        }
    }
}

bool rereading_look(struct roster *roster, struct arena *arena, struct roster_now now,
                    struct rereading_jobs *asked, struct error *err)
{
    struct db *db = roster_db(roster);
    struct ordered_job *all = NULL;
    size_t count = 0;
    size_t capacity = 0;
    bool done = true;
    for (bool more = true; more && done;) {
        struct arena *scratch = arena_open();
        struct look look = { .arena = scratch, .now_utc_s = now.utc_s };
        struct error failed = { 0 };
        if (db_write(db, look_once, &look, &failed)) {
            more = look.found;
            for (size_t i = 0; i < look.n_asked; i++) {
                all = arena_grow(arena, all, count, &capacity, sizeof all[0]);
                all[count++] = look.asked[i];
            }
        } else if (look.found && failed.kind != ERROR_BUSY) {
            struct failure failure = { &look.job, failed.message };
            done = db_write(db, note_failure, &failure, err);
        } else {
            *err = failed;
            done = false;
        }
        arena_close(scratch);
    }
    put_in_order(arena, all, count, asked);
    return done;
}

bool rereading_waiting(struct roster *roster, struct arena *arena, bool with_given_up,
                       struct rereading_jobs *out, struct error *err)
{
    struct job *jobs = NULL;
    size_t count = 0;
    *out = (struct rereading_jobs){ 0 };
    if (!jobs_list(roster_db(roster), arena, JOB_READ, SIZE_MAX >> 1, &jobs, &count, err)) {
        return false;
    }
    out->ids = ARENA_ARRAY(arena, int64_t, count);
    for (size_t i = 0; i < count; i++) {
        if (with_given_up || jobs[i].tries < JOBS_TRIES_MOST) {
            out->ids[out->count++] = jobs[i].id;
        }
    }
    return true;
}

/* ---- another version ---- */

struct version_check {
    struct arena *arena;
    int64_t now_utc_s;
    bool is_newer;
};

static bool check_version(struct db *db, void *context, struct error *err)
{
    struct version_check *check = context;
    struct db_rows rows = { 0 };
    char version[READINGS_VERSION_SIZE];
    readings_version(version);
    if (!db_query(db, check->arena, "SELECT content FROM setting WHERE name = $1", "T",
                  DB_ARGS(db_text(VERSION_NAME)), &rows, err)) {
        return false;
    }
    const char *known = rows.count > 0 ? db_text_at(&rows, 0, 0) : NULL;
    if (known != NULL && strcmp(known, version) == 0) {
        return true;
    }
    /* Of a roster without any version every ride was read by this program, or by one that didn't
     * say so: looking is cheap. */
    check->is_newer = true;
    return ask_riders(db, check->arena, check->now_utc_s, err) &&
           db_run(db,
                  "INSERT INTO setting (name, content) VALUES ($1, $2) ON CONFLICT (name) DO "
                  "UPDATE SET content = excluded.content",
                  DB_ARGS(db_text(VERSION_NAME), db_text(version)), err);
}

static bool version_is_known(struct db *db, void *context, struct error *err)
{
    struct version_check *check = context;
    struct db_rows rows = { 0 };
    char version[READINGS_VERSION_SIZE];
    readings_version(version);
    if (!db_query(db, check->arena, "SELECT content FROM setting WHERE name = $1", "T",
                  DB_ARGS(db_text(VERSION_NAME)), &rows, err)) {
        return false;
    }
    const char *known = rows.count > 0 ? db_text_at(&rows, 0, 0) : NULL;
    check->is_newer = known == NULL || strcmp(known, version) != 0;
    return true;
}

bool rereading_ask_if_newer(struct roster *roster, struct arena *arena, struct roster_now now,
                            bool *is_newer, struct error *err)
{
    struct version_check check = { arena, now.utc_s, false };
    struct db *db = roster_db(roster);
    /* Nearly always there is nothing to write. */
    if (!db_read(db, version_is_known, &check, err)) {
        return false;
    }
    *is_newer = check.is_newer;
    check.is_newer = false;
    return !*is_newer || db_write(db, check_version, &check, err);
}
