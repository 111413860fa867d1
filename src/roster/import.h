/* roster/import.h: from files to the roster.
 *
 *     files ──> a job a recording file (an entry of a zip is one)
 *                  │   on several threads: bytes, grid, trust, readings with what was true that
 *                  │   day, everything packed
 *                  ▼
 *               one writer, in the order of the list: up to 50 files or a second share a
 *               transaction, no file spans two; it is told as taken only after the commit
 *
 * The result doesn't depend on how many threads there are, nor on the order of the paths.
 *
 *     same bytes, same rider     known
 *     same bytes, another rider  a conflict that names both; not taken
 *     no recording in it         unreadable: remembered, and tried again only when the bytes, the
 *                                version of reading or the columns named change
 *     notes, settings, plans     not a recording: remembered likewise, told apart, never an error
 *     another device's recording of a ride that is there: roster/same_ride */
#ifndef ROSTER_IMPORT_H
#define ROSTER_IMPORT_H

#include "recording/recording.h"
#include "roster/riders.h"

enum import_outcome {
    IMPORT_TAKEN,
    IMPORT_KNOWN,
    IMPORT_CONFLICT,    /* another rider's */
    IMPORT_UNREADABLE,  /* no recording in it, though it may have been one */
    IMPORT_OTHER_THING, /* sound, but no recording at all: recording/other_thing */
    IMPORT_NO_RIDER,    /* nothing says whose it is */
    IMPORT_OUTCOMES
};
const char *import_outcome_name(enum import_outcome outcome); /* "taken", "known", ... */

/* A recording that was taken, or is known. */
struct imported_ride {
    int64_t id;
    int64_t same_as; /* 0 = it counts */
    const char *day; /* NULL = not known */
    const char *sport;
    bool is_ride;
};

struct imported_file {
    const char *name;
    enum import_outcome outcome;
    const char *rider; /* whose, NULL = nobody's */
    const char *line;  /* why not taken, or what was damaged; NULL = nothing to say */
    bool remembered;   /* unreadable before already: not tried again */
    struct imported_ride *rides;
    size_t n_rides;
    size_t place; /* of the file in the list, from 0; entries of a zip share it */
    size_t n_files;
};

struct import_call {
    struct roster *roster;
    const char *place; /* of the roster: each thread opens it for itself */
    struct roster_now now;
    const struct rider *rider; /* NULL = as the folders say */
    unsigned n_threads;        /* for reading; 0 = one a core */
    const struct read_column
        *columns; /* [n_columns] of tables, by name; kept with what they gave */
    size_t n_columns;
    /* NULL = never; asked before each file, by one thread at a time */
    bool (*stopped)(void *context);
    void (*tell)(void *context, const struct imported_file *file); /* NULL = nobody listens */
    void *context;
};

struct import_sum {
    size_t files[IMPORT_OUTCOMES];
    size_t rides;    /* recordings taken */
    size_t same;     /* of them, those of a ride that another recording stands for */
    size_t n_listed; /* files in the list */
    bool was_stopped;
};

/* Imports files and folders.  With a rider named, folders among the paths are kept as theirs.
 * False when the roster can't be written (what was told as taken stays) or a path isn't there. */
MUST_USE bool import_paths(struct arena *arena, const struct import_call *call,
                           const char *const paths[], size_t n, struct import_sum *sum,
                           struct error *err);

/* The same with one file that is open already, such as one that a browser sent; it is called
 * `name`, and remembered by it.  call->rider says whose it is. */
MUST_USE bool import_open_file(struct arena *arena, const struct import_call *call, int fd,
                               const char *name, struct import_sum *sum, struct error *err);

/* Files of one transaction at most, and how long it may be kept open for more. */
#define IMPORT_FILES_MOST   50
#define IMPORT_SECONDS_MOST 1

#endif
