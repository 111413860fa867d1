/* server/answers/bests_meters.h: what of a change between two bests is their power meters'.
 *
 * Of two bests by one meter, or by meters that aren't known: nothing.  Else by the check of the two
 * (docs/meters.md), or without one by their published trueness. */
#ifndef SERVER_ANSWERS_BESTS_METERS_H
#define SERVER_ANSWERS_BESTS_METERS_H

#include "base/json.h"
#include "physiology/meter_link.h"
#include "roster/db.h"

struct bests_told;

struct meters_part {
    bool differ;                   /* two that are known */
    const struct meter_link *link; /* their check; NULL = none */
    double pct;                    /* of the change; 0 without a check */
    double low;                    /* 90 % interval */
    double high;
};

/* Fills the part of every line of what is compared. */
MUST_USE bool bests_meters_take(struct db *db, struct arena *arena, const char *today,
                                struct bests_told *told, struct error *err);

/* The one to be said of all lines: of meters that weren't checked, if there is such. */
const struct meters_part *bests_meters_said(const struct bests_told *told);

/* Key "other_meter" of an open object. */
void bests_meters_json(struct json *json, const struct meters_part *part);

#endif
