/* cli/roster_call.h: what every command that uses the roster does alike.
 *
 * Options are parsed, the roster is found and opened, the command's own work is done, and what it
 * wrote is printed: words on 80 columns, or JSON.  Where it changed what readings rest on, the
 * rides that this touches are read again before it returns (cli/reread); a command has nothing to
 * do for that, but offers --later by declaring ROSTER_LATER. */
#ifndef CLI_ROSTER_CALL_H
#define CLI_ROSTER_CALL_H

#include "cli/command.h"
#include "roster/riders.h"

/* The options that every such command has; the first field of its own struct. */
struct roster_values {
    const char *roster;
    const char *today;
    bool json;
    bool help;
    bool later;
};

#define ROSTER_OPTIONS                                                                                 \
    { "roster",                                                                                        \
      OPTION_TEXT,                                                                                     \
      "FILE",                                                                                          \
      "the roster; else PLUMBLINE_ROSTER, else below XDG_DATA_HOME",                                   \
      offsetof(struct roster_values, roster),                                                          \
      0,                                                                                               \
      0 },                                                                                             \
        { "today",                                                                                     \
          OPTION_TEXT,                                                                                 \
          "DATE",                                                                                      \
          "the day to stand on: nothing dated later is used",                                          \
          offsetof(struct roster_values, today),                                                       \
          0,                                                                                           \
          0 },                                                                                         \
        { "json", OPTION_FLAG, NULL, "the same as JSON", offsetof(struct roster_values, json), 0, 0 }, \
    {                                                                                                  \
        "help", OPTION_FLAG, NULL, "this page", offsetof(struct roster_values, help), 0, 0             \
    }

/* Before ROSTER_OPTIONS, in commands that change what readings rest on. */
#define ROSTER_LATER                                                                               \
    {                                                                                              \
        "later", OPTION_FLAG, NULL, "leave the rides to be read again: plumbline jobs --run",      \
            offsetof(struct roster_values, later), 0, 0                                            \
    }

struct roster_call {
    struct arena *arena;
    struct roster *roster;
    const char *place; /* of the roster, for opening it once more */
    struct roster_now now;
    const char *act;      /* "goal" of "rider goal", else the command's name */
    char today[11];       /* --today, else the roster's own (an example's), else the machine's */
    bool today_was_named; /* by --today */
    bool json;
    const char **words; /* [n_words] those that are no options */
    size_t n_words;
    struct text out;  /* what is printed when the work is done */
    bool was_stopped; /* by an interrupt, while rides were read again: exit status 130 */
};

struct roster_work {
    const struct command *command;
    size_t least_words;
    size_t most_words;
    bool creates;      /* the roster, if it is not there */
    bool opens_itself; /* the roster, or doesn't need it: only its place is found */
    bool may_lack;     /* goes on without one, call->roster NULL, unless --roster named one */
    /* before the roster is opened; NULL = nothing to check */
    bool (*check)(const struct roster_call *call, const void *values, struct error *err);
    bool (*run)(struct roster_call *call, const void *values, struct error *err);
};

/* values: the command's struct, whose first field is struct roster_values.  The exit status. */
int roster_call(const struct roster_work *work, int argc, char *const argv[], void *values);

/* Adds sentences to call->out: after an empty line, two blanks in. */
void roster_call_sentence(struct roster_call *call, const char *words);

/* Prints what call->out holds so far, and empties it: before a question is asked.  False
 * (ERROR_STORAGE) when stdout can't take it. */
MUST_USE bool roster_call_flush(struct roster_call *call, struct error *err);

/* "Too many words" and the like: ERROR_USAGE that names the help page. */
bool roster_usage(const struct roster_work *work, const char *what, struct error *err);

#endif
