/* cli/session_library.c: plumbline session library, keep, drop: sessions by name. */
#include "cli/session.h"

#include "coaching/session_library.h"
#include "coaching/session_text.h"
#include "server/answers/sessions.h"

#include <string.h>

#define N_ROWS(rows) (sizeof(rows) / sizeof(rows)[0])

enum { WORDS_MOST = 400 };

static void lines_indented(struct roster_call *call, const char *words)
{
    char *save = NULL;
    for (char *line = strtok_r(arena_string(call->arena, words), "\n", &save); line != NULL;
         line = strtok_r(NULL, "\n", &save)) {
        text_add(&call->out, "  ");
        text_add_wrapped(&call->out, line, 2, 4, 80);
    }
}

/* ---- library ---- */

static void say_library(struct roster_call *call, const struct library_session *session)
{
    const struct {
        const char *head;
        const char *words;
    } rows[] = { { "For", session->meant_for },
                 { "How much", session->dose },
                 { "Mind", session->cautions },
                 { "Source", session->source } };
    text_add_wrapped(
        &call->out,
        arena_format(call->arena, "%s: %s (%s)", session->name, session->title, session->kind), 0,
        2, 80);
    lines_indented(call, session->words);
    text_add(&call->out, "\n");
    for (size_t i = 0; i < N_ROWS(rows); i++) {
        text_add(&call->out, "  ");
        text_add_wrapped(
            &call->out, arena_format(call->arena, "%s: %s", rows[i].head, rows[i].words), 2, 4, 80);
    }
}

static bool one(struct roster_call *call, const char *name, struct error *err)
{
    const struct library_session *session = session_library_find(name);
    struct own_session own = { 0 };
    bool found = false;
    struct json json = json_begin(&call->out);
    if (session == NULL && !sessions_own_find(call->roster, call->arena, name, &own, &found, err)) {
        return false;
    }
    if (session == NULL && !found) {
        return error_set(err, ERROR_NOT_FOUND,
                         "%.80s: no session is called so; session library "
                         "lists them",
                         name);
    }
    if (call->json && session != NULL) {
        library_session_json(&json, session);
    } else if (call->json) {
        own_session_json(&json, &own, false);
    } else if (session != NULL) {
        say_library(call, session);
    } else {
        text_add_wrapped(&call->out, arena_format(call->arena, "%s (%s)", own.name, own.kind), 0, 2,
                         80);
        lines_indented(call, own.words);
        if (own.note != NULL) {
            roster_call_sentence(call, own.note);
        }
    }
    return true;
}

static const char *name_of(const struct roster_call *call)
{
    struct text out = text_begin(call->arena, 65536);
    for (size_t i = 0; i < call->n_words; i++) {
        text_add_format(&out, "%s%s", i > 0 ? " " : "", call->words[i]);
    }
    return out.bytes;
}

static bool run_library(struct roster_call *call, const void *raw, struct error *err)
{
    (void)raw;
    struct own_session *own = NULL;
    size_t n = 0;
    if (call->n_words > 0) {
        return one(call, name_of(call), err);
    }
    if (!sessions_own_list(call->roster, call->arena, &own, &n, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    if (call->json) {
        json_begin_array(&json, NULL);
    }
    for (size_t i = 0; i < session_library_count; i++) {
        if (call->json) {
            library_session_json(&json, &session_library[i]);
        } else {
            text_add_format(&call->out, "  %-14s %s\n", session_library[i].name,
                            session_library[i].title);
        }
    }
    for (size_t i = 0; i < n; i++) {
        if (call->json) {
            own_session_json(&json, &own[i], false);
        } else {
            text_add(&call->out, "  ");
            text_add_wrapped(&call->out, arena_format(call->arena, "%s (your own)", own[i].name), 2,
                             4, 80);
        }
    }
    if (call->json) {
        json_end_array(&json);
    } else {
        text_add(&call->out, "\n  plumbline session library NAME    what it holds\n");
    }
    return true;
}

/* ---- keep, drop ---- */

struct keep_values {
    struct roster_values common;
    const char *kind;
    const char *note;
};

#define ROW(field) offsetof(struct keep_values, field), 0, 0
static const struct option_row keep_options[] = {
    { "kind", OPTION_TEXT, "KIND", "what it is: vo2max, threshold, other and so on", ROW(kind) },
    { "note", OPTION_TEXT, "WORDS", "what it is for", ROW(note) },
    ROSTER_OPTIONS,
};
#undef ROW
static const struct option_row plain_options[] = { ROSTER_OPTIONS };

static bool run_keep(struct roster_call *call, const void *raw, struct error *err)
{
    const struct keep_values *values = raw;
    const char *said = NULL;
    struct text words = text_begin(call->arena, 65536);
    for (size_t i = 1; i < call->n_words; i++) {
        text_add_format(&words, "%s%s", i > 1 ? " " : "", call->words[i]);
    }
    struct own_session own = {
        .name = call->words[0], .kind = values->kind, .words = words.bytes, .note = values->note
    };
    if (!sessions_own_keep(call->roster, call->arena, call->now, &own, &said, err)) {
        return false;
    }
    if (call->json) {
        struct json json = json_begin(&call->out);
        own_session_json(&json, &own, false);
    } else {
        text_add_wrapped(&call->out, said, 0, 2, 80);
    }
    return true;
}

static bool run_drop(struct roster_call *call, const void *raw, struct error *err)
{
    (void)raw;
    const char *said = NULL;
    if (!sessions_own_drop(call->roster, call->arena, call->now, call->words[0], &said, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    if (call->json) {
        json_begin_object(&json, NULL);
        json_string(&json, "taken_away", call->words[0]);
        json_end_object(&json);
    } else {
        text_add_wrapped(&call->out, said, 0, 2, 80);
    }
    return true;
}

static const struct roster_work library_work = { .command = &command_session_library,
                                                 .least_words = 0,
                                                 .most_words = WORDS_MOST,
                                                 .run = run_library };
static const struct roster_work keep_work = {
    .command = &command_session_keep, .least_words = 2, .most_words = WORDS_MOST, .run = run_keep
};
static const struct roster_work drop_work = {
    .command = &command_session_drop, .least_words = 1, .most_words = 1, .run = run_drop
};

static int library_run(int argc, char *const argv[])
{
    struct roster_values values = { 0 };
    return roster_call(&library_work, argc, argv, &values);
}

static int keep_run(int argc, char *const argv[])
{
    struct keep_values values = { 0 };
    return roster_call(&keep_work, argc, argv, &values);
}

static int drop_run(int argc, char *const argv[])
{
    struct roster_values values = { 0 };
    return roster_call(&drop_work, argc, argv, &values);
}

const struct command command_session_library = {
    .name = "session library",
    .usage = "[NAME...] [options]",
    .summary = "sessions to begin with, and the coach's own",
    .about = "With a name: what it holds, what it is for, how much, what to mind, and where it "
             "comes from.",
    .options = plain_options,
    .n_options = N_ROWS(plain_options),
    .run = library_run,
};

const struct command command_session_keep = {
    .name = "session keep",
    .usage = "NAME WORDS... [options]",
    .summary = "keeps a session of your own by name",
    .about = "Such as: session keep mill-hills '20 min at 50-65 %, then 6 times (3 min at 108-115 "
             "%, 3 min at 50 %)' --kind vo2max. A name that is there already is written anew.",
    .options = keep_options,
    .n_options = N_ROWS(keep_options),
    .run = keep_run,
};

const struct command command_session_drop = {
    .name = "session drop",
    .usage = "NAME [options]",
    .summary = "takes a session of your own away",
    .about = "Sessions that were drafted from it stay.",
    .options = plain_options,
    .n_options = N_ROWS(plain_options),
    .run = drop_run,
};
