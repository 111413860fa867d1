/* server/routes_sessions.c: what a rider is to ride: the library and the coach's own sessions, a
 * rider's days, sessions written, given, withdrawn, and what a device and a calendar take of them.
 */
#include "server/routes.h"

#include "base/dates.h"
#include "coaching/words/came_words.h"
#include "coaching/words/session_words.h"
#include "drawing/figure_maker.h"
#include "drawing/scene_json.h"
#include "roster/availability.h"
#include "roster/came_back.h"
#include "roster/readings.h"
#include "roster/season.h"
#include "roster/session_outlook.h"
#include "server/answers/session_page.h"
#include "server/answers/sessions.h"
#include "server/write.h"

#include <string.h>

enum { SPAN_DAYS_MOST = 400 };

/* ---- the library ---- */

bool route_get_library(struct api_call *call, struct error *err)
{
    struct own_session *own = NULL;
    size_t n = 0;
    if (!sessions_own_list(call->roster, call->arena, &own, &n, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    json_begin_array(&json, "library");
    for (size_t i = 0; i < session_library_count; i++) {
        library_session_json(&json, &session_library[i]);
    }
    json_end_array(&json);
    json_begin_array(&json, "own");
    for (size_t i = 0; i < n; i++) {
        own_session_json(&json, &own[i], true);
    }
    json_end_array(&json);
    session_kinds_json(&json);
    json_end_object(&json);
    return true;
}

static bool own_done(struct api_call *call, struct write_done *done, const char *name,
                     struct error *err)
{
    struct own_session now = { 0 };
    bool found = false;
    if (!sessions_own_find(call->roster, call->arena, name, &now, &found, err)) {
        return false;
    }
    done->number = now.id;
    done->version = now.version;
    return write_end(call, done, err);
}

bool route_put_own_session(struct api_call *call, struct error *err)
{
    static const char *const keys[] = { "words", "kind", "note" };
    struct own_session own = { .name = api_path(call, "name"), .version = call->version };
    struct own_session now = { 0 };
    struct write_done done = { 0 };
    bool found = false;
    if (!body_only(call->body, keys, 3, err) ||
        !body_lines(call->body, "words", BODY_NEEDED, &own.words, err) ||
        !body_text(call->body, "kind", BODY_MAY_LACK, &own.kind, err) ||
        !body_text(call->body, "note", BODY_MAY_LACK, &own.note, err) ||
        !sessions_own_find(call->roster, call->arena, own.name, &now, &found, err)) {
        return false;
    }
    if (found && call->version == 0) {
        return error_set(err, ERROR_CONFLICT, "there is a session of your own called %.80s already",
                         own.name);
    }
    return write_begin(call, &done, err) &&
           sessions_own_keep(call->roster, call->arena, call->now, &own, &done.words, err) &&
           own_done(call, &done, own.name, err);
}

bool route_delete_own_session(struct api_call *call, struct error *err)
{
    struct own_session now = { 0 };
    struct write_done done = { 0 };
    const char *name = api_path(call, "name");
    bool found = false;
    if (!sessions_own_find(call->roster, call->arena, name, &now, &found, err)) {
        return false;
    }
    if (found && now.version != call->version) {
        return error_set(err, ERROR_CONFLICT,
                         "somebody changed %.80s meanwhile; look at it again, then take it away",
                         name);
    }
    return write_begin(call, &done, err) &&
           sessions_own_drop(call->roster, call->arena, call->now, name, &done.words, err) &&
           write_end(call, &done, err);
}

/* ---- a rider's days ---- */

struct days {
    const char *from;
    const char *to; /* the first that no longer counts */
    struct week *weeks;
    size_t n_weeks;
    struct day_off *offs;
    size_t n_offs;
    struct event *events;
    size_t n_events;
    struct rider_session *sessions;
    size_t n_sessions;
    struct came_session *came; /* of those that were given */
    size_t n_came;
    struct came_weeks last; /* the last weeks, counted */
    struct limits limits;
};

static bool take_days(struct api_call *call, const struct rider *rider, struct days *out,
                      struct error *err)
{
    struct roster *roster = call->roster;
    struct arena *arena = call->arena;
    out->from = call->today;
    if (!api_query_day(call, "from", &out->from, err) ||
        !api_query_day(call, "to", &out->to, err)) {
        return false;
    }
    out->to = out->to == NULL ? entry_day_after(arena, out->from, WEEKDAYS) : out->to;
    const int64_t n = entry_days_between(out->from, out->to);
    if (n < 1 || n > SPAN_DAYS_MOST) {
        return error_set(err, ERROR_USAGE, "from %s to %s: 1 to %d days may be asked for",
                         out->from, out->to, SPAN_DAYS_MOST);
    }
    return readings_limits(roster_db(roster), arena, rider->id, &out->limits, err) &&
           availability_list(roster, arena, rider->id, NULL, &out->weeks, &out->n_weeks, err) &&
           entries_list(roster, arena, &day_off_kind, rider->id, &out->offs, &out->n_offs, err) &&
           entries_list(roster, arena, &event_kind, rider->id, &out->events, &out->n_events, err) &&
           entries_list(roster, arena, &session_kind, rider->id, &out->sessions, &out->n_sessions,
                        err) &&
           came_back_list(roster, arena, rider->id, out->from, out->to, call->today, &out->came,
                          &out->n_came, &out->last, err);
}

/* The week in force on a day; NULL = none was told. */
static const struct week *week_on(const struct days *days, const char *day)
{
    for (size_t i = 0; i < days->n_weeks; i++) {
        if (strcmp(days->weeks[i].from_day, day) <= 0) {
            return &days->weeks[i];
        }
    }
    return NULL;
}

static bool is_within(const char *day, const char *from, const char *to)
{
    return strcmp(from, day) <= 0 && (to == NULL || strcmp(day, to) < 0);
}

static void day_json(struct json *json, const struct days *days, const char *day)
{
    const int weekday = dates_iso_week(dates_day_number(day)).weekday - 1;
    const struct week *week = week_on(days, day);
    json_begin_object(json, NULL);
    json_string(json, "day", day);
    if (week == NULL) {
        json_null(json, "minutes");
    } else {
        json_integer(json, "minutes", week->minutes[weekday]);
    }
    json_string(json, "place",
                week == NULL || week->minutes[weekday] == 0 ? NULL : week->places[weekday]);
    json_begin_array(json, "off");
    for (size_t i = 0; i < days->n_offs; i++) {
        if (is_within(day, days->offs[i].from_day, days->offs[i].to_day)) {
            json_string(json, NULL, day_off_in_words(days->offs[i].kind));
        }
    }
    json_end_array(json);
    json_begin_array(json, "events");
    for (size_t i = 0; i < days->n_events; i++) {
        if (strcmp(day, days->events[i].day) == 0) {
            json_string(json, NULL, days->events[i].name);
        }
    }
    json_end_array(json);
    json_end_object(json);
}

/* A session in a line, with what came back of it; null where it wasn't given. */
static bool came_session_json(struct api_call *call, struct json *json, const struct days *days,
                              const struct rider *rider, const struct rider_session *row,
                              struct error *err)
{
    struct rider_facts facts;
    struct session session;
    const struct came_back *came = NULL;
    for (size_t i = 0; i < days->n_came && came == NULL; i++) {
        came = days->came[i].row.entry.id == row->entry.id ? &days->came[i].came : NULL;
    }
    if (!sessions_steps(call->arena, row, &session, err) ||
        !facts_on(call->roster, call->arena, rider->id, row->day, &facts, err)) {
        return false;
    }
    const struct session_dose dose =
        session_dose_of(call->arena, &session, facts.threshold_w, &days->limits);
    json_begin_object(json, NULL);
    session_fields_json(json, row);
    json_string(json, "brief", words_session_brief(call->arena, &dose));
    json_string(json, "outcome", came == NULL ? NULL : came_outcome_name(came->outcome));
    json_string(json, "outcome_text", came == NULL ? NULL : came_words_short(call->arena, came));
    json_end_object(json);
    return true;
}

bool route_get_sessions(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct days days = { 0 };
    if (!write_rider(call, &rider, err) || !take_days(call, &rider, &days, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    json_integer(&json, "rider", rider.id);
    json_string(&json, "name", rider.name);
    json_string(&json, "today", call->today);
    json_begin_array(&json, "days");
    const int64_t n = entry_days_between(days.from, days.to);
    for (int64_t i = 0; i < n; i++) {
        day_json(&json, &days, entry_day_after(call->arena, days.from, i));
    }
    json_end_array(&json);
    json_begin_array(&json, "sessions");
    for (size_t i = 0; i < days.n_sessions; i++) {
        if (is_within(days.sessions[i].day, days.from, days.to) &&
            !came_session_json(call, &json, &days, &rider, &days.sessions[i], err)) {
            return false;
        }
    }
    json_end_array(&json);
    json_string(&json, "adherence",
                days.last.counts.given == 0
                    ? NULL
                    : came_words_counts(call->arena, &days.last.counts, days.last.weeks));
    json_end_object(&json);
    return true;
}

/* ---- one, and words that aren't saved ---- */

static bool find_session(struct api_call *call, struct rider *rider, struct rider_session *row,
                         struct error *err)
{
    int64_t id = 0;
    return write_rider(call, rider, err) && api_path_id(call, "number", &id, err) &&
           entries_find(call->roster, call->arena, &session_kind, rider, id, row, err);
}

/* The profile for the width that the query names; null where none is named. */
static bool figure_json(struct api_call *call, struct json *json, const struct session *session,
                        const struct rider_facts *facts, const struct session_outlook *outlook,
                        const struct limits *limits, struct error *err)
{
    struct scene scene;
    int64_t width = 0;
    if (!api_query_number(call, "width", FIGURE_NARROWEST, FIGURE_WIDEST, &width, err)) {
        return false;
    }
    if (width == 0) {
        json_null(json, "figure");
        return true;
    }
    if (!session_figure(call->arena, (double)width, session, facts, outlook, limits, &scene, err)) {
        return false;
    }
    scene_json(json, "figure", &scene);
    return true;
}

static bool is_over(const struct api_call *call, const struct rider_session *row)
{
    return strcmp(row->day, call->today) < 0;
}

/* What the words make for this rider on that day, into an open object. */
static bool reading_json(struct api_call *call, struct json *json, const struct rider *rider,
                         const struct rider_session *row, const struct session *session,
                         bool is_past, struct error *err)
{
    struct rider_facts facts;
    struct limits limits;
    struct safe_breach breaches[SAFE_BREACHES];
    struct session_outlook outlook;
    size_t n = 0;
    if (!readings_limits(roster_db(call->roster), call->arena, rider->id, &limits, err) ||
        !facts_for_session(call->roster, call->arena, rider->id, row->day, &facts, err) ||
        !sessions_safe(call->roster, call->arena, rider, row, breaches, &n, err) ||
        !session_outlook_of(call->roster, call->arena, rider, row->day, is_past, session, &limits,
                            &outlook, err)) {
        return false;
    }
    json_number(json, "threshold_w", facts.threshold_w, 0);
    session_steps_json(json, session, facts.threshold_w, &limits);
    session_breaches_json(json, breaches, n);
    outlook_json(json, "outlook", &outlook);
    return figure_json(call, json, session, &facts, &outlook, &limits, err);
}

bool route_get_rider_session(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct rider_session row = { 0 };
    struct session session;
    struct came_back came = { 0 };
    bool is_given = false;
    if (!find_session(call, &rider, &row, err) ||
        !sessions_steps(call->arena, &row, &session, err) ||
        !came_back_of(call->roster, call->arena, rider.id, &row, call->today, &came, &is_given,
                      err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    json_integer(&json, "rider", rider.id);
    json_string(&json, "rider_name", rider.name);
    session_fields_json(&json, &row);
    const bool is_past = is_over(call, &row) || (is_given && came.outcome != CAME_NOT_YET);
    if (!reading_json(call, &json, &rider, &row, &session, is_past, err)) {
        return false;
    }
    if (is_given) {
        came_back_json(call->arena, &json, "came_back", &came);
    } else {
        json_null(&json, "came_back");
    }
    json_end_object(&json);
    return true;
}

static bool check_kind(struct arena *arena, const char *kind, struct error *err)
{
    struct text known = text_begin(arena, ENTRY_WORDS_MOST);
    if (session_kind_is_known(kind)) {
        return true;
    }
    for (size_t i = 0; session_kinds[i] != NULL; i++) {
        text_add_format(&known, "%s%s", i == 0 ? "" : ", ", session_kinds[i]);
    }
    return error_set(err, ERROR_USAGE, "kind: %.40s: no kind of session; there are %s", kind,
                     known.bytes);
}

static void not_understood(struct json *json, const struct session_fault *fault)
{
    session_fault_json(json, fault);
    json_null(json, "words");
}

/* "nudge" of the body: the session a step harder and so on, by the threshold of its day. */
static bool nudge(struct api_call *call, const struct rider *rider, const char *day,
                  struct session *session, struct error *err)
{
    struct rider_facts facts;
    struct limits limits;
    enum session_nudge by = SESSION_NUDGES;
    const char *name = NULL;
    if (!body_text(call->body, "nudge", BODY_MAY_LACK, &name, err)) {
        return false;
    }
    if (name == NULL) {
        return true;
    }
    if (!session_nudge_find(name, &by)) {
        return error_set(err, ERROR_USAGE, "nudge: %.40s: harder, easier, longer or shorter", name);
    }
    if (!readings_limits(roster_db(call->roster), call->arena, rider->id, &limits, err) ||
        !facts_on(call->roster, call->arena, rider->id, day, &facts, err)) {
        return false;
    }
    return session_nudge_make(session, by, facts.threshold_w, &limits) ||
           error_set(err, ERROR_CONFLICT, "%s", words_session_nudge_none(by));
}

bool route_post_session_words(struct api_call *call, struct error *err)
{
    static const char *const keys[] = { "day", "words", "kind", "number", "nudge" };
    struct rider rider = { 0 };
    struct rider_session row = { .kind = "other", .state = "drafted" };
    struct session session;
    struct session_fault fault = { 0 };
    const char *words = NULL;
    if (!body_only(call->body, keys, 5, err) || !write_rider(call, &rider, err) ||
        !write_day(call->body, "day", BODY_NEEDED, &row.day, err) ||
        !body_lines(call->body, "words", BODY_NEEDED, &words, err) ||
        !body_text(call->body, "kind", BODY_MAY_LACK, &row.kind, err) ||
        !body_integer(call->body, "number", BODY_MAY_LACK, &row.entry.id, err) ||
        !check_kind(call->arena, row.kind, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    if (!session_read(call->arena, words, &session, &fault)) {
        not_understood(&json, &fault);
    } else {
        if (!nudge(call, &rider, row.day, &session, err)) {
            return false;
        }
        row.words = session_write(call->arena, &session);
        session_fault_json(&json, NULL);
        json_string(&json, "words", row.words);
        if (!reading_json(call, &json, &rider, &row, &session, is_over(call, &row), err)) {
            return false;
        }
    }
    json_end_object(&json);
    return true;
}

/* ---- writes ---- */

/* All of the session but its state. */
static bool read_session(struct api_call *call, struct rider_session *row, struct error *err)
{
    static const char *const keys[] = { "day", "name", "kind", "words", "why", "knowingly" };
    row->kind = NULL;
    row->why = NULL;
    return body_only(call->body, keys, 6, err) &&
           write_day(call->body, "day", BODY_NEEDED, &row->day, err) &&
           body_text(call->body, "name", BODY_NEEDED, &row->name, err) &&
           body_lines(call->body, "words", BODY_NEEDED, &row->words, err) &&
           body_text(call->body, "kind", BODY_MAY_LACK, &row->kind, err) &&
           body_text(call->body, "why", BODY_MAY_LACK, &row->why, err) &&
           write_knowingly(call->arena, call->body, &row->confirmed, err);
}

/* The one that was seen is the one that is there: what conflicts from here on is a safe limit. */
static bool check_version(struct api_call *call, struct rider_session *row, struct error *err)
{
    if (row->entry.version != call->version) {
        return error_set(err, ERROR_CONFLICT,
                         "somebody changed this session meanwhile; look at it again, then change "
                         "it");
    }
    call->version = 0;
    return true;
}

static bool save(struct api_call *call, const struct rider *rider, struct rider_session *row,
                 struct error *err)
{
    struct write_done done = { 0 };
    struct rider_session now = { 0 };
    if (!write_begin(call, &done, err) ||
        !sessions_save(call->roster, call->arena, call->now, rider, row, err) ||
        !entries_find(call->roster, call->arena, &session_kind, rider, row->entry.id, &now, err)) {
        return false;
    }
    done.words = row->entry.said;
    done.number = row->entry.id;
    done.version = now.entry.version;
    return write_end(call, &done, err);
}

bool route_post_rider_session(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct rider_session row = { 0 };
    if (!write_rider(call, &rider, err) || !read_session(call, &row, err) ||
        !save(call, &rider, &row, err)) {
        return false;
    }
    call->location = arena_format(call->arena, "/api/1/riders/%lld/sessions/%lld",
                                  (long long)rider.id, (long long)row.entry.id);
    return true;
}

bool route_put_rider_session(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct rider_session row = { 0 };
    return find_session(call, &rider, &row, err) && check_version(call, &row, err) &&
           read_session(call, &row, err) && save(call, &rider, &row, err);
}

bool route_delete_rider_session(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct rider_session row = { 0 };
    struct write_done done = { 0 };
    if (!find_session(call, &rider, &row, err) || !check_version(call, &row, err) ||
        !write_begin(call, &done, err) ||
        !sessions_remove(call->roster, call->arena, call->now, &rider, &row, err)) {
        return false;
    }
    done.words = row.entry.said;
    return write_end(call, &done, err);
}

/* Given, withdrawn, done; what was gone past knowingly stays so unless names are sent. */
bool route_post_session_state(struct api_call *call, struct error *err)
{
    static const char *const keys[] = { "state", "knowingly" };
    struct rider rider = { 0 };
    struct rider_session row = { 0 };
    const char *state = NULL;
    if (!body_only(call->body, keys, 2, err) || !find_session(call, &rider, &row, err) ||
        !check_version(call, &row, err) ||
        !body_text(call->body, "state", BODY_NEEDED, &state, err) ||
        (body_find(call->body, "knowingly") != NULL &&
         !write_knowingly(call->arena, call->body, &row.confirmed, err))) {
        return false;
    }
    if (strcmp(state, "given") != 0 && strcmp(state, "withdrawn") != 0 &&
        strcmp(state, "done") != 0) {
        return error_set(err, ERROR_USAGE, "state: %.40s: given, withdrawn or done", state);
    }
    row.state = state;
    return save(call, &rider, &row, err);
}

/* ---- for the rider's device and calendar ---- */

bool route_get_session_workout(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct rider_session row = { 0 };
    struct rider_facts facts;
    struct bytes bytes = { 0 };
    if (!find_session(call, &rider, &row, err) ||
        !facts_on(call->roster, call->arena, rider.id, row.day, &facts, err) ||
        !session_workout(call->arena, &row, facts.threshold_w, call->now.utc_s, &bytes, err)) {
        return false;
    }
    call->type = "application/octet-stream";
    text_add_bytes(&call->out, (const char *)bytes.at, bytes.size);
    return true;
}

bool route_get_session_card(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct rider_session row = { 0 };
    struct bytes bytes = { 0 };
    enum card_paper paper = CARD_A6;
    const char *page = api_query(call, "page");
    if (page != NULL && !card_paper_find(page, &paper)) {
        return error_set(err, ERROR_USAGE, "page=%.20s: a6 or a5", page);
    }
    if (!find_session(call, &rider, &row, err) ||
        !session_card_pdf(
            call->roster, call->arena, &rider, &row, paper,
            (struct card_wanted){ api_query_is_true(call, "no_power"), is_over(call, &row) },
            &bytes, err)) {
        return false;
    }
    call->type = "application/pdf";
    text_add_bytes(&call->out, (const char *)bytes.at, bytes.size);
    return true;
}

static bool calendar_of(struct api_call *call, const struct rider *rider,
                        const struct rider_session rows[], size_t n, struct error *err)
{
    call->type = "text/calendar; charset=utf-8";
    return session_calendar(call->roster, &call->out, rider, rows, n, call->now.utc_s, err);
}

bool route_get_session_calendar(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct rider_session row = { 0 };
    if (!find_session(call, &rider, &row, err)) {
        return false;
    }
    if (strcmp(row.state, "drafted") == 0) {
        return error_set(err, ERROR_CONFLICT,
                         "session %lld is a draft: give it, then it has an entry for the calendar",
                         (long long)row.entry.id);
    }
    call->type = "text/calendar; charset=utf-8";
    return session_calendar_entry(call->roster, &call->out, &rider, &row, call->now.utc_s, err);
}

bool route_get_rider_calendar(struct api_call *call, struct error *err)
{
    struct rider rider = { 0 };
    struct rider_session *rows = NULL;
    size_t count = 0;
    return write_rider(call, &rider, err) &&
           entries_list(call->roster, call->arena, &session_kind, rider.id, &rows, &count, err) &&
           calendar_of(call, &rider, rows, count, err);
}
