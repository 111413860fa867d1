/* roster/kept_copies.h: copies of the roster, or of a rider, that were made and lie elsewhere.
 *
 * What `forget` can't reach, it names; so every backup and export is written down with the highest
 * rider that was in it. */
#ifndef ROSTER_KEPT_COPIES_H
#define ROSTER_KEPT_COPIES_H

#include "roster/roster.h"

struct kept_copy {
    int64_t id;
    const char *kind;   /* "backup", "export", "before-schema" */
    const char *path;   /* absolute */
    int64_t rider;      /* the only one in it; 0 = all there were */
    int64_t last_rider; /* the highest id in it */
    int64_t made_utc_s;
};

/* Writes it down; one at the same path is forgotten, since it was written over. */
MUST_USE bool kept_copies_add(struct roster *roster, const struct kept_copy *copy,
                              struct error *err);

/* Those that may hold the rider, 0 = all; the newest first. */
MUST_USE bool kept_copies_list(struct roster *roster, struct arena *arena, int64_t rider,
                               struct kept_copy **out, size_t *count, struct error *err);

/* An absolute path without "." and "..", of a file that needn't be there, in a folder that must be.
 * ERROR_NOT_FOUND names the folder. */
MUST_USE bool kept_copies_path(struct arena *arena, const char *path, const char **out,
                               struct error *err);

#endif
