/* roster/best_months.h: the bests of a rider over any range of days, from a maximum per month.
 *
 *     rides   |..|....|.|...|..|....|...|     a curve each (roster/best_grid)
 *     months  |  Jan  |  Feb  |  Mar   |      the greatest of a month, and of which ride
 *     range       |------------------->|      rides of the partial months + whole months as blocks
 *
 * A new ride touches one month; taking one away makes its month again from its rides, at most
 * about 30.  Rides without a day, and recordings that are another one's double, are in no month. */
#ifndef ROSTER_BEST_MONTHS_H
#define ROSTER_BEST_MONTHS_H

#include "roster/best_grid.h"
#include "roster/db.h"

/* Takes a new ride's curve into its month ("2026-03"), inside db_write. */
MUST_USE bool best_months_add(struct db *db, struct arena *arena, int64_t rider, const char *month,
                              int64_t recording, int64_t start_utc_s,
                              const struct best_curve *curve, struct error *err);

/* Makes a month again from its rides' curves; a month without any loses its row. */
MUST_USE bool best_months_rebuild(struct db *db, struct arena *arena, int64_t rider,
                                  const char *month, struct error *err);

/* Whether the kept month is what its rides' curves give; it only looks. */
MUST_USE bool best_months_agree(struct db *db, struct arena *arena, int64_t rider,
                                const char *month, bool *agrees, struct error *err);

/* The greatest of [from_day, to_day), both ISO days. */
MUST_USE bool best_months_range(struct db *db, struct arena *arena, int64_t rider,
                                const char *from_day, const char *to_day, struct best_envelope *out,
                                struct error *err);

#endif
