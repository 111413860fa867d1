/* roster/came_back.c: sessions given, and the rides that came back. */
#include "roster/came_back.h"

#include "base/dates.h"
#include "roster/facts.h"
#include "roster/readings.h"
#include "roster/recordings.h"

#include <string.h>

enum { WEEK_DAYS = 7 };

struct span_of_days {
    int64_t from;
    int64_t to; /* the first day that no longer counts */
};

struct gathered {
    struct db *db;
    struct arena *arena;
    int64_t rider;
    int64_t today;
    struct limits limits;
    struct came_session *sessions; /* [n_sessions] given or done, by day */
    struct session *steps;         /* [n_sessions] */
    bool *is_told;                 /* [n_sessions] */
    size_t n_sessions;
    struct came_ride *rides; /* [n_rides] by day */
    size_t n_rides;
};

static bool is_given(const struct rider_session *row)
{
    return strcmp(row->state, "given") == 0 || strcmp(row->state, "done") == 0;
}

/* entries are by day */
static bool gather_sessions(struct gathered *g, struct span_of_days days, struct error *err)
{
    struct rider_session *rows = NULL;
    size_t count = 0;
    if (!entries_read(g->db, g->arena, &session_kind, g->rider, &rows, &count, err)) {
        return false;
    }
    g->sessions = ARENA_ARRAY(g->arena, struct came_session, count + 1);
    g->steps = ARENA_ARRAY(g->arena, struct session, count + 1);
    g->is_told = ARENA_ARRAY(g->arena, bool, count + 1);
    for (size_t i = 0; i < count; i++) {
        const int64_t day = dates_day_number(rows[i].day);
        if (!is_given(&rows[i]) || day < days.from || day >= days.to) {
            continue;
        }
        if (!sessions_steps(g->arena, &rows[i], &g->steps[g->n_sessions], err)) {
            return false;
        }
        g->sessions[g->n_sessions++].row = rows[i];
    }
    return true;
}

static bool is_near_a_session(const struct gathered *g, int64_t day)
{
    const int64_t reach = (int64_t)g->limits.value[LIMIT_CAME_BACK_DAYS];
    for (size_t i = 0; i < g->n_sessions; i++) {
        const int64_t off = dates_day_number(g->sessions[i].row.day) - day;
        if (off <= reach && off >= -reach) {
            return true;
        }
    }
    return false;
}

static bool gather_ride(struct gathered *g, const struct ride_row *row, struct error *err)
{
    struct rider_facts facts;
    struct recording *recording = arena_alloc(g->arena, 1, sizeof *recording);
    const struct ride_facts place = { .rider = row->rider,
                                      .day = row->local_day,
                                      .recording = row->id };
    if (!facts_of_ride_in(g->db, g->arena, &place, &facts, err) ||
        !recordings_load_effort(g->db, g->arena, row, recording, err)) {
        return false;
    }
    g->rides[g->n_rides++] = (struct came_ride){ .ride = row->id,
                                                 .day = dates_day_number(row->local_day),
                                                 .recording = recording,
                                                 .threshold_w = facts.threshold_w };
    return true;
}

/* Rides that may be one of them, up to today. */
static bool gather_rides(struct gathered *g, struct span_of_days days, struct error *err)
{
    char from[11];
    char to[11];
    struct ride_row *rows = NULL;
    size_t count = 0;
    const int64_t end = days.to <= g->today ? days.to : g->today + 1;
    if (g->n_sessions == 0 || end <= days.from) {
        return true;
    }
    dates_format_day(days.from, from);
    dates_format_day(end, to);
    const struct ride_query query = { .rider = g->rider, .from_day = from, .to_day = to };
    if (!recordings_list(g->db, g->arena, &query, &rows, &count, err)) {
        return false;
    }
    g->rides = ARENA_ARRAY(g->arena, struct came_ride, count + 1);
    for (size_t i = 0; i < count; i++) {
        if (rows[i].is_ride && rows[i].local_day != NULL &&
            is_near_a_session(g, dates_day_number(rows[i].local_day)) &&
            !gather_ride(g, &rows[i], err)) {
            return false;
        }
    }
    return true;
}

static void take_ride(struct gathered *g, int64_t ride)
{
    for (size_t i = 0; i < g->n_rides; i++) {
        g->rides[i].is_taken = g->rides[i].is_taken || g->rides[i].ride == ride;
    }
}

static void tell_one(struct gathered *g, size_t i, const struct came_ride rides[], size_t n)
{
    struct came_session *one = &g->sessions[i];
    const struct came_ask ask = { .session = &g->steps[i],
                                  .day = dates_day_number(one->row.day),
                                  .today = g->today,
                                  .said = strcmp(one->row.state, "done") == 0 ? CAME_SAID_DONE
                                                                              : CAME_SAID_NOTHING,
                                  .rides = rides,
                                  .n_rides = n };
    came_back_read(g->arena, &ask, &g->limits, &one->came);
}

/* The rides of one day: [*first, returned). */
static size_t rides_of_day(const struct gathered *g, int64_t day, size_t *first)
{
    *first = 0;
    while (*first < g->n_rides && g->rides[*first].day < day) {
        (*first)++;
    }
    size_t end = *first;
    while (end < g->n_rides && g->rides[end].day == day) {
        end++;
    }
    return end;
}

/* First those of their own day, then, by day, what moved; a ride is of one session only. */
static void tell_all(struct gathered *g)
{
    for (size_t i = 0; i < g->n_sessions; i++) {
        size_t first = 0;
        const size_t end = rides_of_day(g, dates_day_number(g->sessions[i].row.day), &first);
        if (end == first) {
            continue;
        }
        tell_one(g, i, &g->rides[first], end - first);
        g->is_told[i] = g->sessions[i].came.outcome == CAME_RIDDEN;
        if (g->is_told[i]) {
            take_ride(g, g->sessions[i].came.ride);
        }
    }
    for (size_t i = 0; i < g->n_sessions; i++) {
        if (!g->is_told[i]) {
            tell_one(g, i, g->rides, g->n_rides);
            if (g->sessions[i].came.outcome == CAME_MOVED) {
                take_ride(g, g->sessions[i].came.ride);
            }
        }
    }
}

bool came_back_list_in(struct db *db, struct arena *arena, int64_t rider, const char *from_day,
                       const char *to_day, const char *today, struct came_session **out,
                       size_t *count, struct error *err)
{
    struct gathered g = {
        .db = db, .arena = arena, .rider = rider, .today = dates_day_number(today)
    };
    const struct span_of_days asked = { dates_day_number(from_day), dates_day_number(to_day) };
    *out = NULL;
    *count = 0;
    if (!readings_limits(db, arena, rider, &g.limits, err)) {
        return false;
    }
    /* Sessions around may claim a ride, and rides around them be it. */
    const int64_t reach = (int64_t)g.limits.value[LIMIT_CAME_BACK_DAYS];
    if (!gather_sessions(&g, (struct span_of_days){ asked.from - reach, asked.to + reach }, err) ||
        !gather_rides(&g, (struct span_of_days){ asked.from - 2 * reach, asked.to + 2 * reach },
                      err)) {
        return false;
    }
    tell_all(&g);
    for (size_t i = 0; i < g.n_sessions; i++) {
        const int64_t day = dates_day_number(g.sessions[i].row.day);
        if (day >= asked.from && day < asked.to) {
            g.sessions[(*count)++] = g.sessions[i];
        }
    }
    *out = g.sessions;
    return true;
}

struct wish {
    struct arena *arena;
    int64_t rider;
    const char *from_day;
    const char *to_day;
    const char *today;
    struct came_session *out;
    size_t count;
};

static bool ask(struct db *db, void *context, struct error *err)
{
    struct wish *q = context;
    return came_back_list_in(db, q->arena, q->rider, q->from_day, q->to_day, q->today, &q->out,
                             &q->count, err);
}

bool came_back_list(struct roster *roster, struct arena *arena, int64_t rider, const char *from_day,
                    const char *to_day, const char *today, struct came_session **out, size_t *count,
                    struct error *err)
{
    struct wish q = { arena, rider, from_day, to_day, today, NULL, 0 };
    const bool done = db_read(roster_db(roster), ask, &q, err);
    *out = q.out;
    *count = q.count;
    return done;
}

bool came_back_of(struct roster *roster, struct arena *arena, int64_t rider,
                  const struct rider_session *row, const char *today, struct came_back *out,
                  bool *found, struct error *err)
{
    struct came_session *all = NULL;
    size_t count = 0;
    *found = false;
    if (!is_given(row)) {
        return true;
    }
    if (!came_back_list(roster, arena, rider, row->day, entry_day_after(arena, row->day, 1), today,
                        &all, &count, err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        if (all[i].row.entry.id == row->entry.id) {
            *out = all[i].came;
            *found = true;
        }
    }
    return true;
}

bool came_back_counts(struct roster *roster, struct arena *arena, int64_t rider, const char *today,
                      struct came_counts *out, int *weeks, struct error *err)
{
    struct limits limits;
    struct came_session *all = NULL;
    size_t count = 0;
    *out = (struct came_counts){ 0 };
    if (!readings_limits(roster_db(roster), arena, rider, &limits, err)) {
        return false;
    }
    *weeks = (int)limits.value[LIMIT_CAME_BACK_WEEKS];
    const char *end = entry_day_after(arena, today, 1);
    if (!came_back_list(roster, arena, rider, entry_day_after(arena, end, -*weeks * WEEK_DAYS), end,
                        today, &all, &count, err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        came_counts_add(out, &all[i].came);
    }
    return true;
}

/* ---- missed in a row ---- */

/* The sessions given whose day passed without any ride, counted from the newest back, as far as
 * they go without one that had a ride: nearly always none. */
static bool without_ride(struct db *db, struct arena *arena, int64_t rider, const char *from_day,
                         const char *today, size_t *count, struct error *err)
{
    struct db_rows rows = { 0 };
    *count = 0;
    if (!db_query(db, arena,
                  "SELECT s.state, (SELECT COUNT(*) FROM recording r WHERE r.rider = s.rider AND "
                  "r.local_day = s.day AND r.same_as IS NULL AND r.is_ride) FROM session s WHERE "
                  "s.rider = $1 AND s.day >= $2 AND s.day < $3 AND s.state IN ('given', 'done') "
                  "ORDER BY s.day DESC, s.id DESC",
                  "ti", DB_ARGS(db_integer(rider), db_text(from_day), db_text(today)), &rows,
                  err)) {
        return false;
    }
    while (*count < rows.count && strcmp(db_text_at(&rows, *count, 0), "given") == 0 &&
           db_integer_at(&rows, *count, 1) == 0) {
        (*count)++;
    }
    return true;
}

bool came_back_missed(struct db *db, struct arena *arena, int64_t rider, const char *today,
                      int64_t days[], size_t most, size_t *count, struct error *err)
{
    struct limits limits;
    struct came_session *all = NULL;
    size_t n = 0;
    *count = 0;
    if (!readings_limits(db, arena, rider, &limits, err)) {
        return false;
    }
    const int64_t weeks = (int64_t)limits.value[LIMIT_CAME_BACK_WEEKS];
    const char *from_day = entry_day_after(arena, today, -weeks * WEEK_DAYS);
    if (!without_ride(db, arena, rider, from_day, today, &n, err)) {
        return false;
    }
    if ((double)n < limits.value[LIMIT_ATTENTION_MISSED]) {
        return true;
    }
    if (!came_back_list_in(db, arena, rider, from_day, today, today, &all, &n, err)) {
        return false;
    }
    for (size_t i = n; i > 0 && *count < most && all[i - 1].came.outcome == CAME_MISSED; i--) {
        days[(*count)++] = dates_day_number(all[i - 1].row.day);
    }
    return true;
}
