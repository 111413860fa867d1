/* coaching/session_nudge.h: a session made a step harder, easier, longer or shorter.
 *
 *     5 times (4 min at 106-112 %, rest 4 min at 50 %)
 *       harder    5 times (4 min at 108-114 %, ...     the work, a step of LIMIT_NEXT_MORE_PCT
 *       longer    6 times (4 min at 106-112 %, ...     an effort more
 *     60 min at 50-65 %
 *       longer    70 min at 50-65 %                    LIMIT_NUDGE_LENGTH_S, where most of it isn't
 *                                                    repeated; never below LIMIT_NUDGE_LEAST_S
 *
 * The work is what is hard (LIMIT_SAFE_HARD_PCT); where nothing is, it is all but warm-up, rest and
 * cool-down.  Heart rate asked for is never moved: it follows power.  Plan B lines and notes stay
 * as they are. */
#ifndef COACHING_SESSION_NUDGE_H
#define COACHING_SESSION_NUDGE_H

#include "coaching/session.h"

enum session_nudge {
    SESSION_HARDER,
    SESSION_EASIER,
    SESSION_LONGER,
    SESSION_SHORTER,
    SESSION_NUDGES
};

/* By its name, "harder" and so on; false = none. */
bool session_nudge_find(const char *name, enum session_nudge *out);

/* Changes the session in place; its items must be the caller's own.  False: nothing in it could be
 * changed, and nothing was.
 *   threshold_w  for steps in watts; NAN = not known: those count as work by their role alone */
bool session_nudge_make(struct session *session, enum session_nudge nudge, double threshold_w,
                        const struct limits *limits);

#endif
