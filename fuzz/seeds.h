/* fuzz/seeds.h: where fuzzing begins: small invented files, made anew each time. */
#ifndef FUZZ_SEEDS_H
#define FUZZ_SEEDS_H

#include "base/files.h"

struct seed {
    const char *name;
    struct bytes bytes;
};

/* The seeds of a target ("fit_read", "csv_read", "gpx_read", "fit_round", "ride_read", "gzip",
 * "zip", "pack", "reply", "session"); NULL for another name. */
struct seed *seeds_of(struct arena *arena, const char *target, size_t *count);

#endif
