/* roster/same_ride_hand.c: what a coach says of the recordings of a ride. */
#include "roster/same_ride.h"

#include "base/dates.h"
#include "roster/best_months.h"
#include "roster/changes.h"

#include <string.h>

/* Recordings of one ride overlap; their local days may differ by their clocks' offsets. */
enum { DAYS_AROUND = 2 };

bool same_ride_recordings(struct db *db, struct arena *arena, const struct ride_row *row,
                          int64_t **out, size_t *count, struct error *err)
{
    const int64_t main = row->same_as == 0 ? row->id : row->same_as;
    struct db_rows rows = { 0 };
    int64_t days = 0;
    char from[11];
    char to[11];
    if (row->local_day == NULL || !dates_parse_day(row->local_day, &days)) {
        days = 0; /* without a day a recording is alone */
    }
    dates_format_day(days - DAYS_AROUND, from);
    dates_format_day(days + DAYS_AROUND + 1, to);
    if (!db_query(db, arena,
                  "SELECT r.id FROM recording r WHERE r.id = $1 OR r.id = $2 OR (r.rider = $3 AND "
                  "r.local_day >= $4 AND r.local_day < $5 AND r.same_as = $2) ORDER BY CASE WHEN "
                  "r.id = $2 THEN 0 ELSE 1 END, r.id",
                  "i",
                  DB_ARGS(db_integer(row->id), db_integer(main), db_integer(row->rider),
                          db_text(from), db_text(to)),
                  &rows, err)) {
        return false;
    }
    *out = ARENA_ARRAY(arena, int64_t, rows.count);
    *count = rows.count;
    for (size_t i = 0; i < rows.count; i++) {
        (*out)[i] = db_integer_at(&rows, i, 0);
    }
    return true;
}

struct work {
    struct arena *arena;
    struct roster_now now;
    int64_t recording;
    bool is_split;
    const char **said;
};

static const char *ride_name(struct arena *arena, const struct ride_row *row)
{
    return row->local_day == NULL
               ? arena_format(arena, "%lld", (long long)row->id)
               : arena_format(arena, "%lld of %s", (long long)row->id, row->local_day);
}

/* The whole ride is then as the coach said: what is imported later joins it, and changes none. */
static bool write_same(struct change *change, int64_t recording, int64_t same_as, struct error *err)
{
    const struct edit edits[] = {
        { "same_as", same_as == 0 ? db_null(DB_INTEGER) : db_integer(same_as) },
        { "same_by_hand", db_bool(true) },
    };
    return changes_edit(change, "recording", recording, 0, edits, 2, err);
}

static bool rebuild_months(struct db *db, struct arena *arena, const int64_t ids[], size_t count,
                           struct error *err)
{
    for (size_t i = 0; i < count; i++) {
        struct ride_row row = { 0 };
        char month[8] = { 0 };
        if (!recordings_row(db, arena, ids[i], &row, err)) {
            return false;
        }
        if (!row.is_ride || row.local_day == NULL) {
            continue;
        }
        memcpy(month, row.local_day, 7);
        if (!best_months_rebuild(db, arena, row.rider, month, err)) {
            return false;
        }
    }
    return true;
}

static bool write_down(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    struct arena *arena = work->arena;
    struct ride_row row = { 0 };
    struct change change = { 0 };
    int64_t *ids = NULL;
    size_t count = 0;
    if (!recordings_row(db, arena, work->recording, &row, err) ||
        !same_ride_recordings(db, arena, &row, &ids, &count, err)) {
        return false;
    }
    const char *name = ride_name(arena, &row);
    if (count < 2) {
        return error_set(err, ERROR_NOT_FOUND, "ride %s: it has one recording only", name);
    }
    if (work->is_split && row.same_as == 0 && count > 2) {
        return error_set(err, ERROR_CONFLICT,
                         "ride %s: it stands for %zu others; say first which of them is to "
                         "(recordings RIDE --main), then split it off",
                         name, count - 1);
    }
    const int64_t main = ids[0];
    *work->said =
        work->is_split
            ? arena_format(arena, "Ride %s is a ride of its own (was the same as %lld)", name,
                           (long long)(row.same_as == 0 ? ids[1] : main))
            : arena_format(arena, "Ride %s stands for its ride (was %lld)", name, (long long)main);
    if (!changes_begin(db, arena, work->now, *work->said, &change, err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        const bool is_it = ids[i] == row.id;
        const bool both_count = work->is_split && (ids[i] == main || count == 2);
        const int64_t other = work->is_split ? main : row.id;
        if (!write_same(&change, ids[i], is_it || both_count ? 0 : other, err)) {
            return false;
        }
    }
    return rebuild_months(db, arena, ids, count, err);
}

bool same_ride_choose(struct roster *roster, struct arena *arena, struct roster_now now,
                      const struct ride_row *row, const char **said, struct error *err)
{
    struct work work = { arena, now, row->id, false, said };
    return db_write(roster_db(roster), write_down, &work, err);
}

bool same_ride_split(struct roster *roster, struct arena *arena, struct roster_now now,
                     const struct ride_row *row, const char **said, struct error *err)
{
    struct work work = { arena, now, row->id, true, said };
    return db_write(roster_db(roster), write_down, &work, err);
}
