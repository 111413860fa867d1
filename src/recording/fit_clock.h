/* recording/fit_clock.h: times that can't be, and recordings that a set clock ends.
 *
 *   time  |            . . .   <- set: a new run begins
 *         |      *                     one wild time: dropped, the run goes on
 *         | . . .  . .
 *         +------------------- file order */
#ifndef RECORDING_FIT_CLOCK_H
#define RECORDING_FIT_CLOCK_H

#include "recording/fit_record.h"

/* Records first .. first + count - 1 in file order between which the clock wasn't set. */
struct fit_run {
    size_t first;
    size_t count;
    bool after_jump;  /* the clock was set before it */
    int64_t jump_s;   /* by so much */
    size_t ran_back;  /* records dropped because their time was a little back */
    size_t wild;      /* records dropped because their time was far off */
    size_t time_less; /* records without any time */
};

/* Marks records that can't be placed as FIT_DROPPED and cuts the rest into runs: a step back by
 * more than LIMIT_CLOCK_BACK_S, or ahead by more than LIMIT_CLOCK_JUMP_S, begins a new one; a
 * smaller step back drops the record.  A single time far from its neighbours is wild, not a set
 * clock, at the ends of the file too.  False if there would be more than `most` runs. */
bool fit_clock_runs(struct arena *arena, struct fit_records *records, const struct limits *limits,
                    size_t most, struct fit_run **runs, size_t *n_runs);

#endif
