/* cli/password.c: plumbline password: what is asked beyond this machine. */
#include "cli/roster_call.h"
#include "roster/password.h"

#include <sodium.h>
#include <stdio.h>
#include <string.h>
#include <termios.h>
#include <unistd.h>

struct password_values {
    struct roster_values common;
    bool remove;
};

static const struct option_row options[] = {
    { "remove", OPTION_FLAG, NULL, "no password: the roster is for its own machine alone",
      offsetof(struct password_values, remove), 0, 0 },
    ROSTER_OPTIONS,
};

/* One line without its end; false at the end of input, or when it is too long. */
static bool read_line(char out[], size_t room)
{
    if (fgets(out, (int)room, stdin) == NULL) {
        return false;
    }
    const size_t length = strcspn(out, "\n");
    const bool is_whole = out[length] == '\n' || length + 1 < room;
    out[length] = '\0';
    return is_whole;
}

/* A terminal doesn't show it; from a pipe it is the first line. */
static bool ask(const char *question, char out[], size_t room)
{
    struct termios before;
    const bool is_terminal = tcgetattr(STDIN_FILENO, &before) == 0;
    if (is_terminal) {
        struct termios hidden = before;
        hidden.c_lflag &= ~(tcflag_t)ECHO;
        hidden.c_lflag |= ECHONL;
        fprintf(stderr, "%s: ", question);
        tcsetattr(STDIN_FILENO, TCSAFLUSH, &hidden);
    }
    const bool got = read_line(out, room);
    if (is_terminal) {
        tcsetattr(STDIN_FILENO, TCSAFLUSH, &before);
    }
    return got;
}

/* words and again are cleared by the caller. */
static bool ask_twice(char words[], char again[], size_t room, struct error *err)
{
    if (!ask("New password (it is not shown)", words, room)) {
        return error_set(err, ERROR_USAGE,
                         "no password of %d to %d characters came; nothing was changed",
                         PASSWORD_SHORTEST, PASSWORD_LONGEST);
    }
    if (isatty(STDIN_FILENO) == 1 &&
        (!ask("Once more", again, room) || strcmp(words, again) != 0)) {
        return error_set(err, ERROR_USAGE, "that was another one; nothing was changed");
    }
    return true;
}

static bool set(struct roster_call *call, struct error *err)
{
    char words[PASSWORD_LONGEST + 2] = { 0 };
    char again[PASSWORD_LONGEST + 2] = { 0 };
    const bool done =
        ask_twice(words, again, sizeof words, err) && password_set(call->roster, words, err);
    sodium_memzero(words, sizeof words);
    sodium_memzero(again, sizeof again);
    return done;
}

static bool password(struct roster_call *call, const void *raw, struct error *err)
{
    const struct password_values *values = raw;
    if (values->remove ? !password_set(call->roster, NULL, err) : !set(call, err)) {
        return false;
    }
    text_add(&call->out, call->json
                             ? (values->remove ? "{\"password\":false}" : "{\"password\":true}")
                         : values->remove ? "No password is kept; plumbline serve opens this "
                                            "roster on its own machine alone\n"
                                          : "The password is kept, as what can only be compared; "
                                            "who was let in must give it anew\n");
    return true;
}

static const struct roster_work work = { .command = &command_password, .run = password };

static int password_run(int argc, char *const argv[])
{
    struct password_values values = { 0 };
    return roster_call(&work, argc, argv, &values);
}

const struct command command_password = {
    .name = "password",
    .usage = "[options]",
    .summary = "what is asked before the pages are seen from other machines",
    .about = "Asks for a password of 10 to 200 characters, twice, without showing it, and keeps "
             "in the roster only what it can be compared with (Argon2id). plumbline serve needs it "
             "before it opens anything beyond this machine. Undo does not bring an old one back. "
             "Without a terminal it is the first line of the input.",
    .options = options,
    .n_options = sizeof options / sizeof options[0],
    .run = password_run,
};
