/* server/answers/critical.h: a rider's critical power as JSON (`critical` of api/openapi.yaml). */
#ifndef SERVER_ANSWERS_CRITICAL_H
#define SERVER_ANSWERS_CRITICAL_H

#include "coaching/rider_cautions.h"
#include "coaching/rider_power.h"
#include "server/answers/weeks.h"

struct critical_told {
    struct weeks weeks;
    struct rider_facts facts; /* of today */
    struct rider_cautions cautions;
    struct rider_power power;
};

MUST_USE bool critical_take(struct roster *roster, struct arena *arena, const struct rider *rider,
                            const char *today, struct critical_told *out, struct error *err);

/* The keys of all of it, into an open object. */
void critical_json(struct json *json, const struct critical_told *told, const char *today);

#endif
