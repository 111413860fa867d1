/* server/answers/stored.h: a reading as it was stored, put together again, so that its gauge can be
 * drawn without reading the ride anew. */
#ifndef SERVER_ANSWERS_STORED_H
#define SERVER_ANSWERS_STORED_H

#include "coaching/reading.h"
#include "roster/db.h"

/* What was said of the whole ride; *found false if the question was not asked of it, or what lies
 * there can't be understood (another version's, a file from elsewhere).  Spans are left out.
 *   limits   in force: the range that a kind of work asks for */
MUST_USE bool stored_reading_find(struct db *db, struct arena *arena, int64_t recording,
                                  enum question question, const struct limits *limits,
                                  struct reading *out, bool *found, struct error *err);

#endif
