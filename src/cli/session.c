/* cli/session.c: plumbline session: what a rider is to ride, by day. */
#include "cli/session.h"

#include "base/dates.h"
#include "base/files_set.h"
#include "roster/given_files.h"
#include "coaching/session_device.h"
#include "coaching/session_library.h"
#include "coaching/session_text.h"
#include "coaching/words/came_words.h"
#include "coaching/words/outlook_words.h"
#include "roster/came_back.h"
#include "roster/facts.h"
#include "roster/readings.h"
#include "roster/session_outlook.h"
#include "server/answers/sessions.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define N_ROWS(rows) (sizeof(rows) / sizeof(rows)[0])

enum { WORDS_MOST = 400 };

/* ---- saying it ---- */

static void lines_indented(struct roster_call *call, const char *words)
{
    char *save = NULL;
    for (char *line = strtok_r(arena_string(call->arena, words), "\n", &save); line != NULL;
         line = strtok_r(NULL, "\n", &save)) {
        text_add(&call->out, "  ");
        text_add_wrapped(&call->out, line, 2, 4, 80);
    }
}

/* ---- what it will bring ---- */

/* came: NULL = what came back isn't looked into. */
static bool take_outlook(struct roster_call *call, const struct rider *rider,
                         const struct rider_session *row, const struct came_back *came,
                         struct session_outlook *out, struct error *err)
{
    struct session session;
    struct limits limits;
    const bool is_past =
        strcmp(row->day, call->today) < 0 || (came != NULL && came->outcome != CAME_NOT_YET);
    return sessions_steps(call->arena, row, &session, err) &&
           readings_limits(roster_db(call->roster), call->arena, rider->id, &limits, err) &&
           session_outlook_of(call->roster, call->arena, rider, row->day, is_past, &session,
                              &limits, out, err);
}

static void told_json(struct roster_call *call, const struct rider_session *row,
                      const struct session_outlook *outlook, const struct came_back *came)
{
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    session_fields_json(&json, row);
    outlook_json(&json, "outlook", outlook);
    if (came != NULL) {
        came_back_json(call->arena, &json, "came_back", came);
    }
    json_end_object(&json);
}

static void say(struct roster_call *call, const char *words)
{
    text_add(&call->out, "  ");
    text_add_wrapped(&call->out, words, 2, 2, 80);
}

/* Warned before what it will bring: a warning is never the last line of many. */
static void say_outlook(struct roster_call *call, const struct session_outlook *outlook)
{
    for (size_t i = 0; i < outlook->n_warnings; i++) {
        say(call, outlook->warnings[i].words);
    }
    say(call, arena_format(call->arena, "%s: %s", outlook->heading, outlook->text));
    for (size_t i = 0; i < outlook->n_missing; i++) {
        say(call, outlook->missing[i].words);
    }
}

static void session_line(struct roster_call *call, const struct rider_session *row,
                         const struct came_back *came)
{
    const char *state = row->state;
    if (came != NULL && !came->by_word) {
        state = arena_format(call->arena, "%s, %s", state, came_words_short(call->arena, came));
    }
    text_add_format(&call->out, "%5lld  ", (long long)row->entry.id);
    text_add_wrapped(
        &call->out, arena_format(call->arena, "%s  %s (%s)", row->day, row->name, state), 7, 7, 80);
}

static bool find_one(struct roster_call *call, struct rider *rider, struct rider_session *row,
                     struct error *err)
{
    char *end = NULL;
    const long long id = strtoll(call->words[1], &end, 10);
    *row = (struct rider_session){ .day = "" }; /* until it is found */
    if (*end != '\0' || id <= 0) {
        return error_set(err, ERROR_USAGE, "%.40s: no number of session list; see --help",
                         call->words[1]);
    }
    return riders_find(call->roster, call->arena, call->words[0], rider, err) &&
           entries_find(call->roster, call->arena, &session_kind, rider, id, row, err);
}

static bool check_number(const struct roster_call *call, const void *values, struct error *err)
{
    (void)values;
    char *end = NULL;
    const long long id = strtoll(call->words[1], &end, 10);
    return (*end == '\0' && id > 0) ||
           error_set(err, ERROR_USAGE, "%.40s: no number of session list; see --help",
                     call->words[1]);
}

/* ---- write ---- */

struct write_values {
    struct roster_values common;
    const char *name;
    const char *kind;
    const char *why;
    const char *past;
    const char *change;
};

#define ROW(field) offsetof(struct write_values, field), 0, 0
static const struct option_row write_options[] = {
    { "name", OPTION_TEXT, "WORDS", "what it is called", ROW(name) },
    { "kind", OPTION_TEXT, "KIND",
      "easy, base-test, tempo, sweet-spot, threshold, over-unders, vo2max, short-vo2max, "
      "anaerobic, sprint, test, other",
      ROW(kind) },
    { "why", OPTION_TEXT, "WORDS", "why, as the rider reads it", ROW(why) },
    { "knowingly", OPTION_TEXT, "NAMES", "safe limits to go past, by name", ROW(past) },
    { "change", OPTION_TEXT, "NUMBER", "change that session", ROW(change) },
    ROSTER_OPTIONS,
};
#undef ROW

/* A name of the library or of the coach's own fills what isn't said. */
static bool take_named(struct roster_call *call, const char *words, struct rider_session *row,
                       struct error *err)
{
    const struct library_session *named = session_library_find(words);
    struct own_session own = { 0 };
    bool found = false;
    if (named != NULL) {
        row->words = named->words;
        row->name = named->title;
        row->kind = named->kind;
        return true;
    }
    row->words = words;
    if (!sessions_own_find(call->roster, call->arena, words, &own, &found, err)) {
        return false;
    }
    if (found) {
        row->words = own.words;
        row->name = own.name;
        row->kind = own.kind;
    }
    return true;
}

static const char *words_from(const struct roster_call *call, size_t from)
{
    struct text out = text_begin(call->arena, 65536);
    for (size_t i = from; i < call->n_words; i++) {
        text_add_format(&out, "%s%s", i > from ? " " : "", call->words[i]);
    }
    return from < call->n_words ? out.bytes : NULL;
}

/* "60 min at 50-65 %" names a session that has no name; a long one is cut between words. */
static const char *first_words(struct arena *arena, const char *words)
{
    enum { SHOWN = 60 };
    size_t n = strcspn(words, "\n");
    if (n > SHOWN) {
        n = SHOWN;
        while (n > 0 && words[n] != ' ') {
            n--;
        }
        n = n > 0 ? n : SHOWN;
        while (n > 0 && ((unsigned char)words[n] & 0xC0) == 0x80) {
            n--;
        }
        return arena_format(arena, "%.*s ...", (int)n, words);
    }
    return arena_format(arena, "%.*s", (int)n, words);
}

/* On a terminal the fault with its caret, above the line that says it. */
static bool show_fault(struct roster_call *call, const char *words, struct error *err)
{
    struct session session;
    struct session_fault fault = { 0 };
    if (words == NULL || session_read(call->arena, words, &session, &fault)) {
        return true;
    }
    if (isatty(STDERR_FILENO) == 1) { /* for programs, an error is one line */
        fputs(session_fault_shown(call->arena, &fault, 79), stderr);
    }
    return error_set(err, ERROR_USAGE, "%s", session_fault_words(call->arena, &fault));
}

static bool run_write(struct roster_call *call, const void *raw, struct error *err)
{
    const struct write_values *values = raw;
    struct rider rider = { 0 };
    struct rider_session row = { 0 };
    const char *words = words_from(call, 2);
    if (!riders_find(call->roster, call->arena, call->words[0], &rider, err)) {
        return false;
    }
    if (values->change != NULL && !entries_find(call->roster, call->arena, &session_kind, &rider,
                                                strtoll(values->change, NULL, 10), &row, err)) {
        return false;
    }
    row.day = call->words[1];
    if ((words != NULL && !take_named(call, words, &row, err)) ||
        !show_fault(call, row.words, err)) {
        return false;
    }
    row.name = values->name != NULL ? values->name : row.name;
    row.name =
        row.name == NULL && row.words != NULL ? first_words(call->arena, row.words) : row.name;
    row.kind = values->kind != NULL ? values->kind : row.kind;
    row.why = values->why != NULL ? (values->why[0] == '\0' ? NULL : values->why) : row.why;
    row.confirmed = values->past != NULL ? values->past : row.confirmed;
    struct session_outlook outlook;
    if (!sessions_save(call->roster, call->arena, call->now, &rider, &row, err) ||
        !take_outlook(call, &rider, &row, NULL, &outlook, err)) {
        return false;
    }
    if (call->json) {
        told_json(call, &row, &outlook, NULL);
    } else {
        text_add_wrapped(&call->out, row.entry.said, 0, 2, 80);
        say_outlook(call, &outlook);
    }
    return true;
}

/* ---- list, show ---- */

static const struct option_row plain_options[] = { ROSTER_OPTIONS };

/* All that there are. */
static const char FIRST_DAY[] = "1900-01-01";
static const char LAST_DAY[] = "2200-01-01";

/* NULL = it wasn't given. */
static const struct came_back *came_of(const struct came_session came[], size_t n, int64_t id)
{
    for (size_t i = 0; i < n; i++) {
        if (came[i].row.entry.id == id) {
            return &came[i].came;
        }
    }
    return NULL;
}

static bool run_list(struct roster_call *call, const void *raw, struct error *err)
{
    (void)raw;
    struct rider rider = { 0 };
    struct came_session *came = NULL;
    struct came_weeks weeks;
    size_t n_came = 0;
    struct rider_session *rows = NULL;
    size_t count = 0;
    if (!riders_find(call->roster, call->arena, call->words[0], &rider, err) ||
        !entries_list(call->roster, call->arena, &session_kind, rider.id, &rows, &count, err) ||
        !came_back_list(call->roster, call->arena, rider.id, FIRST_DAY, LAST_DAY, call->today,
                        &came, &n_came, &weeks, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    if (call->json) {
        json_begin_array(&json, NULL);
        for (size_t i = 0; i < count; i++) {
            const struct came_back *one = came_of(came, n_came, rows[i].entry.id);
            json_begin_object(&json, NULL);
            session_fields_json(&json, &rows[i]);
            json_string(&json, "outcome", one == NULL ? NULL : came_outcome_name(one->outcome));
            json_end_object(&json);
        }
        json_end_array(&json);
        return true;
    }
    text_add(&call->out, "Sessions of ");
    text_add_wrapped(&call->out, rider.name, 12, 2, 80);
    for (size_t i = 0; i < count; i++) {
        session_line(call, &rows[i], came_of(came, n_came, rows[i].entry.id));
    }
    if (count == 0) {
        text_add(&call->out, "  none yet; plumbline session library has some to begin with\n");
    }
    if (weeks.counts.given > 0) {
        roster_call_sentence(call, came_words_counts(call->arena, &weeks.counts, weeks.weeks));
    }
    return true;
}

static void ranges_in_watts(struct roster_call *call, const struct session *session,
                            double threshold_w)
{
    size_t count = 0;
    const struct fit_step *steps = NULL;
    struct error ignored = { 0 };
    if (!(threshold_w > 0) ||
        !session_for_device(call->arena, session, threshold_w, &steps, &count, &ignored)) {
        return;
    }
    text_add_format(&call->out, "\n  In watts, at a threshold of %.0f W:\n", threshold_w);
    for (size_t i = 0; i < count; i++) {
        if (steps[i].times > 0) {
            text_add_format(&call->out, "    back to part %u, %u times in all\n",
                            (unsigned)steps[i].first + 1, (unsigned)steps[i].times);
        } else if (steps[i].aim == FIT_AIM_W) {
            struct text range = text_begin(call->arena, 40);
            session_write_aim(&range, AIM_W, (int32_t)steps[i].low, (int32_t)steps[i].high);
            text_add_format(&call->out, "  %3zu  %-11s ", i + 1, range.bytes);
            text_add_wrapped(&call->out, steps[i].name, 19, 19, 80);
        } else {
            text_add_format(&call->out, "  %3zu  %-11s ", i + 1, "");
            text_add_wrapped(&call->out, steps[i].name, 19, 19, 80);
        }
    }
}

/* Asked against done, a step a line. */
static void say_came(struct roster_call *call, const struct came_back *came)
{
    text_add(&call->out, "\n  What came back\n  ");
    text_add_wrapped(&call->out, came->text, 2, 2, 80);
    for (size_t j = 0; came->ride != 0 && !came->by_time && j < came->n_steps; j++) {
        struct text asked = text_begin(call->arena, SESSION_BYTES_MOST);
        session_write_step(&asked, came->steps[j].asked);
        text_add_format(&call->out, "  %3zu  ", j + 1);
        text_add_wrapped(&call->out,
                         arena_format(call->arena, "%s: %s", asked.bytes,
                                      came_words_step(call->arena, &came->steps[j])),
                         7, 7, 80);
    }
}

static bool run_show(struct roster_call *call, const void *raw, struct error *err)
{
    (void)raw;
    struct rider rider = { 0 };
    struct rider_session row = { 0 };
    struct rider_facts facts;
    struct session session;
    struct session_outlook outlook;
    struct came_back came = { 0 };
    bool is_given = false;
    if (!find_one(call, &rider, &row, err) ||
        !came_back_of(call->roster, call->arena, rider.id, &row, call->today, &came, &is_given,
                      err) ||
        !facts_for_session(call->roster, call->arena, rider.id, row.day, &facts, err) ||
        !sessions_steps(call->arena, &row, &session, err) ||
        !take_outlook(call, &rider, &row, is_given ? &came : NULL, &outlook, err)) {
        return false;
    }
    if (call->json) {
        told_json(call, &row, &outlook, is_given ? &came : NULL);
        return true;
    }
    text_add_wrapped(&call->out,
                     arena_format(call->arena, "%s, %s: %s (%s, %s)", rider.name, row.day, row.name,
                                  row.kind, row.state),
                     0, 2, 80);
    lines_indented(call, row.words);
    ranges_in_watts(call, &session, facts.threshold_w);
    text_add(&call->out, "\n");
    if (is_given && came.outcome != CAME_NOT_YET) {
        say_came(call, &came);
    }
    say_outlook(call, &outlook);
    const char *minutes = words_outlook_minutes(call->arena, &outlook);
    if (minutes != NULL) {
        say(call, minutes);
    }
    if (row.why != NULL) {
        roster_call_sentence(call, arena_format(call->arena, "Why: %s", row.why));
    }
    if (row.confirmed != NULL) {
        roster_call_sentence(
            call, arena_format(call->arena, "Knowingly past safe limits: %s", row.confirmed));
    }
    return true;
}

/* ---- remove ---- */

static bool run_remove(struct roster_call *call, const void *raw, struct error *err)
{
    (void)raw;
    struct rider rider = { 0 };
    struct rider_session row = { 0 };
    if (!find_one(call, &rider, &row, err) ||
        !sessions_remove(call->roster, call->arena, call->now, &rider, &row, err)) {
        return false;
    }
    if (call->json) {
        struct json json = json_begin(&call->out);
        session_json(&json, NULL, &row);
    } else {
        text_add_wrapped(&call->out, row.entry.said, 0, 2, 80);
    }
    return true;
}

/* ---- give, withdraw, done ---- */

struct give_values {
    struct roster_values common;
    const char *fit;
    const char *calendar;
    const char *entry;
    const char *past;
    const char *from; /* withdraw: all from that day on */
    bool all;         /* and from today on */
};

#define ROW(field) offsetof(struct give_values, field), 0, 0
static const struct option_row give_options[] = {
    { "fit", OPTION_TEXT, "FILE", "the workout as a FIT file for the rider's device", ROW(fit) },
    { "calendar", OPTION_TEXT, "FILE", "all given sessions of the rider as a calendar (iCalendar)",
      ROW(calendar) },
    { "entry", OPTION_TEXT, "FILE", "this session alone, for the calendar (iCalendar)",
      ROW(entry) },
    { "knowingly", OPTION_TEXT, "NAMES", "safe limits to go past, by name", ROW(past) },
    ROSTER_OPTIONS,
};
static const struct option_row withdraw_options[] = {
    { "from", OPTION_TEXT, "DATE", "all that stands from that day on, drafts too, in one change",
      ROW(from) },
    { "all", OPTION_FLAG, NULL, "the same from today on", ROW(all) },
    { "calendar", OPTION_TEXT, "FILE", "all given sessions of the rider as a calendar (iCalendar)",
      ROW(calendar) },
    { "entry", OPTION_TEXT, "FILE", "of one session: what cancels it in a calendar (iCalendar)",
      ROW(entry) },
    ROSTER_OPTIONS,
};
static const struct option_row end_options[] = {
    { "calendar", OPTION_TEXT, "FILE", "all given sessions of the rider as a calendar (iCalendar)",
      ROW(calendar) },
    { "entry", OPTION_TEXT, "FILE",
      "this session alone, for the calendar (iCalendar); withdrawn: what cancels it there",
      ROW(entry) },
    ROSTER_OPTIONS,
};
#undef ROW

/* Files that are ready before the state says so, and in their places after it. */
struct handing {
    struct roster_call *call;
    const struct give_values *values;
    const struct rider *rider;
    const struct rider_session *row; /* as it will be */
    struct files_set files;
    /* of them, in the roster: what a killed program leaves is found by these */
    const char *begun;
    const char *note;
};

enum { CALENDAR_BYTES_MOST = 64 << 20 };

static bool add_fit(struct handing *handing, struct error *err)
{
    struct roster_call *call = handing->call;
    struct rider_facts facts;
    struct bytes bytes = { 0 };
    return facts_on(call->roster, call->arena, handing->rider->id, handing->row->day, &facts,
                    err) &&
           session_workout(call->arena, handing->row, facts.threshold_w, call->now.utc_s, &bytes,
                           err) &&
           files_set_add(&handing->files, handing->values->fit, bytes, err);
}

static bool add_text_file(struct handing *handing, const char *path, const struct text *text,
                          struct error *err)
{
    const struct bytes bytes = { (const uint8_t *)text->bytes, text->length };
    return files_set_add(&handing->files, path, bytes, err);
}

static bool add_entry(struct handing *handing, struct error *err)
{
    struct roster_call *call = handing->call;
    struct text out = text_begin(call->arena, CALENDAR_BYTES_MOST);
    return session_calendar_entry(call->roster, &out, handing->rider, handing->row, call->now.utc_s,
                                  err) &&
           add_text_file(handing, handing->values->entry, &out, err);
}

/* Given, done, and those called off; drafts are the coach's own. */
static bool add_calendar(struct handing *handing, struct error *err)
{
    struct roster_call *call = handing->call;
    struct rider_session *rows = NULL;
    size_t count = 0;
    struct text out = text_begin(call->arena, CALENDAR_BYTES_MOST);
    return entries_list(call->roster, call->arena, &session_kind, handing->rider->id, &rows, &count,
                        err) &&
           session_calendar(call->roster, &out, handing->rider, rows, count, call->now.utc_s,
                            err) &&
           add_text_file(handing, handing->values->calendar, &out, err);
}

/* Within the change, perhaps more than once. */
static bool make_files(struct db *db, void *context, struct error *err)
{
    struct handing *handing = context;
    const struct give_values *values = handing->values;
    files_set_clear(&handing->files);
    return (values->fit == NULL || add_fit(handing, err)) &&
           (values->entry == NULL || add_entry(handing, err)) &&
           (values->calendar == NULL || add_calendar(handing, err)) &&
           given_files_note(db, handing->call->arena, &handing->files, handing->begun,
                            &handing->note, err);
}

static bool begin_files(struct handing *handing, struct error *err)
{
    const struct give_values *values = handing->values;
    const char *const named[] = { values->fit, values->entry, values->calendar };
    const char *paths[N_ROWS(named)];
    size_t n = 0;
    for (size_t i = 0; i < N_ROWS(named); i++) {
        if (named[i] != NULL) {
            paths[n++] = named[i];
        }
    }
    files_set_begin(&handing->files);
    if (!given_files_begin(handing->call->roster, handing->call->arena, paths, n, &handing->begun,
                           err)) {
        files_set_drop(&handing->files);
        return false;
    }
    return true;
}

/* The change was refused or failed. */
static void drop_files(struct handing *handing)
{
    struct error unheard = { 0 }; /* the next start finds nothing left, and takes the note away */
    files_set_clear(&handing->files);
    (void)!given_files_dropped(handing->call->roster, handing->begun, &unheard);
    files_set_drop(&handing->files);
}

/* The change is made: what is left is to put its files in their places. */
static bool hand_over(struct handing *handing, struct error *err)
{
    struct error unheard = { 0 };
    const bool kept = files_set_keep(&handing->files, err);
    return given_files_done(handing->call->roster, handing->note, kept ? err : &unheard) && kept;
}

/* A full disk leaves the state as it was and no file; what remains to fail is a rename. */
static bool save_and_hand_over(struct handing *handing, struct rider_session *row,
                               struct error *err)
{
    struct roster_call *call = handing->call;
    if (!begin_files(handing, err)) {
        return false;
    }
    if (!sessions_save_with(call->roster, call->arena, call->now, handing->rider, row, make_files,
                            handing, err)) {
        drop_files(handing);
        return false;
    }
    return hand_over(handing, err);
}

static bool set_state(struct roster_call *call, const struct give_values *values, const char *state,
                      struct error *err)
{
    struct rider rider = { 0 };
    struct rider_session row = { 0 };
    struct session_outlook outlook;
    const bool is_given = strcmp(state, "given") == 0;
    if (!find_one(call, &rider, &row, err) ||
        (is_given && !take_outlook(call, &rider, &row, NULL, &outlook, err))) {
        return false;
    }
    struct handing *handing = ARENA_ARRAY(call->arena, struct handing, 1);
    handing->call = call;
    handing->values = values;
    handing->rider = &rider;
    handing->row = &row;
    row.state = state;
    row.confirmed = values->past != NULL ? values->past : row.confirmed;
    if (!save_and_hand_over(handing, &row, err)) {
        return false;
    }
    if (call->json && is_given) {
        told_json(call, &row, &outlook, NULL);
    } else if (call->json) {
        struct json json = json_begin(&call->out);
        session_json(&json, NULL, &row);
    } else {
        text_add_wrapped(&call->out, row.entry.said, 0, 2, 80);
    }
    if (!call->json && is_given) {
        say_outlook(call, &outlook);
    }
    return true;
}

static bool run_give(struct roster_call *call, const void *raw, struct error *err)
{
    return set_state(call, raw, "given", err);
}

static bool withdraw_many(struct roster_call *call, const struct give_values *values,
                          struct error *err)
{
    struct rider rider = { 0 };
    size_t n = 0;
    const char *said = NULL;
    const char *from = values->from != NULL ? values->from : call->today;
    struct handing *handing = ARENA_ARRAY(call->arena, struct handing, 1);
    handing->call = call;
    handing->values = values;
    handing->rider = &rider;
    if (!riders_find(call->roster, call->arena, call->words[0], &rider, err)) {
        return false;
    }
    if (!begin_files(handing, err)) {
        return false;
    }
    if (!sessions_withdraw_from(call->roster, call->arena, call->now, &rider, from, make_files,
                                handing, &n, &said, err)) {
        drop_files(handing);
        return false;
    }
    if (!hand_over(handing, err)) {
        return false;
    }
    if (call->json) {
        struct json json = json_begin(&call->out);
        json_begin_object(&json, NULL);
        json_string(&json, "said", said);
        json_integer(&json, "sessions", (int64_t)n);
        json_end_object(&json);
    } else {
        text_add_wrapped(&call->out, said, 0, 2, 80);
    }
    return true;
}

static bool run_withdraw(struct roster_call *call, const void *raw, struct error *err)
{
    const struct give_values *values = raw;
    return values->all || values->from != NULL ? withdraw_many(call, values, err)
                                               : set_state(call, values, "withdrawn", err);
}

/* A number, or the days. */
static bool check_withdraw(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct give_values *values = raw;
    int64_t day = 0;
    if (!values->all && values->from == NULL) {
        return call->n_words == 2 ? check_number(call, raw, err)
                                  : error_set(err, ERROR_USAGE,
                                              "which session? its number of session list, --from "
                                              "DATE, or --all; see --help");
    }
    if (values->entry != NULL) {
        return error_set(err, ERROR_USAGE, "--entry goes with one session; --calendar has all");
    }
    if (call->n_words == 2 || (values->all && values->from != NULL)) {
        return error_set(err, ERROR_USAGE, "a number, --from DATE or --all: say one of them");
    }
    return values->from == NULL || dates_parse_day(values->from, &day) ||
           error_set(err, ERROR_USAGE, "--from %.40s: is no day; write it as 2026-03-14",
                     values->from);
}

static bool run_done(struct roster_call *call, const void *raw, struct error *err)
{
    return set_state(call, raw, "done", err);
}

/* ---- the acts ---- */

#define ACT(which, struct_values, least, most, check_words)                                        \
    static const struct roster_work which##_work = { .command = &command_session_##which,          \
                                                     .least_words = (least),                       \
                                                     .most_words = (most),                         \
                                                     .check = (check_words),                       \
                                                     .run = run_##which };                         \
    static int which##_run(int argc, char *const argv[])                                           \
    {                                                                                              \
        struct struct_values values = { 0 };                                                       \
        return roster_call(&which##_work, argc, argv, &values);                                    \
    }

ACT(write, write_values, 2, WORDS_MOST, NULL)
ACT(list, roster_values, 1, 1, NULL)
ACT(show, roster_values, 2, 2, check_number)
ACT(remove, roster_values, 2, 2, check_number)
ACT(give, give_values, 2, 2, check_number)
ACT(withdraw, give_values, 1, 2, check_withdraw)
ACT(done, give_values, 2, 2, check_number)

const struct command command_session_write = {
    .name = "session write",
    .usage = "RIDER DATE [WORDS...] [options]",
    .summary = "drafts what is to be ridden on a day",
    .about = "Such as: session write ada 2026-03-14 '15 min at 50-65 %, then 5 times (4 min at "
             "106-112 %, 4 min at 50 %), 10 min at 45 %', or a name of session library. Lines end "
             "with a line's end. What isn't safe for the rider is said, and not drafted.",
    .options = write_options,
    .n_options = N_ROWS(write_options),
    .run = write_run,
};

const struct command command_session_list = {
    .name = "session list",
    .usage = "RIDER [options]",
    .summary = "a rider's sessions by day, with their numbers",
    .about = "Drafted, given, withdrawn and done.",
    .options = plain_options,
    .n_options = N_ROWS(plain_options),
    .run = list_run,
};

const struct command command_session_show = {
    .name = "session show",
    .usage = "RIDER NUMBER [options]",
    .summary = "one session, with its ranges in watts and what it will bring",
    .about =
        "In watts at the threshold in force on its day; heart rate, work above critical power, "
        "zones and kJ by the rider's numbers, what to mind, and what can't be told.",
    .options = plain_options,
    .n_options = N_ROWS(plain_options),
    .run = show_run,
};

const struct command command_session_remove = {
    .name = "session remove",
    .usage = "RIDER NUMBER [options]",
    .summary = "takes a draft away",
    .about = "What was given is withdrawn instead, so that the rider's calendar is told.",
    .options = plain_options,
    .n_options = N_ROWS(plain_options),
    .run = remove_run,
};

const struct command command_session_give = {
    .name = "session give",
    .usage = "RIDER NUMBER [options]",
    .summary = "gives a session: device file, calendar",
    .about = "Held against the safe limits once more. Given again after a change, the calendar's "
             "entry replaces the one that the rider has. A full disk leaves it as it was and no "
             "file.",
    .options = give_options,
    .n_options = N_ROWS(give_options),
    .run = give_run,
};

const struct command command_session_withdraw = {
    .name = "session withdraw",
    .usage = "RIDER [NUMBER] [options]",
    .summary = "calls a given session off, or all from a day on",
    .about = "The calendar keeps what was given, cancelled, so that the rider's own is told. With "
             "--from or --all everything that stands from that day on is called off in one change: "
             "given sessions are withdrawn, drafts taken away; plumbline undo brings all back.",
    .options = withdraw_options,
    .n_options = N_ROWS(withdraw_options),
    .run = withdraw_run,
};

const struct command command_session_done = {
    .name = "session done",
    .usage = "RIDER NUMBER [options]",
    .summary = "says that it was ridden",
    .about = "What was ridden is read from the rides; this is the coach's word.",
    .options = end_options,
    .n_options = N_ROWS(end_options),
    .run = done_run,
};

static const struct command *const acts[] = {
    &command_session_write, &command_session_list,   &command_session_show,
    &command_session_card,  &command_session_give,   &command_session_withdraw,
    &command_session_done,  &command_session_remove, &command_session_library,
    &command_session_keep,  &command_session_drop,   NULL,
};

static int session_run(int argc, char *const argv[])
{
    return acts_run(&command_session, argc, argv);
}

const struct command command_session = {
    .name = "session",
    .usage = "ACT [RIDER] [WORDS...] [options]",
    .summary = "what a rider is to ride: written, given, taken back",
    .about = "A session is written in plain words, one line a block; docs/sessions.md has all of "
             "them. Every change can be taken back: plumbline undo.",
    .options = plain_options,
    .n_options = N_ROWS(plain_options),
    .acts = acts,
    .run = session_run,
};
