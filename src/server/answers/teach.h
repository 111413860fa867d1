/* server/answers/teach.h: a session ridden to power and to heart rate by a rider with this rider's
 * numbers, as JSON (`teach` of api/openapi.yaml). */
#ifndef SERVER_ANSWERS_TEACH_H
#define SERVER_ANSWERS_TEACH_H

#include "coaching/teaching.h"
#include "roster/responses.h"
#include "server/answers/critical.h"

/* Another session than the usual one; 0 or NAN = as usual. */
struct teach_wish {
    int reps;
    double rep_s;
    double rest_s;
    double heart_bpm;
    double target_w; /* wins over the share */
    double target_pct;
};
struct teach_wish teach_wish_none(void);

struct teach_told {
    struct critical_told critical; /* rider, weeks, facts, cautions, power */
    struct response_found found;
    bool allows_hard; /* false: nothing to send, medical advice first */
    struct teaching teaching;
    struct expected expected; /* of the ride to power; n 0 unless TEACHING_TOLD */
};

MUST_USE bool teach_take(struct roster *roster, struct arena *arena, const struct rider *rider,
                         const struct teach_wish *wish, const char *today, struct teach_told *out,
                         struct error *err);

/* The sentences; those of a rider whose heart rate isn't read say so. */
const char *teach_text(struct arena *arena, const struct teach_told *told);
const char *teach_message(struct arena *arena, const struct teach_told *told); /* NULL = none */

/* The keys of all of it, into an open object. */
void teach_json(struct json *json, const struct teach_told *told, const char *today);

#endif
