/* cli/hints.c: hints as a terminal says them: with the command to type. */
#include "cli/hints.h"

#include <stddef.h>

const char *hint_typed(enum hint hint)
{
    static const char *const typed[HINTS] = {
        [HINT_HEART] = "plumbline heart says why.",
        [HINT_CRITICAL_POWER] = "plumbline critical says why.",
        [HINT_WAITING] = "plumbline jobs",
    };
    return typed[hint];
}

const char *hint_after(struct arena *arena, const char *words, enum hint hint)
{
    const char *typed = hint_typed(hint);
    return typed == NULL ? words : arena_format(arena, "%s %s", words, typed);
}
