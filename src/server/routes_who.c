/* server/routes_who.c: where the page stands, and whom to see first. */
#include "server/routes.h"

#include "coaching/words/attention_words.h"
#include "roster/jobs.h"
#include "roster/looked.h"
#include "roster/readings.h"
#include "roster/settings.h"
#include "server/answers/gauges.h"
#include "server/answers/since.h"
#include "server/answers/stored.h"
#include "server/answers/who.h"
#include "server/tasks.h"
#include "server/write.h"

#include <string.h>

/* The name of the file, not its path: who looks over the coach's shoulder needs no folders. */
static const char *roster_name(struct arena *arena, const struct roster *roster)
{
    const char *place = db_place(roster_db(roster));
    const size_t length = db_place_is_postgres(place) ? strcspn(place, "?") : strlen(place);
    const char *name = arena_format(arena, "%.*s", (int)length, place);
    const char *slash = strrchr(name, '/');
    return slash == NULL ? name : slash + 1;
}

bool route_get_session(struct api_call *call, struct error *err)
{
    struct db *db = roster_db(call->roster);
    struct looked looked;
    struct rider *riders = NULL;
    const char *own_today = NULL;
    size_t n_riders = 0;
    size_t n_waiting = 0;
    if (!riders_list(call->roster, call->arena, false, &riders, &n_riders, err) ||
        !settings_get(call->roster, call->arena, SETTING_TODAY, &own_today, err) ||
        !looked_read(db, call->arena, call->now, &looked, err) ||
        !jobs_count(db, call->arena, JOB_READ, &n_waiting, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    json_string(&json, "plumbline", PLUMBLINE_VERSION);
    json_string(&json, "roster", roster_name(call->arena, call->roster));
    json_bool(&json, "example", own_today != NULL);
    today_json(&json, call->today);
    json_integer(&json, "riders", (int64_t)n_riders);
    json_integer(&json, "rides_being_read_again", (int64_t)n_waiting);
    since_json(&json, "since", &looked);
    json_end_object(&json);
    return true;
}

bool route_post_looked(struct api_call *call, struct error *err)
{
    struct looked looked;
    if (!looked_now(call->roster, call->arena, call->now, err) ||
        !looked_read(roster_db(call->roster), call->arena, call->now, &looked, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    since_json(&json, NULL, &looked);
    return true;
}

/* ---- the list ---- */

static void groups_json(struct json *json, const struct attention *attention)
{
    json_begin_array(json, "groups");
    for (int g = 0; g < GROUPS; g++) {
        int64_t n = 0;
        for (size_t i = 0; i < attention->count; i++) {
            const struct attention_item *item = &attention->items[i];
            n += item->is_first && (int)item->group == g ? 1 : 0;
        }
        json_begin_object(json, NULL);
        json_string(json, "group", attention_group_name((enum attention_group)g));
        json_string(json, "heading", words_attention_group((enum attention_group)g));
        json_integer(json, "riders", n);
        json_end_object(json);
    }
    json_end_array(json);
}

static const struct rider_history *history_of(const struct roll *roll, int64_t rider)
{
    for (size_t i = 0; i < roll->n; i++) {
        if (roll->riders[i].id == rider) {
            return roll->riders[i].history;
        }
    }
    return NULL;
}

/* Of a situation in one ride: what was said of that ride, as its code begins ("hard-faded"). */
static bool ride_reading(struct api_call *call, const struct attention_item *item,
                         const struct limits *limits, struct reading *out, bool *found,
                         struct error *err)
{
    static const struct {
        const char *begins;
        enum question question;
    } rows[] = { { "hard-", QUESTION_HARD_WORK },
                 { "base-", QUESTION_BASE },
                 { "easy-", QUESTION_EASY_WORK } };
    *found = false;
    for (size_t i = 0; item->ride != 0 && i < sizeof rows / sizeof rows[0]; i++) {
        if (strncmp(item->why.code, rows[i].begins, strlen(rows[i].begins)) == 0) {
            return stored_reading_find(roster_db(call->roster), call->arena, item->ride,
                                       rows[i].question, limits, out, found, err);
        }
    }
    return true;
}

static bool row_json(struct api_call *call, struct json *json, const struct roll *roll,
                     const struct gauges *gauges, const struct attention_item *item,
                     struct error *err)
{
    const struct rider_history *history = history_of(roll, item->rider);
    struct reading stored;
    struct limits limits;
    bool found = false;
    if (item->reading == NULL &&
        (!readings_limits(roster_db(call->roster), call->arena, item->rider, &limits, err) ||
         !ride_reading(call, item, &limits, &stored, &found, err))) {
        return false;
    }
    json_begin_object(json, NULL);
    who_item_json(json, item);
    json_string(json, "act_words", words_attention_act(item->act));
    if (history == NULL) {
        json_null(json, "last_ride");
    } else {
        last_ride_json(json, history);
    }
    gauge_json(json, gauges, found ? &stored : item->reading);
    json_integer(json, "version", roll_version(item));
    json_end_object(json);
    return true;
}

static bool goes_on(void *task, size_t n, size_t all, const char *name, struct error *err)
{
    return task_goes_on(task, n, all, name, err);
}

bool route_get_who(struct api_call *call, struct error *err)
{
    const struct roll_watch watch = { goes_on, call->task };
    struct roll roll;
    struct looked looked;
    struct gauges gauges;
    if (!roll_take(call->roster, call->arena, call->today, &watch, &roll, err) ||
        !looked_read(roster_db(call->roster), call->arena, call->now, &looked, err) ||
        !gauges_begin(call->arena, GAUGE_NARROW, &gauges, err)) {
        return false;
    }
    struct json json = json_begin(&call->out);
    json_begin_object(&json, NULL);
    today_json(&json, call->today);
    json_integer(&json, "riders", (int64_t)roll.n);
    json_integer(&json, "rides_being_read_again", (int64_t)roll.n_waiting);
    since_json(&json, "since", &looked);
    groups_json(&json, &roll.attention);
    json_begin_array(&json, "items");
    for (size_t i = 0; i < roll.attention.count; i++) {
        if (!row_json(call, &json, &roll, &gauges, &roll.attention.items[i], err)) {
            return false;
        }
    }
    json_end_array(&json);
    json_end_object(&json);
    return true;
}

/* ---- what was done about it ---- */

static bool find_state(const struct body *body, enum attention_state *out, struct error *err)
{
    static const enum attention_state states[] = { MARK_DONE, MARK_ASKED, MARK_NOT_BEFORE };
    const char *word = NULL;
    if (!body_text(body, "state", BODY_NEEDED, &word, err)) {
        return false;
    }
    for (size_t i = 0; i < sizeof states / sizeof states[0]; i++) {
        if (strcmp(word, attention_state_name(states[i])) == 0) {
            *out = states[i];
            return true;
        }
    }
    return error_set(err, ERROR_USAGE, "state %.40s: is none of done, asked, not before", word);
}

bool route_post_who_mark(struct api_call *call, struct error *err)
{
    static const char *const keys[] = { "code", "state", "not_before", "line" };
    struct rider rider = { 0 };
    struct roll roll;
    struct mark_wish wish = { .rider = &rider, .version = call->version };
    struct write_done done = { 0 };
    const char *code = NULL;
    if (!body_only(call->body, keys, 4, err) ||
        !body_text(call->body, "code", BODY_NEEDED, &wish.code, err) ||
        !find_state(call->body, &wish.state, err) ||
        !body_text(call->body, "line", BODY_MAY_LACK, &wish.line, err) ||
        !write_day(call->body, "not_before",
                   wish.state == MARK_NOT_BEFORE ? BODY_NEEDED : BODY_MAY_LACK, &wish.not_before,
                   err) ||
        !write_words(call->arena, "line", &wish.line, err) || !write_rider(call, &rider, err) ||
        !write_begin(call, &done, err) ||
        !roll_take_one(call->roster, call->arena, call->today, &rider, &roll, err) ||
        !roll_mark(call->roster, call->arena, call->now, call->today, &roll, &wish, &code,
                   &done.words, err)) {
        return false;
    }
    return write_end(call, &done, err);
}
