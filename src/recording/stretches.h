/* recording/stretches.h: where tables and tracks are cut into recordings, by their clock.
 *
 *   time  |                . . .   <- set: by more than clock_jump_s ahead, or clock_back_s back
 *         |      *                    wild: one time far off, the next goes on: dropped
 *         |  . .   .                  (far: by more than clock_back_s either way)
 *         | .     .                <- back by clock_back_s or less: dropped
 *         +------------------------ samples in file order
 *           [ stretch 1   )[ 2 )
 *
 * A stretch is one recording: samples [from, to) of the file, no sample between two of them.  Its
 * columns are views of the file's columns; nothing is copied.
 *
 * Besides its clock a file may say where samples belong together (enum stretch_link).
 *
 *   track  1 1 1 1 1|2 2 2|3 3 3
 *   link   a . . . .|g . .|a . .      a apart, g may go on, . inside
 *          [ 1     ) [ 2 ) [ 3 )
 *          [ 1           ) [ 2 )
 *
 * Above, 2 begins more than pause_gap_s after 1, or before its end; below it goes on and isn't cut.
 *
 * FIT files have a rule of their own (fit_clock.h): its records may lack a time, and two wild ones
 * may follow each other. */
#ifndef RECORDING_STRETCHES_H
#define RECORDING_STRETCHES_H

#include "recording/recording.h"

/* What a clock did in and around one recording. */
struct stretch_clock {
    bool set_before; /* the clock was set between the recording before and this one ... */
    bool set_after;
    double before_s; /* ... by so much */
    double after_s;
    size_t n_back; /* samples dropped: a little back */
    size_t n_wild; /* samples dropped: far off alone */
};

struct stretch {
    size_t from;
    size_t to;
    int32_t last_s;       /* of the samples that aren't dropped, from the first */
    int64_t most_back_ms; /* of the samples dropped; 0 if none stood back */
    struct stretch_clock clock;
};

/* How a sample belongs to the one before it; that of the first sample doesn't matter. */
enum stretch_link {
    STRETCH_INSIDE,    /* only the clock can part them */
    STRETCH_MAY_GO_ON, /* one recording if it begins within limit pause_gap_s of the last time */
    STRETCH_APART,     /* another recording */
};

/* Times of a whole file, in file order. */
struct stretch_times {
    size_t count;
    const int64_t *time_ms; /* [count] */
    const uint8_t *link;    /* [count] enum stretch_link; NULL: all inside */
};

struct stretches {
    size_t count;
    struct stretch *items; /* [count] */
    int32_t *time_s;       /* [times.count] whole seconds from the first sample of its stretch,
                              halves away from zero; a wild sample has the newest second instead */
    uint8_t *dropped;      /* [times.count] 1 = not put on the grid */
    int64_t longest_ms; /* with STRETCHES_TOO_LONG: of the stretch that is too long, up to there */
};

enum stretches_result {
    STRETCHES_CUT,
    STRETCHES_TOO_MANY, /* more than limit cap_file_recordings */
    STRETCHES_TOO_LONG, /* one lasts limit cap_recording_s or longer */
};

/* Cuts; each format has its own words for a refusal. */
enum stretches_result stretches_cut(struct arena *arena, const struct stretch_times *times,
                                    const struct limits *limits, struct stretches *out);

/* Seconds on the grids of all stretches together. */
size_t stretches_seconds(const struct stretches *stretches);

/* The recording of stretch i: part and samples, nothing else yet.  `value` are the file's columns,
 * [CHANNEL_COUNT], each NULL or [times.count]; one without a value in the stretch is left out. */
struct recording *stretches_recording(struct arena *arena, const struct stretches *stretches,
                                      size_t i, int32_t *const value[]);

/* Adds a pause for each two neighbouring samples, dropped ones left out, that lie more than
 * `longest_s` apart and between which `stood` says that the timer stood: a and b are places in
 * recording->samples. */
typedef bool stretch_stood(const void *with, const struct samples *samples, size_t a, size_t b);
void stretch_find_pauses(struct arena *arena, struct recording *recording, int32_t longest_s,
                         stretch_stood *stood, const void *with);

/* ---- for readers of every format ---- */

/* Whether a column [count] holds any value. */
bool stretch_has_value(const int32_t *value, size_t count);

/* Findings "clock": was set before, was set after (jump_s), ran back a little, was far off for
 * single records (records). */
void stretch_clock_findings(struct arena *arena, const struct stretch_clock *clock,
                            struct recording *recording);

/* A finding "clock" with its detail (static text) and one number. */
void stretch_clock_finding(struct arena *arena, struct recording *recording, const char *detail,
                           const char *name, double value);

/* Returns false, with ERROR_TOO_LARGE: a recording that lasts length_s. */
bool stretch_refuse_long(const char *file, int64_t length_s, const struct limits *limits,
                         struct error *err);

#endif
