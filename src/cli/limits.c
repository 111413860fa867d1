/* cli/limits.c: plumbline limits: every choice the program makes, with its source. */
#include "cli/command.h"

#include "base/json.h"
#include "limits/limits.h"

#include <string.h>

struct limits_values {
    bool json;
    bool help;
};

static const struct option_row options[] = {
    { "json", OPTION_FLAG, NULL, "the same table as JSON", offsetof(struct limits_values, json), 0,
      0 },
    { "help", OPTION_FLAG, NULL, "this page", offsetof(struct limits_values, help), 0, 0 },
};

static void add_json(struct text *out)
{
    struct json json = json_begin(out);
    json_begin_array(&json, NULL);
    for (int id = 0; id < LIMITS_COUNT; id++) {
        const struct limit_row *row = limits_row((enum limit_id)id);
        json_begin_object(&json, NULL);
        json_string(&json, "name", row->name);
        json_number(&json, "value", row->value, 6);
        json_string(&json, "unit", row->unit);
        json_number(&json, "lowest", row->lowest, 6);
        json_number(&json, "highest", row->highest, 6);
        json_string(&json, "source", row->source);
        json_string(&json, "check", row->check[0] == '\0' ? NULL : row->check);
        json_end_object(&json);
    }
    json_end_array(&json);
    text_add(out, "\n");
}

static void add_words(struct text *out)
{
    for (int id = 0; id < LIMITS_COUNT; id++) {
        const struct limit_row *row = limits_row((enum limit_id)id);
        text_add_format(out, "%s = %.9g%s%s", row->name, row->value,
                        row->unit[0] == '\0' ? "" : " ", row->unit);
        if (row->highest > row->lowest) {
            text_add_format(out, "  (%.9g to %.9g)", row->lowest, row->highest);
        }
        text_add(out, "\n    ");
        text_add_wrapped(out, row->source, 4, 4, 80);
    }
}

static int limits_run(int argc, char *const argv[])
{
    struct arena *arena = arena_open();
    struct limits_values values = { 0 };
    struct error err = { 0 };
    const char **words = ARENA_ARRAY(arena, const char *, (size_t)argc + 1);
    size_t n_words = 0;
    int status = 0;
    if (!options_parse(argc, argv, options, sizeof options / sizeof options[0], &values, words,
                       &n_words, &err)) {
        status = command_fail("limits", &err);
    } else if (values.help) {
        status = command_help(&command_limits);
    } else if (n_words > 0) {
        error_set(&err, ERROR_USAGE, "%s: takes no words; plumbline limits --help", words[0]);
        status = command_fail("limits", &err);
    } else {
        struct text out = text_begin(arena, 4u * 1000u * 1000u);
        if (values.json) {
            add_json(&out);
        } else {
            add_words(&out);
        }
        status = command_print(out.bytes, out.length);
    }
    arena_close(arena);
    return status;
}

const struct command command_limits = {
    .name = "limits",
    .usage = "[options]",
    .summary = "every line, cut-off and smoothing length, with its source",
    .about = "Lists every choice that the program makes: name, value in force, the range a coach "
             "may set it to (read --limit NAME=VALUE), and where it comes from.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = limits_run,
};
