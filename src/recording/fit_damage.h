/* recording/fit_damage.h: what is wrong with the bytes of one part, and how to say it. */
#ifndef RECORDING_FIT_DAMAGE_H
#define RECORDING_FIT_DAMAGE_H

#include "recording/fit_part.h"

enum fit_harm {
    FIT_HARM_CUT,         /* the bytes end before the header says */
    FIT_HARM_MIDDLE,      /* from a byte on they make no sense */
    FIT_HARM_CHECKSUM,    /* wrong */
    FIT_HARM_NOT_CLOSED,  /* the header gives no size */
    FIT_HARM_WRONG_SIZE,  /* the header's size is too small or too large, nothing is missing */
    FIT_HARM_NO_CHECKSUM, /* missing */
    FIT_HARM_HEADER,      /* the header's own checksum is wrong */
    FIT_HARM_BYTE_ORDER,  /* the byte-order flags are wrong; the other order was read */
    FIT_HARM_TRAILING,    /* bytes after the end that are no file */
    FIT_HARM_COUNT,
};

/* Of one part; the lowest kind is the one that the line tells. */
struct fit_damage {
    bool has[FIT_HARM_COUNT];
    size_t at;       /* byte of the file where reading ended: MIDDLE */
    size_t trailing; /* bytes: TRAILING */
};

/* What was read of the part, for the line. */
struct fit_read_so_far {
    size_t records;
    size_t expected; /* 0 unknown */
    int64_t seconds;
};

/* Adds a `damage` finding for each harm. */
void fit_damage_report(struct arena *arena, struct recording *recording,
                       const struct fit_damage *damage, const struct fit_read_so_far *so_far);

/* One clause or two without the file's name, or NULL if nothing is wrong. */
const char *fit_damage_line(struct arena *arena, const struct fit_damage *damage,
                            const struct fit_read_so_far *so_far);

#endif
