/* roster/usual_parts.h: what the two halves of roster/usual share. */
#ifndef ROSTER_USUAL_PARTS_H
#define ROSTER_USUAL_PARTS_H

#include "roster/readings.h"
#include "roster/responses.h"
#include "roster/usual.h"

#define USUAL_BASIS 32

/* A rider's rides with what is stored of each. */
struct usual_rows {
    struct db_rows rows; /* by recording: id, seconds, unfit, hash of sums, basis, beats, grid */
};

MUST_USE bool usual_load(struct db *db, struct arena *arena, int64_t rider, struct usual_rows *out,
                         struct error *err);

struct usual_look {
    struct roster *roster;
    const struct rider *rider;
    const struct rider_history *history;
    const struct limits *limits;
    const struct usual_rows *rows;
    double *bpm; /* [history->n_rides] against usual, as made or kept so far; NAN */
};

/* What an answer of that day rests on.
 *   place   of the ride in the history; n_rides = the response itself, before `day` */
MUST_USE bool usual_basis(const struct usual_look *look, struct arena *scratch, size_t place,
                          int64_t day, uint8_t out[USUAL_BASIS], struct error *err);

/* The row of a ride; -1 if it has none. */
int64_t usual_row_of(const struct usual_rows *rows, int64_t recording);
bool usual_row_is(const struct usual_rows *rows, int64_t row, const uint8_t basis[USUAL_BASIS]);
double usual_row_bpm(const struct usual_rows *rows, int64_t row);

struct usual_made {
    struct reading reading;
    struct response_day day;        /* of the ride alone */
    struct heart_response response; /* by the rides before it; without its days */
};

/* A ride's bytes, read once for all that looks into them. */
struct usual_source {
    struct arena *arena; /* of what is read */
    struct ride_row row;
    const struct recording *read; /* NULL = not yet */
};
MUST_USE bool usual_source_read(const struct usual_look *look, int64_t recording,
                                struct usual_source *source, struct error *err);

/* The answer itself; texts in the arena.
 *   found    the response by the rides before it; NULL = it is fitted here
 *   source   NULL = the recording is looked into as stored; else its bytes, where those were read
 *            or usual_own_make will want them with that response */
MUST_USE bool usual_make(const struct usual_look *look, struct arena *arena, size_t place,
                         const struct response_found *found, struct usual_source *source,
                         struct usual_made *out, struct error *err);

/* Base and hard work of a ride, read again from its bytes by a response. */
struct usual_own {
    const char *day;
    struct packed_reading *items; /* [n]; none: what is stored stands */
    size_t n;
};

/*   response   by the rides before it; NULL, or not fitted: what was read by one before is read
 *              again without */
MUST_USE bool usual_own_make(const struct usual_look *look, struct arena *arena, int64_t recording,
                             const struct heart_response *response, struct usual_source *source,
                             struct usual_own *out, struct error *err);

/* Whether there is anything that may differ.
 *   has_own   a response was fitted */
MUST_USE bool usual_own_is_wanted(struct db *db, struct arena *scratch, int64_t recording,
                                  bool has_own, bool *is_wanted, struct error *err);
MUST_USE bool usual_own_store(struct db *db, int64_t rider, int64_t recording,
                              const struct usual_own *own, int64_t now_utc_s, struct error *err);

#endif
