/* cli/hints.h: hints as a terminal says them: with the command to type. */
#ifndef CLI_HINTS_H
#define CLI_HINTS_H

#include "base/arena.h"
#include "coaching/words/hint.h"

/* "plumbline heart says why."; NULL = there is none. */
const char *hint_typed(enum hint hint);

/* The words, then the hint; words alone where there is none. */
const char *hint_after(struct arena *arena, const char *words, enum hint hint);

#endif
