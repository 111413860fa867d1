/* roster/attention_marks.h: what the coach did about a rider on the list of whom to see first. */
#ifndef ROSTER_ATTENTION_MARKS_H
#define ROSTER_ATTENTION_MARKS_H

#include "coaching/attention.h"
#include "roster/riders.h"

/* All marks set up to today, oldest first.  *out points into the arena. */
MUST_USE bool attention_marks_list(struct db *db, struct arena *arena, const char *today,
                                   struct attention_mark **out, size_t *count, struct error *err);

/* The last day up to today on which coach and rider spoke; INT64_MIN = none. */
MUST_USE bool attention_marks_last_contact(struct db *db, struct arena *arena, int64_t rider,
                                           const char *today, int64_t *day, struct error *err);

/* Sets a mark, in the place of an earlier one of the rider and code; *said gets the change in
 * words. */
MUST_USE bool attention_marks_set(struct roster *roster, struct arena *arena, struct roster_now now,
                                  const struct rider *rider, const struct attention_mark *mark,
                                  const char **said, struct error *err);

#endif
