/* roster/best_months.c: the bests of a rider over any range of days. */
#include "roster/best_months.h"

#include "base/dates.h"
#include "roster/pack.h"

#include <stdio.h>
#include <string.h>

static bool is_our_grid(const char *grid, struct error *err)
{
    return strcmp(grid, BEST_GRID) == 0 ||
           error_set(err, ERROR_STORAGE,
                     "bests of the roster lie on another grid (%s); read its rides again", grid);
}

/* "2026-03" to its first day and the next month's. */
static void month_edges(const char *month, char first[11], char after[11])
{
    int64_t days = 0;
    snprintf(first, 11, "%.7s-01", month);
    if (!dates_parse_day(first, &days)) {
        days = 0; /* no month: an empty one, long before any ride */
    }
    const struct civil civil = dates_civil_from_utc(days * 86400);
    dates_format_day(days, first);
    dates_format_day(civil.month == 12 ? dates_days_from_civil(civil.year + 1, 1, 1)
                                       : dates_days_from_civil(civil.year, civil.month + 1, 1),
                     after);
}

static bool curve_at(struct arena *arena, struct bytes work_j, struct bytes marks,
                     struct best_curve *out, struct error *err)
{
    size_t n = 0;
    if (!pack_count(work_j, &n, err)) {
        return false;
    }
    if (n > BEST_GRID_MOST) {
        return error_set(err, ERROR_STORAGE, "a curve of bests in the roster is damaged");
    }
    out->count = n;
    return pack_read_series(arena, work_j, n, INT32_MIN, &out->work_j, err) &&
           pack_read_mask(arena, marks, n, &out->marks, err);
}

/* The curves of the rides of some days, one by one. */
static bool add_rides(struct db *db, struct arena *arena, int64_t rider, const char *from_day,
                      const char *to_day, struct best_envelope *envelope, struct error *err)
{
    struct db_rows rows = { 0 };
    if (strcmp(from_day, to_day) >= 0) {
        return true;
    }
    if (!db_query(db, arena,
                  "SELECT r.id, r.start_utc_s, b.grid, b.work_j, b.at_least FROM recording r JOIN "
                  "best_curve b ON b.recording = r.id WHERE r.rider = $1 AND r.local_day >= $2 AND "
                  "r.local_day < $3 AND r.same_as IS NULL ORDER BY r.id",
                  "iitxx", DB_ARGS(db_integer(rider), db_text(from_day), db_text(to_day)), &rows,
                  err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        struct best_curve curve = { 0 };
        if (!is_our_grid(db_text_at(&rows, i, 2), err) ||
            !curve_at(arena, db_blob_at(&rows, i, 3), db_blob_at(&rows, i, 4), &curve, err)) {
            return false;
        }
        best_envelope_add(envelope, &curve, db_integer_at(&rows, i, 0), db_integer_at(&rows, i, 1));
    }
    return true;
}

/* ---- one month ---- */

static bool store_month(struct db *db, struct arena *arena, int64_t rider, const char *month,
                        const struct best_envelope *envelope, struct error *err)
{
    int32_t *ids = ARENA_ARRAY(arena, int32_t, envelope->count);
    for (size_t i = 0; i < envelope->count; i++) {
        if (envelope->recording[i] > INT32_MAX) {
            return error_set(err, ERROR_INTERNAL, "more rides than the roster can number");
        }
        ids[i] = (int32_t)envelope->recording[i];
    }
    return db_run(
        db,
        "INSERT INTO best_month (rider, month, grid, work_j, recordings) VALUES ($1, $2, $3, $4, "
        "$5) ON CONFLICT (rider, month) DO UPDATE SET grid = excluded.grid, work_j = "
        "excluded.work_j, recordings = excluded.recordings",
        DB_ARGS(db_integer(rider), db_text(month), db_text(BEST_GRID),
                db_blob(pack_series(arena, envelope->work_j, envelope->count, INT32_MIN)),
                db_blob(pack_series(arena, ids, envelope->count, INT32_MIN))),
        err);
}

/* A kept month as an envelope, without marks.  Ids and their starts come from the rides. */
static bool month_at(struct arena *arena, const struct db_rows *rows, size_t i,
                     struct best_envelope *out, struct error *err)
{
    const struct bytes work_j = db_blob_at(rows, i, 2);
    int32_t *work = NULL;
    int32_t *ids = NULL;
    size_t n = 0;
    if (!is_our_grid(db_text_at(rows, i, 1), err) || !pack_count(work_j, &n, err)) {
        return false;
    }
    if (n > BEST_GRID_MOST) {
        return error_set(err, ERROR_STORAGE, "a month of bests in the roster is damaged");
    }
    if (!pack_read_series(arena, work_j, n, INT32_MIN, &work, err) ||
        !pack_read_series(arena, db_blob_at(rows, i, 3), n, INT32_MIN, &ids, err)) {
        return false;
    }
    *out = (struct best_envelope){ .count = n };
    for (size_t k = 0; k < n; k++) {
        out->work_j[k] = work[k];
        out->recording[k] = ids[k];
    }
    return true;
}

/* When rides began: of rides that hold a best there are few, and neighbours share them. */
static bool fill_starts(struct db *db, struct arena *arena, struct best_envelope *envelope,
                        struct error *err)
{
    for (size_t i = 0; i < envelope->count; i++) {
        size_t same = i > 0 && envelope->recording[i - 1] == envelope->recording[i] ? i - 1 : i;
        for (size_t k = 0; k < i && same == i; k++) {
            same = envelope->recording[k] == envelope->recording[i] ? k : i;
        }
        if (same < i) {
            envelope->start_utc_s[i] = envelope->start_utc_s[same];
            continue;
        }
        struct db_rows rows = { 0 };
        if (!db_query(db, arena, "SELECT start_utc_s FROM recording WHERE id = $1", "I",
                      DB_ARGS(db_integer(envelope->recording[i])), &rows, err)) {
            return false;
        }
        if (rows.count == 0) {
            return error_set(err, ERROR_STORAGE, "a month of bests names a ride that is gone");
        }
        envelope->start_utc_s[i] = db_integer_at(&rows, 0, 0);
    }
    return true;
}

#define MONTH_COLUMNS "month, grid, work_j, recordings"
#define MONTH_SHAPE   "ttxx"

bool best_months_add(struct db *db, struct arena *arena, int64_t rider, const char *month,
                     int64_t recording, int64_t start_utc_s, const struct best_curve *curve,
                     struct error *err)
{
    struct db_rows rows = { 0 };
    struct best_envelope *envelope = arena_alloc(arena, 1, sizeof *envelope);
    if (curve->count == 0) {
        return true;
    }
    if (!db_query(db, arena,
                  "SELECT " MONTH_COLUMNS " FROM best_month WHERE rider = $1 AND month = $2",
                  MONTH_SHAPE, DB_ARGS(db_integer(rider), db_text(month)), &rows, err) ||
        (rows.count > 0 &&
         (!month_at(arena, &rows, 0, envelope, err) || !fill_starts(db, arena, envelope, err)))) {
        return false;
    }
    best_envelope_add(envelope, curve, recording, start_utc_s);
    return store_month(db, arena, rider, month, envelope, err);
}

bool best_months_rebuild(struct db *db, struct arena *arena, int64_t rider, const char *month,
                         struct error *err)
{
    char first[11];
    char after[11];
    struct best_envelope *envelope = arena_alloc(arena, 1, sizeof *envelope);
    month_edges(month, first, after);
    if (!add_rides(db, arena, rider, first, after, envelope, err)) {
        return false;
    }
    return envelope->count > 0
               ? store_month(db, arena, rider, month, envelope, err)
               : db_run(db, "DELETE FROM best_month WHERE rider = $1 AND month = $2",
                        DB_ARGS(db_integer(rider), db_text(month)), err);
}

static bool same_values(const struct best_envelope *a, const struct best_envelope *b)
{
    bool same = a->count == b->count;
    for (size_t i = 0; same && i < a->count; i++) {
        same = a->work_j[i] == b->work_j[i] && a->recording[i] == b->recording[i];
    }
    return same;
}

bool best_months_agree(struct db *db, struct arena *arena, int64_t rider, const char *month,
                       bool *agrees, struct error *err)
{
    char first[11];
    char after[11];
    struct db_rows rows = { 0 };
    struct best_envelope *kept = arena_alloc(arena, 1, sizeof *kept);
    struct best_envelope *made = arena_alloc(arena, 1, sizeof *made);
    month_edges(month, first, after);
    if (!db_query(db, arena,
                  "SELECT " MONTH_COLUMNS " FROM best_month WHERE rider = $1 AND month = $2",
                  MONTH_SHAPE, DB_ARGS(db_integer(rider), db_text(month)), &rows, err) ||
        (rows.count > 0 && !month_at(arena, &rows, 0, kept, err)) ||
        !add_rides(db, arena, rider, first, after, made, err)) {
        return false;
    }
    *agrees = same_values(kept, made);
    return true;
}

/* ---- a range ---- */

/* Whole months [from_month, to_month): of equal work the earlier ride stays. */
static bool add_months(struct db *db, struct arena *arena, int64_t rider, const char *from_month,
                       const char *to_month, struct best_envelope *out, struct error *err)
{
    struct db_rows rows = { 0 };
    struct best_envelope *month = arena_alloc(arena, 1, sizeof *month);
    if (!db_query(db, arena,
                  "SELECT " MONTH_COLUMNS " FROM best_month WHERE rider = $1 AND month >= $2 AND "
                  "month < $3 ORDER BY month, id",
                  MONTH_SHAPE, DB_ARGS(db_integer(rider), db_text(from_month), db_text(to_month)),
                  &rows, err)) {
        return false;
    }
    for (size_t i = 0; i < rows.count; i++) {
        if (!month_at(arena, &rows, i, month, err)) {
            return false;
        }
        for (size_t k = 0; k < month->count; k++) {
            if (k >= out->count || month->work_j[k] > out->work_j[k]) {
                out->work_j[k] = month->work_j[k];
                out->recording[k] = month->recording[k];
            }
        }
        out->count = month->count > out->count ? month->count : out->count;
    }
    return true;
}

/* Marks of the bests that won; neighbours share their ride. */
static bool fill_marks(struct db *db, struct arena *arena, struct best_envelope *envelope,
                       struct error *err)
{
    bool done[BEST_GRID_MOST] = { false };
    for (size_t i = 0; i < envelope->count; i++) {
        struct db_rows rows = { 0 };
        struct best_curve curve = { 0 };
        if (done[i]) {
            continue;
        }
        if (!db_query(db, arena, "SELECT work_j, at_least FROM best_curve WHERE recording = $1",
                      "xx", DB_ARGS(db_integer(envelope->recording[i])), &rows, err)) {
            return false;
        }
        if (rows.count == 0) {
            return error_set(err, ERROR_STORAGE, "a month of bests names a ride without bests");
        }
        if (!curve_at(arena, db_blob_at(&rows, 0, 0), db_blob_at(&rows, 0, 1), &curve, err)) {
            return false;
        }
        for (size_t k = i; k < envelope->count && k < curve.count; k++) {
            if (envelope->recording[k] == envelope->recording[i]) {
                envelope->marks[k] = curve.marks[k];
                done[k] = true;
            }
        }
    }
    return true;
}

bool best_months_range(struct db *db, struct arena *arena, int64_t rider, const char *from_day,
                       const char *to_day, struct best_envelope *out, struct error *err)
{
    char first[11];
    char second[11]; /* of the month after from_day's */
    char last[11];   /* of to_day's month */
    char unused[11];
    *out = (struct best_envelope){ 0 };
    month_edges(from_day, first, second);
    month_edges(to_day, last, unused);
    const bool from_is_whole = strcmp(from_day, first) == 0;
    const char *whole_from = from_is_whole ? first : second;
    char from_month[8];
    char to_month[8];
    snprintf(from_month, sizeof from_month, "%.7s", whole_from);
    snprintf(to_month, sizeof to_month, "%.7s", last);
    const bool has_whole = strcmp(from_month, to_month) < 0;
    /* In the order of days: of equal work the earlier ride is meant. */
    const bool added = has_whole
                           ? add_rides(db, arena, rider, from_day, whole_from, out, err) &&
                                 add_months(db, arena, rider, from_month, to_month, out, err) &&
                                 fill_starts(db, arena, out, err) &&
                                 add_rides(db, arena, rider, last, to_day, out, err)
                           : add_rides(db, arena, rider, from_day, to_day, out, err);
    return added && fill_starts(db, arena, out, err) && fill_marks(db, arena, out, err);
}
