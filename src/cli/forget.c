/* cli/forget.c: plumbline forget: a rider, and everything of them, taken out for good. */
#include "base/dates.h"
#include "base/json.h"
#include "cli/ask.h"
#include "cli/roster_call.h"
#include "roster/forget.h"

struct forget_result {
    size_t n_remains;
};

struct forget_values {
    struct roster_values common;
    bool list;
    bool yes;
    struct forget_result *result;
};

#define ROW(field) offsetof(struct forget_values, field), 0, 0

static const struct option_row options[] = {
    { "list", OPTION_FLAG, NULL, "only say what would go, and which copies hold it", ROW(list) },
    { "yes", OPTION_FLAG, NULL, "don't ask first", ROW(yes) },
    ROSTER_OPTIONS,
};

static const char *count_words(struct arena *arena, const struct forget_done *done)
{
    struct text out = text_begin(arena, 1000);
    for (size_t i = 0; i < FORGET_COUNTS; i++) {
        text_add_format(&out, "%s%lld %s", i == 0 ? "" : ", ", (long long)done->counts[i].n,
                        done->counts[i].what);
    }
    return out.bytes;
}

/* ---- words ---- */

static void add_copies(struct roster_call *call, const struct rider *rider,
                       const struct forget_done *done)
{
    struct arena *arena = call->arena;
    if (done->n_copies == 0) {
        text_add_wrapped(&call->out,
                         arena_format(arena,
                                      "No backup or export is known that holds %s. Copies made "
                                      "otherwise are not known here.",
                                      rider->name),
                         0, 2, 80);
        return;
    }
    text_add_wrapped(&call->out,
                     arena_format(arena,
                                  "Copies that hold %s still, and that nobody touches; delete them "
                                  "yourself, or keep them knowingly:",
                                  rider->name),
                     0, 2, 80);
    for (size_t i = 0; i < done->n_copies; i++) {
        text_add(&call->out, "  ");
        text_add_wrapped(&call->out,
                         arena_format(arena, "%s of %s: %s", done->copies[i].kind,
                                      moment_words(arena, done->copies[i].made_utc_s),
                                      done->copies[i].path),
                         2, 4, 80);
    }
}

static void add_search(struct roster_call *call, const struct forget_done *done)
{
    struct arena *arena = call->arena;
    if (!done->was_searched) {
        text_add(&call->out,
                 "A server's files can't be searched from here; its tables were written\n"
                 "anew. Its own logs and backups are its keeper's.\n");
        return;
    }
    if (done->n_remains == 0) {
        text_add_wrapped(&call->out,
                         arena_format(arena,
                                      "%zu file%s searched for %zu traces (name, notes, serials, "
                                      "checksums): none is left.",
                                      done->n_searched, done->n_searched == 1 ? "" : "s",
                                      done->n_needles),
                         0, 2, 80);
    }
    if (done->n_too_short + done->n_of_others > 0) {
        text_add_wrapped(
            &call->out,
            arena_format(arena,
                         "Not searched for: %zu too short to tell from chance, %zu that "
                         "other riders' rows hold as well.",
                         done->n_too_short, done->n_of_others),
            0, 2, 80);
    }
    for (size_t i = 0; i < done->n_remains; i++) {
        text_add_wrapped(&call->out,
                         arena_format(arena, "Still there: %s in %s%s", done->remains[i].what,
                                      done->remains[i].where,
                                      done->remains[i].n == 1
                                          ? ""
                                          : arena_format(arena, ", and %zu more of the kind",
                                                         done->remains[i].n - 1)),
                         0, 2, 80);
    }
    if (done->n_remains > 0) {
        text_add_wrapped(&call->out,
                         "Not everything is gone. A row: change or remove it. A file beside the "
                         "roster: delete it when you no longer need it. A log: end what has the "
                         "roster open.",
                         0, 2, 80);
    }
}

/* ---- JSON ---- */

static void add_json(struct roster_call *call, const struct rider *rider,
                     const struct forget_done *done, bool is_forgotten)
{
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    json_integer(&json, "id", rider->id);
    json_bool(&json, "forgotten", is_forgotten);
    json_begin_array(&json, "counts");
    for (size_t i = 0; i < FORGET_COUNTS; i++) {
        json_begin_object(&json, NULL);
        json_string(&json, "what", done->counts[i].what);
        json_integer(&json, "count", done->counts[i].n);
        json_end_object(&json);
    }
    json_end_array(&json);
    json_begin_array(&json, "copies");
    for (size_t i = 0; i < done->n_copies; i++) {
        char moment[32];
        dates_format_utc(done->copies[i].made_utc_s, moment);
        json_begin_object(&json, NULL);
        json_string(&json, "kind", done->copies[i].kind);
        json_string(&json, "path", done->copies[i].path);
        json_string(&json, "made_utc", moment);
        json_end_object(&json);
    }
    json_end_array(&json);
    json_bool(&json, "searched", done->was_searched);
    json_begin_array(&json, "files");
    for (size_t i = 0; i < done->n_searched; i++) {
        json_string(&json, NULL, done->searched[i]);
    }
    json_end_array(&json);
    json_integer(&json, "traces", (int64_t)done->n_needles);
    json_integer(&json, "too_short", (int64_t)done->n_too_short);
    json_integer(&json, "of_others", (int64_t)done->n_of_others);
    json_begin_array(&json, "remains");
    for (size_t i = 0; i < done->n_remains; i++) {
        json_begin_object(&json, NULL);
        json_string(&json, "what", done->remains[i].what);
        json_string(&json, "where", done->remains[i].where);
        json_integer(&json, "count", (int64_t)done->remains[i].n);
        json_end_object(&json);
    }
    json_end_array(&json);
    json_end_object(&json);
}

/* ---- the call ---- */

static bool forget(struct roster_call *call, const void *raw, struct error *err)
{
    const struct forget_values *values = raw;
    struct rider rider = { 0 };
    struct forget_done done = { 0 };
    if (!riders_find(call->roster, call->arena, call->words[0], &rider, err) ||
        !forget_look(call->roster, call->arena, &rider, &done, err)) {
        return false;
    }
    const char *counts = count_words(call->arena, &done);
    if (!values->list) {
        const char *question = arena_format(call->arena,
                                            "Everything of %s is removed for good: %s. Undo can't "
                                            "take this back.",
                                            rider.name, counts);
        const struct forget_call wanted = { .roster = call->roster, .rider = &rider };
        if (!ask_first(values->yes, question, rider.name, err) ||
            !forget_run(call->arena, &wanted, &done, err)) {
            return false;
        }
        values->result->n_remains = done.n_remains;
    }
    if (call->json) {
        add_json(call, &rider, &done, !values->list);
        return true;
    }
    text_add_wrapped(&call->out,
                     arena_format(call->arena, "%s%s: %s.",
                                  values->list ? "" : "Forgotten: ", rider.name, counts),
                     0, 2, 80);
    if (values->list) {
        text_add(&call->out, "Nothing was changed. Undo can't take forgetting back.\n");
    } else {
        add_search(call, &done);
    }
    add_copies(call, &rider, &done);
    return true;
}

static const struct roster_work work = {
    .command = &command_forget, .least_words = 1, .most_words = 1, .run = forget
};

static int forget_run_command(int argc, char *const argv[])
{
    struct forget_result result = { 0 };
    struct forget_values values = { .result = &result };
    const int status = roster_call(&work, argc, argv, &values);
    return status == 0 && result.n_remains > 0 ? 1 : status;
}

const struct command command_forget = {
    .name = "forget",
    .usage = "RIDER [options]",
    .summary = "a rider, and everything of them, taken out for good",
    .about =
        "Removes a rider with rides, files, facts, notes, readings and the changes that touched "
        "them, writes the roster anew so that no byte is left, then searches its file, its log "
        "and what lies beside it for what was removed. If something is still there it says what "
        "and where, with exit status 1. Backups and exports that hold the rider are named and "
        "not touched. On a terminal the rider's name must be typed; else it needs --yes. Undo "
        "can't take it back.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = forget_run_command,
};
