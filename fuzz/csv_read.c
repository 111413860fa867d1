/* fuzz/csv_read.c: any bytes as a table, also those that the probe would not take for one, and with
 * columns that somebody named. */
#include "target.h"
#include "whole.h"

#include "recording/csv_names.h"
#include "recording/csv_read.h"

static void read_as_table(struct bytes bytes, size_t n_columns)
{
    static const struct read_column columns[] = { { CSV_TIME, "hr" }, { CHANNEL_POWER, "time" } };
    struct arena *arena = arena_open();
    const struct read_options options = { .file = "fuzz",
                                          .columns = columns,
                                          .n_columns = n_columns };
    const struct limits limits = limits_default();
    struct recordings out = { 0 };
    struct error err = { 0 };
    if (!csv_read(arena, bytes, &options, &limits, &out, &err) && err.message[0] == '\0') {
        fuzz_broken("an error has a message", "csv_read");
    }
    arena_close(arena);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const struct bytes bytes = { data, size };
    if (csv_probe(bytes)) {
        whole_read(bytes);
    } else {
        read_as_table(bytes, 0);
    }
    read_as_table(bytes, 2);
    return 0;
}
