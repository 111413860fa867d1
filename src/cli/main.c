/* cli/main.c: which command was asked for. */
#include "cli/command.h"

#include "base/arena.h"
#include "coaching/reading.h"
#include "maths/maths.h"
#include "recording/recording.h"

#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>

static const struct command *const commands[] = { &command_read, &command_limits };
static const size_t n_commands = sizeof commands / sizeof commands[0];

int command_fail(const char *name, const struct error *err)
{
    fprintf(stderr, "plumbline %s: %s\n", name, err->message);
    return error_exit_status(err->kind);
}

int command_print(const char *bytes, size_t length)
{
    if (fwrite(bytes, 1, length, stdout) == length && fflush(stdout) == 0) {
        return 0;
    }
    if (errno == EPIPE) {
        return 0;
    }
    fprintf(stderr, "plumbline: cannot write the output: %s\n", strerror(errno));
    return 1;
}

int command_help(const struct command *command)
{
    struct arena *arena = arena_open();
    struct text out = text_begin(arena, 65536);
    text_add_format(&out, "plumbline %s %s\n\n", command->name, command->usage);
    text_add_wrapped(&out, command->about, 0, 0, 80);
    text_add(&out, "\n");
    options_help(&out, command->options, command->n_options);
    const int status = command_print(out.bytes, out.length);
    arena_close(arena);
    return status;
}

static int print_overview(void)
{
    struct arena *arena = arena_open();
    struct text out = text_begin(arena, 65536);
    text_add(&out, "plumbline: readings of a rider's recordings, with their evidence and their "
                   "doubts\n\n");
    for (size_t i = 0; i < n_commands; i++) {
        text_add_format(&out, "  plumbline %s %s\n      %s\n", commands[i]->name,
                        commands[i]->usage, commands[i]->summary);
    }
    text_add(&out, "\n  plumbline COMMAND --help    its options\n"
                   "  plumbline --version         version, commit, versions of the methods\n");
    const int status = command_print(out.bytes, out.length);
    arena_close(arena);
    return status;
}

static int print_version(void)
{
    struct arena *arena = arena_open();
    struct text out = text_begin(arena, 4096);
    text_add_format(&out, "plumbline %s\ncommit %s\nmethods", PLUMBLINE_VERSION, PLUMBLINE_COMMIT);
    for (int q = QUESTION_TRUST; q <= QUESTION_HARD_WORK; q++) {
        text_add_format(&out, " %s", question_method((enum question)q));
    }
    text_add_format(&out, " %s\n", RECORDING_METHOD);
    const int status = command_print(out.bytes, out.length);
    arena_close(arena);
    return status;
}

static int refuse_command(const char *word)
{
    const char *names[16];
    for (size_t i = 0; i < n_commands; i++) {
        names[i] = commands[i]->name;
    }
    const char *nearest = text_nearest(word, names, n_commands);
    if (nearest != NULL) {
        fprintf(stderr, "plumbline: %s: no such command; did you mean %s?\n", word, nearest);
    } else {
        fprintf(stderr, "plumbline: %s: no such command; plumbline --help lists them\n", word);
    }
    return 2;
}

int main(int argc, char *argv[])
{
    /* A closed pipe is noticed where we write, and passed over in silence. */
    signal(SIGPIPE, SIG_IGN);
    maths_begin();
    if (argc < 2) {
        print_overview();
        return 2;
    }
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "help") == 0) {
        return print_overview();
    }
    if (strcmp(argv[1], "--version") == 0) {
        return print_version();
    }
    for (size_t i = 0; i < n_commands; i++) {
        if (strcmp(argv[1], commands[i]->name) == 0) {
            return commands[i]->run(argc - 1, argv + 1);
        }
    }
    return refuse_command(argv[1]);
}
