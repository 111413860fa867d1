/* roster/ride_sums.h: a ride's sums for the heart response, kept in the store.
 *
 * At each node of tau and dead time a ride has four tables of sums of products
 * (physiology/heart_response).  Only what has F in it differs from node to node, and the tables of
 * steps with themselves are symmetric, so 27 numbers of the ride and 19 of each node say all: 559
 * doubles, written as eight bytes each, the lowest first, whatever the machine.
 *
 *     plain, now, then: 1·1 1·W 1·H W·W W·H H·H      both: 1 W H with 1 W H, by row
 *     then by node:     F·1 F·F F·W F·H of each of the three; both: row F, then column F but F·F
 *
 * They are made and stored with a recording's readings, so they are as old as these. */
#ifndef ROSTER_RIDE_SUMS_H
#define ROSTER_RIDE_SUMS_H

#include "physiology/heart_response.h"
#include "roster/db.h"

enum { RIDE_SUMS_DOUBLES = 27 + 19 * RESPONSE_NODES, RIDE_SUMS_HASH = 32 };

struct packed_sums {
    enum response_unfit unfit;
    size_t n;
    size_t n_pairs;
    double mean_w; /* NAN unless it fits, as below */
    double spread_w;
    const uint8_t *content; /* [RIDE_SUMS_DOUBLES x 8]; NULL unless it fits */
    uint8_t hash[RIDE_SUMS_HASH];
};

/*   ride   NULL unless unfit is RIDE_FITS */
struct packed_sums ride_sums_pack(struct arena *arena, const struct response_ride *ride,
                                  enum response_unfit unfit);

/* Puts them in the place of the recording's earlier ones, inside db_write. */
MUST_USE bool ride_sums_store(struct db *db, int64_t recording, const struct packed_sums *sums,
                              struct error *err);

/* What is stored of one recording by this method.  out->id and out->day aren't touched.
 *   *is_there   false: not read by this method yet */
MUST_USE bool ride_sums_find(struct db *db, struct arena *arena, int64_t recording, bool *is_there,
                             struct response_ride *out, enum response_unfit *unfit,
                             struct error *err);

#endif
