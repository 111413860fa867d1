/* roster/session_outlook.h: what a session will bring a rider, by the numbers on file on its day.
 *
 * Facts are those in force when the day began (facts_for_session: a threshold that the day's own
 * ride showed doesn't count); critical power and the heart's response those known after the newest
 * ride before it: a session weeks ahead is foretold by what is known by now, and one that was
 * ridden isn't by what it itself has shown. */
#ifndef ROSTER_SESSION_OUTLOOK_H
#define ROSTER_SESSION_OUTLOOK_H

#include "coaching/outlook.h"
#include "roster/riders.h"

/* day: ISO, of the session; is_past: it is over, or the session was ridden. */
MUST_USE bool session_outlook_of(struct roster *roster, struct arena *arena,
                                 const struct rider *rider, const char *day, bool is_past,
                                 const struct session *session, const struct limits *limits,
                                 struct session_outlook *out, struct error *err);

#endif
