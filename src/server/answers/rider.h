/* server/answers/rider.h: a rider with all that is in force on a day, as `rider show` tells it.
 *
 * Shapes: api/rider.schema.json. */
#ifndef SERVER_ANSWERS_RIDER_H
#define SERVER_ANSWERS_RIDER_H

#include "coaching/rider_cautions.h"
#include "roster/contacts.h"
#include "roster/health.h"
#include "roster/season.h"
#include "server/answers/facts.h"

/* Fetched once for words and JSON alike. */
struct rider_told {
    const struct rider *rider;
    struct rider_facts facts;
    struct rider_cautions cautions;
    struct health health;
    bool has_fact[FACT_KINDS];
    struct fact fact[FACT_KINDS];
    struct fact *thresholds; /* all until the day, the newest first */
    size_t n_thresholds;
    struct goal *goals;
    size_t n_goals;
    struct event *events;
    size_t n_events;
    struct block *blocks;
    size_t n_blocks;
    struct day_off *days_off;
    size_t n_days_off;
    struct flag *flags;
    size_t n_flags;
    struct consent *consents;
    size_t n_consents;
    struct contact *contacts;
    size_t n_contacts;
    struct week *weeks;
    size_t n_weeks;
};

/* Nothing later than today; events, blocks and days off also those to come. */
MUST_USE bool rider_told_take(struct roster *roster, struct arena *arena, const struct rider *rider,
                              const char *today, struct rider_told *told, struct error *err);

/* The rider's own fields into an open JSON object. */
void rider_json(struct json *json, const struct rider *rider);

/* "cautions": [{"code", "text"}] */
void rider_cautions_json(struct json *json, const struct rider_cautions *cautions);

/* Goals, events, blocks, days off, the time of the week, screening, flags and consents: keys into
 * an open object. */
void rider_entries_json(struct json *json, const struct rider_told *told, enum json_for whom);

/* All of it, as an object. */
void rider_told_json(struct json *json, const struct rider_told *told, const char *today);

#endif
