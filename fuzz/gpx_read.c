/* fuzz/gpx_read.c: any bytes as GPX, also those that the probe would not take for it. */
#include "target.h"
#include "whole.h"

#include "recording/gpx_read.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const struct bytes bytes = { data, size };
    if (gpx_probe(bytes)) {
        whole_read(bytes);
        return 0;
    }
    struct arena *arena = arena_open();
    const struct read_options options = { .file = "fuzz" };
    const struct limits limits = limits_default();
    struct recordings out = { 0 };
    struct error err = { 0 };
    if (!gpx_read(arena, bytes, &options, &limits, &out, &err) && err.message[0] == '\0') {
        fuzz_broken("an error has a message", "gpx_read");
    }
    arena_close(arena);
    return 0;
}
