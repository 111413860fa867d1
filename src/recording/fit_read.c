#include "recording/fit_read.h"

bool fit_probe(struct bytes bytes)
{
    (void)bytes;
    return false;
}

bool fit_read(struct arena *arena, struct bytes bytes, const struct read_options *options,
              const struct limits *limits, struct recordings *out, struct error *err)
{
    (void)arena;
    (void)bytes;
    (void)limits;
    (void)out;
    return error_set(err, ERROR_INPUT, "%s: not yet", options->file);
}
