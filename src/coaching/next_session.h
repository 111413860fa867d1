/* coaching/next_session.h: a session of the library with one change really made.
 *
 *     words ──> steps ──> what was asked last ──> the change ──> the time of the day ──> words
 *
 * The efforts are the repeat that holds most of the hard seconds; warm-up efforts are none. */
#ifndef COACHING_NEXT_SESSION_H
#define COACHING_NEXT_SESSION_H

#include "coaching/session.h"

enum next_change {
    NEXT_AS_IT_IS,
    NEXT_CAP_START, /* the first third no harder than the middle of the range */
    NEXT_LOWER,     /* the range a step lower, and the start capped */
    NEXT_FEWER,     /* an effort fewer */
    NEXT_ONE_MORE,  /* an effort more */
    NEXT_CAP_EASY,  /* with a cap on the easy ride */
    NEXT_SHORTER,   /* hours cut */
    NEXT_HARDER,    /* a step harder, where an effort more isn't safe */
    NEXT_CHANGES
};

struct next_shape {
    enum next_change change;
    int reps;        /* so many efforts as were asked last; 0 = as the library has it */
    int32_t rep_s;   /* so long; 0 = as the library has it, and where an effort has parts */
    int32_t low_pct; /* the range that was asked last; 0 = as the library has it */
    int32_t high_pct;
    double share;   /* NEXT_SHORTER: of the length; 0 = half */
    int32_t most_s; /* the time of the day: cut to it where it can be; 0 = any */
    bool by_feel;   /* the threshold isn't known: effort of 10 in the place of % */
};

/* The session with the change made, its words and steps, in the arena.  A plan B that isn't shorter
 * than what is left is left out.  False: the words aren't understood, or hold nothing that the
 * change could be made to. */
bool next_session_make(struct arena *arena, const char *words, const struct next_shape *shape,
                       const struct limits *limits, struct session *out, const char **text);

#endif
