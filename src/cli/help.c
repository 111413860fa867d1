/* cli/help.c: plumbline help: the table of commands, for people, shells and programs. */
#include "cli/acts.h"

#include "base/json.h"

#include <string.h>

struct help_values {
    const char *completion;
    bool man;
    bool json;
    bool help;
};

static const struct option_row options[] = {
    { "man", OPTION_FLAG, NULL, "the manual page: plumbline help --man | man -l -",
      offsetof(struct help_values, man), 0, 0 },
    { "completion", OPTION_TEXT, "bash", "completion for a shell, to be sourced by it",
      offsetof(struct help_values, completion), 0, 0 },
    { "json", OPTION_FLAG, NULL, "the table of commands and options as JSON",
      offsetof(struct help_values, json), 0, 0 },
    { "help", OPTION_FLAG, NULL, "this page", offsetof(struct help_values, help), 0, 0 },
};

static void add_overview(struct text *out)
{
    text_add(out,
             "plumbline: readings of a rider's recordings, with their evidence and doubts\n\n");
    for (size_t i = 0; i < command_count; i++) {
        text_add_format(out, "  plumbline %s %s\n      %s\n", command_table[i]->name,
                        command_table[i]->usage, command_table[i]->summary);
    }
    text_add(out, "\n  plumbline COMMAND --help    its options\n"
                  "  plumbline --version         version, commit, versions of the methods\n");
}

static void add_json(struct text *out)
{
    struct json json = json_begin(out);
    json_begin_array(&json, NULL);
    const struct command **all = acts_flatten(out->arena);
    for (size_t i = 0; all[i] != NULL; i++) {
        const struct command *command = all[i];
        json_begin_object(&json, NULL);
        json_string(&json, "name", command->name);
        json_string(&json, "usage", command->usage);
        json_string(&json, "summary", command->summary);
        json_begin_array(&json, "options");
        for (size_t o = 0; o < command->n_options; o++) {
            const struct option_row *row = &command->options[o];
            json_begin_object(&json, NULL);
            json_string(&json, "name", row->name);
            json_string(&json, "value", row->value);
            json_string(&json, "help", row->help);
            if (row->type == OPTION_NUMBER) {
                json_number(&json, "lowest", row->lowest, 6);
                json_number(&json, "highest", row->highest, 6);
            }
            json_end_object(&json);
        }
        json_end_array(&json);
        json_end_object(&json);
    }
    json_end_array(&json);
    text_add(out, "\n");
}

/* Words as roff takes them: a hyphen that may be typed, a backslash that is one; no line that
 * begins with a control character can arise, for every line of ours begins with a letter. */
static void add_roff(struct text *out, const char *words)
{
    for (const char *at = words; *at != '\0'; at++) {
        if (*at == '-') {
            text_add(out, "\\-");
        } else if (*at == '\\') {
            text_add(out, "\\e");
        } else {
            text_add_bytes(out, at, 1);
        }
    }
}

static void add_man(struct text *out)
{
    text_add(out, ".TH PLUMBLINE 1 \"\" \"plumbline " PLUMBLINE_VERSION "\" \"User Commands\"\n"
                  ".SH NAME\nplumbline \\- readings of a rider's recordings\n.SH SYNOPSIS\n");
    const struct command **all = acts_flatten(out->arena);
    for (size_t i = 0; all[i] != NULL; i++) {
        text_add_format(out, "%s.B plumbline %s\n", i == 0 ? "" : ".br\n", all[i]->name);
        add_roff(out, all[i]->usage);
        text_add(out, "\n");
    }
    text_add(out, ".SH COMMANDS\n");
    for (size_t i = 0; all[i] != NULL; i++) {
        const struct command *command = all[i];
        text_add_format(out, ".SS %s\n", command->name);
        add_roff(out, command->about);
        text_add(out, "\n");
        for (size_t o = 0; o < command->n_options; o++) {
            const struct option_row *row = &command->options[o];
            text_add(out, ".TP\n\\fB\\-\\-");
            add_roff(out, row->name);
            text_add(out, "\\fR");
            if (row->value != NULL) {
                text_add(out, " \\fI");
                add_roff(out, row->value);
                text_add(out, "\\fR");
            }
            text_add(out, "\n");
            add_roff(out, row->help);
            text_add(out, "\n");
        }
    }
    text_add(out, ".SH EXIT STATUS\n.TP\n0\nall went well\n.TP\n1\nthe machine's troubles: a disk "
                  "that is full, for one\n.TP\n2\na wrong call\n.TP\n3\na file gave no recording\n"
                  ".TP\n130\ninterrupted\n");
}

/* "rider goal "*) options="--due ..." ;;   and the acts of a command that has some */
static void add_bash_options(struct text *out, const struct command *command)
{
    text_add_format(out, "        \"%s \"*) options=\"", command->name);
    for (size_t o = 0; o < command->n_options; o++) {
        text_add_format(out, "%s--%s", o == 0 ? "" : " ", command->options[o].name);
    }
    text_add(out, "\"");
    for (size_t a = 0; command->acts != NULL && command->acts[a] != NULL; a++) {
        text_add_format(out, "%s%s", a == 0 ? " acts=\"" : " ", act_word(command->acts[a]));
    }
    text_add(out, command->acts != NULL ? "\" ;;\n" : " ;;\n");
}

static void add_bash(struct text *out)
{
    text_add(out, "_plumbline()\n{\n    local word=${COMP_WORDS[COMP_CWORD]} options= acts=\n"
                  "    if [ \"$COMP_CWORD\" -eq 1 ]; then\n        COMPREPLY=($(compgen -W \"");
    for (size_t i = 0; i < command_count; i++) {
        text_add_format(out, "%s ", command_table[i]->name);
    }
    text_add(out, "--help --version\" -- \"$word\"))\n        return\n    fi\n"
                  "    case \"${COMP_WORDS[1]} ${COMP_WORDS[2]-} \" in\n");
    /* An act before its command: the first that fits is taken. */
    const struct command **all = acts_flatten(out->arena);
    for (int acts = 1; acts >= 0; acts--) {
        for (size_t i = 0; all[i] != NULL; i++) {
            if ((act_word(all[i]) != all[i]->name) == (acts == 1)) {
                add_bash_options(out, all[i]);
            }
        }
    }
    text_add(out, "    esac\n    case $word in\n"
                  "        -*) COMPREPLY=($(compgen -W \"$options\" -- \"$word\")) ;;\n"
                  "        *) [ \"$COMP_CWORD\" -eq 2 ] &&\n"
                  "            COMPREPLY=($(compgen -W \"$acts\" -- \"$word\")) ;;\n"
                  "    esac\n    return 0\n}\n"
                  "complete -o default -F _plumbline plumbline\n");
}

static bool add_asked(struct text *out, const struct help_values *values, const char *const words[],
                      size_t n_words, struct error *err)
{
    const char *act = n_words == 2 ? arena_format(out->arena, "%s %s", words[0], words[1]) : NULL;
    if (act != NULL && command_named(act) != NULL) {
        command_add_help(out, command_named(act));
        return true;
    }
    if (n_words > 1) {
        return error_set(err, ERROR_USAGE, "%s: one command at a time; plumbline help --help",
                         words[1]);
    }
    if (values->completion != NULL && strcmp(values->completion, "bash") != 0) {
        return error_set(err, ERROR_USAGE, "--completion %s: only \"bash\" is known",
                         values->completion);
    }
    if (n_words == 1) {
        const struct command *command = command_named(words[0]);
        const char *nearest = command == NULL ? command_nearest(words[0]) : NULL;
        if (nearest != NULL) {
            return error_set(err, ERROR_USAGE, "%s: no such command; did you mean %s?", words[0],
                             nearest);
        }
        if (command == NULL) {
            return error_set(err, ERROR_USAGE, "%s: no such command; plumbline --help lists them",
                             words[0]);
        }
        command_add_help(out, command);
    } else if (values->completion != NULL) {
        add_bash(out);
    } else if (values->man) {
        add_man(out);
    } else if (values->json) {
        add_json(out);
    } else {
        add_overview(out);
    }
    return true;
}

static int help_run(int argc, char *const argv[])
{
    struct arena *arena = arena_open();
    struct help_values values = { 0 };
    struct error err = { 0 };
    const char **words = ARENA_ARRAY(arena, const char *, (size_t)argc + 1);
    size_t n_words = 0;
    int status = 0;
    struct text out = text_begin(arena, 1000u * 1000u);
    if (!options_parse(argc, argv, options, sizeof options / sizeof options[0], &values, words,
                       &n_words, &err) ||
        (!values.help && !add_asked(&out, &values, words, n_words, &err))) {
        status = command_fail("help", &err);
    } else if (values.help) {
        status = command_help(&command_help_table);
    } else {
        status = command_print(out.bytes, out.length);
    }
    arena_close(arena);
    return status;
}

const struct command command_help_table = {
    .name = "help",
    .usage = "[COMMAND] [options]",
    .summary = "the commands, or one command's options",
    .about = "Lists the commands, or the options of one. The manual page and the completion for a "
             "shell are made from the same table.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = help_run,
};
