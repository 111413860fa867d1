/* cli/stop.h: an interrupt (SIGINT) that is obeyed where a command next can, instead of at once.
 *
 *     stop_begin();
 *     ... work that asks stop_is_asked() between whole pieces, and commits those it has ...
 *     stop_end();
 *
 * Begins may stand in one another; the outermost counts.
 * Outside of it an interrupt ends the program at once, with one line (main.c). */
#ifndef CLI_STOP_H
#define CLI_STOP_H

#include <stdbool.h>

void stop_begin(void);
void stop_end(void);

/* From any thread; the argument is there so that it fits where a question with a context is asked.
 */
bool stop_is_asked(void *unused);

/* The same for an end that is asked for politely (SIGTERM): true after either signal. */
void stop_begin_with_end(void);

/* SIGTERM came, not an interrupt. */
bool stop_was_end(void);

/* One line on stderr, and the exit status. */
int stop_tell(const char *command, const char *what);

#endif
