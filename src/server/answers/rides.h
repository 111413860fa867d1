/* server/answers/rides.h: a rider's rides and the verdicts on them, as JSON (`ride_row` of
 * api/roster.schema.json). */
#ifndef SERVER_ANSWERS_RIDES_H
#define SERVER_ANSWERS_RIDES_H

#include "base/json.h"
#include "roster/readings.h"
#include "roster/recordings.h"

/* Stored verdicts on a ride, current or not by what was true of it. */
struct ride_verdicts {
    struct stored_reading items[RIDE_QUESTIONS];
};

MUST_USE bool ride_verdicts_find(struct roster *roster, struct arena *arena,
                                 const struct ride_row *row, const struct limits *limits,
                                 struct ride_verdicts *out, struct error *err);

/* A row of the list.
 *   with_marks  which of the four marks each verdict has, too */
void ride_row_json(struct json *json, const struct ride_row *row,
                   const struct ride_verdicts *verdicts, bool with_marks);

/* Of rides and notes: the earlier of `to` (NULL = none) and the day after today.  Nothing later is
 * told. */
const char *rides_last_day(struct arena *arena, const char *to, const char *today);

#endif
