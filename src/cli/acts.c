/* cli/acts.c: commands that have acts. */
#include "cli/acts.h"

#include "cli/roster_call.h"

#include <stdio.h>
#include <string.h>

const char *act_word(const struct command *command)
{
    const char *blank = strchr(command->name, ' ');
    return blank == NULL ? command->name : blank + 1;
}

const struct command **acts_flatten(struct arena *arena)
{
    size_t n = command_count;
    for (size_t i = 0; i < command_count; i++) {
        for (size_t a = 0; command_table[i]->acts != NULL && command_table[i]->acts[a] != NULL;
             a++) {
            n++;
        }
    }
    const struct command **all = ARENA_ARRAY(arena, const struct command *, n + 1);
    n = 0;
    for (size_t i = 0; i < command_count; i++) {
        all[n++] = command_table[i];
        for (size_t a = 0; command_table[i]->acts != NULL && command_table[i]->acts[a] != NULL;
             a++) {
            all[n++] = command_table[i]->acts[a];
        }
    }
    return all;
}

void acts_help(struct text *out, const struct command *command)
{
    for (size_t a = 0; command->acts != NULL && command->acts[a] != NULL; a++) {
        const struct command *act = command->acts[a];
        text_add_format(out, "  %s %s\n      %s\n", act_word(act), act->usage, act->summary);
    }
}

/* The first word that is no option and no value of one that all acts have; 0 = none. */
static int first_word(int argc, char *const argv[])
{
    for (int i = 1; i < argc; i++) {
        if (argv[i][0] != '-') {
            return i;
        }
        i += strcmp(argv[i], "--roster") == 0 || strcmp(argv[i], "--today") == 0;
    }
    return 0;
}

static const struct command *find(const struct command *command, const char *word)
{
    for (size_t a = 0; command->acts[a] != NULL; a++) {
        if (strcmp(act_word(command->acts[a]), word) == 0) {
            return command->acts[a];
        }
    }
    return NULL;
}

static int refuse(const struct command *command, const char *word)
{
    const char *names[64];
    size_t n = 0;
    while (n < sizeof names / sizeof names[0] && command->acts[n] != NULL) {
        names[n] = act_word(command->acts[n]);
        n++;
    }
    const char *nearest = text_nearest(word, names, n);
    if (nearest != NULL) {
        fprintf(stderr, "plumbline %s: %.60s: no such act; did you mean %s %s?\n", command->name,
                word, command->name, nearest);
    } else {
        fprintf(stderr, "plumbline %s: %.60s: no such act; plumbline %s --help lists them\n",
                command->name, word, command->name);
    }
    return 2;
}

/* No act: only the help page can have been meant. */
static int without_act(const struct command *command, int argc, char *const argv[])
{
    struct arena *arena = arena_open();
    struct roster_values values = { 0 };
    struct error err = { 0 };
    const char **words = ARENA_ARRAY(arena, const char *, (size_t)argc + 1);
    size_t n_words = 0;
    int status = 0;
    if (options_parse(argc, argv, command->options, command->n_options, &values, words, &n_words,
                      &err) &&
        !values.help) {
        error_set(&err, ERROR_USAGE, "say what to do; plumbline %s --help lists the acts",
                  command->name);
    }
    if (err.kind != ERROR_NONE) {
        status = command_fail(command->name, &err);
    } else {
        status = command_help(command);
    }
    arena_close(arena);
    return status;
}

int acts_run(const struct command *command, int argc, char *const argv[])
{
    const int at = first_word(argc, argv);
    if (at == 0) {
        return without_act(command, argc, argv);
    }
    const struct command *act = find(command, argv[at]);
    if (act == NULL) {
        return refuse(command, argv[at]);
    }
    struct arena *arena = arena_open();
    char **rest = ARENA_ARRAY(arena, char *, (size_t)argc + 1);
    int n = 0;
    for (int i = 0; i < argc; i++) {
        if (i != at) {
            rest[n++] = argv[i];
        }
    }
    const int status = act->run(n, rest);
    arena_close(arena);
    return status;
}
