/* recording/other_thing.h: files that lie among recordings and are none.
 *
 *     notes.txt, a picture             no format of ours
 *     facts.csv                        a table without power and heart rate, nor time and another
 *                                      channel
 *     settings.fit, a workout          FIT of another kind than an activity
 *     plan.gpx                         a route, waypoints, or XML of another kind
 *
 * A folder of rides holds such files, and telling them apart from rides that came damaged keeps
 * the list of troubles short.  What may be a ride that went wrong stays one: a web page saved in
 * the place of a download, a file cut off before its first record, an empty one, a table that lacks
 * only its time. */
#ifndef RECORDING_OTHER_THING_H
#define RECORDING_OTHER_THING_H

#include "recording/recording.h"

/* Whether bytes that gave no recording are sound, but of another thing. */
bool other_thing_is(struct bytes bytes, const struct read_options *options,
                    const struct limits *limits);

#endif
