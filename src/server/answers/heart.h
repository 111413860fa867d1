/* server/answers/heart.h: what heart rate usually answers to power, and a ride against it, as JSON
 * (`heart` and `ride_heart` of api/openapi.yaml). */
#ifndef SERVER_ANSWERS_HEART_H
#define SERVER_ANSWERS_HEART_H

#include "roster/recordings.h"
#include "roster/responses.h"
#include "server/answers/weeks.h"

struct heart_told {
    struct weeks weeks;
    struct response_found found;
    bool is_ride; /* what follows is of a ride */
    struct ride_row row;
    bool is_asked; /* false: no ride that heart rate could be held against usual on */
    struct reading today;
};

/* The rider's, from the rides up to today. */
MUST_USE bool heart_take_rider(struct roster *roster, struct arena *arena,
                               const struct rider *rider, const char *today, struct heart_told *out,
                               struct error *err);

/* A ride against what was usual before its day.  ERROR_INPUT: its day isn't known. */
MUST_USE bool heart_take_ride(struct roster *roster, struct arena *arena,
                              const struct ride_row *row, const char *today, struct heart_told *out,
                              struct error *err);

/* The ride against usual in a sentence, or why it wasn't asked. */
const char *heart_ride_text(const struct heart_told *told);

/* The keys of all of it, into an open object. */
void heart_json(struct json *json, const struct heart_told *told, const char *today);

#endif
