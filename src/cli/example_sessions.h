/* cli/example_sessions.h: what the coach of the example planned: the last weeks and the coming one.
 *
 * Words are those of the rides (cli/example_words); what became of each is in the season: ridden,
 * missed, a day late, plan B in its place, called off.  All of it goes through the safe limits as a
 * coach's own session does. */
#ifndef CLI_EXAMPLE_SESSIONS_H
#define CLI_EXAMPLE_SESSIONS_H

#include "roster/roster.h"
#include "simulated/season.h"

enum { EXAMPLE_PLANNED_FROM = SEASON_WEEKS - 6 }; /* the first week with sessions */

/* The last weeks: before the rides are there, as a coach plans. */
MUST_USE bool example_sessions_past(struct roster *roster, struct arena *arena,
                                    struct roster_now now, size_t story, struct error *err);

/* The coming week, given or still a draft; nothing for who isn't heard from. */
MUST_USE bool example_sessions_coming(struct roster *roster, struct arena *arena,
                                      struct roster_now now, size_t story, struct error *err);

#endif
