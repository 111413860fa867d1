/* cli/read_columns.h: what --column says of a table's headers. */
#ifndef CLI_READ_COLUMNS_H
#define CLI_READ_COLUMNS_H

#include "cli/options.h"
#include "recording/recording.h"

/* Turns "power=NAME" and "power=NAME,time=NAME" into columns for the reader, in the arena.  A comma
 * parts two of them only where a word and "=" follow it: names may hold commas.
 * False (ERROR_USAGE) with one line: a meaning that isn't known, with the nearest, no name, or a
 * meaning said twice. */
MUST_USE bool read_columns_make(struct arena *arena, const struct option_list *list,
                                struct read_options *options, struct error *err);

#endif
