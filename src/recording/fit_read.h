/* recording/fit_read.h: FIT activity files, decoded within bounds.
 *
 *   bytes ─ parts of a chain ─ messages ─ columns ─ runs of one clock ─ sessions ─ recordings
 *           fit_read           fit_message fit_record fit_clock         fit_session fit_recording
 *
 * Reads the open FIT protocol: headers of 12 and more bytes, both byte orders, every base type,
 * developer fields, compressed time stamps, chained files.  One recording a session.
 *
 * Refused (ERROR_INPUT, one line that says what the file is and what to do): files that are no
 * activity, and files without a record.  Over a cap: ERROR_TOO_LARGE.  Damage isn't refused: what
 * stands before it is read, each recording gets a `damage` finding and out->damage is the line.
 *
 * Time is linear in the bytes; memory is at most 64 MB + 4 x the bytes. */
#ifndef RECORDING_FIT_READ_H
#define RECORDING_FIT_READ_H

#include "recording/recording.h"

/* Told from the content: a header's size and ".FIT". */
bool fit_probe(struct bytes bytes);

MUST_USE bool fit_read(struct arena *arena, struct bytes bytes, const struct read_options *options,
                       const struct limits *limits, struct recordings *out, struct error *err);

#endif
