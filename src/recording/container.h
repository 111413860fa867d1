/* recording/container.h: files that hold recordings: gzip, zip, or the recording itself.
 *
 *     ride.fit          one entry                    "ride.fit"
 *     ride.fit.gz       one entry, unpacked          "ride.fit.gz"
 *     rides.zip         an entry a file              "rides.zip: june/ride.fit"
 *       ride.fit.gz       unpacked too
 *       more.zip          refused: no zip in a zip
 *
 * Bytes in, entries out: an entry's name is shown, never opened.  What a file is, is told from its
 * content, so entries that are no recordings come out as any other.  Folders and hidden files (a
 * name that begins with a dot) are passed over.
 *
 * Each entry is unpacked when it is asked for, counted while it is unpacked, and never trusted to
 * be as large as it says: at most cap_file_bytes, cap_zip_ratio times its packed bytes plus
 * cap_zip_free_bytes, and cap_zip_total_bytes for all.  An entry that can't be had is one entry
 * with an error; the others still come. */
#ifndef RECORDING_CONTAINER_H
#define RECORDING_CONTAINER_H

#include "base/arena.h"
#include "base/error.h"
#include "base/files.h"
#include "limits/limits.h"

struct container;

struct container_entry {
    const char *name;   /* clean UTF-8, as above */
    struct bytes bytes; /* unpacked; nothing where there is an error */
    const char *damage; /* what is wrong with the packing though bytes came out of it: a clause for
                           read_options.packing_damage; or NULL */
    const char *note;   /* a line for stderr that is no error, or NULL */
    struct error error; /* kind ERROR_NONE, or why there are no bytes; the line begins with name */
};

/* `file` is the name for messages.  The bytes must stay as long as the container.  False for what
 * can't be opened as a whole: a gzip past the cap, a zip without table of contents, an empty one.
 */
MUST_USE bool container_open(struct arena *arena, struct bytes bytes, const char *file,
                             const struct limits *limits, struct container **out,
                             struct error *err);

/* The next entry, its bytes in `arena`; false when there is none. */
bool container_next(struct container *container, struct arena *arena,
                    struct container_entry *entry);

/* NULL is accepted. */
void container_close(struct container *container);

#endif
