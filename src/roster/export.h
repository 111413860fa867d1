/* roster/export.h: a rider, or all of them, in open formats.
 *
 *     DIR/README.txt             what this is, and how the tables are written
 *     DIR/dictionary.csv         every file, every column, its unit and meaning
 *     DIR/riders.csv ...         a table each (roster/export_tables)
 *     DIR/bests.csv              of every ride, by duration
 *     DIR/rides/12.csv           a row a second
 *     DIR/rides/12.json          as show --json prints it
 *     DIR/originals/7-ride.fit   the bytes as they came
 *
 * Written to DIR.part and renamed when it is whole; 0700, its files 0600.  One state of the store,
 * while others may go on working. */
#ifndef ROSTER_EXPORT_H
#define ROSTER_EXPORT_H

#include "roster/riders.h"

struct export_call {
    struct roster *roster;
    struct roster_now now;
    const char *program;       /* its version, for README and JSON */
    const struct rider *rider; /* NULL = all */
    const char *folder;
    void (*tell)(void *context, size_t done, size_t of); /* rides; NULL = nobody listens */
    bool (*stopped)(void *context);                      /* NULL = never */
    void *context;
};

struct export_done {
    const char *folder; /* absolute */
    size_t n_files;
    size_t n_rides;
    size_t n_failed; /* rides that could not be read again: their JSON says why */
    size_t n_originals;
    const char *problem; /* the first of them; NULL = none */
    bool was_stopped;    /* and then nothing is left */
};

/* False, and nothing is left behind: ERROR_CONFLICT (folder is there and not empty, or an earlier
 * DIR.part), ERROR_STORAGE. */
MUST_USE bool export_run(struct arena *arena, const struct export_call *call,
                         struct export_done *done, struct error *err);

/* A row of the dictionary. */
struct export_word {
    const char *file;
    const char *column; /* "" = the file as a whole */
    const char *type;
    const char *unit; /* "" = none */
    const char *meaning;
};
/* All of them, in the order of the files; in the arena. */
void export_dictionary(struct arena *arena, struct export_word **out, size_t *count);

#endif
