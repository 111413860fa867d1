#include "recording/csv_read.h"

bool csv_probe(struct bytes bytes)
{
    (void)bytes;
    return false;
}

bool csv_read(struct arena *arena, struct bytes bytes, const struct read_options *options,
              const struct limits *limits, struct recordings *out, struct error *err)
{
    (void)arena;
    (void)bytes;
    (void)limits;
    (void)out;
    return error_set(err, ERROR_INPUT, "%s: not yet", options->file);
}
