/* coaching/ride_json.h: a ride with its readings as JSON.
 *
 * The shape is a promise: keys are added, never changed, within a major version; a schema in api/
 * holds it and a test validates by it.  One element a recording:
 *   plumbline, file, part, parts, sha256, recording, findings, readings, steady, reps, bests.
 * A file that gave no recording: {"file", "error": {"kind", "message"}}. */
#ifndef COACHING_RIDE_JSON_H
#define COACHING_RIDE_JSON_H

#include "base/json.h"
#include "coaching/reading.h"

/* Where a recording came from. */
struct ride_source {
    const char *version; /* of the program */
    const char *file;    /* as the caller named it */
    const char *sha256;  /* of the decompressed bytes */
};

/* What somebody adds to each reading, such as its gauge: keys, inside the open object. */
struct reading_more {
    void (*add)(struct json *json, const struct reading *reading, void *context);
    void *context;
};

/* Adds one element; bests are those to print (shown or all). */
void ride_json_add(struct json *json, const struct ride_source *source,
                   const struct recording *recording, const struct rider_facts *facts,
                   const struct ride_readings *readings, const struct bests *bests);

/* One reading alone, as it stands in the list of an element. */
void reading_json_add(struct json *json, const struct reading *reading);

/* The same under a key, with more in each reading; NULL = no more. */
void ride_json_add_with(struct json *json, const char *key, const struct ride_source *source,
                        const struct recording *recording, const struct rider_facts *facts,
                        const struct ride_readings *readings, const struct bests *bests,
                        const struct reading_more *more);
void reading_json_add_with(struct json *json, const struct reading *reading,
                           const struct reading_more *more);
void reading_json_add_under(struct json *json, const char *key, const struct reading *reading,
                            const struct reading_more *more);

void ride_json_add_error(struct json *json, const char *file, const struct error *err);

#endif
