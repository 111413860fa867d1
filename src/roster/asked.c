/* roster/asked.c: what a ride was meant to be, said by the coach. */
#include "roster/asked.h"

#include "base/dates.h"
#include "base/text.h"
#include "coaching/session_text.h"
#include "coaching/words/kind_words.h"
#include "roster/came_back.h"
#include "roster/changes.h"
#include "roster/entries.h"
#include "roster/readings.h"

#include <math.h>
#include <sodium.h>
#include <string.h>

/* Recordings of one ride overlap; their local days may differ by their clocks' offsets. */
enum { DAYS_AROUND = 2 };

struct asked asked_nothing(void)
{
    const double none = (double)NAN;
    return (struct asked){ .target = { none, none, none, none }, .rep_duration_s = none };
}

bool asked_find(struct db *db, struct arena *arena, int64_t recording, struct asked *out,
                bool *found, struct error *err)
{
    struct db_rows of = { 0 };
    struct db_rows rows = { 0 };
    int64_t days = 0;
    char from[11];
    char to[11];
    *out = asked_nothing();
    *found = false;
    if (!db_query(db, arena,
                  "SELECT rider, COALESCE(same_as, id), local_day FROM recording WHERE id = $1",
                  "iiT", DB_ARGS(db_integer(recording)), &of, err)) {
        return false;
    }
    if (of.count == 0) {
        return true;
    }
    /* Without a day it is alone. */
    const char *day = db_text_at(&of, 0, 2);
    days = day != NULL && dates_parse_day(day, &days) ? days : 0;
    dates_format_day(days - DAYS_AROUND, from);
    dates_format_day(days + DAYS_AROUND + 1, to);
    /* The ride's recordings are those of same_ride_recordings. */
    if (!db_query(db, arena,
                  "SELECT a.id, a.recording, a.kind, a.low_pct, a.high_pct, a.low_w, a.high_w, "
                  "a.reps, a.rep_duration_s, a.was, a.spoiled_by, a.version FROM asked a WHERE "
                  "a.recording IN "
                  "(SELECT r.id FROM "
                  "recording r WHERE r.id = $1 OR r.id = $2 OR (r.rider = $3 AND r.local_day >= $4 "
                  "AND r.local_day < $5 AND r.same_as = $2)) ORDER BY CASE WHEN a.recording = $2 "
                  "THEN 0 ELSE 1 END, a.recording LIMIT 1",
                  "iitRRRRIRTTi",
                  DB_ARGS(db_integer(recording), db_integer(db_integer_at(&of, 0, 1)),
                          db_integer(db_integer_at(&of, 0, 0)), db_text(from), db_text(to)),
                  &rows, err)) {
        return false;
    }
    if (rows.count == 0) {
        return true;
    }
    *found = true;
    out->id = db_integer_at(&rows, 0, 0);
    out->version = db_integer_at(&rows, 0, 11);
    out->recording = db_integer_at(&rows, 0, 1);
    out->target = (struct target){ db_real_at(&rows, 0, 3), db_real_at(&rows, 0, 4),
                                   db_real_at(&rows, 0, 5), db_real_at(&rows, 0, 6) };
    out->reps = (int)db_integer_at(&rows, 0, 7);
    out->rep_duration_s = db_real_at(&rows, 0, 8);
    out->was = db_text_at(&rows, 0, 9);
    out->spoiled_by = db_text_at(&rows, 0, 10);
    /* A kind of another version is no kind that this one can judge by. */
    if (!work_kind_find(db_text_at(&rows, 0, 2), &out->kind)) {
        out->kind = KIND_UNKNOWN;
    }
    return true;
}

bool asked_on(struct db *db, struct arena *arena, int64_t recording, struct rider_facts *facts,
              struct error *err)
{
    struct asked asked;
    bool found = false;
    if (!asked_find(db, arena, recording, &asked, &found, err)) {
        return false;
    }
    if (found) {
        facts->kind = asked.kind;
        facts->target = asked.target;
        facts->reps_asked = asked.reps;
        facts->rep_duration_s = asked.rep_duration_s;
        facts->marked = asked.was != NULL;
    }
    return true;
}

bool asked_given(struct db *db, struct arena *arena, int64_t rider, const char *day,
                 struct rider_facts *facts, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT kind, words FROM session WHERE rider = $1 AND day = $2 AND state IN "
                  "('given', 'done') ORDER BY id",
                  "tt", DB_ARGS(db_integer(rider), db_text(day)), &rows, err)) {
        return false;
    }
    struct given_session *given = ARENA_ARRAY(arena, struct given_session, rows.count + 1);
    facts->given = given;
    facts->n_given = 0;
    for (size_t i = 0; i < rows.count; i++) {
        struct session *session = arena_alloc(arena, 1, sizeof *session);
        struct session_fault fault = { 0 };
        const char *words = db_text_at(&rows, i, 1);
        if (session_read(arena, words, session, &fault)) { /* saved words read */
            given[facts->n_given++] = (struct given_session){ .session = session,
                                                              .kind = db_text_at(&rows, i, 0),
                                                              .words = words };
        }
    }
    return true;
}

/* ---- what says whether a ride is a session that was moved ---- */

/* Of so many days before it, in a rider's limits; 0 = no session of them. */
static bool near_days(struct db *db, struct arena *arena, const struct ride_facts *ride,
                      struct db_rows *sessions, int64_t *days, struct error *err)
{
    struct limits limits;
    *days = 0;
    /* First as far as any rider's limits reach: mostly there is none, and then no limits needed. */
    const int64_t most = came_back_reach_most();
    if (!db_query(db, arena,
                  "SELECT day, kind, words FROM session WHERE rider = $1 AND day >= $2 AND day < "
                  "$3 AND state IN ('given', 'done') ORDER BY day, id",
                  "ttt",
                  DB_ARGS(db_integer(ride->rider),
                          db_text(entry_day_after(arena, ride->day, -most)), db_text(ride->day)),
                  sessions, err)) {
        return false;
    }
    if (sessions->count == 0) {
        return true;
    }
    if (!readings_limits(db, arena, ride->rider, &limits, err)) {
        return false;
    }
    const int64_t reach = (int64_t)limits.value[LIMIT_CAME_BACK_DAYS];
    const char *last = db_text_at(sessions, sessions->count - 1, 0);
    *days = strcmp(last, entry_day_after(arena, ride->day, -reach)) >= 0 ? 2 * reach : 0;
    return true;
}

/* Which ride a session is hangs on the other rides of those days, and on the threshold that each is
 * compared with. */
static bool add_near(struct db *db, struct arena *arena, const struct ride_facts *ride,
                     const char *from, struct text *out, struct error *err)
{
    struct db_rows rides = { 0 };
    struct db_rows thresholds = { 0 };
    const char *after = entry_day_after(arena, ride->day, 1);
    if (!db_query(db, arena,
                  "SELECT r.local_day, o.sha256, r.part FROM recording r JOIN original o ON o.id = "
                  "r.original WHERE r.rider = $1 AND r.local_day >= $2 AND r.local_day < $3 AND "
                  "r.same_as IS NULL AND r.is_ride AND r.id <> $4 ORDER BY r.local_day, "
                  "r.start_utc_s, o.sha256, r.part",
                  "tXi",
                  DB_ARGS(db_integer(ride->rider), db_text(from), db_text(after),
                          db_integer(ride->recording)),
                  &rides, err) ||
        !db_query(db, arena,
                  "SELECT day, value_w FROM threshold WHERE rider = $1 AND day >= $2 AND day < $3 "
                  "ORDER BY day, value_w",
                  "tr", DB_ARGS(db_integer(ride->rider), db_text(from), db_text(after)),
                  &thresholds, err)) {
        return false;
    }
    for (size_t i = 0; i < rides.count; i++) {
        char sha256[65];
        const struct bytes bytes = db_blob_at(&rides, i, 1);
        sodium_bin2hex(sha256, sizeof sha256, bytes.at, bytes.size);
        text_add_format(out, "ride %s %s %lld\n", db_text_at(&rides, i, 0), sha256,
                        (long long)db_integer_at(&rides, i, 2));
    }
    for (size_t i = 0; i < thresholds.count; i++) {
        text_add_format(out, "threshold %s %.17g\n", db_text_at(&thresholds, i, 0),
                        db_real_at(&thresholds, i, 1));
    }
    return true;
}

bool asked_near(struct db *db, struct arena *arena, const struct ride_facts *ride,
                struct rider_facts *facts, struct error *err)
{
    enum { BYTES_MOST = 2000000 };
    struct db_rows sessions = { 0 };
    int64_t days = 0;
    facts->near = NULL;
    if (!near_days(db, arena, ride, &sessions, &days, err)) {
        return false;
    }
    if (days == 0) {
        return true;
    }
    struct text out = text_begin(arena, BYTES_MOST);
    const char *from = entry_day_after(arena, ride->day, -days);
    for (size_t i = 0; i < sessions.count; i++) {
        if (strcmp(db_text_at(&sessions, i, 0), from) >= 0) {
            text_add_format(&out, "session %s %s %s\n", db_text_at(&sessions, i, 0),
                            db_text_at(&sessions, i, 1), db_text_at(&sessions, i, 2));
        }
    }
    if (!add_near(db, arena, ride, from, &out, err)) {
        return false;
    }
    facts->near = out.bytes;
    return true;
}

/* ---- saying it ---- */

const char *asked_words(struct arena *arena, const struct asked *asked)
{
    struct text out = text_begin(arena, 1000);
    if (asked->reps > 0) {
        const bool minutes = lround(asked->rep_duration_s) % 60 == 0;
        text_add_format(&out, "%d x %g %s", asked->reps,
                        minutes ? asked->rep_duration_s / 60.0 : asked->rep_duration_s,
                        minutes ? "min" : "s");
    }
    if (asked->kind != KIND_UNKNOWN) {
        text_add_format(&out, "%s%s", out.length > 0 ? " of " : "",
                        words_kind(work_kind_name(asked->kind)));
    }
    if (!isnan(asked->target.low_w)) {
        text_add_format(&out, "%sat %g to %g W", out.length > 0 ? " " : "", asked->target.low_w,
                        asked->target.high_w);
    } else if (!isnan(asked->target.low_pct)) {
        text_add_format(&out, "%sat %g to %g %%", out.length > 0 ? " " : "", asked->target.low_pct,
                        asked->target.high_pct);
    }
    return out.length > 0 ? out.bytes : "nothing";
}

static const char *ride_name(struct arena *arena, const struct ride_row *row)
{
    return row->local_day == NULL
               ? arena_format(arena, "ride %lld", (long long)row->id)
               : arena_format(arena, "ride %lld of %s", (long long)row->id, row->local_day);
}

static bool is_nothing(const struct asked *asked)
{
    return asked->kind == KIND_UNKNOWN && asked->reps == 0 && isnan(asked->target.low_w) &&
           isnan(asked->target.low_pct);
}

const char *asked_marks_words(struct arena *arena, const struct asked *asked)
{
    if (asked->was == NULL && asked->spoiled_by == NULL) {
        return "nothing to mark";
    }
    const char *was = asked->was == NULL ? "" : arena_format(arena, "a %s", asked->was);
    return asked->spoiled_by == NULL ? was
                                     : arena_format(arena, "%s%sspoiled by %s", was,
                                                    was[0] == '\0' ? "" : ", ", asked->spoiled_by);
}

struct work {
    struct arena *arena;
    struct roster_now now;
    const struct ride_row *row;
    const struct asked *asked; /* NULL = take away */
    const struct asked *marks; /* NULL = they stay */
    const char **said;
};

static const char *say(const struct work *work, const struct asked *was, bool found)
{
    struct arena *arena = work->arena;
    const char *name = ride_name(arena, work->row);
    if (work->marks != NULL) {
        return arena_format(arena, "What %s was: %s%s", name, asked_marks_words(arena, work->marks),
                            found ? arena_format(arena, " (was %s)", asked_marks_words(arena, was))
                                  : "");
    }
    const char *before =
        found && !is_nothing(was) ? arena_format(arena, " (was %s)", asked_words(arena, was)) : "";
    return arena_format(arena, "Asked of %s: %s%s", name,
                        work->asked == NULL ? "nothing any more" : asked_words(arena, work->asked),
                        before);
}

/* What is then known of the ride, asked and marks together. */
static struct asked together(const struct work *work, const struct asked *was)
{
    struct asked now = *was;
    if (work->marks != NULL) {
        now.was = work->marks->was;
        now.spoiled_by = work->marks->spoiled_by;
    } else {
        now = work->asked == NULL ? asked_nothing() : *work->asked;
        now.was = was->was;
        now.spoiled_by = was->spoiled_by;
    }
    return now;
}

static bool write_down(struct db *db, void *context, struct error *err)
{
    struct work *work = context;
    struct asked was;
    struct change change = { 0 };
    bool found = false;
    if (!asked_find(db, work->arena, work->row->id, &was, &found, err)) {
        return false;
    }
    const struct asked now = together(work, &was);
    const bool is_left = !is_nothing(&now) || now.was != NULL || now.spoiled_by != NULL;
    if (!is_left && (!found || (work->marks == NULL && is_nothing(&was)))) {
        return error_set(err, ERROR_NOT_FOUND, "%s: nothing was %s",
                         ride_name(work->arena, work->row),
                         work->marks == NULL ? "asked of it" : "marked");
    }
    *work->said = say(work, &was, found);
    if (!changes_begin(db, work->arena, work->now, *work->said, &change, err)) {
        return false;
    }
    if (!is_left) {
        return changes_remove(&change, "asked", was.id, 0, err);
    }
    const int64_t main = work->row->same_as == 0 ? work->row->id : work->row->same_as;
    const struct edit edits[] = {
        { "recording", db_integer(found ? was.recording : main) },
        { "kind", db_text(work_kind_name(now.kind)) },
        { "low_pct", db_real(now.target.low_pct) },
        { "high_pct", db_real(now.target.high_pct) },
        { "low_w", db_real(now.target.low_w) },
        { "high_w", db_real(now.target.high_w) },
        { "reps", now.reps > 0 ? db_integer(now.reps) : db_null(DB_INTEGER) },
        { "rep_duration_s", db_real(now.rep_duration_s) },
        { "was", db_text(now.was) },
        { "spoiled_by", db_text(now.spoiled_by) },
    };
    const size_t n = sizeof edits / sizeof edits[0];
    const struct asked *wish = work->marks != NULL ? work->marks : work->asked;
    int64_t id = 0;
    return found ? changes_edit(&change, "asked", was.id, wish == NULL ? 0 : wish->version, edits,
                                n, err)
                 : changes_add(&change, "asked", edits, n, &id, err);
}

bool asked_set(struct roster *roster, struct arena *arena, struct roster_now now,
               const struct ride_row *row, const struct asked *asked, const char **said,
               struct error *err)
{
    struct work work = { arena, now, row, asked, NULL, said };
    return db_write(roster_db(roster), write_down, &work, err);
}

bool asked_remove(struct roster *roster, struct arena *arena, struct roster_now now,
                  const struct ride_row *row, const char **said, struct error *err)
{
    struct work work = { arena, now, row, NULL, NULL, said };
    return db_write(roster_db(roster), write_down, &work, err);
}

bool asked_mark(struct roster *roster, struct arena *arena, struct roster_now now,
                const struct ride_row *row, const struct asked *marks, const char **said,
                struct error *err)
{
    struct work work = { arena, now, row, NULL, marks, said };
    return db_write(roster_db(roster), write_down, &work, err);
}
