/* fuzz/session.c: any text as a session. */
#include "target.h"
#include "whole.h"

#include "coaching/session_text.h"

#include <string.h>

static void check_fault(struct arena *arena, const struct session_fault *fault)
{
    if (fault->line < 1 || fault->column < 1 || fault->letters < 1) {
        fuzz_broken("a fault has a place", fault->why);
    }
    const char *shown = session_fault_shown(arena, fault, 80);
    if (strchr(shown, '^') == NULL) {
        fuzz_broken("a caret stands under a fault", shown);
    }
    (void)session_fault_words(arena, fault);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct arena *arena = arena_open();
    char *text = ARENA_ARRAY(arena, char, size + 1);
    struct session session = { 0 };
    struct session again = { 0 };
    struct session_fault fault = { 0 };
    if (size > 0) {
        memcpy(text, data, size);
    }
    if (!session_read(arena, text, &session, &fault)) {
        check_fault(arena, &fault);
    } else {
        const struct limits limits = limits_default();
        const char *written = session_write(arena, &session);
        /* What was read may grow by being written in full: then it is refused for its size alone.
         */
        if (strlen(written) <= SESSION_BYTES_MOST &&
            (!session_read(arena, written, &again, &fault) || !session_is_same(&session, &again))) {
            fuzz_broken("a session reads back as it was", written);
        }
        (void)session_dose_of(arena, &session, 250.0, &limits);
    }
    arena_close(arena);
    return 0;
}
