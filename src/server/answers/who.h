/* server/answers/who.h: whom to see first, as JSON (`who` of api/roster.schema.json), and what the
 * coach did about it.
 *
 *     struct roll roll;
 *     roll_take(roster, arena, today, &roll, &err)       every rider's history and readings
 *     const struct attention_item *item = roll_find(&roll, rider, NULL);
 *     roll_mark(roster, arena, now, today, &roll, &wish, &said, &err)
 */
#ifndef SERVER_ANSWERS_WHO_H
#define SERVER_ANSWERS_WHO_H

#include "base/json.h"
#include "roster/roll.h"

/* The situation of that code, or the rider's first (NULL); NULL if there is none. */
const struct attention_item *roll_find(const struct roll *roll, int64_t rider, const char *code);

/* What the coach did about a situation of a rider. */
struct mark_wish {
    const struct rider *rider;
    const char *code; /* NULL = the rider's first */
    enum attention_state state;
    const char *not_before; /* a day, checked; NULL = none */
    const char *line;
    int64_t version; /* of the row, as last seen; 0 = whatever it is */
};

/* What was set; *code gets the situation's.  ERROR_NOT_FOUND if the rider isn't on the list for it,
 * ERROR_CONFLICT if the row isn't the one that was seen. */
MUST_USE bool roll_mark(struct roster *roster, struct arena *arena, struct roster_now now,
                        const char *today, const struct roll *roll, const struct mark_wish *wish,
                        const char **code, const char **said, struct error *err);

/* The version of a row: another one when there is new evidence, or another mark. */
int64_t roll_version(const struct attention_item *item);

/* The keys of a row into an open object. */
void who_item_json(struct json *json, const struct attention_item *item);

#endif
