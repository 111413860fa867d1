/* recording/fit_read.h: FIT activity files, decoded within bounds. */
#ifndef RECORDING_FIT_READ_H
#define RECORDING_FIT_READ_H

#include "recording/recording.h"

bool fit_probe(struct bytes bytes);
MUST_USE bool fit_read(struct arena *arena, struct bytes bytes, const struct read_options *options,
                       const struct limits *limits, struct recordings *out, struct error *err);

#endif
