/* cli/export.c: plumbline export: a rider, or all of them, in open formats. */
#include "base/json.h"
#include "cli/ask.h"
#include "cli/roster_call.h"
#include "cli/stop.h"
#include "roster/export.h"

#include <string.h>

struct export_result {
    struct export_done done;
};

struct export_values {
    struct roster_values common;
    bool all;
    bool dictionary;
    struct export_result *result;
};

#define ROW(field) offsetof(struct export_values, field), 0, 0

static const struct option_row options[] = {
    { "all", OPTION_FLAG, NULL, "every rider: then only DIR is named", ROW(all) },
    { "dictionary", OPTION_FLAG, NULL, "only print the files, columns, units and meanings",
      ROW(dictionary) },
    ROSTER_OPTIONS,
};

static const struct roster_work work;

static bool check_words(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct export_values *values = raw;
    const size_t wanted = values->dictionary ? 0 : values->all ? 1 : 2;
    return call->n_words == wanted ||
           roster_usage(&work,
                        values->dictionary ? "--dictionary: takes no words"
                        : values->all      ? "--all: takes the folder alone"
                                           : "which rider, and to which folder?",
                        err);
}

static void add_dictionary(struct roster_call *call)
{
    struct export_word *words = NULL;
    size_t count = 0;
    struct json json = json_begin(&call->out);
    export_dictionary(call->arena, &words, &count);
    if (call->json) {
        json_begin_array(&json, NULL);
    }
    for (size_t i = 0; i < count; i++) {
        const struct export_word *word = &words[i];
        if (call->json) {
            json_begin_object(&json, NULL);
            json_string(&json, "file", word->file);
            json_string(&json, "column", word->column);
            json_string(&json, "type", word->type);
            json_string(&json, "unit", word->unit);
            json_string(&json, "meaning", word->meaning);
            json_end_object(&json);
        } else if (word->column[0] == '\0') {
            text_add_wrapped(&call->out,
                             arena_format(call->arena, "%s: %s", word->file, word->meaning), 0, 2,
                             80);
        } else {
            text_add_format(&call->out, "  %-20s ", word->column);
            text_add_wrapped(&call->out,
                             arena_format(call->arena, "%s (%s%s%s)", word->meaning, word->type,
                                          word->unit[0] == '\0' ? "" : ", ", word->unit),
                             23, 23, 80);
        }
    }
    if (call->json) {
        json_end_array(&json);
    }
}

static void tell(void *context, size_t done, size_t of)
{
    (void)context;
    bar_draw("rides", done, of);
}

static void add_words(struct roster_call *call, const struct export_done *done)
{
    struct arena *arena = call->arena;
    text_add_wrapped(&call->out,
                     arena_format(arena,
                                  "%s: %zu recordings, %zu files as they came, %zu files in all; "
                                  "README.txt and dictionary.csv say what is what.",
                                  done->folder, done->n_rides, done->n_originals, done->n_files),
                     0, 2, 80);
    if (done->n_failed > 0) {
        text_add_wrapped(
            &call->out,
            arena_format(arena,
                         "%zu could not be read from the roster, the rest is there. The "
                         "first: %s",
                         done->n_failed, done->problem),
            0, 2, 80);
    }
    text_add(&call->out, "It holds riders' health data: keep it where only you can read it.\n");
}

static void add_json(struct roster_call *call, const struct export_done *done)
{
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    json_string(&json, "export", done->folder);
    json_integer(&json, "recordings", (int64_t)done->n_rides);
    json_integer(&json, "originals", (int64_t)done->n_originals);
    json_integer(&json, "files", (int64_t)done->n_files);
    json_integer(&json, "failed", (int64_t)done->n_failed);
    json_string(&json, "problem", done->problem);
    json_bool(&json, "stopped", done->was_stopped);
    json_end_object(&json);
}

static bool run(struct roster_call *call, const void *raw, struct error *err)
{
    const struct export_values *values = raw;
    struct rider rider = { 0 };
    if (values->dictionary) {
        add_dictionary(call);
        return true;
    }
    if (!values->all && !riders_find(call->roster, call->arena, call->words[0], &rider, err)) {
        return false;
    }
    const struct export_call wanted = { .roster = call->roster,
                                        .now = call->now,
                                        .program = PLUMBLINE_VERSION,
                                        .rider = values->all ? NULL : &rider,
                                        .folder = call->words[values->all ? 0 : 1],
                                        .tell = tell,
                                        .stopped = stop_is_asked };
    struct export_done *done = &values->result->done;
    stop_begin();
    const bool written = export_run(call->arena, &wanted, done, err);
    stop_end();
    bar_clear();
    if (!written) {
        return false;
    }
    if (call->json) {
        add_json(call, done);
    } else if (!done->was_stopped) {
        add_words(call, done);
    }
    return true;
}

static const struct roster_work work = {
    .command = &command_export, .most_words = 2, .check = check_words, .run = run
};

static int export_run_command(int argc, char *const argv[])
{
    struct export_result result = { 0 };
    struct export_values values = { .result = &result };
    const int status = roster_call(&work, argc, argv, &values);
    if (status == 0 && result.done.was_stopped) {
        return stop_tell("export", "nothing is left of the export");
    }
    return status == 0 && result.done.n_failed > 0 ? 1 : status;
}

const struct command command_export = {
    .name = "export",
    .usage = "[RIDER] DIR [options]",
    .summary = "a rider, or all of them, in open formats",
    .about =
        "Writes a rider (--all: every rider) to a new folder DIR: tables as CSV, each ride as a "
        "row a second and as the JSON of show, the files as they came, and a dictionary of "
        "every column with unit and meaning. A text that a spreadsheet would run as a formula "
        "gets an apostrophe in front; README.txt says how to take it off. Where exports lie is "
        "written down, so that forget can name those that still hold a rider. Exit status 1 if "
        "a ride could not be read from the roster; the others are written.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = export_run_command,
};
