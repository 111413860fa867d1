/* recording/gpx_read.h: GPX 1.0 and 1.1 tracks with times.
 *
 * Tracks are recordings (gpx_recording.h says how, and where pauses are); routes and waypoints are
 * none.  Sensor values come from whatever extension holds them, told by the element's local name
 * (gpx_fields.h).  Points without a time are left out and counted (finding bad-points: timeless,
 * of, values); all of them, or more than gpx_bad_points_pct: refused, as a plan is.
 *
 * Encodings: UTF-8, UTF-16, ISO-8859-1, ISO-8859-15, windows-1252, US-ASCII by declaration.  Bytes
 * that aren't in the encoding that the file names are read as windows-1252 (finding damage).
 *
 * Damage.  A file that was cut, or is no XML from somewhere on, gives the points before that place,
 * with a finding (damage: records; line, column) and a line for stderr, as a cut FIT file does:
 * what was recorded up to there is true, and the rider may have no other copy.  Without a point
 * before that place it is refused with line and column. */
#ifndef RECORDING_GPX_READ_H
#define RECORDING_GPX_READ_H

#include "recording/recording.h"

/* True for what begins as XML does, whatever XML it is: the reader says what it found. */
bool gpx_probe(struct bytes bytes);

MUST_USE bool gpx_read(struct arena *arena, struct bytes bytes, const struct read_options *options,
                       const struct limits *limits, struct recordings *out, struct error *err);

#endif
