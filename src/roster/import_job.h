/* roster/import_job.h: one recording file on its way into the roster. */
#ifndef ROSTER_IMPORT_JOB_H
#define ROSTER_IMPORT_JOB_H

#include "roster/import.h"
#include "roster/readings.h"
#include "roster/recordings.h"

/* A recording, ready to be stored. */
struct ready_recording {
    struct packed_recording packed;
    struct packed_readings readings;
};

struct import_job {
    /* what came; the bytes lie in `scratch`, which goes when the job is ready */
    struct arena *scratch;
    const char *name; /* for messages */
    const char *path; /* clean text: what a file that can't be read is remembered by */
    struct bytes bytes;
    const char *damage;  /* of the packing, or NULL */
    struct error failed; /* of getting the bytes */
    const struct rider *rider;
    size_t place;
    const struct read_column *columns; /* [n_columns] the caller's */
    size_t n_columns;

    /* what became of it, in `arena` */
    struct arena *arena;
    bool has_bytes;
    bool is_known;   /* its bytes are in the roster: nothing was read */
    bool remembered; /* as unreadable, or as another thing */
    bool is_other;   /* sound bytes, but no recording */
    struct packed_original original;
    uint8_t attempt[32]; /* over bytes, version of reading and columns named */
    int64_t change;      /* the newest when the roster was asked what is true */
    struct ready_recording *recordings;
    size_t n_recordings;
    const char *note;   /* damage in words, or NULL */
    struct error error; /* why there is no recording */

    /* what the writer did */
    struct imported_file done;
};

struct import_job *import_job_open(void);
void import_job_close(struct import_job *job);

/* Everything that needs no writing: on any thread, with a roster of its own.  What can't be read is
 * in job->error; false only when the roster itself can't be read. */
MUST_USE bool import_job_read(struct import_job *job, struct roster *roster, struct error *err);

/* Stores it, inside db_write; fills job->done. */
MUST_USE bool import_job_store(struct import_job *job, struct db *db, int64_t now_utc_s,
                               struct error *err);

#endif
