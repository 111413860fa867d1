/* roster/export_rides.h: the rides of an export: seconds, JSON, bests, files as they came. */
#ifndef ROSTER_EXPORT_RIDES_H
#define ROSTER_EXPORT_RIDES_H

#include "base/text.h"
#include "roster/export.h"

/* An export on its way. */
struct export
{
    const struct export_call *call;
    struct arena *arena;
    struct db *db;
    struct export_done *done;
    int64_t rider; /* 0 = all */
    int64_t last_rider;
    const char *part; /* the folder while it is written */
};

/* A file of the export, by its name in it. */
const char *export_path(const struct export *export, const char *name);

/* A whole file of it, 0600. */
MUST_USE bool export_file(const struct export *export, const char *name, struct bytes bytes,
                          struct error *err);

/* originals/ID-NAME: the bytes as they came. */
MUST_USE bool export_originals(struct export *export, struct error *err);

/* bests.csv, rides/ID.csv, rides/ID.json; sets done->was_stopped when asked to stop. */
MUST_USE bool export_rides(struct export *export, struct error *err);

/* Their rows of the dictionary; how many. */
#define EXPORT_RIDE_WORDS_MOST 40
size_t export_ride_words(struct export_word out[EXPORT_RIDE_WORDS_MOST]);

#endif
