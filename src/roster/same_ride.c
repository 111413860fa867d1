/* roster/same_ride.c: two devices on one ride are one ride. */
#include "roster/same_ride.h"

#include "base/dates.h"
#include "roster/best_months.h"
#include "roster/pack.h"
#include "roster/recordings.h"
#include "roster/rereading.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A day of the zone and a recording's longest length away from where it began in UTC. */
enum { DAYS_AROUND = 4 };

struct member {
    struct ride_row row;
    int cover_pct;
    int64_t same_as; /* as settled */
};

struct group {
    struct member *items;
    size_t count;
    size_t capacity;
};

static int format_rank(const char *format)
{
    return strcmp(format, "fit") == 0 ? 0 : strcmp(format, "gpx") == 0 ? 1 : 2;
}

int64_t same_ride_common_s(const struct ride_row *a, const struct ride_row *b)
{
    const int64_t a_end = a->start_utc_s + (int64_t)a->n_seconds;
    const int64_t b_end = b->start_utc_s + (int64_t)b->n_seconds;
    const int64_t from = a->start_utc_s > b->start_utc_s ? a->start_utc_s : b->start_utc_s;
    const int64_t to = a_end < b_end ? a_end : b_end;
    return a->has_start_utc && b->has_start_utc && to > from ? to - from : 0;
}

static bool is_same_ride(const struct ride_row *a, const struct ride_row *b, double overlap_pct)
{
    const int64_t common_s = same_ride_common_s(a, b);
    const size_t shorter = a->n_seconds < b->n_seconds ? a->n_seconds : b->n_seconds;
    return a->is_ride == b->is_ride && common_s > 0 &&
           (double)common_s * 100.0 >= overlap_pct * (double)shorter;
}

static void add_member(struct arena *arena, struct group *group, const struct ride_row *row)
{
    group->items =
        arena_grow(arena, group->items, group->count, &group->capacity, sizeof group->items[0]);
    group->items[group->count++] = (struct member){ .row = *row };
}

/* The rider's recordings around a member, each with whether it is in the group. */
struct around {
    int64_t from; /* days since 1970; from = to: nothing was asked for yet */
    int64_t to;
    struct ride_row *rows; /* by start, those without one last */
    bool *taken;           /* [count] */
    size_t count;
};

static bool has_member(const struct group *group, int64_t id)
{
    for (size_t i = 0; i < group->count; i++) {
        if (group->items[i].row.id == id) {
            return true;
        }
    }
    return false;
}

/* Asks once for all members of one day: a widened range holds what the narrower one held. */
static bool look_around(struct db *db, struct arena *arena, const struct group *group,
                        const struct ride_row *row, struct around *around, struct error *err)
{
    const struct civil civil = dates_civil_from_utc(row->start_utc_s);
    const int64_t day = dates_days_from_civil(civil.year, civil.month, civil.day);
    const bool is_new = around->from == around->to;
    const bool reaches =
        !is_new && around->from <= day - DAYS_AROUND && around->to >= day + DAYS_AROUND;
    char from[11];
    char to[11];
    if (reaches) {
        return true;
    }
    around->from = is_new || around->from > day - DAYS_AROUND ? day - DAYS_AROUND : around->from;
    around->to = is_new || around->to < day + DAYS_AROUND ? day + DAYS_AROUND : around->to;
    dates_format_day(around->from, from);
    dates_format_day(around->to, to);
    const struct ride_query query = { row->rider, from, to, true, false };
    if (!recordings_list(db, arena, &query, &around->rows, &around->count, err)) {
        return false;
    }
    around->taken = ARENA_ARRAY(arena, bool, around->count);
    for (size_t i = 0; i < around->count; i++) {
        around->taken[i] = has_member(group, around->rows[i].id);
    }
    return true;
}

/* Everything that is linked to the first member, near or far. */
static bool gather(struct db *db, struct arena *arena, double overlap_pct, struct group *group,
                   struct error *err)
{
    struct around around = { 0 };
    for (size_t i = 0; i < group->count; i++) {
        const struct ride_row row = group->items[i].row;
        const int64_t end = row.start_utc_s + (int64_t)row.n_seconds;
        if (!look_around(db, arena, group, &row, &around, err)) {
            return false;
        }
        for (size_t k = 0; k < around.count; k++) {
            const struct ride_row *near = &around.rows[k];
            if (!near->has_start_utc || near->start_utc_s >= end) {
                break;
            }
            if (!around.taken[k] && is_same_ride(&row, near, overlap_pct)) {
                around.taken[k] = true;
                add_member(arena, group, near);
            }
        }
    }
    return true;
}

static bool read_cover(struct db *db, struct arena *scratch, const struct ride_row *row,
                       double *cover, struct error *err)
{
    struct db_rows rows = { 0 };
    struct recording recording = recording_unknown();
    *cover = 0.0;
    if (!db_query(db, scratch,
                  "SELECT channel, content, mask FROM series WHERE recording = $1 AND channel IN "
                  "('paused', 'power_w') ORDER BY channel DESC",
                  "txX", DB_ARGS(db_integer(row->id)), &rows, err)) {
        return false;
    }
    if (rows.count == 0 || strcmp(db_text_at(&rows, 0, 0), "power_w") != 0) {
        return true;
    }
    recording.n_seconds = row->n_seconds;
    recording.paused = ARENA_ARRAY(scratch, uint8_t, row->n_seconds);
    recording.mask[CHANNEL_POWER] = ARENA_ARRAY(scratch, uint8_t, row->n_seconds);
    /* Which seconds are usable is all in the mask: the values need not be unpacked. */
    recording.value[CHANNEL_POWER] = ARENA_ARRAY(scratch, int32_t, 1);
    if ((!db_is_null(&rows, 0, 2) &&
         !pack_read_mask(scratch, db_blob_at(&rows, 0, 2), row->n_seconds,
                         &recording.mask[CHANNEL_POWER], err)) ||
        (rows.count > 1 && !pack_read_mask(scratch, db_blob_at(&rows, 1, 1), row->n_seconds,
                                           &recording.paused, err))) {
        return false;
    }
    *cover = recording_coverage(&recording, CHANNEL_POWER);
    return true;
}

/* In whole per cent; 0 without power. */
static bool find_cover(struct db *db, struct member *member, struct error *err)
{
    struct arena *scratch = arena_open();
    double cover = 0.0;
    const bool done = read_cover(db, scratch, &member->row, &cover, err);
    member->cover_pct = isnan(cover) ? 0 : (int)lround(cover * 100.0);
    arena_close(scratch);
    return done;
}

static bool counts_by_hand(const struct member *member)
{
    return member->row.same_by_hand && member->row.same_as == 0;
}

/* The one that counts first; the last rules only make the order whole. */
static int by_rank(const void *left, const void *right)
{
    const struct member *a = left;
    const struct member *b = right;
    if (counts_by_hand(a) != counts_by_hand(b)) {
        return counts_by_hand(a) ? -1 : 1;
    }
    if (a->cover_pct != b->cover_pct) {
        return a->cover_pct > b->cover_pct ? -1 : 1;
    }
    const int formats = format_rank(a->row.format) - format_rank(b->row.format);
    if (formats != 0) {
        return formats;
    }
    if (a->row.n_seconds != b->row.n_seconds) {
        return a->row.n_seconds > b->row.n_seconds ? -1 : 1;
    }
    if (a->row.start_utc_s != b->row.start_utc_s) {
        return a->row.start_utc_s < b->row.start_utc_s ? -1 : 1;
    }
    const int bytes = memcmp(a->row.sha256, b->row.sha256, sizeof a->row.sha256);
    return bytes != 0 ? bytes : (a->row.part > b->row.part) - (a->row.part < b->row.part);
}

static void settle(struct group *group, double overlap_pct)
{
    for (size_t i = 0; i < group->count; i++) {
        struct member *member = &group->items[i];
        if (member->row.same_by_hand) {
            member->same_as = member->row.same_as; /* the coach's word stands */
            continue;
        }
        for (size_t k = 0; k < i && member->same_as == 0; k++) {
            const struct member *better = &group->items[k];
            if (better->same_as == 0 && is_same_ride(&better->row, &member->row, overlap_pct)) {
                member->same_as = better->row.id;
            }
        }
    }
}

/* A ride alone: its month takes it in. */
static bool add_alone(struct db *db, struct arena *arena, const struct ride_row *row,
                      struct error *err)
{
    char month[8] = { 0 };
    struct best_curve curve = { 0 };
    struct db_rows rows = { 0 };
    if (!row->is_ride || row->local_day == NULL) {
        return true;
    }
    memcpy(month, row->local_day, 7);
    if (!db_query(db, arena, "SELECT work_j, at_least FROM best_curve WHERE recording = $1", "xx",
                  DB_ARGS(db_integer(row->id)), &rows, err)) {
        return false;
    }
    if (rows.count == 0) {
        return true;
    }
    return pack_count(db_blob_at(&rows, 0, 0), &curve.count, err) &&
           pack_read_series(arena, db_blob_at(&rows, 0, 0), curve.count, INT32_MIN, &curve.work_j,
                            err) &&
           pack_read_mask(arena, db_blob_at(&rows, 0, 1), curve.count, &curve.marks, err) &&
           best_months_add(db, arena, row->rider, month, row->id, row->start_utc_s, &curve, err);
}

static bool is_in_month(const struct ride_row *row, const char month[8])
{
    return row->is_ride && row->local_day != NULL && strncmp(row->local_day, month, 7) == 0;
}

/* A month of which a ride came or went is made again, once; where only the newcomer came it is
 * taken in. */
static bool renew_months(struct db *db, struct arena *arena, const struct group *group,
                         int64_t newcomer, struct error *err)
{
    const struct ride_row *added = NULL;
    for (size_t i = 0; i < group->count; i++) {
        const struct member *member = &group->items[i];
        const bool counts = member->same_as == 0;
        added = member->row.id == newcomer && counts ? &member->row : added;
    }
    for (size_t i = 0; i < group->count; i++) {
        const struct member *member = &group->items[i];
        const bool counted = member->row.same_as == 0;
        if (member->row.id == newcomer || counted == (member->same_as == 0) ||
            !member->row.is_ride || member->row.local_day == NULL) {
            continue;
        }
        char month[8] = { 0 };
        memcpy(month, member->row.local_day, 7);
        if (!best_months_rebuild(db, arena, member->row.rider, month, err)) {
            return false;
        }
        added = added != NULL && is_in_month(added, month) ? NULL : added;
    }
    return added == NULL || add_alone(db, arena, added, err);
}

static bool move(struct db *db, const struct member *member, int64_t now_utc_s, struct error *err)
{
    const int64_t was = member->row.same_as;
    return db_run(db, "UPDATE recording SET same_as = $1 WHERE id = $2",
                  DB_ARGS(member->same_as == 0 ? db_null(DB_INTEGER) : db_integer(member->same_as),
                          db_integer(member->row.id)),
                  err) &&
           rereading_ask_look(db, "recording", member->row.id, now_utc_s, err) &&
           (was == 0 || rereading_ask_look(db, "recording", was, now_utc_s, err));
}

/* Writes what changed. */
static bool write_down(struct db *db, struct arena *arena, const struct group *group,
                       int64_t newcomer, int64_t now_utc_s, struct error *err)
{
    for (size_t i = 0; i < group->count; i++) {
        const struct member *member = &group->items[i];
        if (member->same_as != member->row.same_as && !move(db, member, now_utc_s, err)) {
            return false;
        }
    }
    return renew_months(db, arena, group, newcomer, err);
}

static bool settle_group(struct db *db, double overlap_pct, struct group *group, struct error *err)
{
    for (size_t i = 0; i < group->count; i++) {
        if (!find_cover(db, &group->items[i], err)) {
            return false;
        }
    }
    qsort(group->items, group->count, sizeof group->items[0], by_rank);
    settle(group, overlap_pct);
    return true;
}

bool same_ride_settle(struct db *db, struct arena *arena, int64_t recording,
                      const struct limits *limits, int64_t now_utc_s, int64_t *same_as,
                      struct error *err)
{
    const double overlap_pct = limits->value[LIMIT_SAME_RIDE_OVERLAP_PCT];
    struct group group = { 0 };
    struct ride_row row = { 0 };
    *same_as = 0;
    if (!recordings_row(db, arena, recording, &row, err)) {
        return false;
    }
    add_member(arena, &group, &row);
    if (!row.has_start_utc || row.local_day == NULL) {
        return true;
    }
    if (!gather(db, arena, overlap_pct, &group, err)) {
        return false;
    }
    if (group.count == 1) {
        return add_alone(db, arena, &row, err);
    }
    if (!settle_group(db, overlap_pct, &group, err)) {
        return false;
    }
    for (size_t i = 0; i < group.count; i++) {
        *same_as = group.items[i].row.id == recording ? group.items[i].same_as : *same_as;
    }
    return write_down(db, arena, &group, recording, now_utc_s, err);
}

bool same_ride_settle_again(struct db *db, struct arena *arena, int64_t recording,
                            const struct limits *limits, bool was_read, int64_t now_utc_s,
                            struct error *err)
{
    const double overlap_pct = limits->value[LIMIT_SAME_RIDE_OVERLAP_PCT];
    struct group group = { 0 };
    struct ride_row row = { 0 };
    char month[8] = { 0 };
    if (!recordings_row(db, arena, recording, &row, err)) {
        return false;
    }
    add_member(arena, &group, &row);
    if (row.has_start_utc && row.local_day != NULL &&
        !gather(db, arena, overlap_pct, &group, err)) {
        return false;
    }
    if (group.count == 1) {
        group.items[0].same_as = row.same_by_hand ? row.same_as : 0;
    } else if (!settle_group(db, overlap_pct, &group, err)) {
        return false;
    }
    if (!write_down(db, arena, &group, 0, now_utc_s, err)) {
        return false;
    }
    if (!was_read || !row.is_ride || row.local_day == NULL) {
        return true;
    }
    memcpy(month, row.local_day, 7);
    return best_months_rebuild(db, arena, row.rider, month, err);
}
