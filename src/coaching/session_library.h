/* coaching/session_library.h: sessions that most coaches use, ready to be given or changed.
 *
 * Each says what it is for, how much of it, what to mind, and where it comes from.  They are plain
 * text like a coach's own; ranges in % of threshold. */
#ifndef COACHING_SESSION_LIBRARY_H
#define COACHING_SESSION_LIBRARY_H

#include "coaching/session.h"
#include "physiology/facts.h"

struct library_session {
    const char *name;  /* "vo2max": as the command line and JSON have it */
    const char *title; /* "VO2max, 4 x 4 min" */
    const char *kind;  /* one of session_kinds */
    const char *words; /* the session, a line a block */
    const char *meant_for;
    const char *dose;
    const char *cautions;
    const char *source; /* or "common practice" */
};

extern const struct library_session session_library[];
extern const size_t session_library_count;

/* By its name, or NULL. */
const struct library_session *session_library_find(const char *name);

/* What a session may be: the kinds of work (physiology/facts), "test", "other"; ended by NULL. */
extern const char *const session_kinds[];
bool session_kind_is_known(const char *kind);

/* True for kinds whose sessions are hard or maximal, whatever they hold. */
bool session_kind_is_hard(const char *kind);

#endif
