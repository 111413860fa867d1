/* server/answers/bests.h: a rider's bests over a range of days, beside another, as JSON (`bests` of
 * api/roster.schema.json).
 *
 *     struct bests_told told;
 *     bests_told_take(roster, arena, &rider, &wish, today, &told, &err)
 *     for i < told.n: told.lines[i].one, and .two of the other range */
#ifndef SERVER_ANSWERS_BESTS_H
#define SERVER_ANSWERS_BESTS_H

#include "base/json.h"
#include "roster/best_grid.h"
#include "roster/recordings.h"
#include "server/answers/bests_meters.h"

/* Which days; NULL = not said. */
struct bests_wish {
    const char *from;
    const char *to;      /* the first day that no longer counts */
    const char *against; /* before, last-year, FROM..TO; NULL = nothing beside them */
    bool all;            /* every duration that is kept */
    bool finds_starts;   /* also where in its ride each begins, and what says it was all-out */
    const char *dashes;  /* before their names in messages: "--" on the command line */
};

struct days_range {
    char from[11]; /* "0001-01-01" = all */
    char to[11];
};

/* Nothing dated after today is used.  ERROR_USAGE names what is off.
 *   against   filled if the wish has one */
MUST_USE bool bests_ranges(const struct bests_wish *wish, const char *today,
                           struct days_range *range, struct days_range *against, struct error *err);

/* A best of a range. */
struct best_told {
    bool known;
    double power_w;
    double w_per_kg; /* NAN = no weight was on file */
    const char *day;
    int64_t ride;
    bool at_least;
    int32_t start_s;        /* -1 = not known */
    bool evidence_is_asked; /* of this duration */
    unsigned evidence;      /* enum effort_evidence, added */
};

struct best_line {
    int32_t duration_s;
    struct best_told one;
    struct best_told two; /* of the other range */
    struct meters_part meters;
};

/* The bests of a range, and its rides with power. */
struct best_side {
    struct days_range range;
    struct best_envelope *bests;
    size_t n_rides;
    struct ride_row *rows; /* [n_rows] of any sport */
    size_t n_rows;
};

struct bests_told {
    const struct rider *rider;
    bool compares;
    struct best_side side;
    struct best_side against;
    struct best_line *lines; /* [n] by duration */
    size_t n;
};

MUST_USE bool bests_told_take(struct roster *roster, struct arena *arena, const struct rider *rider,
                              const struct bests_wish *wish, const char *today,
                              struct bests_told *out, struct error *err);

/* The keys of all of it, into an open object.
 *   with_more  what finds_starts found, and null where there is nothing beside it */
void bests_told_json(struct json *json, const struct bests_told *told, bool with_more);

#endif
