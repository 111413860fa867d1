/* recording/csv_read.h: a table with a header row, one row a second or so. */
#ifndef RECORDING_CSV_READ_H
#define RECORDING_CSV_READ_H

#include "recording/recording.h"

bool csv_probe(struct bytes bytes);
MUST_USE bool csv_read(struct arena *arena, struct bytes bytes, const struct read_options *options,
                       const struct limits *limits, struct recordings *out, struct error *err);

#endif
