/* cli/ask.h: what a command that can't be taken back asks first, and a bar while work goes on. */
#ifndef CLI_ASK_H
#define CLI_ASK_H

#include "base/error.h"
#include "roster/audit.h"

#include <stdbool.h>
#include <stddef.h>

/* True if `given` (--yes), or if `wanted` is typed after the question on a terminal.  Without a
 * terminal ERROR_USAGE names --yes; another answer is ERROR_CONFLICT "nothing was changed". */
MUST_USE bool ask_first(bool given, const char *question, const char *wanted, struct error *err);

/* A bar on stderr, on a terminal only: "[#####     ] originals 12 of 1500". */
void bar_draw(const char *what, size_t done, size_t of);
void bar_clear(void);

/* The same as a listener of audit and backup. */
void bar_tell(void *context, enum audit_step step, size_t done, size_t of);

/* "812 kB", "1.4 MB", "2.3 GB" (powers of ten); text of the arena. */
const char *size_words(struct arena *arena, int64_t bytes);

/* "2026-03-14 09:26 UTC". */
const char *moment_words(struct arena *arena, int64_t utc_s);

#endif
