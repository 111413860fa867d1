/* server/answers/rider.c: a rider with all that is in force on a day, as `rider show` tells it. */
#include "server/answers/rider.h"

#include "coaching/words/caution_words.h"
#include "roster/readings.h"

#include <string.h>

/* ---- fetching ---- */

static bool is_until(const char *day, const char *today)
{
    return strcmp(day, today) <= 0;
}

static bool is_over(const char *to_day, const char *today)
{
    return to_day != NULL && strcmp(to_day, today) <= 0;
}

static bool fetch_facts(struct roster *roster, struct arena *arena, const char *today,
                        struct rider_told *told, struct error *err)
{
    for (int kind = 0; kind < FACT_KINDS; kind++) {
        struct fact *list = NULL;
        size_t count = 0;
        if (!facts_list(roster, arena, told->rider->id, (enum fact_kind)kind, today, &list, &count,
                        err)) {
            return false;
        }
        told->has_fact[kind] = count > 0;
        if (count > 0) {
            told->fact[kind] = list[0];
        }
        if (kind == FACT_THRESHOLD) {
            told->thresholds = list;
            told->n_thresholds = count;
        }
    }
    struct limits limits;
    struct db *db = roster_db(roster);
    if (!facts_on(roster, arena, told->rider->id, today, &told->facts, err) ||
        !readings_limits(db, arena, told->rider->id, &limits, err)) {
        return false;
    }
    told->cautions = rider_cautions_find(&told->facts, &limits);
    return health_on(db, arena, told->rider, today, &told->health, err);
}

/* Those of each kind that hold on the day, or are still to come. */
static void keep_in_force(struct rider_told *told, const char *today)
{
    size_t n = 0;
    for (size_t i = 0; i < told->n_goals; i++) {
        const struct goal *goal = &told->goals[i];
        if (is_until(goal->from_day, today) &&
            (goal->reached_day == NULL || !is_until(goal->reached_day, today))) {
            told->goals[n++] = *goal;
        }
    }
    told->n_goals = n;
    n = 0;
    for (size_t i = 0; i < told->n_events; i++) {
        if (strcmp(told->events[i].day, today) >= 0) {
            told->events[n++] = told->events[i];
        }
    }
    told->n_events = n;
    n = 0;
    for (size_t i = 0; i < told->n_blocks; i++) {
        if (!is_over(told->blocks[i].to_day, today)) {
            told->blocks[n++] = told->blocks[i];
        }
    }
    told->n_blocks = n;
    n = 0;
    for (size_t i = 0; i < told->n_days_off; i++) {
        if (!is_over(told->days_off[i].to_day, today)) {
            told->days_off[n++] = told->days_off[i];
        }
    }
    told->n_days_off = n;
    n = 0;
    for (size_t i = 0; i < told->n_flags; i++) {
        const struct flag *flag = &told->flags[i];
        if (is_until(flag->from_day, today) && !is_over(flag->to_day, today)) {
            told->flags[n++] = *flag;
        }
    }
    told->n_flags = n;
    n = 0;
    for (size_t i = 0; i < told->n_consents; i++) {
        const struct consent *consent = &told->consents[i];
        if (is_until(consent->given_day, today) && !is_over(consent->withdrawn_day, today)) {
            told->consents[n++] = *consent;
        }
    }
    told->n_consents = n;
    n = 0;
    for (size_t i = 0; i < told->n_contacts; i++) {
        if (is_until(told->contacts[i].day, today)) {
            told->contacts[n++] = told->contacts[i];
        }
    }
    told->n_contacts = n;
}

bool rider_told_take(struct roster *roster, struct arena *arena, const struct rider *rider,
                     const char *today, struct rider_told *told, struct error *err)
{
    const int64_t id = rider->id;
    *told = (struct rider_told){ .rider = rider };
    if (!fetch_facts(roster, arena, today, told, err) ||
        !entries_list(roster, arena, &goal_kind, id, &told->goals, &told->n_goals, err) ||
        !entries_list(roster, arena, &event_kind, id, &told->events, &told->n_events, err) ||
        !entries_list(roster, arena, &block_kind, id, &told->blocks, &told->n_blocks, err) ||
        !entries_list(roster, arena, &day_off_kind, id, &told->days_off, &told->n_days_off, err) ||
        !entries_list(roster, arena, &flag_kind, id, &told->flags, &told->n_flags, err) ||
        !entries_list(roster, arena, &consent_kind, id, &told->consents, &told->n_consents, err) ||
        !entries_list(roster, arena, &contact_kind, id, &told->contacts, &told->n_contacts, err) ||
        !availability_list(roster, arena, id, today, &told->weeks, &told->n_weeks, err)) {
        return false;
    }
    keep_in_force(told, today);
    return true;
}

/* ---- JSON ---- */

/* "fit card" as ["fit", "card"]. */
static void words_json(struct json *json, const char *key, const char *words)
{
    char *save = NULL;
    char *copy = arena_string(json->out->arena, words == NULL ? "" : words);
    json_begin_array(json, key);
    for (char *word = strtok_r(copy, " ", &save); word != NULL; word = strtok_r(NULL, " ", &save)) {
        json_string(json, NULL, word);
    }
    json_end_array(json);
}

void rider_json(struct json *json, const struct rider *rider)
{
    json_integer(json, "id", rider->id);
    json_string(json, "name", rider->name);
    json_string(json, "born", rider->born_day);
    json_string(json, "sex", rider->sex);
    json_string(json, "training_since", rider->training_since_day);
    json_string(json, "power_since", rider->power_since_day);
    json_string(json, "zone", rider->zone_name);
    json_string(json, "address", rider->address);
    words_json(json, "accepts", rider->accepts);
    words_json(json, "tests", rider->tests);
    json_string(json, "note", rider->note);
    json_bool(json, "coached", !rider->is_away);
}

static void figures_json(struct json *json, const struct rider_told *told)
{
    json_begin_object(json, "facts");
    for (int kind = 0; kind < FACT_KINDS; kind++) {
        figure_json(json, (enum fact_kind)kind, told->has_fact[kind] ? &told->fact[kind] : NULL);
    }
    json_end_object(json);
}

void rider_cautions_json(struct json *json, const struct rider_cautions *cautions)
{
    json_begin_array(json, "cautions");
    for (size_t i = 0; i < cautions->count; i++) {
        json_begin_object(json, NULL);
        json_string(json, "code", rider_caution_name(cautions->list[i]));
        json_string(json, "text", words_rider_caution(cautions->list[i]));
        json_end_object(json);
    }
    json_end_array(json);
}

void rider_entries_json(struct json *json, const struct rider_told *told, enum json_for whom)
{
    entries_json(json, "goals", &goal_kind, told->goals, told->n_goals, whom);
    entries_json(json, "events", &event_kind, told->events, told->n_events, whom);
    entries_json(json, "blocks", &block_kind, told->blocks, told->n_blocks, whom);
    entries_json(json, "days_off", &day_off_kind, told->days_off, told->n_days_off, whom);
    if (told->n_weeks > 0) {
        week_json(json, "available", &told->weeks[0], whom);
    } else {
        json_null(json, "available");
    }
    if (told->health.is_screened) {
        entry_json(json, "screening", &screening_kind, &told->health.screening, whom);
    } else {
        json_null(json, "screening");
    }
    entries_json(json, "flags", &flag_kind, told->flags, told->n_flags, whom);
    entries_json(json, "consents", &consent_kind, told->consents, told->n_consents, whom);
}

void rider_told_json(struct json *json, const struct rider_told *told, const char *today)
{
    const enum json_for whom = JSON_TO_READ;
    json_begin_object(json, NULL);
    rider_json(json, told->rider);
    json_string(json, "on", today);
    json_number(json, "age_y", told->facts.age_y, 0);
    rider_cautions_json(json, &told->cautions);
    figures_json(json, told);
    rider_entries_json(json, told, whom);
    entries_json(json, "contacts", &contact_kind, told->contacts, told->n_contacts, whom);
    json_end_object(json);
}
