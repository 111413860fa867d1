/* roster/import_list.h: which files an import reads.
 *
 * A file that is named is read, a folder with all that lies in it: hidden names and symbolic links
 * are passed over, as are devices and pipes.  The list is sorted by path and holds no file twice,
 * so it doesn't matter in which order paths were named, or a disk keeps its names. */
#ifndef ROSTER_IMPORT_LIST_H
#define ROSTER_IMPORT_LIST_H

#include "base/arena.h"
#include "base/error.h"

#include <stddef.h>

struct listed_file {
    const char *name;   /* as the caller would name it: "rides/june/a.fit" */
    const char *path;   /* absolute, without links */
    const char *opened; /* where its bytes are got, if not at path; NULL */
};

struct listed_files {
    struct listed_file *items;
    size_t count;
    size_t capacity;
    const char **folders; /* [n_folders] absolute paths of the folders that were named */
    size_t n_folders;
};

/* False (ERROR_NOT_FOUND, ERROR_DENIED) names the path that isn't there or can't be looked into. */
MUST_USE bool import_list(struct arena *arena, const char *const paths[], size_t n,
                          struct listed_files *out, struct error *err);

#endif
