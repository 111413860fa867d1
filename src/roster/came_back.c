/* roster/came_back.c: sessions given, and the rides that came back. */
#include "roster/came_back.h"

#include "base/dates.h"
#include "coaching/came_match.h"
#include "roster/readings.h"
#include "roster/rereading.h"
#include "roster/same_ride.h"

#include <math.h>
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
    struct rider_session *sessions;     /* [n_sessions] given or done, by day */
    struct came_match_session *matched; /* [n_sessions] */
    size_t n_sessions;
    struct ride_row *rides; /* [n_rides] by day */
    struct arena **held;    /* [n_rides] a ride at hand has one of its own, to be let go; NULL */
    int64_t *days;          /* [n_rides] */
    size_t n_rides;
    /* a ride that may not be stored yet stands among them */
    const struct came_ride *own; /* NULL = none */
    size_t own_at;
    struct came_match_rides from;
    struct came_match *match;
};

/* entries are by day */
static bool gather_sessions(struct gathered *g, struct span_of_days days, struct error *err)
{
    struct rider_session *rows = NULL;
    size_t count = 0;
    if (!entries_read(g->db, g->arena, &session_kind, g->rider, &rows, &count, err)) {
        return false;
    }
    g->sessions = ARENA_ARRAY(g->arena, struct rider_session, count + 1);
    g->matched = ARENA_ARRAY(g->arena, struct came_match_session, count + 1);
    for (size_t i = 0; i < count; i++) {
        const int64_t day = dates_day_number(rows[i].day);
        struct session *steps = arena_alloc(g->arena, 1, sizeof *steps);
        if (!session_is_given(&rows[i]) || day < days.from || day >= days.to) {
            continue;
        }
        if (!sessions_steps(g->arena, &rows[i], steps, err)) {
            return false;
        }
        g->matched[g->n_sessions] =
            (struct came_match_session){ steps, day, strcmp(rows[i].state, "done") == 0 };
        g->sessions[g->n_sessions++] = rows[i];
    }
    return true;
}

/* ---- rides ---- */

static bool load_ride(void *context, size_t i, struct came_ride *out, struct error *err)
{
    struct gathered *g = context;
    if (g->own != NULL && i == g->own_at) {
        *out = *g->own;
        return true;
    }
    const struct ride_row *row = &g->rides[i];
    double threshold_w = (double)NAN;
    const struct ride_facts place = { .rider = row->rider,
                                      .day = row->local_day,
                                      .recording = row->id };
    struct arena *arena = g->held[i] = arena_open();
    struct recording *recording = arena_alloc(arena, 1, sizeof *recording);
    if (!facts_threshold_of_ride_in(g->db, arena, &place, &threshold_w, err) ||
        !recordings_load_effort(g->db, arena, row, recording, err)) {
        return false;
    }
    *out = (struct came_ride){ row->id, g->days[i], recording, threshold_w };
    return true;
}

static void let_go(void *context, size_t i)
{
    struct gathered *g = context;
    arena_close(g->held[i]);
    g->held[i] = NULL;
}

/* Of a ride that isn't stored the start is known by its recording (put_own). */
static bool at_once(void *context, size_t a, size_t b)
{
    const struct gathered *g = context;
    return same_ride_common_s(&g->rides[a], &g->rides[b]) > 0;
}

/* Rides that may be one of them, up to today. */
static bool gather_rides(struct gathered *g, struct span_of_days days, struct error *err)
{
    char from[11];
    char to[11];
    struct ride_row *rows = NULL;
    size_t count = 0;
    const int64_t end = days.to <= g->today ? days.to : g->today + 1;
    g->from = (struct came_match_rides){
        .load = load_ride, .let_go = let_go, .at_once = at_once, .context = g
    };
    if (g->n_sessions == 0 || end <= days.from) {
        return true;
    }
    dates_format_day(days.from, from);
    dates_format_day(end, to);
    const struct ride_query query = { .rider = g->rider, .from_day = from, .to_day = to };
    if (!recordings_list(g->db, g->arena, &query, &rows, &count, err)) {
        return false;
    }
    g->rides = ARENA_ARRAY(g->arena, struct ride_row, count + 1);
    g->days = ARENA_ARRAY(g->arena, int64_t, count + 1);
    for (size_t i = 0; i < count; i++) {
        if (rows[i].is_ride && rows[i].local_day != NULL) {
            g->days[g->n_rides] = dates_day_number(rows[i].local_day);
            g->rides[g->n_rides++] = rows[i];
        }
    }
    return true;
}

/* Lists are by start; a traveller's local days may be in another order. */
static void sort_rides(struct gathered *g)
{
    for (size_t i = 1; i < g->n_rides; i++) {
        for (size_t k = i; k > 0 && g->days[k - 1] > g->days[k]; k--) {
            const struct ride_row row = g->rides[k];
            const int64_t day = g->days[k];
            g->rides[k] = g->rides[k - 1];
            g->days[k] = g->days[k - 1];
            g->rides[k - 1] = row;
            g->days[k - 1] = day;
        }
    }
}

static void begin_match(struct gathered *g)
{
    g->held = ARENA_ARRAY(g->arena, struct arena *, g->n_rides + 1);
    g->from.days = g->days;
    g->from.n = g->n_rides;
    g->match =
        came_match_begin(g->arena, g->matched, g->n_sessions, &g->from, g->today, &g->limits);
}

static void end_match(struct gathered *g)
{
    for (size_t i = 0; g->held != NULL && i < g->n_rides; i++) {
        arena_close(g->held[i]);
    }
    g->held = NULL;
}

/* Everything that the sessions of these days rest on. */
static bool gather(struct gathered *g, struct span_of_days days, struct error *err)
{
    const int64_t reach = (int64_t)g->limits.value[LIMIT_CAME_BACK_DAYS];
    const struct span_of_days wide = { days.from - CAME_MATCH_BEFORE * reach,
                                       days.to + CAME_MATCH_AFTER * reach };
    if (!gather_sessions(g, wide, err) || !gather_rides(g, wide, err)) {
        return false;
    }
    sort_rides(g);
    begin_match(g);
    return true;
}

static bool begin(struct gathered *g, struct db *db, struct arena *arena, int64_t rider,
                  const char *today, struct error *err)
{
    *g = (struct gathered){
        .db = db, .arena = arena, .rider = rider, .today = dates_day_number(today)
    };
    return readings_limits(db, arena, rider, &g->limits, err);
}

/* ---- lists ---- */

struct wish {
    struct arena *arena;
    int64_t rider;
    struct span_of_days days;
    const char *today;
    struct came_session *out;
    size_t count;
    struct came_weeks *weeks; /* NULL = not wanted */
};

static bool is_within(int64_t day, struct span_of_days days)
{
    return day >= days.from && day < days.to;
}

static bool tell_all(struct gathered *g, struct wish *wish, struct span_of_days weeks,
                     struct error *err)
{
    const int64_t reach = (int64_t)g->limits.value[LIMIT_CAME_BACK_DAYS];
    wish->out = ARENA_ARRAY(g->arena, struct came_session, g->n_sessions + 1);
    for (size_t i = 0; i < g->n_sessions; i++) {
        const int64_t day = g->matched[i].day;
        struct came_session one = { .row = g->sessions[i] };
        if (!is_within(day, wish->days) && !is_within(day, weeks)) {
            continue;
        }
        if (!came_match_tell(g->match, i, &one.came, err)) {
            return false;
        }
        came_match_let_go(g->match, day - CAME_MATCH_BEFORE * reach);
        if (is_within(day, wish->days)) {
            wish->out[wish->count++] = one;
        }
        if (is_within(day, weeks)) {
            came_counts_add(&wish->weeks->counts, &one.came);
        }
    }
    return true;
}

static bool ask(struct db *db, void *context, struct error *err)
{
    struct wish *wish = context;
    struct gathered g;
    struct span_of_days weeks = { 0, 0 };
    if (!begin(&g, db, wish->arena, wish->rider, wish->today, err)) {
        return false;
    }
    struct span_of_days all = wish->days;
    if (wish->weeks != NULL) {
        *wish->weeks = (struct came_weeks){ .weeks = (int)g.limits.value[LIMIT_CAME_BACK_WEEKS] };
        weeks.to = g.today + 1;
        weeks.from = weeks.to - (int64_t)wish->weeks->weeks * WEEK_DAYS;
        all.from = weeks.from < all.from ? weeks.from : all.from;
        all.to = weeks.to > all.to ? weeks.to : all.to;
    }
    const bool done = gather(&g, all, err) && tell_all(&g, wish, weeks, err);
    end_match(&g);
    return done;
}

bool came_back_list(struct roster *roster, struct arena *arena, int64_t rider, const char *from_day,
                    const char *to_day, const char *today, struct came_session **out, size_t *count,
                    struct came_weeks *weeks, struct error *err)
{
    struct wish wish = { .arena = arena,
                         .rider = rider,
                         .days = { dates_day_number(from_day), dates_day_number(to_day) },
                         .today = today,
                         .weeks = weeks };
    const bool done = db_read(roster_db(roster), ask, &wish, err);
    *out = wish.out;
    *count = wish.count;
    return done;
}

bool came_back_of(struct roster *roster, struct arena *arena, int64_t rider,
                  const struct rider_session *row, const char *today, struct came_back *out,
                  bool *found, struct error *err)
{
    struct came_session *all = NULL;
    size_t count = 0;
    *found = false;
    if (!session_is_given(row)) {
        return true;
    }
    if (!came_back_list(roster, arena, rider, row->day, entry_day_after(arena, row->day, 1), today,
                        &all, &count, NULL, err)) {
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

/* ---- of a ride ---- */

struct ride_wish {
    struct arena *arena;
    const struct ride_row *ride;
    const char *today;
    struct came_session *out;
    bool found;
};

/* Sessions of one day; one that the ride came back of wins over one that it was only held against.
 */
static bool tell_of_day(struct gathered *g, int64_t day, struct ride_wish *wish, struct error *err)
{
    for (size_t i = 0; i < g->n_sessions; i++) {
        struct came_session one = { .row = g->sessions[i] };
        if (g->matched[i].day != day) {
            continue;
        }
        if (!came_match_tell(g->match, i, &one.came, err)) {
            return false;
        }
        if (one.came.ride == wish->ride->id &&
            (!wish->found || wish->out->came.outcome == CAME_CHANGED)) {
            *wish->out = one;
            wish->found = true;
        }
    }
    return true;
}

static bool ask_of_ride(struct db *db, void *context, struct error *err)
{
    struct ride_wish *wish = context;
    struct gathered g;
    if (!begin(&g, db, wish->arena, wish->ride->rider, wish->today, err)) {
        return false;
    }
    const int64_t day = dates_day_number(wish->ride->local_day);
    const int64_t reach = (int64_t)g.limits.value[LIMIT_CAME_BACK_DAYS];
    bool done = gather(&g, (struct span_of_days){ day - reach, day + reach + 1 }, err);
    for (int64_t off = 0; done && off <= reach; off++) {
        done = tell_of_day(&g, day - off, wish, err) &&
               (off == 0 || tell_of_day(&g, day + off, wish, err));
        if (wish->found && wish->out->came.outcome != CAME_CHANGED) {
            break;
        }
    }
    end_match(&g);
    return done;
}

bool came_back_of_ride(struct roster *roster, struct arena *arena, const struct ride_row *ride,
                       const char *today, struct came_session *out, bool *found, struct error *err)
{
    struct ride_wish wish = { arena, ride, today, out, false };
    *found = false;
    if (ride->local_day == NULL || !ride->is_ride || ride->same_as != 0) {
        return true;
    }
    const bool done = db_read(roster_db(roster), ask_of_ride, &wish, err);
    *found = wish.found;
    return done;
}

struct came_line came_back_line_of(const struct came_session *session)
{
    return (struct came_line){ session->row.entry.id, session->row.day, session->row.name,
                               &session->came };
}

bool came_back_line(struct roster *roster, struct arena *arena, const struct ride_row *ride,
                    const char *today, const struct came_line **out, struct error *err)
{
    struct came_session *session = arena_alloc(arena, 1, sizeof *session);
    bool found = false;
    *out = NULL;
    if (!came_back_of_ride(roster, arena, ride, today, session, &found, err)) {
        return false;
    }
    if (found) {
        struct came_line *line = arena_alloc(arena, 1, sizeof *line);
        *line = came_back_line_of(session);
        *out = line;
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

/* From the last back, as long as they were missed: what lies before the first that wasn't is not
 * looked at. */
static bool tell_missed(struct gathered *g, struct span_of_days days, int64_t out[], size_t most,
                        size_t *count, struct error *err)
{
    for (size_t i = g->n_sessions; i > 0 && *count < most; i--) {
        struct came_back came;
        if (!is_within(g->matched[i - 1].day, days)) {
            continue;
        }
        if (!came_match_tell(g->match, i - 1, &came, err)) {
            return false;
        }
        if (came.outcome != CAME_MISSED) {
            return true;
        }
        out[(*count)++] = g->matched[i - 1].day;
    }
    return true;
}

bool came_back_missed(struct db *db, struct arena *arena, int64_t rider, const char *today,
                      int64_t days[], size_t most, size_t *count, struct error *err)
{
    struct gathered g;
    size_t n = 0;
    *count = 0;
    if (!begin(&g, db, arena, rider, today, err)) {
        return false;
    }
    const int64_t weeks = (int64_t)g.limits.value[LIMIT_CAME_BACK_WEEKS];
    const char *from_day = entry_day_after(arena, today, -weeks * WEEK_DAYS);
    if (!without_ride(db, arena, rider, from_day, today, &n, err)) {
        return false;
    }
    if ((double)n < g.limits.value[LIMIT_ATTENTION_MISSED]) {
        return true;
    }
    const struct span_of_days span = { dates_day_number(from_day), g.today };
    const bool done = gather(&g, span, err) && tell_missed(&g, span, days, most, count, err);
    end_match(&g);
    return done;
}

/* ---- for readings ---- */

struct facts_wish {
    struct arena *arena;
    const struct ride_facts *place;
    const struct recording *recording;
    const struct limits *limits;
    struct rider_facts *out;
};

/* The recording stands among the others as the last of its day that began no later; another
 * recording of the same ride gives way to it. */
static void put_own(struct gathered *g, const struct came_ride *own, int64_t same_as,
                    const struct recording *recording)
{
    size_t kept = 0;
    for (size_t i = 0; i < g->n_rides; i++) {
        if (g->rides[i].id != own->ride && (same_as == 0 || g->rides[i].id != same_as)) {
            g->days[kept] = g->days[i];
            g->rides[kept++] = g->rides[i];
        }
    }
    size_t at = kept;
    while (at > 0 && (g->days[at - 1] > own->day ||
                      (g->days[at - 1] == own->day && recording->has_start_utc &&
                       g->rides[at - 1].start_utc_s > recording->start_utc))) {
        g->days[at] = g->days[at - 1];
        g->rides[at] = g->rides[at - 1];
        at--;
    }
    g->days[at] = own->day;
    g->rides[at] = (struct ride_row){ .id = own->ride,
                                      .has_start_utc = recording->has_start_utc,
                                      .start_utc_s = recording->start_utc,
                                      .n_seconds = recording->n_seconds };
    g->own = own;
    g->own_at = at;
    g->n_rides = kept + 1;
}

/* What it is another recording of; 0 = nothing. */
static bool main_of(struct db *db, struct arena *arena, int64_t recording, int64_t *same_as,
                    struct error *err)
{
    struct ride_row row = { 0 };
    *same_as = 0;
    if (recording == 0) {
        return true;
    }
    if (!recordings_row(db, arena, recording, &row, err)) {
        return false;
    }
    *same_as = row.same_as;
    return true;
}

static void add_moved(struct arena *arena, const struct gathered *g, size_t session,
                      struct rider_facts *out)
{
    struct given_session *given = ARENA_ARRAY(arena, struct given_session, out->n_given + 1);
    for (size_t i = 0; i < out->n_given; i++) {
        given[i] = out->given[i];
    }
    given[out->n_given] = (struct given_session){ .session = g->matched[session].session,
                                                  .kind = g->sessions[session].kind,
                                                  .words = g->sessions[session].words,
                                                  .is_moved = true };
    out->given = given;
    out->n_given++;
}

static bool find_moved(struct db *db, void *context, struct error *err)
{
    struct facts_wish *wish = context;
    const struct ride_facts *place = wish->place;
    struct gathered g;
    size_t session = 0;
    int64_t same_as = 0;
    if (!begin(&g, db, wish->arena, place->rider, place->day, err) ||
        !main_of(db, wish->arena, place->recording, &same_as, err)) {
        return false;
    }
    g.limits = *wish->limits;
    const int64_t reach = (int64_t)g.limits.value[LIMIT_CAME_BACK_DAYS];
    const struct span_of_days span = { g.today - 2 * reach, g.today + 1 };
    const struct came_ride own = { place->recording, g.today, wish->recording,
                                   wish->out->threshold_w };
    if (!gather_sessions(&g, span, err) || !gather_rides(&g, span, err)) {
        return false;
    }
    if (g.n_sessions == 0) {
        return true;
    }
    if (g.days == NULL) {
        g.days = ARENA_ARRAY(g.arena, int64_t, 1);
        g.rides = ARENA_ARRAY(g.arena, struct ride_row, 1);
    }
    sort_rides(&g);
    put_own(&g, &own, same_as, wish->recording);
    begin_match(&g);
    const bool done = came_match_session_of(g.match, g.own_at, &session, err);
    end_match(&g);
    if (done && session < g.n_sessions && g.matched[session].day < g.today) {
        add_moved(wish->arena, &g, session, wish->out);
    }
    return done;
}

bool came_back_facts(struct roster *roster, struct arena *arena, const struct ride_facts *place,
                     const struct recording *recording, const struct limits *limits,
                     struct rider_facts *out, struct error *err)
{
    struct facts_wish wish = { arena, place, recording, limits, out };
    return facts_of_ride(roster, arena, place, out, err) &&
           (out->near == NULL || !recording->is_ride || came_back_is_asked(out) ||
            db_read(roster_db(roster), find_moved, &wish, err));
}

int64_t came_back_reach_most(void)
{
    return 2 * (int64_t)limits_row(LIMIT_CAME_BACK_DAYS)->highest;
}

bool came_back_is_near(struct db *db, struct arena *arena, int64_t rider, const char *day,
                       bool *near, struct error *err)
{
    struct db_rows rows = { 0 };
    const int64_t reach = came_back_reach_most();
    *near = false;
    if (!db_query(db, arena,
                  "SELECT COUNT(*) FROM session WHERE rider = $1 AND day >= $2 AND day < $3 AND "
                  "state IN ('given', 'done')",
                  "i",
                  DB_ARGS(db_integer(rider), db_text(entry_day_after(arena, day, -reach)),
                          db_text(entry_day_after(arena, day, reach))),
                  &rows, err)) {
        return false;
    }
    *near = db_integer_at(&rows, 0, 0) > 0;
    return true;
}

bool came_back_look_around(struct db *db, struct arena *arena, int64_t recording, int64_t now_utc_s,
                           struct error *err)
{
    struct ride_row row = { 0 };
    bool near = false;
    if (!recordings_row(db, arena, recording, &row, err)) {
        return false;
    }
    if (row.local_day == NULL || !row.is_ride) {
        return true;
    }
    return came_back_is_near(db, arena, row.rider, row.local_day, &near, err) &&
           (!near || rereading_ask_look(db, LOOK_AROUND, recording, now_utc_s, err));
}
