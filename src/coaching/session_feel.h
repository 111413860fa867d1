/* coaching/session_feel.h: how hard each part of a session feels, of 10, and how far talking goes.
 *
 *   effort 10 |
 *             |     ,-------   its share of threshold says what it comes to (its class), once it
 *           3 |_,--'           has lasted as long as such efforts do (LIMIT_KIND_*_SHORTEST_S)
 *                ^             what is shorter is on its way there from the effort of base riding
 *
 * Thirty seconds at threshold are felt as little of what ten minutes of it come to.  Efforts whose
 * rests are no longer than themselves go on where the last one ended, so a block of short ones ends
 * as hard as one long effort.
 *
 * Sources.  That effort rises in a near straight line with the time at one power: Horstman, Morgan,
 * Cymerman and Stokes 1979, Percept Mot Skills 48:1111 (abstract seen: from 12.9 of Borg's 6 to 20
 * at a quarter of the time to 18.9 at its end).  What each class comes to (LIMIT_CARD_EFFORT_*),
 * talk beside it, and that such efforts go on over short rests: common practice, no source.  The
 * scale of 10: Foster et al. 2001, from memory.  Shares of maximal heart rate: American College of
 * Sports Medicine, from memory. */
#ifndef COACHING_SESSION_FEEL_H
#define COACHING_SESSION_FEEL_H

#include "coaching/session.h"

/* In order, the easiest first. */
enum feel_talk {
    TALK_UNKNOWN,
    TALK_FREELY,    /* whole sentences, easily */
    TALK_SENTENCES, /* whole sentences */
    TALK_SHORT,     /* short sentences */
    TALK_FEW,       /* a few words at a time */
    TALK_SINGLE,    /* single words */
    TALK_NOTHING,
    TALKS
};
const char *feel_talk_name(enum feel_talk talk); /* "freely", ...; NULL for TALK_UNKNOWN */

/* At the end of a part. */
struct session_feel {
    double low; /* effort 0 to 10; NAN, both = can't be told */
    double high;
    enum feel_talk talk; /* what such an effort leaves of talking, told or not */
    bool talk_tells;     /* it has lasted LIMIT_CARD_TALK_S: breathing has come up by then */
};

/* Of each step as it is ridden, in order (session_unroll).
 *   threshold_w, max_heart_bpm   NAN = not known
 * Returns [n]. */
struct session_feel *session_feels(struct arena *arena, const struct session_ridden ridden[],
                                   size_t n, double threshold_w, double max_heart_bpm,
                                   const struct limits *limits);

/* Of a step that is ridden by itself; of what rises its upper end. */
struct session_feel session_feel_alone(const struct session_step *step, double threshold_w,
                                       double max_heart_bpm, const struct limits *limits);

#endif
