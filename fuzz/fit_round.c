/* fuzz/fit_round.c: any bytes as an activity; written and read again it must be the same. */
#include "activity.h"
#include "target.h"
#include "whole.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct arena *arena = arena_open();
    const struct fit_activity activity = activity_from_bytes(arena, (struct bytes){ data, size });
    const struct read_options options = { .file = "fuzz" };
    const struct limits limits = limits_default();
    struct bytes file = { 0 };
    struct recordings read = { 0 };
    struct error err = { 0 };
    if (!fit_write(arena, &activity, &file, &err) ||
        !recording_read(arena, file, &options, &limits, &read, &err)) {
        fuzz_broken("what is asked can be written and read", err.message);
    }
    const char *differs = activity_differs(arena, &activity, &read);
    if (differs != NULL) {
        fuzz_broken("what was written is read", differs);
    }
    arena_close(arena);
    return 0;
}
