/* cli/restore.c: plumbline restore: the roster back from a backup. */
#include "base/json.h"
#include "cli/ask.h"
#include "cli/roster_call.h"
#include "roster/backup.h"

#include <string.h>
#include <unistd.h>

struct restore_values {
    struct roster_values common;
    bool yes;
    bool look;
};

#define ROW(field) offsetof(struct restore_values, field), 0, 0

static const struct option_row options[] = {
    { "look", OPTION_FLAG, NULL, "only look whether FILE is a whole roster", ROW(look) },
    { "yes", OPTION_FLAG, NULL, "don't ask first", ROW(yes) },
    ROSTER_OPTIONS,
};

static const char *about_words(struct arena *arena, const struct backup_about *about)
{
    return arena_format(arena, "%lld rider%s, %lld recording%s%s%s, schema %lld, %s",
                        (long long)about->riders, about->riders == 1 ? "" : "s",
                        (long long)about->recordings, about->recordings == 1 ? "" : "s",
                        about->newest_day == NULL ? "" : " until ",
                        about->newest_day == NULL ? "" : about->newest_day,
                        (long long)about->schema, size_words(arena, about->bytes));
}

static void add_json(struct roster_call *call, const struct restore_done *done, bool was_restored)
{
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    json_string(&json, "backup", call->words[0]);
    json_string(&json, "roster", call->place);
    json_bool(&json, "restored", was_restored);
    json_integer(&json, "bytes", done->about.bytes);
    json_integer(&json, "schema", done->about.schema);
    json_integer(&json, "riders", done->about.riders);
    json_integer(&json, "recordings", done->about.recordings);
    json_string(&json, "newest_day", done->about.newest_day);
    json_string(&json, "kept", done->kept);
    json_bool(&json, "kept_is_damaged", done->was_damaged);
    json_end_object(&json);
}

static bool look(struct roster_call *call, struct error *err)
{
    struct restore_done done = { 0 };
    const bool whole = backup_look(call->arena, call->words[0], &done.about, bar_tell, NULL, err);
    bar_clear();
    if (whole && call->json) {
        add_json(call, &done, false);
    } else if (whole) {
        text_add_wrapped(&call->out,
                         arena_format(call->arena, "%s: whole: %s. Nothing was changed.",
                                      call->words[0], about_words(call->arena, &done.about)),
                         0, 2, 80);
    }
    return whole;
}

static void add_words(struct roster_call *call, const struct restore_done *done)
{
    struct arena *arena = call->arena;
    text_add_wrapped(&call->out,
                     arena_format(arena, "%s is now as the backup has it: %s.", call->place,
                                  about_words(arena, &done->about)),
                     0, 2, 80);
    if (done->kept != NULL) {
        text_add_wrapped(
            &call->out,
            arena_format(arena,
                         "The roster that was there%s is kept as %s; delete it when you "
                         "no longer need it.",
                         done->was_damaged ? " (damaged)" : "", done->kept),
            0, 2, 80);
    }
    if (done->schema.backup[0] != '\0') {
        text_add_wrapped(
            &call->out,
            arena_format(arena, "It was brought up to date; a copy as the backup had it is %s.",
                         done->schema.backup),
            0, 2, 80);
    }
}

static bool restore(struct roster_call *call, const void *raw, struct error *err)
{
    const struct restore_values *values = raw;
    if (values->look) {
        return look(call, err);
    }
    const char *question = arena_format(
        call->arena,
        "%s is replaced by what %s holds. What was entered since is then only in a copy "
        "beside it; undo can't take this back.",
        call->place, call->words[0]);
    const struct restore_call wanted = {
        .place = call->place, .backup = call->words[0], .now = call->now, .tell = bar_tell
    };
    struct restore_done done = { 0 };
    if (!ask_first(values->yes, question, "yes", err)) {
        return false;
    }
    const bool restored = restore_run(call->arena, &wanted, &done, err);
    bar_clear();
    if (!restored) {
        return false;
    }
    if (call->json) {
        add_json(call, &done, true);
    } else {
        add_words(call, &done);
    }
    return true;
}

static const struct roster_work work = { .command = &command_restore,
                                         .least_words = 1,
                                         .most_words = 1,
                                         .opens_itself = true,
                                         .run = restore };

static int restore_run_command(int argc, char *const argv[])
{
    struct restore_values values = { 0 };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_restore = {
    .name = "restore",
    .usage = "FILE [options]",
    .summary = "the roster back from a backup",
    .about =
        "Puts the backup FILE in the place of the roster. FILE is looked at wholly first: every "
        "page, and every recording's file against its checksum. The roster that is there is "
        "kept beside, under a name that is told. Stopped at any moment, the whole old or the "
        "whole new roster is there. Nobody else may have it open. It asks first, or needs "
        "--yes; undo can't take it back.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = restore_run_command,
};
