/* base/files.h: whole files in, whole files out. */
#ifndef BASE_FILES_H
#define BASE_FILES_H

#include "base/arena.h"
#include "base/error.h"

#include <stdint.h>

/* Bytes that somebody else owns. */
struct bytes {
    const uint8_t *at;
    size_t size;
};

/* The whole file in the arena.  A file larger than cap is refused (ERROR_TOO_LARGE) before its
 * bytes are read; a folder or a missing file is ERROR_NOT_FOUND.  The message names the path. */
MUST_USE bool files_read(struct arena *arena, const char *path, size_t cap, struct bytes *out,
                         struct error *err);

/* The bytes themselves, or what they hold if they begin as gzip does (1F 8B).  What comes out is
 * at most cap bytes, else ERROR_TOO_LARGE, told before more is taken.  A gzip that ends early or is
 * damaged gives what came out before, and *damaged says so in one clause; else it is NULL. */
MUST_USE bool files_gunzip(struct arena *arena, struct bytes in, size_t cap, struct bytes *out,
                           const char **damaged, struct error *err);

/* Writes a file whole or not at all: beside it, synced, then renamed over it.  Interrupts are held
 * off meanwhile. */
MUST_USE bool files_write(const char *path, struct bytes bytes, struct error *err);

/* SHA-256 of the bytes as 64 small hexadecimal digits and a zero. */
void files_sha256(struct bytes bytes, char out[65]);

#endif
