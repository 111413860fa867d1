/* cli/undo.c: plumbline undo: the changes of the roster, and taking one back. */
#include "cli/roster_call.h"
#include "server/answers/said.h"

#include <stdlib.h>
#include <string.h>

struct undo_values {
    struct roster_values common;
    bool list;
};

static const struct option_row options[] = {
    { "list", OPTION_FLAG, NULL, "the newest 50 changes, and which were taken back",
      offsetof(struct undo_values, list), 0, 0 },
    ROSTER_LATER,
    ROSTER_OPTIONS,
};

static bool list(struct roster_call *call, struct error *err)
{
    struct change_line *lines = NULL;
    size_t count = 0;
    if (!changes_list(call->roster, call->arena, 50, &lines, &count, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    if (call->json) {
        json_begin_array(&json, NULL);
    }
    for (size_t i = 0; i < count; i++) {
        if (call->json) {
            change_json(&json, &lines[i]);
            continue;
        }
        text_add_format(&call->out, "%5lld  ", (long long)lines[i].id);
        text_add_wrapped(&call->out,
                         arena_format(call->arena, "%s%s", lines[i].words,
                                      lines[i].undone_by > 0 ? " [taken back]" : ""),
                         7, 7, 80);
    }
    if (call->json) {
        json_end_array(&json);
    } else if (count == 0) {
        text_add(&call->out, "No changes yet\n");
    }
    return true;
}

static const struct roster_work work;

static bool check_words(const struct roster_call *call, const void *raw, struct error *err)
{
    const struct undo_values *values = raw;
    const char *word = call->n_words > 0 ? call->words[0] : NULL;
    if (word != NULL && values->list) {
        return roster_usage(&work, "--list: takes no number", err);
    }
    const bool is_number = word == NULL || (word[0] > '0' && word[0] <= '9' && strlen(word) < 18 &&
                                            strspn(word, "0123456789") == strlen(word));
    return is_number || roster_usage(&work,
                                     arena_format(call->arena,
                                                  "%.60s: no number of a change; undo --list shows "
                                                  "them",
                                                  word),
                                     err);
}

static bool run(struct roster_call *call, const void *raw, struct error *err)
{
    const struct undo_values *values = raw;
    if (values->list) {
        return list(call, err);
    }
    const int64_t id = call->n_words > 0 ? strtoll(call->words[0], NULL, 10) : 0;
    struct change_line undone = { 0 };
    if (!changes_undo(call->roster, call->arena, call->now, id, &undone, err)) {
        return false;
    }
    if (call->json) {
        struct json json = json_begin(&call->out);
        change_json(&json, &undone);
    } else {
        text_add_wrapped(&call->out, arena_format(call->arena, "Taken back: %s", undone.words), 0,
                         2, 80);
    }
    return true;
}

static const struct roster_work work = {
    .command = &command_undo,
    .most_words = 1,
    .check = check_words,
    .run = run,
};

static int undo_run(int argc, char *const argv[])
{
    struct undo_values values = { 0 };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_undo = {
    .name = "undo",
    .usage = "[CHANGE] [options]",
    .summary = "take back a change of the roster, or list them",
    .about =
        "Takes back the newest change that is in force, or the one with that number. Refused "
        "when a later change stands on the same entry: take that one back first. Taking back "
        "is a change as well, and can be taken back by its number. PLUMBLINE_WHO names who makes a "
        "change.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = undo_run,
};
