/* roster/availability.h: the time a rider has, by weekday, from a day on.
 *
 *     from 2026-01-05   Mon 60 min indoors, Sat 3 h outdoors
 *     from 2026-04-06   Mon to Fri 1 h, Sun 4 h outdoors          replaces the whole week before it
 *
 * A week is told whole: a weekday that isn't named has no time. */
#ifndef ROSTER_AVAILABILITY_H
#define ROSTER_AVAILABILITY_H

#include "roster/riders.h"

enum { WEEKDAYS = 7 };

struct week {
    const char *from_day;         /* NULL = none is on file */
    int64_t version;              /* as last seen; 0 = whatever it is */
    int minutes[WEEKDAYS];        /* [0] Monday; 0 = none */
    const char *places[WEEKDAYS]; /* "either", "indoors", "outdoors" */
    const char *said;             /* setting and removing fill it: the change in words */
};

/* "mon 60 indoors, wed 1h30, sat-sun 3h outdoors", or "none".  Pieces end with a comma; a piece is
 * a weekday (or two with a dash, "weekdays", "weekend", "daily"), minutes (60, 60min, 1h, 1h30,
 * 1:30, 1.5h) and, if it matters, where.  False (ERROR_USAGE) names the piece. */
MUST_USE bool availability_parse(struct arena *arena, const char *words, struct week *out,
                                 struct error *err);

/* "Mon 1 h indoors, Sat and Sun 3 h; 7 h a week", or "no time on any day". */
const char *availability_in_words(struct arena *arena, const struct week *week);

/* The week from its from_day on; that of the same day is edited.  ERROR_CONFLICT, also below, when
 * somebody edited it since its version was seen. */
MUST_USE bool availability_set(struct roster *roster, struct arena *arena, struct roster_now now,
                               const struct rider *rider, struct week *week, struct error *err);

/* Takes the week of week->from_day away; ERROR_NOT_FOUND. */
MUST_USE bool availability_remove(struct roster *roster, struct arena *arena, struct roster_now now,
                                  const struct rider *rider, struct week *week, struct error *err);

/* All weeks told until that day (NULL = all), the newest first: the first is the one in force. */
MUST_USE bool availability_list(struct roster *roster, struct arena *arena, int64_t rider,
                                const char *until, struct week **out, size_t *count,
                                struct error *err);

#endif
