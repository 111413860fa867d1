/* cli/main.c: which command was asked for. */
#include "cli/acts.h"

#include "base/arena.h"
#include "coaching/reading.h"
#include "maths/maths.h"
#include "recording/recording.h"
#include "roster/db.h"

#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

/* One a line: new ones are added often. */
/* clang-format off */
const struct command *const command_table[] = {
    &command_read,
    &command_rider,
    &command_threshold,
    &command_weight,
    &command_max_heart_rate,
    &command_rest_heart_rate,
    &command_equipment,
    &command_meters,
    &command_zones,
    &command_note,
    &command_import,
    &command_rides,
    &command_show,
    &command_asked,
    &command_mark,
    &command_who,
    &command_week,
    &command_progress,
    &command_load,
    &command_next,
    &command_session,
    &command_recordings,
    &command_bests,
    &command_critical,
    &command_heart,
    &command_teach,
    &command_handover,
    &command_jobs,
    &command_undo,
    &command_roster,
    &command_backup,
    &command_restore,
    &command_check,
    &command_export,
    &command_forget,
    &command_serve,
    &command_password,
    &command_example,
    &command_limits,
    &command_help_table,
};
/* clang-format on */
const size_t command_count = sizeof command_table / sizeof command_table[0];

const struct command *command_named(const char *name)
{
    for (size_t i = 0; i < command_count; i++) {
        if (strcmp(name, command_table[i]->name) == 0) {
            return command_table[i];
        }
        for (size_t a = 0; command_table[i]->acts != NULL && command_table[i]->acts[a] != NULL;
             a++) {
            if (strcmp(name, command_table[i]->acts[a]->name) == 0) {
                return command_table[i]->acts[a];
            }
        }
    }
    return NULL;
}

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

void command_add_help(struct text *out, const struct command *command)
{
    text_add_format(out, "plumbline %s %s\n\n", command->name, command->usage);
    text_add_wrapped(out, command->about, 0, 0, 80);
    text_add(out, "\n");
    if (command->acts != NULL) {
        acts_help(out, command);
        text_add_format(out, "\n  plumbline %s ACT --help    its options\n\n", command->name);
    }
    options_help(out, command->options, command->n_options);
}

int command_help(const struct command *command)
{
    struct arena *arena = arena_open();
    struct text out = text_begin(arena, 65536);
    command_add_help(&out, command);
    const int status = command_print(out.bytes, out.length);
    arena_close(arena);
    return status;
}

static int print_version(void)
{
    struct arena *arena = arena_open();
    struct text out = text_begin(arena, 4096);
    text_add_format(&out, "plumbline %s\ncommit %s\nmethods", PLUMBLINE_VERSION, PLUMBLINE_COMMIT);
    for (int q = QUESTION_TRUST; q < RIDE_QUESTIONS; q++) {
        text_add_format(&out, " %s", question_method((enum question)q));
    }
    text_add_format(&out, " %s\n", RECORDING_METHOD);
    const int status = command_print(out.bytes, out.length);
    arena_close(arena);
    return status;
}

const char *command_nearest(const char *word)
{
    const char *names[sizeof command_table / sizeof command_table[0]];
    for (size_t i = 0; i < command_count; i++) {
        names[i] = command_table[i]->name;
    }
    return text_nearest(word, names, command_count);
}

static int refuse_command(const char *word)
{
    const char *nearest = command_nearest(word);
    if (nearest != NULL) {
        fprintf(stderr, "plumbline: %s: no such command; did you mean %s?\n", word, nearest);
    } else {
        fprintf(stderr, "plumbline: %s: no such command; plumbline --help lists them\n", word);
    }
    return 2;
}

/* A file being written is finished first: base/files holds the signal off meanwhile.  Nothing here
 * but what a handler may call: signal-safety(7). */
static void interrupted(int signal_number)
{
    static const char line[] = "plumbline: interrupted\n";
    const ssize_t put = write(STDERR_FILENO, line, sizeof line - 1);
    (void)put; /* there is nobody left to tell */
    _exit(128 + signal_number);
}

/* A shell that starts us in the background has interrupts ignored: leave them so. */
static void watch_for_interrupts(void)
{
    struct sigaction before = { 0 };
    if (sigaction(SIGINT, NULL, &before) == 0 && before.sa_handler != SIG_IGN) {
        struct sigaction action = { .sa_handler = interrupted };
        sigemptyset(&action.sa_mask);
        sigaction(SIGINT, &action, NULL);
    }
}

/* The bar of an import may stand on the line. */
static void say_waiting(const char *place)
{
    fprintf(stderr, "%splumbline: waiting for another Plumbline that is writing to %s\n",
            isatty(STDERR_FILENO) == 1 ? "\r\033[K" : "", place);
}

int main(int argc, char *argv[])
{
    /* A closed pipe is noticed where we write, and passed over in silence. */
    signal(SIGPIPE, SIG_IGN);
    /* A file over the user's quota (ulimit -f) is an error like a full disk, not the end of us. */
    signal(SIGXFSZ, SIG_IGN);
    watch_for_interrupts();
    maths_begin();
    db_when_waiting(say_waiting);
    if (argc < 2) {
        char *const overview[] = { (char[]){ "help" }, NULL };
        command_help_table.run(1, overview);
        return 2;
    }
    const char *word = argv[1];
    if (strcmp(word, "--version") == 0) {
        return print_version();
    }
    const struct command *command = command_named(strcmp(word, "--help") == 0 ? "help" : word);
    return command != NULL && strchr(command->name, ' ') == NULL ? command->run(argc - 1, argv + 1)
                                                                 : refuse_command(word);
}
