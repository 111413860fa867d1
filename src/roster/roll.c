/* roster/roll.c: every rider as `who` sees them. */
#include "roster/roll.h"

#include "roster/attention_marks.h"
#include "roster/came_back.h"
#include "roster/health.h"
#include "roster/past.h"
#include "roster/readings.h"
#include "roster/record.h"
#include "roster/sessions.h"

static bool take_rider(struct db *db, struct arena *arena, const struct rider *person,
                       const char *today, const struct drift_repeat *repeat,
                       struct attention_rider *out, size_t *n_waiting, struct error *err)
{
    struct rider_history *history = ARENA_ARRAY(arena, struct rider_history, 1);
    struct rider_readings *readings = ARENA_ARRAY(arena, struct rider_readings, 1);
    struct limits limits;
    struct health health = { 0 };
    size_t waiting = 0;
    if (!readings_limits(db, arena, person->id, &limits, err) ||
        !past_load_recent(db, arena, person, today, history, &waiting, err) ||
        !health_on(db, arena, person, today, &health, err)) {
        return false;
    }
    history->repeat = repeat;
    rider_readings_make(arena, history, 2, &limits, readings);
    *n_waiting += waiting;
    *out = (struct attention_rider){ .id = person->id,
                                     .name = person->name,
                                     .history = history,
                                     .readings = readings,
                                     .has_plan_until_day = INT64_MIN,
                                     .advice_first = health.advice_first };
    return attention_marks_last_contact(db, arena, person->id, today, &out->last_contact_day,
                                        err) &&
           came_back_missed(db, arena, person->id, today, out->missed, ATTENTION_MISSED_MOST,
                            &out->n_missed, err) &&
           sessions_plan_until(db, arena, person->id, &out->has_plan_until_day, err);
}

/* Of the people that stand in out. */
static bool take(struct db *db, struct arena *arena, const char *today,
                 const struct roll_watch *watch, struct roll *out, struct error *err)
{
    struct limits limits;
    struct drift_repeat *repeat = ARENA_ARRAY(arena, struct drift_repeat, 1);
    if (!readings_limits(db, arena, 0, &limits, err) ||
        !record_repeat(db, today, &limits, repeat, err) ||
        !attention_marks_list(db, arena, today, &out->marks, &out->n_marks, err)) {
        return false;
    }
    out->riders = ARENA_ARRAY(arena, struct attention_rider, out->n);
    for (size_t i = 0; i < out->n; i++) {
        if (watch != NULL && !watch->goes_on(watch->context, i, out->n, out->people[i].name, err)) {
            return false;
        }
        if (!take_rider(db, arena, &out->people[i], today, repeat, &out->riders[i], &out->n_waiting,
                        err)) {
            return false;
        }
    }
    attention_read(arena, out->riders, out->n, out->marks, out->n_marks, &limits, &out->attention);
    return true;
}

bool roll_take(struct roster *roster, struct arena *arena, const char *today,
               const struct roll_watch *watch, struct roll *out, struct error *err)
{
    *out = (struct roll){ 0 };
    return riders_list(roster, arena, false, &out->people, &out->n, err) &&
           take(roster_db(roster), arena, today, watch, out, err);
}

bool roll_take_one(struct roster *roster, struct arena *arena, const char *today,
                   const struct rider *rider, struct roll *out, struct error *err)
{
    *out = (struct roll){ .people = ARENA_ARRAY(arena, struct rider, 1) };
    out->people[0] = *rider;
    out->n = rider->is_away ? 0 : 1;
    return take(roster_db(roster), arena, today, NULL, out, err);
}
