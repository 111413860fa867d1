/* tests/peers/print_series.c: the samples of a table, for tests/peers/csv_series.py to compare.
 *
 * Each recording: "recording START" (Unix time, or - without), then a line a sample: seconds and
 * the channels in their own steps, "-" where missing; "x" behind a sample that is kept off the
 * grid.  A refused file prints its line to stderr and exits 3. */
#include "recording/csv_read.h"

#include <stdio.h>

static void print_recording(const struct recording *recording)
{
    const struct samples *samples = &recording->samples;
    if (recording->has_start_utc) {
        printf("recording %lld\n", (long long)recording->start_utc);
    } else {
        printf("recording -\n");
    }
    for (size_t i = 0; i < samples->count; i++) {
        printf("%d", samples->time_s[i]);
        for (size_t c = 0; c < CHANNEL_COUNT; c++) {
            const int32_t *value = samples->value[c];
            if (value == NULL || value[i] == RECORDING_MISSING) {
                printf(" -");
            } else {
                printf(" %d", value[i]);
            }
        }
        printf("%s\n", samples->dropped[i] != 0 ? " x" : "");
    }
}

int main(int argc, char *argv[])
{
    int status = 0;
    for (int i = 1; i < argc; i++) {
        struct arena *arena = arena_open();
        struct bytes bytes = { 0 };
        struct recordings out = { 0 };
        struct error err = { 0 };
        const struct read_options options = { .file = argv[i] };
        const struct limits limits = limits_default();
        if (files_read(arena, argv[i], 256000000, &bytes, &err) && csv_probe(bytes) &&
            csv_read(arena, bytes, &options, &limits, &out, &err)) {
            for (size_t k = 0; k < out.count; k++) {
                print_recording(out.items[k]);
            }
        } else {
            fprintf(stderr, "%s\n", err.message[0] == '\0' ? "no table" : err.message);
            status = 3;
        }
        arena_close(arena);
    }
    return status;
}
