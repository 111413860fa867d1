/* cli/acts.h: commands that have acts: `plumbline rider goal`.
 *
 * An act is a command of its own, with its own words, options and help page; it stands in the table
 * of the command it belongs to.  Help, manual page, completion, the list for programs and the tests
 * walk commands and acts alike. */
#ifndef CLI_ACTS_H
#define CLI_ACTS_H

#include "cli/command.h"

#include "base/arena.h"

/* Finds the act among the words and runs it.  Without one: the command's own help page if that was
 * asked for, else ERROR_USAGE.  The exit status. */
int acts_run(const struct command *command, int argc, char *const argv[]);

/* "goal" of "rider goal"; the whole name of a command that is no act. */
const char *act_word(const struct command *command);

/* Every command, each followed by its acts, ended by NULL; in the arena. */
const struct command **acts_flatten(struct arena *arena);

/* "  goal RIDER [WORDS...] [options]\n      what it does\n", one after another. */
void acts_help(struct text *out, const struct command *command);

#endif
