/* recording/fit_session.h: from the records of one FIT file to recordings.
 *
 *   runs of one clock   |-------- run --------|        |----- run -----|
 *   sessions by time    [ swim )[ t )[  ride  )        (nearest session)
 *   recordings            1       2     3                    4
 *
 * A record belongs to the last session that began at or before its time and hasn't ended; where
 * the messages stand in the file says nothing, since some devices write summaries first.  A run
 * that no session's time touches (the clock was set) is one recording of the nearest session. */
#ifndef RECORDING_FIT_SESSION_H
#define RECORDING_FIT_SESSION_H

#include "recording/fit_clock.h"
#include "recording/fit_part.h"

/* The records of one recording, not yet cut out. */
struct fit_range {
    const struct fit_run *run;
    const struct fit_session *session; /* NULL if the file has none */
    bool whole_session;                /* all of it lies here: its totals may be used */
    size_t first;                      /* record numbers in the part */
    size_t last;
    size_t count;    /* of records between them that belong here; all if last - first + 1 */
    size_t left_out; /* records of the run in no session's time, told once a run */
    bool jump_after; /* the clock was set after its last record */
    int64_t jump_after_s;
    /* device time within which laps and pauses belong here */
    int64_t from;
    int64_t to; /* included */
};

struct fit_ranges {
    struct fit_range *items;
    size_t count;
    size_t capacity;
};

/* Sessions sorted by start, and when each ends: made once a part. */
struct fit_windows {
    struct fit_session *sessions; /* [n] only those with a start, by start */
    int64_t *end;                 /* [n] last second that still belongs to it */
    size_t n;
    int64_t slack_s;
};

/* The session of a record at `time`, as an index into windows, or -1. */
long fit_windows_find(const struct fit_windows *windows, int64_t time);

/* False if the part has more recordings than the budget allows. */
bool fit_session_ranges(struct arena *arena, struct fit_part *part, const struct limits *limits,
                        const struct fit_budget *budget, struct fit_windows *windows,
                        struct fit_ranges *ranges);

/* The range that something at `time`, read after `seq` records, belongs to. */
size_t fit_ranges_owner(const struct fit_ranges *ranges, int64_t time, size_t seq);

#endif
