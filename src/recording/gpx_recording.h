/* recording/gpx_recording.h: track points as recordings.
 *
 *   trk 1        |. . . .|   |. . .|          |. . . .        segments, in file order
 *   trk 2                                             . . .   goes on within pause_gap_s: the same
 *   trk 3  (an hour later)                                    another recording
 *
 * One track is one recording, but a track of the same type that goes on where the last one ended
 * (limit pause_gap_s) belongs to it: devices begin a new track for each lap.  Inside a track the
 * clock alone cuts and drops: stretches.h.
 *
 * Times are rounded to whole seconds from the first point.
 *
 * Pauses.  Only between segments: a new segment is where "GPS reception was lost, or the GPS
 * receiver was turned off" (GPX 1.1 schema, trksegType), so between two segments more than
 * pause_gap_s apart the timer is taken to have stood.  A gap inside a segment is missing, never a
 * pause.  Telling lost reception apart by the distance between the segments was tried: of the 7
 * breaks of a real ride whose timer is known all were stops, and distance called one of them
 * riding. */
#ifndef RECORDING_GPX_RECORDING_H
#define RECORDING_GPX_RECORDING_H

#include "recording/gpx_parse.h"

/* All recordings of a file that has at least one point, grids filled.  False past a cap. */
MUST_USE bool gpx_recordings_make(struct arena *arena, const struct gpx_file *gpx,
                                  struct bytes bytes, const char *file, const struct limits *limits,
                                  struct recordings *out, struct error *err);

#endif
