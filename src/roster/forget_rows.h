/* roster/forget_rows.h: the rows of a rider, removed. */
#ifndef ROSTER_FORGET_ROWS_H
#define ROSTER_FORGET_ROWS_H

#include "roster/forget.h"

/* Removes all rows of the rider, inside db_write: of the rider, of the rides, of changes.  Files
 * that could not be read and lie in the rider's folders, or are called as the rider is, are
 * forgotten too; and copies of the rider alone, which the caller has named. */
MUST_USE bool forget_rows(struct db *db, struct roster *roster, struct arena *arena,
                          const struct rider *rider, struct error *err);

/* How much there is. */
MUST_USE bool forget_rows_count(struct db *db, struct arena *arena, int64_t rider,
                                struct forget_count counts[FORGET_COUNTS], struct error *err);

#endif
