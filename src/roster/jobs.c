/* roster/jobs.c: work that waits, so that nothing is forgotten when a program stops. */
#include "roster/jobs.h"

#include <sodium.h>

#define COLUMNS                                                                                    \
    "id, kind, subject_kind, subject, priority, tries, asked_utc_s, lease_by, "                    \
    "lease_until_utc_s, last_error"
#define SHAPE "ittiiiiTIT"

static struct job job_at(const struct db_rows *rows, size_t i)
{
    return (struct job){
        .id = db_integer_at(rows, i, 0),
        .kind = db_text_at(rows, i, 1),
        .subject_kind = db_text_at(rows, i, 2),
        .subject = db_integer_at(rows, i, 3),
        .priority = db_integer_at(rows, i, 4),
        .tries = db_integer_at(rows, i, 5),
        .asked_utc_s = db_integer_at(rows, i, 6),
        .lease_by = db_text_at(rows, i, 7),
        .lease_until_utc_s = db_integer_at(rows, i, 8),
        .last_error = db_text_at(rows, i, 9),
    };
}

bool jobs_ask(struct db *db, struct arena *arena, const struct job *wish, int64_t now_utc_s,
              int64_t *id, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "INSERT INTO job (kind, subject_kind, subject, priority, tries, asked_utc_s) "
                  "VALUES ($1, $2, $3, $4, 0, $5) ON CONFLICT (kind, subject_kind, subject) DO "
                  "UPDATE SET priority = CASE WHEN excluded.kind = 'usual' AND job.priority < "
                  "excluded.priority THEN job.priority ELSE excluded.priority END, tries = 0, "
                  "lease_until_utc_s = NULL, lease_by = NULL, last_error = NULL, asked_utc_s = "
                  "excluded.asked_utc_s "
                  "RETURNING id",
                  "i",
                  DB_ARGS(db_text(wish->kind), db_text(wish->subject_kind),
                          db_integer(wish->subject), db_integer(wish->priority),
                          db_integer(now_utc_s)),
                  &rows, err)) {
        return false;
    }
    *id = db_integer_at(&rows, 0, 0);
    return true;
}

bool jobs_drop(struct db *db, const char *kind, const char *subject_kind, int64_t subject,
               struct error *err)
{
    return db_run(db, "DELETE FROM job WHERE kind = $1 AND subject_kind = $2 AND subject = $3",
                  DB_ARGS(db_text(kind), db_text(subject_kind), db_integer(subject)), err);
}

bool jobs_list(struct db *db, struct arena *arena, const char *kind, size_t n, struct job **out,
               size_t *count, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT " COLUMNS " FROM job WHERE kind = $1 OR CAST($1 AS TEXT) IS NULL ORDER "
                  "BY priority, id LIMIT $2",
                  SHAPE, DB_ARGS(db_text(kind), db_integer((int64_t)n)), &rows, err)) {
        return false;
    }
    *out = ARENA_ARRAY(arena, struct job, rows.count);
    for (size_t i = 0; i < rows.count; i++) {
        (*out)[i] = job_at(&rows, i);
    }
    *count = rows.count;
    return true;
}

bool jobs_count(struct db *db, struct arena *arena, const char *kind, size_t *count,
                struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT CAST(COUNT(*) AS BIGINT) FROM job WHERE kind = $1 OR CAST($1 AS TEXT) IS "
                  "NULL",
                  "i", DB_ARGS(db_text(kind)), &rows, err)) {
        return false;
    }
    *count = (size_t)db_integer_at(&rows, 0, 0);
    return true;
}

const char *jobs_name(struct arena *arena)
{
    return arena_format(arena, "%08x%08x", randombytes_random(), randombytes_random());
}

/* ---- claiming ---- */

static bool take(const struct db_rows *rows, struct job *out, bool *is_mine)
{
    *is_mine = rows->count > 0;
    if (*is_mine) {
        *out = job_at(rows, 0);
    }
    return true;
}

bool jobs_claim(struct db *db, struct arena *arena, const struct job_claim *claim, int64_t id,
                struct job *out, bool *is_mine, struct error *err)
{
    struct db_rows rows = { 0 };
    return db_query(db, arena,
                    "UPDATE job SET lease_by = $2, lease_until_utc_s = $3, tries = tries + 1 WHERE "
                    "id = $1 AND (lease_by IS NULL OR lease_until_utc_s <= $4) RETURNING " COLUMNS,
                    SHAPE,
                    DB_ARGS(db_integer(id), db_text(claim->by),
                            db_integer(claim->now_utc_s + JOBS_LEASE_S),
                            db_integer(claim->now_utc_s)),
                    &rows, err) &&
           take(&rows, out, is_mine);
}

bool jobs_claim_next(struct db *db, struct arena *arena, const struct job_claim *claim,
                     const char *kind, struct job *out, bool *is_mine, struct error *err)
{
    struct db_rows rows = { 0 };
    return db_query(db, arena,
                    "UPDATE job SET lease_by = $2, lease_until_utc_s = $3, tries = tries + 1 WHERE "
                    "id = (SELECT j.id FROM job j WHERE j.kind = $1 AND j.tries < $5 AND "
                    "(j.lease_until_utc_s IS NULL OR j.lease_until_utc_s <= $4) ORDER BY "
                    "j.priority, j.id LIMIT 1) RETURNING " COLUMNS,
                    SHAPE,
                    DB_ARGS(db_text(kind), db_text(claim->by),
                            db_integer(claim->now_utc_s + JOBS_LEASE_S),
                            db_integer(claim->now_utc_s), db_integer(JOBS_TRIES_MOST)),
                    &rows, err) &&
           take(&rows, out, is_mine);
}

/* ---- its end ---- */

/* The count of tries tells a second claim by the same run from the first. */
#define MINE " WHERE id = $1 AND lease_by = $2 AND tries = $3"

bool jobs_finish(struct db *db, struct arena *arena, const struct job *job, bool *was_mine,
                 struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena, "DELETE FROM job" MINE " RETURNING id", "i",
                  DB_ARGS(db_integer(job->id), db_text(job->lease_by), db_integer(job->tries)),
                  &rows, err)) {
        return false;
    }
    *was_mine = rows.count > 0;
    return true;
}

bool jobs_fail(struct db *db, const struct job *job, int64_t now_utc_s, const char *message,
               struct error *err)
{
    int64_t wait_s = JOBS_WAIT_S;
    for (int64_t i = 1; i < job->tries && i < JOBS_TRIES_MOST; i++) {
        wait_s *= 4;
    }
    return db_run(db,
                  "UPDATE job SET lease_by = NULL, lease_until_utc_s = $4, last_error = $5" MINE,
                  DB_ARGS(db_integer(job->id), db_text(job->lease_by), db_integer(job->tries),
                          db_integer(now_utc_s + wait_s), db_text(message)),
                  err);
}

bool jobs_release(struct db *db, const struct job *job, struct error *err)
{
    return db_run(
        db, "UPDATE job SET lease_by = NULL, lease_until_utc_s = NULL, tries = tries - 1" MINE,
        DB_ARGS(db_integer(job->id), db_text(job->lease_by), db_integer(job->tries)), err);
}
