/* roster/sessions.c: what a rider is to ride, by day. */
#include "roster/sessions.h"

#include "base/dates.h"
#include "coaching/session_library.h"
#include "coaching/session_text.h"
#include "coaching/words/kind_words.h"
#include "roster/facts.h"
#include "roster/readings.h"
#include "roster/same_ride.h"

#include <math.h>
#include <string.h>

static void take_session(const struct db_rows *rows, size_t i, void *row)
{
    struct rider_session *session = row;
    session->day = db_text_at(rows, i, 2);
    session->name = db_text_at(rows, i, 3);
    session->kind = db_text_at(rows, i, 4);
    session->words = db_text_at(rows, i, 5);
    session->state = db_text_at(rows, i, 6);
    session->why = db_text_at(rows, i, 7);
    session->confirmed = db_text_at(rows, i, 8);
}

static const char *on_one_line(struct arena *arena, const char *words)
{
    struct text out = text_begin(arena, 4 * SESSION_BYTES_MOST);
    for (const char *at = words; *at != '\0'; at++) {
        if (*at == '\n') {
            text_add(&out, " / ");
        } else {
            text_add_bytes(&out, at, 1);
        }
    }
    return out.bytes;
}

static const char *describe_session(struct arena *arena, const void *row)
{
    const struct rider_session *session = row;
    return arena_format(
        arena, "%s %s (%s, %s): %s%s%s%s%s", session->day, session->name, words_kind(session->kind),
        session->state, on_one_line(arena, session->words),
        session->why == NULL ? "" : "; why: ", session->why == NULL ? "" : session->why,
        session->confirmed == NULL ? "" : "; knowingly past ",
        session->confirmed == NULL ? "" : session->confirmed);
}

static size_t edit_session(const void *row, struct edit edits[ENTRY_EDITS_MOST])
{
    const struct rider_session *session = row;
    edits[0] = (struct edit){ "day", db_text(session->day) };
    edits[1] = (struct edit){ "name", db_text(session->name) };
    edits[2] = (struct edit){ "kind", db_text(session->kind) };
    edits[3] = (struct edit){ "words", db_text(session->words) };
    edits[4] = (struct edit){ "state", db_text(session->state) };
    edits[5] = (struct edit){ "why", db_text(session->why) };
    edits[6] = (struct edit){ "confirmed", db_text(session->confirmed) };
    return 7;
}

static bool clean_kind(struct arena *arena, const char *kind, struct error *err)
{
    size_t n = 0;
    if (session_kind_is_known(kind)) {
        return true;
    }
    while (session_kinds[n] != NULL) {
        n++;
    }
    const char *nearest = text_nearest(kind, session_kinds, n);
    return error_set(err, ERROR_USAGE, "%.40s: no kind of session%s%s", kind,
                     nearest == NULL ? "; vo2max, threshold, test, other and so on"
                                     : "; did you mean ",
                     nearest == NULL ? "" : arena_format(arena, "%s?", nearest));
}

/* Cleans the words into the way in which they are written. */
static bool clean_words(struct arena *arena, const char **words, struct error *err)
{
    struct session session;
    struct session_fault fault = { 0 };
    if (*words == NULL || !session_read(arena, *words, &session, &fault)) {
        return error_set(err, ERROR_USAGE, "%s",
                         *words == NULL ? "a session needs words: 60 min at 50-65 %"
                                        : session_fault_words(arena, &fault));
    }
    *words = session_write(arena, &session);
    return strlen(*words) <= SESSION_BYTES_MOST ||
           error_set(err, ERROR_USAGE, "the session is too long when written in full");
}

static bool is_state(const char *state)
{
    static const char *const states[] = { "drafted", "given", "withdrawn", "done" };
    bool is = false;
    for (size_t i = 0; i < sizeof states / sizeof states[0]; i++) {
        is = is || strcmp(state, states[i]) == 0;
    }
    return is;
}

static bool clean_session(struct arena *arena, void *row, struct error *err)
{
    struct rider_session *session = row;
    session->kind = session->kind == NULL ? "other" : session->kind;
    session->state = session->state == NULL ? "drafted" : session->state;
    if (!entry_day_is_sound("session", session->day, true, err) ||
        !clean_kind(arena, session->kind, err) || !clean_words(arena, &session->words, err) ||
        !entry_clean_words(arena, "name", &session->name, ENTRY_NAME_MOST, true, err) ||
        !entry_clean_words(arena, "why", &session->why, ENTRY_WORDS_MOST, false, err) ||
        !entry_clean_words(arena, "names", &session->confirmed, ENTRY_WORDS_MOST, false, err)) {
        return false;
    }
    return is_state(session->state) ||
           error_set(err, ERROR_USAGE, "%.40s: drafted, given, withdrawn or done", session->state);
}

const struct entry_kind session_kind = {
    .name = "session",
    .act = "session",
    .lists = "session list",
    .table = "session",
    .subject = "Session",
    .columns = "day, name, kind, words, state, why, confirmed",
    .shape = "tttttTT",
    .order = "day",
    .size = sizeof(struct rider_session),
    .take = take_session,
    .describe = describe_session,
    .edits = edit_session,
    .clean = clean_session,
};

bool sessions_steps(struct arena *arena, const struct rider_session *row, struct session *out,
                    struct error *err)
{
    struct session_fault fault = { 0 };
    return session_read(arena, row->words, out, &fault) ||
           error_set(err, ERROR_INTERNAL, "session %lld: %s", (long long)row->entry.id,
                     session_fault_words(arena, &fault));
}

/* ---- safe limits ---- */

struct around {
    struct safe_day *days;
    size_t count;
    size_t capacity;
    /* the first ride of that day is the session's own, and doesn't count; nor does another part of
     * it (same_ride_common_s) */
    int64_t own_day;
    bool has_own;
};

static void add_day(struct arena *arena, struct around *around, struct safe_day day)
{
    around->days = arena_grow(arena, around->days, around->count, &around->capacity, sizeof day);
    around->days[around->count++] = day;
}

bool session_is_given(const struct rider_session *row)
{
    return strcmp(row->state, "given") == 0 || strcmp(row->state, "done") == 0;
}

/* Stored as given or done for that very day: what was ridden on it came back of this session. */
static bool is_own_stored(const struct rider_session *stored, const struct around *around)
{
    return dates_day_number(stored->day) == around->own_day && session_is_given(stored);
}

/* Other sessions that are still to be ridden, or were. */
static bool add_sessions(struct roster *roster, struct arena *arena, const struct rider *rider,
                         int64_t but, const struct limits *limits, double threshold_w,
                         struct around *around, struct error *err)
{
    struct rider_session *others = NULL;
    size_t count = 0;
    if (!entries_list(roster, arena, &session_kind, rider->id, &others, &count, err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        struct session session;
        const bool is_own = others[i].entry.id == but;
        const bool counts = !is_own && strcmp(others[i].state, "withdrawn") != 0;
        around->has_own = around->has_own || (is_own && is_own_stored(&others[i], around));
        if (counts && !sessions_steps(arena, &others[i], &session, err)) {
            return false;
        }
        if (counts) {
            add_day(arena, around,
                    safe_day_of(arena, &session, others[i].kind, dates_day_number(others[i].day),
                                threshold_w, limits));
        }
    }
    return true;
}

/* A draft whose day is over, since something was ridden after it. */
static bool find_over(struct roster *roster, struct arena *arena, const struct rider *rider,
                      const char *day, struct around *around, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(
            roster_db(roster), arena,
            "SELECT id FROM recording WHERE rider = $1 AND local_day > $2 AND is_ride LIMIT 1", "i",
            DB_ARGS(db_integer(rider->id), db_text(day)), &rows, err)) {
        return false;
    }
    around->has_own = around->has_own || rows.count > 0;
    return true;
}

/* Days that were hard, asked or not (by time above threshold, efforts well above it, or the
 * rider's own effort), and tests and races. */
static bool add_rides(struct roster *roster, struct arena *arena, const struct rider *rider,
                      const struct limits *limits, struct around *around, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(
            roster_db(roster), arena,
            "SELECT r.local_day, a.was, r.start_utc_s, r.n_seconds FROM recording r LEFT JOIN "
            "ride_load l ON l.recording "
            "= r.id LEFT JOIN asked a ON a.recording = r.id LEFT JOIN reading h ON h.rider = "
            "r.rider AND h.subject_kind = 'recording' AND h.subject = r.id AND h.question = $3 AND "
            "h.set_number = 0 AND h.rep_number = 0 WHERE r.rider = $1 AND r.same_as "
            "IS NULL AND r.local_day IS NOT NULL AND (l.above_threshold_s >= $2 "
            "OR a.was IS NOT NULL OR h.verdict = $4) ORDER BY r.local_day, r.id",
            "tTIi",
            DB_ARGS(db_integer(rider->id), db_real(limits->value[LIMIT_HARD_DAY_S]),
                    db_text(question_name(QUESTION_HARD_DAY)),
                    db_text(verdict_name(VERDICT_HARD_DAY))),
            &rows, err)) {
        return false;
    }
    bool is_own_met = !around->has_own;
    struct ride_row own = { .has_start_utc = false };
    for (size_t i = 0; i < rows.count; i++) {
        const int64_t day = dates_day_number(db_text_at(&rows, i, 0));
        const struct ride_row row = { .has_start_utc = !db_is_null(&rows, i, 2),
                                      .start_utc_s = db_integer_at(&rows, i, 2),
                                      .n_seconds = (size_t)db_integer_at(&rows, i, 3) };
        if (!is_own_met && day == around->own_day) {
            is_own_met = true;
            own = row;
            continue;
        }
        if (day == around->own_day && same_ride_common_s(&own, &row) > 0) {
            continue;
        }
        add_day(arena, around, (struct safe_day){ day, true, db_text_at(&rows, i, 1) != NULL });
    }
    return true;
}

static bool add_all(struct roster *roster, struct arena *arena, const struct rider *rider,
                    int64_t but, const struct limits *limits, double threshold_w,
                    struct around *around, struct error *err)
{
    return add_sessions(roster, arena, rider, but, limits, threshold_w, around, err) &&
           add_rides(roster, arena, rider, limits, around, err);
}

bool sessions_days(struct roster *roster, struct arena *arena, const struct rider *rider,
                   double threshold_w, struct safe_day **out, size_t *count, struct error *err)
{
    struct limits limits;
    struct around around = { 0 };
    if (!readings_limits(roster_db(roster), arena, rider->id, &limits, err) ||
        !add_all(roster, arena, rider, 0, &limits, threshold_w, &around, err)) {
        return false;
    }
    *out = around.days;
    *count = around.count;
    return true;
}

/* Beside those on file: `others`, that are about to be. */
static bool safe_among(struct roster *roster, struct arena *arena, const struct rider *rider,
                       const struct rider_session *row, const struct safe_day others[],
                       size_t n_others, struct safe_breach out[SAFE_BREACHES], size_t *count,
                       struct error *err)
{
    struct rider_facts facts;
    struct limits limits;
    struct session session;
    struct around around = { .own_day = dates_day_number(row->day) };
    *count = 0;
    if (!readings_limits(roster_db(roster), arena, rider->id, &limits, err) ||
        !facts_on(roster, arena, rider->id, row->day, &facts, err) ||
        !sessions_steps(arena, row, &session, err) ||
        !find_over(roster, arena, rider, row->day, &around, err) ||
        !add_all(roster, arena, rider, row->entry.id, &limits, facts.threshold_w, &around, err)) {
        return false;
    }
    for (size_t i = 0; i < n_others; i++) {
        add_day(arena, &around, others[i]);
    }
    const struct safe_case c = { .session = &session,
                                 .kind = row->kind,
                                 .day = dates_day_number(row->day),
                                 .facts = &facts,
                                 .days = around.days,
                                 .n_days = around.count };
    *count = safe_find(arena, &c, &limits, out);
    return true;
}

bool sessions_safe(struct roster *roster, struct arena *arena, const struct rider *rider,
                   const struct rider_session *row, struct safe_breach out[SAFE_BREACHES],
                   size_t *count, struct error *err)
{
    return safe_among(roster, arena, rider, row, NULL, 0, out, count, err);
}

/* True if the name is one of the words, which have blanks or commas between. */
static bool is_named(const char *words, const char *name)
{
    const size_t length = strlen(name);
    for (const char *at = words; at != NULL && (at = strstr(at, name)) != NULL; at += length) {
        const bool begins = at == words || at[-1] == ' ' || at[-1] == ',';
        if (begins && (at[length] == '\0' || at[length] == ' ' || at[length] == ',')) {
            return true;
        }
    }
    return false;
}

/* What stands in the way, or is kept as gone past knowingly. */
static bool hold_against(struct arena *arena, struct rider_session *row,
                         const struct safe_breach breaches[], size_t n, struct error *err)
{
    struct text kept = text_begin(arena, 4000);
    for (size_t i = 0; i < n; i++) {
        if (breaches[i].is_refused) {
            return error_set(err, ERROR_CONFLICT, "not offered: %s", breaches[i].words);
        }
        if (!is_named(row->confirmed, breaches[i].name)) {
            return error_set(err, ERROR_CONFLICT, "%s To go past it knowingly, name it: %s",
                             breaches[i].words, breaches[i].name);
        }
        text_add_format(&kept, "%s%s", kept.length == 0 ? "" : " ", breaches[i].name);
    }
    row->confirmed = kept.length == 0 ? NULL : kept.bytes;
    return true;
}

bool sessions_save_with(struct roster *roster, struct arena *arena, struct roster_now now,
                        const struct rider *rider, struct rider_session *row, db_work *then,
                        void *context, struct error *err)
{
    struct safe_breach breaches[SAFE_BREACHES];
    size_t n = 0;
    const bool clean = clean_session(arena, row, err);
    const bool rides =
        clean && (strcmp(row->state, "drafted") == 0 || strcmp(row->state, "given") == 0);
    if (!clean || (rides && (!sessions_safe(roster, arena, rider, row, breaches, &n, err) ||
                             !hold_against(arena, row, breaches, n, err)))) {
        return false;
    }
    return entries_save_with(roster, arena, now, &session_kind, rider, row, then, context, err);
}

bool sessions_save(struct roster *roster, struct arena *arena, struct roster_now now,
                   const struct rider *rider, struct rider_session *row, struct error *err)
{
    return sessions_save_with(roster, arena, now, rider, row, NULL, NULL, err);
}

/* ---- several at once ---- */

struct many {
    struct arena *arena;
    struct roster_now now;
    const struct rider *rider;
    struct session_for *rows;
    size_t n;
    const char *from;
    db_work *then;
    void *context;
    const char *said;
};

/* Whose sessions they are, when they are of one rider; else NULL.  n is at least 1. */
static const struct rider *only_rider(const struct session_for rows[], size_t n)
{
    for (size_t i = 1; i < n; i++) {
        if (rows[i].rider->id != rows[0].rider->id) {
            return NULL;
        }
    }
    return rows[0].rider;
}

/* "Session of R: ...", "2 sessions of R drafted: 2026-09-08 VO2max; ...", "2 sessions drafted: R
 * 2026-09-08 VO2max; ...". */
static const char *drafted_words(struct arena *arena, const struct session_for rows[], size_t n)
{
    const struct rider *only = only_rider(rows, n);
    struct text words = text_begin(arena, n * 8 * SESSION_BYTES_MOST);
    if (n == 1) {
        text_add_format(&words, "Session of %s: %s", only->name,
                        describe_session(arena, &rows[0].row));
        return words.bytes;
    }
    text_add_format(&words, "%zu sessions%s%s drafted: ", n, only == NULL ? "" : " of ",
                    only == NULL ? "" : only->name);
    for (size_t i = 0; i < n; i++) {
        text_add_format(&words, "%s%s%s%s %s", i > 0 ? "; " : "",
                        only == NULL ? rows[i].rider->name : "", only == NULL ? " " : "",
                        rows[i].row.day, rows[i].row.name);
    }
    return words.bytes;
}

static bool draft_many(struct db *db, void *context, struct error *err)
{
    struct many *many = context;
    struct change change = { 0 };
    many->said = drafted_words(many->arena, many->rows, many->n);
    if (!changes_begin(db, many->arena, many->now, many->said, &change, err)) {
        return false;
    }
    for (size_t i = 0; i < many->n; i++) {
        struct session_for *one = &many->rows[i];
        one->row.entry = (struct entry){ 0 }; /* this may be the second try */
        if (!entries_put(&change, &session_kind, one->rider, &one->row, err)) {
            return false;
        }
    }
    return true;
}

/* Whether one may be drafted beside others[n] of its rider; *day gets it as a day with work. */
static bool check_draft(struct roster *roster, struct arena *arena, struct session_for *one,
                        const struct safe_day others[], size_t n, struct safe_day *day,
                        struct error *err)
{
    struct safe_breach breaches[SAFE_BREACHES];
    struct session session;
    struct rider_facts facts;
    struct limits limits;
    size_t found = 0;
    one->row.state = "drafted";
    if (!readings_limits(roster_db(roster), arena, one->rider->id, &limits, err) ||
        !clean_session(arena, &one->row, err) ||
        !safe_among(roster, arena, one->rider, &one->row, others, n, breaches, &found, err) ||
        !hold_against(arena, &one->row, breaches, found, err) ||
        !sessions_steps(arena, &one->row, &session, err) ||
        !facts_on(roster, arena, one->rider->id, one->row.day, &facts, err)) {
        return false;
    }
    *day = safe_day_of(arena, &session, one->row.kind, dates_day_number(one->row.day),
                       facts.threshold_w, &limits);
    return true;
}

bool sessions_draft_for(struct roster *roster, struct arena *arena, struct roster_now now,
                        struct session_for rows[], size_t n, const char **said, struct error *err)
{
    struct many many = { .arena = arena, .now = now, .rows = rows, .n = n };
    struct safe_day *days = ARENA_ARRAY(arena, struct safe_day, n + 1);
    struct safe_day *own = ARENA_ARRAY(arena, struct safe_day, n + 1);
    for (size_t i = 0; i < n; i++) {
        size_t n_own = 0;
        for (size_t k = 0; k < i; k++) {
            if (rows[k].rider->id == rows[i].rider->id) {
                own[n_own++] = days[k];
            }
        }
        struct error why = { 0 };
        if (!check_draft(roster, arena, &rows[i], own, n_own, &days[i], &why)) {
            return n == 1 ? error_set(err, why.kind, "%s", why.message)
                          : error_set(err, why.kind, "%s, %.10s: %s", rows[i].rider->name,
                                      rows[i].row.day, why.message);
        }
    }
    const bool done = db_write(roster_db(roster), draft_many, &many, err);
    *said = many.said;
    return done;
}

bool sessions_draft_all(struct roster *roster, struct arena *arena, struct roster_now now,
                        const struct rider *rider, struct rider_session rows[], size_t n,
                        const char **said, struct error *err)
{
    struct session_for *all = ARENA_ARRAY(arena, struct session_for, n + 1);
    for (size_t i = 0; i < n; i++) {
        all[i] = (struct session_for){ rider, rows[i] };
    }
    const bool done = sessions_draft_for(roster, arena, now, all, n, said, err);
    for (size_t i = 0; i < n; i++) {
        rows[i] = all[i].row;
    }
    return done;
}

static bool withdraw_one(struct change *change, const struct many *many, struct rider_session *row,
                         struct error *err)
{
    if (strcmp(row->state, "drafted") == 0) {
        return changes_remove(change, session_kind.table, row->entry.id, row->entry.version, err);
    }
    row->state = "withdrawn";
    return entries_put(change, &session_kind, many->rider, row, err);
}

static bool withdraw_many(struct db *db, void *context, struct error *err)
{
    struct many *many = context;
    struct change change = { 0 };
    struct rider_session *rows = NULL;
    size_t count = 0;
    size_t given = 0;
    many->n = 0;
    if (!entries_read(db, many->arena, &session_kind, many->rider->id, &rows, &count, err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        const bool is_given = strcmp(rows[i].state, "given") == 0;
        if (strcmp(rows[i].day, many->from) >= 0 &&
            (is_given || strcmp(rows[i].state, "drafted") == 0)) {
            given += is_given ? 1 : 0;
            rows[many->n++] = rows[i];
        }
    }
    if (many->n == 0) {
        return error_set(err, ERROR_NOT_FOUND,
                         "%s has nothing given or drafted from %s on; session list shows what is "
                         "there",
                         many->rider->name, many->from);
    }
    const size_t drafts = many->n - given;
    const char *taken =
        drafts == 0 ? ""
                    : arena_format(many->arena, "%s%zu %s taken away", given > 0 ? ", " : "",
                                   drafts, drafts == 1 ? "draft" : "drafts");
    many->said = arena_format(
        many->arena, "Sessions of %s from %s on called off: %s%s", many->rider->name, many->from,
        given == 0 ? "" : arena_format(many->arena, "%zu withdrawn", given), taken);
    if (!changes_begin(db, many->arena, many->now, many->said, &change, err)) {
        return false;
    }
    for (size_t i = 0; i < many->n; i++) {
        if (!withdraw_one(&change, many, &rows[i], err)) {
            return false;
        }
    }
    return many->then == NULL || many->then(db, many->context, err);
}

bool sessions_withdraw_from(struct roster *roster, struct arena *arena, struct roster_now now,
                            const struct rider *rider, const char *from, db_work *then,
                            void *context, size_t *n, const char **said, struct error *err)
{
    struct many many = {
        .arena = arena, .now = now, .rider = rider, .from = from, .then = then, .context = context
    };
    if (!entry_day_is_sound("from", from, true, err) ||
        !db_write(roster_db(roster), withdraw_many, &many, err)) {
        return false;
    }
    *n = many.n;
    *said = many.said;
    return true;
}

bool sessions_remove(struct roster *roster, struct arena *arena, struct roster_now now,
                     const struct rider *rider, struct rider_session *row, struct error *err)
{
    if (strcmp(row->state, "drafted") != 0) {
        return error_set(err, ERROR_CONFLICT,
                         "session %lld was given once: withdraw it, so that the rider's calendar "
                         "is told",
                         (long long)row->entry.id);
    }
    return entries_remove(roster, arena, now, &session_kind, rider, row, err);
}

bool sessions_plan_until(struct db *db, struct arena *arena, int64_t rider, int64_t *day,
                         struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT MAX(day) FROM session WHERE rider = $1 AND state IN ('given', 'done')",
                  "T", DB_ARGS(db_integer(rider)), &rows, err)) {
        return false;
    }
    *day = dates_day_number(db_text_at(&rows, 0, 0));
    return true;
}

bool sessions_next(struct db *db, struct arena *arena, int64_t rider, const char *from,
                   struct rider_session *out, bool *found, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT id, version, day, name, kind, words, state, why, confirmed FROM session "
                  "WHERE rider = $1 AND day >= $2 AND state IN ('drafted', 'given') ORDER BY day, "
                  "id LIMIT 1",
                  "iitttttTT", DB_ARGS(db_integer(rider), db_text(from)), &rows, err)) {
        return false;
    }
    *found = rows.count > 0;
    *out = (struct rider_session){ 0 };
    if (*found) {
        out->entry.id = db_integer_at(&rows, 0, 0);
        out->entry.version = db_integer_at(&rows, 0, 1);
        take_session(&rows, 0, out);
    }
    return true;
}

/* ---- calendar ---- */

bool sessions_entry(struct roster *roster, struct arena *arena, const struct rider_session *row,
                    double threshold_w, struct calendar_entry *out, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(roster_db(roster), arena, "SELECT made_utc_s FROM roster_state", "i", DB_NONE,
                  &rows, err)) {
        return false;
    }
    struct text words = text_begin(arena, 4 * SESSION_BYTES_MOST);
    text_add(&words, row->words);
    if (threshold_w > 0) {
        text_add_format(&words, "\n%% of a threshold of %.0f W", threshold_w);
    }
    if (row->why != NULL) {
        text_add_format(&words, "\nWhy: %s", row->why);
    }
    if (session_kind_is_hard(row->kind)) {
        text_add(&words, "\nStop on chest pain, dizziness, faintness or unusual breathlessness. "
                         "Mind the traffic.");
    }
    *out =
        (struct calendar_entry){ .uid = arena_format(arena, "session-%lld-%lld@plumbline.invalid",
                                                     (long long)row->entry.id,
                                                     (long long)db_integer_at(&rows, 0, 0)),
                                 .sequence = row->entry.version - 1,
                                 .day = dates_day_number(row->day),
                                 .summary = row->name,
                                 .description = words.bytes,
                                 .is_cancelled = strcmp(row->state, "withdrawn") == 0 };
    return true;
}

/* ---- the coach's own ---- */

static struct own_session own_at(const struct db_rows *rows, size_t i)
{
    return (struct own_session){ db_integer_at(rows, i, 0), db_integer_at(rows, i, 1),
                                 db_text_at(rows, i, 2),    db_text_at(rows, i, 3),
                                 db_text_at(rows, i, 4),    db_text_at(rows, i, 5) };
}

bool sessions_own_list(struct roster *roster, struct arena *arena, struct own_session **out,
                       size_t *count, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(roster_db(roster), arena,
                  "SELECT id, version, name, kind, words, note FROM own_session ORDER BY name, id",
                  "iitttT", DB_NONE, &rows, err)) {
        return false;
    }
    *out = ARENA_ARRAY(arena, struct own_session, rows.count + 1);
    *count = rows.count;
    for (size_t i = 0; i < rows.count; i++) {
        (*out)[i] = own_at(&rows, i);
    }
    return true;
}

static bool own_find(struct db *db, struct arena *arena, const char *name, struct own_session *out,
                     bool *found, struct error *err)
{
    struct db_rows rows = { 0 };
    if (!db_query(db, arena,
                  "SELECT id, version, name, kind, words, note FROM own_session WHERE name = $1",
                  "iitttT", DB_ARGS(db_text(name)), &rows, err)) {
        return false;
    }
    *found = rows.count > 0;
    if (*found) {
        *out = own_at(&rows, 0);
    }
    return true;
}

bool sessions_own_find(struct roster *roster, struct arena *arena, const char *name,
                       struct own_session *out, bool *found, struct error *err)
{
    return own_find(roster_db(roster), arena, name, out, found, err);
}

struct own_work {
    struct arena *arena;
    struct roster_now now;
    struct own_session *own;
    const char *said;
};

static bool keep(struct db *db, void *context, struct error *err)
{
    struct own_work *work = context;
    struct own_session *own = work->own;
    struct own_session was = { 0 };
    struct change change = { 0 };
    bool found = false;
    const struct edit edits[] = { { "name", db_text(own->name) },
                                  { "kind", db_text(own->kind) },
                                  { "words", db_text(own->words) },
                                  { "note", db_text(own->note) } };
    const size_t n = sizeof edits / sizeof edits[0];
    work->said = arena_format(work->arena, "Session of your own, %s (%s): %s%s%s", own->name,
                              own->kind, on_one_line(work->arena, own->words),
                              own->note == NULL ? "" : "; ", own->note == NULL ? "" : own->note);
    if (!own_find(db, work->arena, own->name, &was, &found, err) ||
        !changes_begin(db, work->arena, work->now, work->said, &change, err)) {
        return false;
    }
    own->id = was.id;
    return found ? changes_edit(&change, "own_session", was.id, own->version, edits, n, err)
                 : changes_add(&change, "own_session", edits, n, &own->id, err);
}

bool sessions_own_keep(struct roster *roster, struct arena *arena, struct roster_now now,
                       struct own_session *own, const char **said, struct error *err)
{
    struct own_work work = { arena, now, own, NULL };
    own->kind = own->kind == NULL ? "other" : own->kind;
    if (!entry_clean_words(arena, "name", &own->name, ENTRY_NAME_MOST, true, err) ||
        !entry_clean_words(arena, "note", &own->note, ENTRY_WORDS_MOST, false, err) ||
        !clean_kind(arena, own->kind, err) || !clean_words(arena, &own->words, err)) {
        return false;
    }
    if (session_library_find(own->name) != NULL) {
        return error_set(err, ERROR_CONFLICT, "%s is a session of the library; take another name",
                         own->name);
    }
    const bool kept = db_write(roster_db(roster), keep, &work, err);
    *said = work.said;
    return kept;
}

static bool drop(struct db *db, void *context, struct error *err)
{
    struct own_work *work = context;
    struct own_session was = { 0 };
    struct change change = { 0 };
    bool found = false;
    if (!own_find(db, work->arena, work->own->name, &was, &found, err)) {
        return false;
    }
    if (!found) {
        return error_set(err, ERROR_NOT_FOUND,
                         "%.80s: no session of your own is called so; session library lists them",
                         work->own->name);
    }
    work->said = arena_format(work->arena, "Session of your own taken away: %s (%s): %s", was.name,
                              was.kind, on_one_line(work->arena, was.words));
    return changes_begin(db, work->arena, work->now, work->said, &change, err) &&
           changes_remove(&change, "own_session", was.id, was.version, err);
}

bool sessions_own_drop(struct roster *roster, struct arena *arena, struct roster_now now,
                       const char *name, const char **said, struct error *err)
{
    struct own_session own = { .name = name };
    struct own_work work = { arena, now, &own, NULL };
    const bool done = db_write(roster_db(roster), drop, &work, err);
    *said = work.said;
    return done;
}
